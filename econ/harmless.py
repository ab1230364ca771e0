"""Text of a stranger made harmless: letters of every script stay, what steers a reader or a terminal goes.

Control characters ring, colour and erase; marks of direction show a text in another order than it is read
(Unicode categories Cc, Cf, Cs, Zl, Zp). Two marks stay, since words and joined pictures need them: the
joiner and the non-joiner.
"""

from __future__ import annotations

import re
import unicodedata

JOINERS = "\u200c\u200d"
LONGEST = 200
"""Characters of a name, a remark or a source that are kept."""
STEERING = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})

_ANY_ODD = re.compile(r"[^\n\x20-\x7e]")
_MARKS = re.compile(r"[\\`*_{}\[\]<>#|~&!@$]|:(?=//)|(?<=www)\.")
_FIRST_MARK = re.compile(r"^[-+=]|(?<=^\d)[.)]")
_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def is_harmless(character: str) -> bool:
    """Whether a character may stand in a name; blanks other than the plain ones may not."""
    if character in JOINERS:
        return True
    is_no_character = ord(character) & 0xFFFE == 0xFFFE  # may not stand in XML
    return not is_no_character and unicodedata.category(character) not in STEERING


def one_line(text: object, most: int = LONGEST) -> str:
    """A text as one line of at most `most` characters: every gap one blank, steering characters left out."""
    words = " ".join(str(text).split())
    if words.isascii() and words.isprintable():
        return words[:most].strip()
    return "".join(character for character in words if is_harmless(character))[:most].strip()


def on_screen(text: str) -> str:
    """Lines for a terminal: steering characters shown as question marks, ends of lines kept."""
    return _ANY_ODD.sub(lambda found: found[0] if is_harmless(found[0]) else "?", text)


def in_json(text: str) -> str:
    r"""JSON with every steering character written as its number (\u001b); it means the same as before."""
    return _ANY_ODD.sub(lambda found: found[0] if is_harmless(found[0]) else _numbered(found[0]), text)


def _numbered(character: str) -> str:
    pair = character.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{pair[at : at + 2].hex()}" for at in range(0, len(pair), 2))


def in_csv(text: str) -> str:
    """A cell of a csv table: a quote in front of what a spreadsheet would take for a formula (common practice)."""
    return f"'{text}" if text.startswith(_STARTS_A_FORMULA) else text


def in_markdown(text: str) -> str:
    """A line of Markdown that shows the text as it is: no heading, list, emphasis, picture or link."""
    return _FIRST_MARK.sub(r"\\\g<0>", _MARKS.sub(r"\\\g<0>", text))
