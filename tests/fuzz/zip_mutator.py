"""Damages workbooks inside their parts: bytes of a zip damaged at random die at its first check.

A mutation unpacks the workbook, changes one part of it (elements, attributes, texts, or raw bytes), and packs
it again; now and then it changes the zip itself. Everything follows from the seed that is handed in.
"""

from __future__ import annotations

import io
import random
import re
import struct
import zipfile
from collections.abc import Callable

from econ.inputs.schema import rows, sheets, table_plans

Mutate = Callable[[bytes, int], bytes]
Parts = dict[str, bytes]

DATE = (1980, 1, 1, 0, 0, 0)
TOKEN = re.compile(rb"<[^>]*>|[^<]+")
ATTRIBUTE = re.compile(rb'([\w:]+)="([^"]*)"')
SHEET = re.compile(r"xl/worksheets/sheet\d+\.xml")

NUMBERS = [
    "0",
    "-0",
    "1",
    "-1",
    "0.1",
    "1e308",
    "-1e308",
    "1e-320",
    "1E999",
    "NaN",
    "INF",
    "12,5",
    "45292",
    "1.5e",
]
NUMBERS += ["60", "61", "2958466", "-693594", "9" * 400, "0x10", "1_000", "٣", "", " ", "TRUE", "true", "#DIV/0!"]
ADDRESSES = ["A1", "B3", "C2", "XFD9", "AAAA1", "A0", "a1", "1A", "A1:B2", "$A$1", "A20000", "R1C1", ""]
# rows further down are tried in tests/workbook; here they would only make it slow
KINDS = ["s", "str", "n", "b", "e", "d", "inlineStr", "z", ""]
TEXTS = [
    "&amp;",
    "&#10;",
    "&#x202e;",
    "_x0007_",
    "&#0;",
    "=1+1",
    "\ufeff",
    "🦴",
    "é" * 300,
    "x" * 3000,
    "2026-03-14",
]
FORMATS = ["0%", "0.00%", "yyyy-mm-dd", "[h]:mm:ss", "@", "General;%", '"a%"', "[Red]0", ";;;"]
WORDS = [*list(rows())[::7], *(option.label for row in rows().values() for option in row.choices[:2])]
WORDS += [unit for row in rows().values() for unit in row.units[:2]]
WORDS += [key for plan in table_plans().values() for key in plan.by_key] + [plan.name for plan in sheets()]
WORDS += [plan.sheet for plan in table_plans().values()]
VALUES = [text.encode() for text in (*NUMBERS, *ADDRESSES, *KINDS, *TEXTS, *FORMATS)]
WORD_VALUES = [word.replace("&", "&amp;").replace("<", "&lt;").encode() for word in dict.fromkeys(WORDS)]
FRAGMENTS = [
    b"<f>1+1</f>", b'<f t="shared" si="0"/>', b'<f t="array" ref="A1:B9">1</f>', b"<f/>", b"<v/>", b"<v>1</v>",
    b'<c t="e"><v>#N/A</v></c>', b'<c t="inlineStr"><is><t>kiln.price</t></is></c>', b"<c/>", b"<row/>",
    b'<c r="B4" t="d"><v>2026-01-01</v></c>', b'<row r="6000"/>', b'<row r="2"><c r="A2"><v>1</v></c></row>',
    b"<!-- -->", b"<![CDATA[1]]>", b"<?a b?>", b"<!DOCTYPE x>", b"<is><r><t>a</t></r></is>",
    b'<dimension ref="A1:XFD9"/>',
    b'<mergeCell ref="A1:C3"/>', b'<definedName name="_xlnm.Print_Titles" localSheetId="0">A!$1:$2</definedName>',
    b'<workbookPr date1904="1"/>', b'<numFmt numFmtId="200" formatCode="0%"/>', b'<xf numFmtId="9"/>',
    b'<sheet name="Bones" sheetId="99" r:id="rId1"/>', b'<Relationship Id="rId1" Type="x/worksheet" Target="a"/>',
]  # fmt: skip


def mutated(data: bytes, max_size: int, seed: int, raw: Mutate) -> bytes:
    """A workbook near to `data`, of at most `max_size` bytes; `raw` is the plain mutation of bytes."""
    dice = random.Random(seed)
    parts = unpacked(data)
    if not parts or dice.random() < 0.05:
        return raw(data, max_size)
    for _ in range(dice.choice((1, 1, 1, 2, 4))):
        change = dice.choices((change_xml, change_raw, change_parts), (12, 3, 1))[0]
        change(parts, dice, raw)
    found = packed(parts)
    if dice.random() < 0.04:
        found = change_headers(found, dice)
    return found if len(found) <= max_size else raw(data, max_size)


def crossed(one: bytes, other: bytes, max_size: int, seed: int) -> bytes:
    """The first workbook with some parts of the second."""
    dice = random.Random(seed)
    ours, theirs = unpacked(one), unpacked(other)
    if not ours or not theirs:
        return one[:max_size]
    for name in dice.sample(sorted(theirs), dice.randint(1, min(3, len(theirs)))):
        ours[name] = theirs[name]
    found = packed(ours)
    return found if len(found) <= max_size else one[:max_size]


