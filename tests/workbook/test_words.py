"""Words that a reader meets: in the sources of the texts, and in everything that is made of them.

The rules stand in DEVELOPERS.md. Banned words are those that owners, lenders and soil scientists did not
understand or took for something else; 25 words a sentence is what plain-language guides ask (common practice).
"""

from __future__ import annotations

import ast
import csv
import re
import tomllib
from collections.abc import Iterator
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import Any

import in_parts
import pytest
from openpyxl.utils.cell import coordinate_to_tuple
from written import ALL, NAMES, OTHERS, behind, commands, content, told

from econ.errors import InputFaults
from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.records import ErrorCell, Typed
from econ.inputs.schema import rows

ROOT = Path(__file__).parents[2]
LONGEST = 25
BANNED = re.compile(
    r"\b(nil|nought|till|withh(?:eld|old\w*)|worth today|today's way|(?:trial )?firings?|losing money|faults?"
    r"|own money|coverage of the debt|credits lost|bones fired|hours of people|lasting share|hindsight"
    r"|errs? (?:high|low)|knowing everything|of doubt|perfect news|today's bill|hoped for|and worked in"
    r"|\w+\(s(?=\)))\b",
    re.IGNORECASE,
)
SHOWN = ("label", "help", "help_next", "if_blank", "heading", "intro", "title", "note", "section")
"""Words of toml files and columns of csv files that a person reads."""
KEY = re.compile(
    rf"(?<![\w./-])(?:{'|'.join(sorted({key.split('.')[0] for key in rows()}))})\.(?:\d\.)?[a-z_]\w*(?:\.\w+)*"
)
CODE = re.compile(r"(?<![\w/.@-])[a-z]\w*_\w+\b(?!\.)")
QUERY = re.compile(r"\b(?:SELECT|WHERE|INSERT|CREATE)\b|fault, key, |iif")
"""What is asked of the file of columns, which no person reads."""
OF_WORDS, LOOKS = {"pages", "many", "questions"}, {"looks", "look", "head", "note_look", "type"}
"""Rooms whose toml files hold sentences under any name; names of what no person reads."""
TABLES = {
    "inputs/checks.csv": "text do", "answer/cautions.csv": "text do", "answer/safety.csv": "text",
    "measured/cautions.csv": "text do",
    "answer/boundary.csv": "name why zero", "answer/monitoring.csv": "what method often control",
    "evidence/factors.csv": "label note", "evidence/default_ranges.csv": "label",
}  # fmt: skip
"""Tables and the columns of them that a person reads."""
OF_KEYS = {"Plants": "a table of plants is called by keys, as it is read again"}
"""Sheets that hold keys or names of the code throughout, and why."""
Place = tuple[str, str]
PAIRED = {str(typed.value) for name in NAMES for key, typed in example(name).rows.items() if "together" in key}


