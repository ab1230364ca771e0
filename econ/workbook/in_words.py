"""Formulas of the results in words: labels of the cells in place of their names.

`words_of` reads the text of a printed formula (names, addresses, + - * /, comparisons and the few functions
that `live` prints) and says it with the labels of what it reads. Slack against rounding and parts that are 0
are left out; the formula itself keeps them.
"""

from __future__ import annotations

import ast
import csv
import re
from collections import Counter
from collections.abc import Callable, Mapping
from functools import cache
from importlib.resources import files

from xlsxwriter.utility import xl_rowcol_to_cell

from econ.answer.results import Results
from econ.model.ledger import line
from econ.workbook.live import defined_name

TRACE = 1e-8
"""Numbers below this only guard against rounding or a division by zero."""
PHRASE, SUM, PRODUCT, ATOM = range(4)
SIGNS: dict[type[ast.AST], tuple[str, int]] = {
    ast.Add: (" + ", SUM),
    ast.Sub: (" − ", SUM),
    ast.Mult: (" × ", PRODUCT),
    ast.Div: (" ÷ ", PRODUCT),
}
SAID = {ast.Gt: "is above", ast.GtE: "is at least", ast.Eq: "is"}

Said = tuple[str, int]
"""Words, and how tightly they hold together."""


def words_of(formula: str, label: Callable[[str], str]) -> str:
    """A formula without its "=" in words; `label` gives the words of a name or an address."""
    text = re.sub(r"(?<![<>=])=(?!=)", "==", formula)
    return _say(ast.parse(text, mode="eval").body, label)[0]


def _say(node: ast.AST, label: Callable[[str], str]) -> Said:
    match node:
        case ast.Name(id=name):
            return label(name), ATOM
        case ast.Constant(value=str(word)):
            return f"“{word}”", ATOM
        case ast.Constant(value=int() | float() as number):
            return f"{number:,.12g}", ATOM
        case ast.BinOp(left=left, op=op, right=right):
            return _both(left, op, right, label)
        case ast.UnaryOp(operand=ast.Call(func=ast.Name(id="INT"), args=[ast.UnaryOp(operand=inner)])):
            return f"{_held(inner, SUM, label)}, rounded up", PHRASE
        case ast.UnaryOp(operand=inner):
            return f"−{_held(inner, ATOM, label)}", PRODUCT
        case ast.Compare(left=left, ops=[op], comparators=[right]):
            return f"{_held(left, SUM, label)} {SAID[type(op)]} {_held(right, SUM, label)}", PHRASE
        case ast.Call(func=ast.Name(id=name), args=args):
            return _call(name, args, label)
    raise ValueError(f"no words for {ast.dump(node)}")


def _both(left: ast.AST, op: ast.operator, right: ast.AST, label: Callable[[str], str]) -> Said:
    if isinstance(op, ast.Add | ast.Sub) and _is_trace(right):
        return _say(left, label)
    sign, level = SIGNS[type(op)]
    least = level + (not isinstance(op, ast.Add | ast.Mult))
    return _held(left, level, label) + sign + _held(right, least, label), level


def _call(name: str, args: list[ast.expr], label: Callable[[str], str]) -> Said:
    first, *rest = args
    if name == "INT":
        return f"{_held(first, SUM, label)}, rounded down", PHRASE
    if name == "IF":
        return _choice(first, rest[0], rest[1], label)
    if name == "MAX" and _number(rest[0]) is not None:
        least = _number(rest[0]) or 0.0
        if 0 < least < TRACE:
            return _say(first, label)
        return f"{_held(first, SUM, label)}, at least {'zero' if least == 0 else f'{least:g}'}", PHRASE
    if name == "MIN" and _number(rest[0]) is not None:
        return f"{_held(first, SUM, label)}, at most {_number(rest[0]):g}", PHRASE
    if name in {"MAX", "MIN"}:
        which = "larger" if name == "MAX" else "smaller"
        return f"the {which} of {_held(first, SUM, label)} and {_held(rest[0], SUM, label)}", PHRASE
    return f"{name}({', '.join(_say(arg, label)[0] for arg in args)})", ATOM


def _choice(test: ast.expr, yes: ast.expr, no: ast.expr, label: Callable[[str], str]) -> Said:
    if (_number(yes), _number(no)) == (1.0, 0.0):
        return f"1 where {_say(test, label)[0]}, else 0", PHRASE
    return f"{_held(yes, SUM, label)} where {_say(test, label)[0]}, else {_held(no, SUM, label)}", PHRASE


def _held(node: ast.AST, least: int, label: Callable[[str], str]) -> str:
    """The words of a part, in brackets where they hold less tightly than asked."""
    words, level = _say(node, label)
    return words if level >= least else f"({words})"


def _number(node: ast.AST) -> float | None:
    value = node.value if isinstance(node, ast.Constant) else None
    return float(value) if isinstance(value, int | float) else None


def _is_trace(node: ast.AST) -> bool:
    number = _number(node)
    return number is not None and abs(number) < TRACE


def within(label: str) -> str:
    """A label as it stands inside a sentence: its first letter small, unless it is a name or a sign."""
    first = label.partition(" ")[0]
    small = first == "A" or (len(first) > 1 and first[1:].islower())
    return label[0].lower() + label[1:] if small else label


@cache
def _table() -> dict[str, tuple[str, str]]:
    with (files("econ.workbook") / "coefficients.csv").open(encoding="utf-8") as handle:
        return {row["name"]: (row["label"], row["unit"]) for row in csv.DictReader(handle)}


def coefficient_words(name: str) -> tuple[str, str]:
    """Label and unit of a coefficient; one that no row names gets its name in words and no unit."""
    if name in _table():
        return _table()[name]
    for number in re.finditer(r"_(\d+)(?=_|$)", name):
        label, unit = _table().get(f"{name[: number.start()]}_{{n}}{name[number.end() :]}", ("", ""))
        if label:
            return label.replace("{n}", number[1]), unit
    return name.replace("_", " "), ""


def labels_of(results: Results) -> dict[str, str]:
    """The words of every named cell by its workbook name; one said twice is told apart by its section."""
    found: dict[str, tuple[str, str]] = {}
    for key, entry in results.scenario.entries.items():
        found[defined_name(key)] = (entry.row.label, entry.row.heading)
    for key in results.coefficients:
        found[defined_name(key)] = (coefficient_words(key)[0], "")
    for key in results.figures:
        found[defined_name(key)] = (line(key).label, line(key).section)
    often = Counter(within(label) for label, _ in found.values())
    return {
        name: within(label) + (f" ({within(where)})" if where and often[within(label)] > 1 else "")
        for name, (label, where) in found.items()
    }


def labels_of_years(rows: Mapping[str, int], first_column: int, years: int) -> dict[str, str]:
    """The words of every cell of the yearly rows by its address on the cash page."""
    return {
        str(xl_rowcol_to_cell(row, first_column + t)): f"{within(line(name).label)} of year {t}"
        for name, row in rows.items()
        for t in range(years + 1)
    }
