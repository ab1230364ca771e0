"""The world of cells: what it prints, and that it refuses what it cannot print."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from econ.workbook.live import Cell, Printed, bare, defined_name, printed

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


@pytest.mark.parametrize(("text", "expected"), [("((a+b))", "a+b"), ("(a+b)*(c+d)", "(a+b)*(c+d)"), ("a", "a")])
def test_outer_brackets_go(text: str, expected: str) -> None:
    assert bare(text) == expected


def test_a_withheld_value_is_a_word_and_a_long_formula_is_refused() -> None:
    assert printed("x", Cell("a_b", float("nan"))) == Printed(None, "not reported")
    assert printed("x", 3.0) == Printed(None, 3.0)
    with pytest.raises(ValueError, match="name a step"):
        printed("x", Cell("+".join(["a_b"] * 60), 1.0))


@pytest.mark.parametrize(("key", "name"), [("kiln.price", "kiln_price"), ("npv", "the_npv"), ("irr", "the_irr")])
def test_names_that_no_program_takes_for_a_cell(key: str, name: str) -> None:
    """A bare irr1, co2 or r is a cell address or a reserved letter in the grid."""
    assert defined_name(key) == name


@pytest.mark.parametrize("key", ["1.price", "kiln price", "µ.x", "a..b"])
def test_names_that_are_refused(key: str) -> None:
    with pytest.raises(ValueError, match="usable"):
        defined_name(key)