def in_tables() -> Iterator[Place]:
    """Texts of the README and the data files: input rows, words of the figures, coefficients."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    plain = re.sub(r"```.*?```|`[^`]*`|^ {4}\S+ .*?(?=#|$)", "", readme, flags=re.S | re.M)
    yield from (("README.md", line) for line in plain.splitlines())
    for path in sorted((ROOT / "econ").rglob("*.toml")):
        held = tomllib.loads(path.read_text(encoding="utf-8"))
        yield from _said(path.name, held) if path.parent.name in OF_WORDS else _held(path.name, held)
    for path in [*sorted((ROOT / "econ/model/words").glob("*.csv")), ROOT / "econ/workbook/coefficients.csv"]:
        with path.open(encoding="utf-8") as handle:
            for row in csv.DictReader(handle):
                yield from ((f"{path.name} {row['name']}", row[name]) for name in SHOWN if row.get(name))
    for name, columns in TABLES.items():
        path = ROOT / "econ" / name
        for at, row in enumerate(csv.DictReader(path.read_text(encoding="utf-8").splitlines()), start=2):
            yield from ((f"{name}:{at}", re.sub(r"\{[^{}]*\}", "5", row[column])) for column in columns.split())


def _said(at: str, item: Any) -> Iterator[Place]:
    """Every text with a space in it, but for those that say how something looks."""
    if isinstance(item, list | dict):
        pairs = item.items() if isinstance(item, dict) else enumerate(item)
        for name, value in pairs:
            yield from () if name in LOOKS else _said(at, value)
    elif isinstance(item, str) and " " in item:
        yield at, re.sub(r"\{[^{}]*\}", "5", item)


def _held(at: str, item: Any) -> Iterator[Place]:
    if isinstance(item, list):
        for one in item:
            yield from _held(at, one)
    elif isinstance(item, dict):
        for name, value in item.items():
            if isinstance(value, str) and name in SHOWN:
                yield f"{at} {item.get('key', '')}", re.sub(r"\{[^{}]*\}", "", value)
            else:
                yield from _held(at, value)


def in_code() -> Iterator[Place]:
    """Texts of the program: strings with a space in them that are no docstrings."""
    for path in sorted((ROOT / "econ").rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        silent = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        for node in ast.walk(tree):
            text = node.value if isinstance(node, ast.Constant) and id(node) not in silent else None
            if isinstance(text, str) and " " in text.strip() and not QUERY.search(text):
                yield f"{path.relative_to(ROOT)}:{node.lineno}", text


@cache
def _made() -> tuple[tuple[Place, ...], tuple[Place, ...]]:
    """Texts of workbooks with their cells, Key columns left out; lines of screen, note, page, cautions, errors."""
    cells = []
    for name in (*ALL, *OTHERS):
        for sheet, here in groupby(in_parts.read(content(name)), lambda cell: cell.sheet):
            if sheet not in OF_KEYS:
                cells += [(f"{name} {sheet}!{at}", text) for at, text in _texts(list(here))]
        cells += list(behind(name))
    lines = [(f"{name} {kind}", line) for name in NAMES for kind, texts in told(name).items() for line in texts]
    return tuple(cells), (*lines, *_errors(), *commands())


TO_TYPE = re.compile(
    r"^ *--set |^ *Example: kilncase |^ *figure  +key |   \[\w+\]$|last column of its row, such as"
    rf"|\bcolumn [\w.]+, |^(?:{'|'.join(map(re.escape, PAIRED))})$"
)
"""Where a key may stand, since a person types it there: after the command, as `explain` gives it, in the rows of
inputs that move together and their help, and where a column of a table is named."""
ODD: tuple[object, ...] = (None, "forty", "5 furlongs", "€5", "5 tons", True, -1e7, 1e12, 0, ErrorCell("#DIV/0!"))


def _errors() -> Iterator[Place]:
    """What is said of the same odd cell in every row of a plant at once, as value and as low."""
    plant = example("thistle-flat")
    for item in ODD:
        for column in ("value", "low"):
            typed = {
                key: Typed(**({"value": 1, "unit": row.units[0] if row.units else None} | {column: item}))
                for key, row in rows().items()
            }
            try:
                build({**plant.rows, **typed}, plant.system)
            except InputFaults as several:
                yield from (("error", text) for text in (*several.sentences, *several.cautions))


def _texts(sheet: list[in_parts.Cell]) -> Iterator[Place]:
    texts = [(*coordinate_to_tuple(cell.address), cell.address, cell.value) for cell in sheet
             if isinstance(cell.value, str)]  # fmt: skip
    keys = {column for _, column, _, text in texts if text.startswith("Key")}
    for _, row in groupby((one for one in texts if one[1] not in keys), lambda one: one[0]):
        found = [(at, text) for _, _, at, text in row]
        if not all(KEY.fullmatch(text) for _, text in found):  # tables hold a row of keys
            yield from found


def sentences(text: str) -> list[str]:
    """A text cut at full stops, colons and semicolons that end a clause, at line breaks and cells of a table.

    A formula is as long as what it adds up, so it is no sentence here.
    """
    return [] if re.match(r"(?:\w+ )?= |    ", text) else re.split(r"(?<=[.!?;:])\s+|\n|\s\|\s", text)


def _wrong(places: Iterator[Place] | tuple[Place, ...], pattern: re.Pattern[str]) -> list[str]:
    return [f"{at}: {found[0]!r} in {text!r}" for at, text in places if (found := pattern.search(text))]


@pytest.mark.parametrize("kind", ["in_tables", "in_code", "cells", "lines"])
def test_no_text_holds_a_word_that_readers_did_not_understand(kind: str) -> None:
    assert not _wrong(_places(kind), BANNED)


@pytest.mark.parametrize("kind", ["cells", "lines"])
def test_no_text_shows_the_key_of_an_input_outside_the_key_columns(kind: str) -> None:
    """Options of the command to type (`--set`) hold keys, and stand on lines or in cells of their own."""
    assert not _wrong([one for one in _places(kind) if not TO_TYPE.search(one[1])], KEY)


@pytest.mark.parametrize("kind", ["in_tables", "cells", "lines"])
def test_no_text_shows_a_name_of_the_code(kind: str) -> None:
    assert not _wrong([one for one in _places(kind) if not TO_TYPE.search(one[1])], CODE)


@pytest.mark.parametrize("kind", ["in_tables", "cells", "lines"])
def test_no_sentence_is_longer_than_25_words(kind: str) -> None:
    long = {
        f"{at}: {len(one.split())} words: {one}"
        for at, text in _places(kind)
        for one in sentences(text)
        if len(one.split()) > LONGEST
    }
    assert not long, "\n".join(sorted(long))


def _places(kind: str) -> Iterator[Place] | tuple[Place, ...]:
    if kind in {"cells", "lines"}:
        return _made()[kind == "lines"]
    return in_tables() if kind == "in_tables" else in_code()