def unpacked(data: bytes) -> Parts | None:
    """The parts of a zip of modest size, or None."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            if sum(entry.file_size for entry in archive.infolist()) > 2**20:
                return None
            return {name: archive.read(name) for name in archive.namelist()}
    except Exception:  # whatever is wrong with it, it is no zip to work in
        return None


def packed(parts: Parts) -> bytes:
    """A zip of the parts; the same parts, the same bytes."""
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        for name, content in parts.items():
            entry = zipfile.ZipInfo(name, date_time=DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, content)
    return target.getvalue()


def change_xml(parts: Parts, dice: random.Random, raw: Mutate) -> None:
    """Change one to three tokens of a part."""
    name = _part(parts, dice)
    tokens = TOKEN.findall(parts[name])
    for _ in range(dice.randint(1, 3)):
        if tokens:
            dice.choice(TOKEN_CHANGES)(tokens, dice)
    parts[name] = b"".join(tokens)[: 2**20]


def change_raw(parts: Parts, dice: random.Random, raw: Mutate) -> None:
    """Change bytes of a part as they come."""
    name = _part(parts, dice)
    parts[name] = raw(parts[name], len(parts[name]) + 64)


def change_parts(parts: Parts, dice: random.Random, raw: Mutate) -> None:
    """Take out, rename, copy, empty or swap parts."""
    one, other = _part(parts, dice), _part(parts, dice)
    act = dice.randrange(5)
    if act == 0:
        parts.pop(one)
    elif act == 1:
        parts[dice.choice(["xl/a.bin", "a.xml", one.upper(), f"/{one}", "xl/vbaProject.bin"])] = parts[one]
    elif act == 2:
        parts[one] = b""
    else:
        parts[one], parts[other] = parts[other], parts[one]
    if not parts:
        parts["a"] = b""


def _part(parts: Parts, dice: random.Random) -> str:
    """The name of a part; sheets more often than others."""
    found = [name for name in parts if SHEET.fullmatch(name)]
    return dice.choice(found) if found and dice.random() < 0.5 else dice.choice(sorted(parts))


def _delete(tokens: list[bytes], dice: random.Random) -> None:
    at = dice.randrange(len(tokens))
    del tokens[at : at + dice.choice((1, 1, 2, 5, 20))]


def _repeat(tokens: list[bytes], dice: random.Random) -> None:
    at = dice.randrange(len(tokens))
    piece = tokens[at : at + dice.choice((1, 3, 4, 8, 30))]
    tokens[at:at] = piece * dice.choice((1, 1, 2, 30))


def _move(tokens: list[bytes], dice: random.Random) -> None:
    at, to = dice.randrange(len(tokens)), dice.randrange(len(tokens))
    tokens[at], tokens[to] = tokens[to], tokens[at]


def _insert(tokens: list[bytes], dice: random.Random) -> None:
    tokens.insert(dice.randrange(len(tokens)), dice.choice(FRAGMENTS))


def _value(tokens: list[bytes], dice: random.Random) -> None:
    texts = [at for at, token in enumerate(tokens) if not token.startswith(b"<")]
    if texts:
        tokens[dice.choice(texts)] = dice.choice(VALUES if dice.random() < 0.6 else WORD_VALUES)


def _copied_value(tokens: list[bytes], dice: random.Random) -> None:
    texts = [at for at, token in enumerate(tokens) if not token.startswith(b"<")]
    if texts:
        tokens[dice.choice(texts)] = tokens[dice.choice(texts)]


def _attribute(tokens: list[bytes], dice: random.Random) -> None:
    tags = [at for at, token in enumerate(tokens) if b'="' in token]
    if not tags:
        return
    at = dice.choice(tags)
    found = list(ATTRIBUTE.finditer(tokens[at]))
    if found:
        one = dice.choice(found)
        new = b"" if dice.random() < 0.2 else one[1] + b'="' + dice.choice(VALUES) + b'"'
        tokens[at] = tokens[at][: one.start()] + new + tokens[at][one.end() :]


TOKEN_CHANGES = (_delete, _repeat, _move, _insert, _value, _value, _copied_value, _attribute, _attribute)


def change_headers(data: bytes, dice: random.Random) -> bytes:
    """Make an entry of the zip lie: version, flags, way of packing, checksum, sizes."""
    marks = [found.start() for found in re.finditer(b"PK\x03\x04|PK\x01\x02", data)]
    if not marks:
        return data
    at, changed = dice.choice(marks), bytearray(data)
    field = at + dice.randrange(4, 30)
    value = struct.pack(
        "<H", dice.choice((0, 1, 8, 9, 12, 14, 0x40, 0x800, 0x2000, 99, 0xFFFF, dice.getrandbits(16)))
    )
    changed[field : field + 2] = value[: len(changed) - field]
    return bytes(changed)
