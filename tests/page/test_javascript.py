"""The world of JavaScript: what it prints, letter by letter, and that it refuses what it cannot print."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from econ.page.javascript import LONGEST, Js, Pages, Tape, inputs, number, where


def lines(tape: Tape, *found: object) -> list[str]:
    """The body of the printed function."""
    return tape.function("f", found).splitlines()


def printed(make: Callable[[Js, Js], object]) -> str:
    """What the page computes of two inputs."""
    tape = Tape()
    return lines(tape, make(tape.note("x[0]"), tape.note("x[1]")))[-2].removeprefix("y[0]=").removesuffix(";")


@pytest.mark.parametrize(
    ("make", "text"),
    [
        (lambda x, y: x + y, "(x[0]+x[1])"),
        (lambda x, y: 1 - x, "(1-x[0])"),
        (lambda x, y: x * -2.5, "(x[0]*(-2.5))"),
        (lambda x, y: x / y, "(x[0]/x[1])"),
        (lambda x, y: -x, "(-x[0])"),
        (lambda x, y: np.maximum(x, 0), "max(x[0],0)"),
        (lambda x, y: np.minimum(y, x), "min(x[1],x[0])"),
        (lambda x, y: np.floor(x), "floor(x[0])"),
        (lambda x, y: np.ceil(x), "ceil(x[0])"),
        (lambda x, y: np.sqrt(x), "sqrt(x[0])"),
        (lambda x, y: np.exp(x), "exp(x[0])"),
        (lambda x, y: np.expm1(x), "expm1(x[0])"),
        (lambda x, y: x.power(0.6), "pow(x[0],0.6)"),
        (lambda x, y: np.greater(x, y), "(x[0]>x[1]?1:0)"),
        (lambda x, y: np.greater_equal(x, y), "(x[0]>=x[1]?1:0)"),
        (lambda x, y: np.less(x, y), "(x[0]<x[1]?1:0)"),
        (lambda x, y: where(x, y), "(x[0]>0?x[1]:NaN)"),
        (lambda x, y: where(x, 7.0), "(x[0]>0?7:NaN)"),
    ],
)
def test_what_is_printed(make: Callable[[Js, Js], object], text: str) -> None:
    assert printed(make) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0"), (2.0, "2"), (0.5, "0.5"), (-2.0, "(-2)"), (-0.5, "(-0.5)"), (1e14, "100000000000000"),
        (1e15, "1000000000000000.0"), (1e300, "1e+300"), (math.nan, "NaN"), (math.inf, "Infinity"),
        (-math.inf, "(-Infinity)"),
    ],
)  # fmt: skip
def test_a_number_is_written_as_the_language_reads_it(value: float, text: str) -> None:
    """A minus stands in brackets, since 1--2 is no expression of the language."""
    assert number(value) == text


@pytest.mark.parametrize(("found", "value"), [(1.0, 5.0), (0.5, 5.0), (0.0, math.nan), (-1.0, math.nan)])
def test_a_known_condition_is_decided_while_printing(found: float, value: float) -> None:
    assert where(found, 5.0) == pytest.approx(value, nan_ok=True)
    pages = Pages()
    pages.value_or_never("payback_years", found, 5.0)
    assert pages.lines["payback_years"] == pytest.approx(value, nan_ok=True)


def test_what_is_read_twice_gets_a_name_and_what_nothing_reads_is_left_out() -> None:
    tape = Tape()
    x = tape.note("x[0]")
    twice, once = x + 1, x * 2
    _unread = once * 9
    squared, less = twice * twice, once - 5
    assert lines(tape, squared, less, 3.0, squared, twice) == [
        "function f(x,y){", "const a1=(x[0]+1);", "const a4=(a1*a1);",
        "y[0]=a4;", "y[1]=((x[0]*2)-5);", "y[2]=3;", "y[3]=a4;", "y[4]=a1;", "}",
    ]  # fmt: skip


def test_the_same_is_noted_once_and_the_same_table_printed_once() -> None:
    tape = Tape()
    x = tape.note("x[0]")
    assert (x + 1).at == (x + 1).at != (x + 2).at
    found = x.interp((1.0, 2.0), (0.5, -3.0)), x.step((1.0, 2.0), (4.0, 5.0, 6.0))
    assert lines(tape, *found) == [
        "const t0=[1,2];", "const t1=[0.5,(-3)];", "const t2=[4,5,6];", "function f(x,y){",
        "y[0]=interp(t0,t1,x[0]);", "y[1]=step(t0,t2,x[0]);", "}",
    ]  # fmt: skip


@pytest.mark.parametrize(("letters", "named"), [(LONGEST, False), (LONGEST + 1, True)])
def test_a_long_expression_gets_a_name(letters: int, named: bool) -> None:
    tape = Tape()
    long = tape.note("1" * (letters - 4) + "{}", tape.note("x[0]"))
    assert any(line.startswith("const a1=") for line in lines(tape, long)) is named


def test_inputs_that_move_are_read_and_the_others_are_numbers() -> None:
    found = inputs({"a": 1.5, "b": 2.0, "c": 3.0}, ["c", "a"], tape := Tape())
    assert found["b"] == 2.0
    assert lines(tape, found["a"] + found["b"], found["c"])[1:3] == ["y[0]=(x[1]+2);", "y[1]=x[0];"]


@pytest.mark.parametrize(
    "call", [np.log, np.abs, np.add.reduce, lambda x: np.add(x, 1, dtype=float), lambda x: np.power(x, 2)]
)
def test_what_cannot_be_printed_raises(call: Callable[[Js], object]) -> None:
    with pytest.raises(TypeError, match="cannot print"):
        call(Tape().note("x[0]"))


def test_a_branch_on_a_value_raises() -> None:
    with pytest.raises(TypeError, match="branch"):
        bool(Tape().note("x[0]") > 1)
