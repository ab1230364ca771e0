"""The world of cells: what it prints, and that it refuses what it cannot print."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from econ.workbook.live import LONGEST, Cell, Printed, Sheets, bare, defined_name, printed

A, B = Cell("a_b", 6.0), Cell("c_d", 4.0)


@pytest.mark.parametrize(
    ("make", "text", "value"),
    [
        (lambda: A + B, "(a_b+c_d)", 10.0),
        (lambda: 1 - A, "(1-a_b)", -5.0),
        (lambda: A * 2.5, "(a_b*2.5)", 15.0),
        (lambda: A / B, "(a_b/c_d)", 1.5),
        (lambda: np.maximum(A, 0), "MAX(a_b,0)", 6.0),
        (lambda: np.minimum(A, B), "MIN(a_b,c_d)", 4.0),
        (lambda: np.floor(A / B), "INT((a_b/c_d))", 1.0),
        (lambda: np.ceil(A / B), "(-INT(-((a_b/c_d))))", 2.0),
        (lambda: np.greater(A, B), "IF(a_b>c_d,1,0)", 1.0),
        (lambda: np.greater_equal(B, A) * 1.0, "IF(c_d>=a_b,1,0)", 0.0),
        # what changes nothing is not printed
        (lambda: A + 0, "a_b", 6.0),
        (lambda: 0 + A, "a_b", 6.0),
        (lambda: A - 0, "a_b", 6.0),
        (lambda: 0 - A, "(0-a_b)", -6.0),
        (lambda: A * 1, "a_b", 6.0),
        (lambda: 1 * A, "a_b", 6.0),
        (lambda: A / 1, "a_b", 6.0),
        (lambda: 1 / B, "(1/c_d)", 0.25),
        # whole numbers without a point, as far as every one of them is exact
        (lambda: B + 1e14, "(c_d+100000000000000)", 1e14 + 4),
        (lambda: A * 1e15, "(a_b*1000000000000000.0)", 6e15),
    ],
)
def test_what_is_printed(make: Callable[[], Cell], text: str, value: float) -> None:
    cell = make()
    assert (cell.text, cell.value) == (text, value)


@pytest.mark.parametrize("function", [np.exp, np.log, np.sqrt, np.power, np.abs])
def test_a_function_without_a_formula_raises(function: np.ufunc) -> None:
    with pytest.raises(TypeError):
        function(A, B) if function.nin == 2 else function(A)


def test_a_branch_on_a_value_raises() -> None:
    with pytest.raises(TypeError, match="branch"):
        bool(A > B)
    with pytest.raises(TypeError):
        max(A, B)


def test_a_sum_over_an_array_of_cells_raises_or_is_refused() -> None:
    with pytest.raises(TypeError):
        np.add.reduce(A)
    with pytest.raises(TypeError):
        np.add(A, 1, dtype=float)


@pytest.mark.parametrize(
    ("text", "expected"),
    [("((a+b))", "a+b"), ("(a+b)*(c+d)", "(a+b)*(c+d)"), ("a", "a"), ("((a)", "((a)"), ("(a)b", "(a)b")],
)
def test_outer_brackets_go(text: str, expected: str) -> None:
    assert bare(text) == expected


def test_a_withheld_value_is_a_word_and_a_long_formula_is_refused() -> None:
    assert printed("x", Cell("a_b", float("nan"))) == Printed(None, "not reported")
    assert printed("x", 3.0) == Printed(None, 3.0)
    with pytest.raises(ValueError, match="name a step"):
        printed("x", Cell("+".join(["a_b"] * 60), 1.0))


@pytest.mark.parametrize(("letters", "is_refused"), [(LONGEST - 1, False), (LONGEST, True)])
def test_a_formula_must_be_short_enough_to_read(letters: int, is_refused: bool) -> None:
    long = Cell("a" * letters, 1.0)
    if not is_refused:
        assert printed("x", long) == Printed("a" * letters, 1.0)
        return
    with pytest.raises(ValueError, match="200 characters"):
        printed("x", long)


@pytest.mark.parametrize(("found", "is_shown"), [(1.0, True), (0.0, False)])
def test_a_word_stands_where_there_is_no_value(found: float, is_shown: bool) -> None:
    sheets = Sheets(lambda name, t: name)
    sheets.value_or_never("payback_years", Cell("is_found", found), A)
    never = Printed('IF(is_found=1,a_b,"never")', 6.0 if is_shown else "never")
    assert sheets.lines["payback_years"] == never
    told = sheets.value_or_withheld("hc_share", Cell("is_allowed", found), A)
    reported = Printed('IF(is_allowed=1,a_b,"not reported")', 6.0)
    assert sheets.lines["hc_share"] == (reported if is_shown else Printed(None, "not reported"))
    assert told.text == "a_b", "what rests on it reads the value and not the word"
    assert told.value == pytest.approx(6.0 if is_shown else np.nan, nan_ok=True)


@pytest.mark.parametrize(("key", "name"), [("kiln.price", "kiln_price"), ("npv", "the_npv"), ("irr", "the_irr")])
def test_names_that_no_program_takes_for_a_cell(key: str, name: str) -> None:
    """A bare irr1, co2 or r is a cell address or a reserved letter in the grid."""
    assert defined_name(key) == name


@pytest.mark.parametrize("key", ["1.price", "kiln price", "µ.x", "a..b"])
def test_names_that_are_refused(key: str) -> None:
    with pytest.raises(ValueError, match="usable"):
        defined_name(key)
