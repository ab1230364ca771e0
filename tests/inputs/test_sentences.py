"""The tables of sentences: every row can be read and be reached, and no sentence is too long."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import econ
from econ.answer.sentences import Speech, compiled, rows_by_id
from econ.errors import FactorError

TABLES = sorted(Path(econ.__file__).parent.glob("*/sentences.csv"))
TABLES += sorted(Path(econ.__file__).parent.glob("*/reasons.csv"))
TABLES += sorted(Path(econ.__file__).parent.glob("*/safety.csv"))
LONG = 25
"""Words of a sentence at most, by the style sheet; a place to fill counts as one."""
LISTS = {"worth-one", "formula-removal"}
"""A name with two amounts, and a formula: no sentences."""


@pytest.mark.parametrize("table", TABLES, ids=lambda path: path.parent.name)
def test_every_row_can_be_read_and_none_is_too_long(table: Path) -> None:
    for name in rows_by_id(table):
        for _, sentence in compiled(table, name):
            text = "".join(piece + ("x" if code else "") for piece, code, _ in sentence.pieces)
            for one in re.split(r"(?<=[.!?]) ", text):
                assert len(one.split()) <= LONG or name in LISTS, f"{name}: {one}"


@pytest.mark.parametrize("table", TABLES, ids=lambda path: path.parent.name)
def test_nothing_stands_below_a_row_without_a_condition(table: Path) -> None:
    """Such a row would never be said; of the lines of the screen and of the lists of whom to ask all are."""
    for name in (one for one in rows_by_id(table) if not one.startswith(("screen-", "before", "settle"))):
        assert all(when is not None for when, _ in compiled(table, name)[:-1]), name


@pytest.mark.parametrize("table", TABLES, ids=lambda path: path.parent.name)
def test_a_sentence_that_another_quotes_exists(table: Path) -> None:
    text = table.read_text(encoding="utf-8")
    assert set(re.findall(r"say\('([^']+)'\)", text)) <= rows_by_id(table).keys()


def test_the_first_row_that_holds_is_said(tmp_path: Path) -> None:
    table = tmp_path / "sentences.csv"
    table.write_text(
        "id,when,text\na,x > 1,More: {x:.1f}.\na,x > 0,Less.\nb,no_such.thing > 0,Never.\nc,1 >,Odd.\n"
    )
    said = Speech({}, {}, {"x": 0.5}, table)
    assert [said.say("a"), said.say("a", x=2.0), said.say("b")] == ["Less.", "More: 2.0.", ""]
    with pytest.raises(FactorError, match=r"sentences\.csv line 5"):
        said.say("c")
