"""Where one figure comes from, and formulas in words: labels of the cells in place of their names.

`words_of` reads the text of a printed formula (names, addresses, + - * /, comparisons and the few functions
that `live` prints) and says it with the labels of what it reads. Slack against rounding and parts that are 0
are left out; the formula itself keeps them. `trace` walks a figure down to inputs and coefficients.
"""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from functools import cache

import numpy as np

from econ.answer.comparison import FIGURES
from econ.answer.practice import figure_words, unit_of_line
from econ.answer.results import Results, how_known, value_words
from econ.errors import InputFault
from econ.evidence.factors import Used
from econ.fields import record
from econ.inputs.as_typed import plain_figure
from econ.inputs.rows import plain
from econ.model.coefficients import coefficients
from econ.model.ledger import Line, line
from econ.shipped import described, listed
from econ.workbook.live import Printed, Sheets, defined_name
from econ.workbook.page_plan import plans

WORDS = described("trace", "workbook")
BY_SEARCH: Mapping[str, str] = WORDS["by_search"]
NAME, WORD = re.compile(r"[a-z][a-z0-9_]+"), re.compile(r'"[^"]*"')
OF_YEAR = re.compile(r"^(.+)__y(\d+)$")
LETTERS = re.compile(r"\w+")
STEP = 1.01
MOST_NAMED = 8
"""Of figures that fit a text, so many are named."""
TRACE = 1e-8
"""Numbers below this only guard against rounding or a division by zero."""
PHRASE, SUM, PRODUCT, ATOM = range(4)
SIGNS: dict[type[ast.AST], tuple[str, int]] = {
    ast.Add: (" + ", SUM), ast.Sub: (" − ", SUM), ast.Mult: (" × ", PRODUCT), ast.Div: (" ÷ ", PRODUCT),
}  # fmt: skip
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
        case ast.Constant(value=str() | int() | float() as value):
            return f"“{value}”" if isinstance(value, str) else f"{value:,.12g}", ATOM
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
    if isinstance(op, ast.Add | ast.Sub) and (number := _number(right)) is not None and abs(number) < TRACE:
        return _say(left, label)
    sign, level = SIGNS[type(op)]
    least = level + (not isinstance(op, ast.Add | ast.Mult))
    return _held(left, level, label) + sign + _held(right, least, label), level


def _call(name: str, args: list[ast.expr], label: Callable[[str], str]) -> Said:
    first, *rest = args
    if name == "INT":
        return f"{_held(first, SUM, label)}, rounded down", PHRASE
    if name == "IF":
        yes, no = rest
        is_flag = (_number(yes), _number(no)) == (1.0, 0.0)
        held = ("1", "0") if is_flag else (_held(yes, SUM, label), _held(no, SUM, label))
        return f"{held[0]} where {_say(first, label)[0]}, else {held[1]}", PHRASE
    if name in {"MAX", "MIN"} and (end := _number(rest[0])) is not None:
        if name == "MAX" and 0 < end < TRACE:
            return _say(first, label)
        side = "least" if name == "MAX" else "most"
        number = "zero" if end == 0 and name == "MAX" else f"{end:g}"
        return f"{_held(first, SUM, label)}, at {side} {number}", PHRASE
    if name in {"MAX", "MIN"}:
        which = "larger" if name == "MAX" else "smaller"
        return f"the {which} of {_held(first, SUM, label)} and {_held(rest[0], SUM, label)}", PHRASE
    return f"{name}({', '.join(_say(arg, label)[0] for arg in args)})", ATOM


def _held(node: ast.AST, least: int, label: Callable[[str], str]) -> str:
    """The words of a part, in brackets where they hold less tightly than asked."""
    words, level = _say(node, label)
    return words if level >= least else f"({words})"


def _number(node: ast.AST) -> float | None:
    value = node.value if isinstance(node, ast.Constant) else None
    return float(value) if isinstance(value, int | float) else None


def within(label: str) -> str:
    """A label as it stands inside a sentence: its first letter small, unless it is a name or a sign."""
    first = label.partition(" ")[0]
    small = first == "A" or (len(first) > 1 and first[1:].islower())
    return label[0].lower() + label[1:] if small else label


@cache
def _table() -> dict[str, tuple[str, str]]:
    return {row["name"]: (row["label"], row["unit"]) for row in listed("coefficients", "workbook")}


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
    found = {key: (entry.row.label, entry.row.heading) for key, entry in results.scenario.entries.items()}
    found |= {key: (coefficient_words(key)[0], "") for key in results.coefficients}
    found |= {key: (line(key).label, line(key).section) for key in results.figures}
    found = {defined_name(key): words for key, words in found.items()}
    often = Counter(within(label) for label, _ in found.values())
    return {
        name: within(label) + (f" ({within(where)})" if where and often[within(label)] > 1 else "")
        for name, (label, where) in found.items()
    }


@record(frozen=True, slots=True)
class Part:
    """A figure, an input or a coefficient: words, value with unit, and how it is known or made."""

    key: str
    label: str
    value: str
    how: str


@record(frozen=True, slots=True)
class Trace:
    """One figure with all that stands under it; `inputs` and `coefficients` the nearest first."""

    figure: Part
    sheet: str
    section: str
    formula: str
    parts: tuple[Part, ...]
    inputs: tuple[Part, ...]
    coefficients: tuple[Part, ...]
    facts: tuple[Part, ...] = ()


def find_figure(results: Results, text: str) -> str:
    """The name of the figure that a person means by its key or its label; InputFault lists what comes close."""
    wanted, figures = plain(text), results.figures
    if wanted.replace(" ", "_") in figures:
        return wanted.replace(" ", "_")
    labels = [(name, plain(line(name).label)) for name in figures]
    shown, words = list(_shown()), {*LETTERS.findall(wanted)}
    there = [(name, label) for name, label in shown if name in figures]
    found = (
        [name for name, label in labels if label == wanted],
        {name for name, label in there if label == wanted},
        [name for name, label in labels if wanted in f"{label} {plain(name)}"],
        {name for name, label in (*labels, *there) if words <= {*LETTERS.findall(label)}},
    )
    close = next((sorted(one) if isinstance(one, set) else one for one in found if one), [])
    if len(close) == 1:
        return close[0]
    is_absent = any(label == wanted for name, label in shown if name not in figures)
    said = "; ".join(f"{name} ({line(name).label})" for name in close[:MOST_NAMED])
    said = said or ("this plant has no such figure" if is_absent else "none fits")
    raise InputFault("explain", f"the text {text!r}", f"Name one figure by its key or label: {said}")


def _shown() -> Iterator[tuple[str, str]]:
    """Figures with the labels that screen, comparison and pages give them."""
    said = [(name, label) for name, label, *_ in FIGURES] + list(WORDS["on_screen"].items())
    tables = (words for plan in plans().values() for words in plan.words.values() if isinstance(words, Mapping))
    said += [item for table in tables for item in table.items()]
    return ((name, plain(label.partition(" [")[0])) for name, label in said if isinstance(label, str))


def trace(results: Results, name: str, sheets: Sheets) -> Trace:
    """The trace of a figure of the model; `sheets` are the cells of the model printed with `place`."""
    named = _Named(results, {place(key, t): cell for key, t, cell in sheets.cells()})
    top = defined_name(name)
    formula = named.printed[top].formula if top in named.printed else None
    under = _under(defined_name("npv") if name in BY_SEARCH else top, named.printed)
    inputs = [named.part(found) for found in under if found in named.entries]
    carried = [named.part(found) for found in under if found in named.coefficients and found not in named.entries]
    behind = _behind(results, [part.key for part in carried])
    inputs += [named.part(name) for name in map(defined_name, behind) if name not in under]
    said = BY_SEARCH.get(name, "a value") if formula is None else words_of(formula, named.label)
    parts = tuple(named.part(one) for one in dict.fromkeys(_read(formula)))
    sheet, section = WORDS["sheets"].get(line(name).page, ""), line(name).section
    return Trace(named.part(top), sheet, section, said, parts, tuple(inputs), tuple(carried))


def of_fact(fact: Used) -> Part:
    """The record of a fact, with how it is known, its source and place."""
    value = "" if fact.value is None else f"{plain_figure(fact.value)} {fact.unit}".removesuffix(" -")
    return Part(fact.id, fact.label, value, f"{fact.mark}: {fact.source.text}; {fact.locator}")


def place(name: str, t: int | None) -> str:
    """The name of a cell, with its year or month at the end."""
    return defined_name(name) + ("" if t is None else f"__y{t}")


def _read(formula: str | None) -> list[str]:
    """The names that a formula reads; a word in quotes, such as "never", is none."""
    return NAME.findall(WORD.sub("", formula or ""))


def _under(top: str, printed: Mapping[str, Printed]) -> list[str]:
    """Every name under a figure, the nearest first."""
    seen, now = {top: None}, [top]
    while now:
        found = [read for one in now if one in printed for read in _read(printed[one].formula)]
        now = [one for one in dict.fromkeys(found) if one not in seen]
        seen |= dict.fromkeys(now)
    return list(seen)


def _behind(results: Results, names: list[str]) -> list[str]:
    """The inputs that move any of these coefficients, each moved alone by a hundredth."""
    numbers = results.scenario.numbers()
    keys = [key for key in numbers if (row := results.scenario[key].row).kind == "number" and not row.fixed]
    moved = {key: np.full(len(keys) + 1, numbers[key]) for key in keys}
    for at, key in enumerate(keys):
        moved[key][at] = numbers[key] * STEP if numbers[key] else STEP - 1
    with np.errstate(all="ignore"):
        found = coefficients({**numbers, **moved}, results.plan)
    columns = [np.broadcast_to(np.asarray(found[name], dtype=float), (len(keys) + 1,)) for name in names]
    return [key for at, key in enumerate(keys) if any(column[at] != column[-1] for column in columns)]


class _Named:
    """What the names of cells stand for."""

    def __init__(self, results: Results, printed: Mapping[str, Printed]) -> None:
        self.results, self.printed = results, printed
        self.labels = labels_of(results)
        entries = results.scenario.entries
        self.entries = {defined_name(key): entry for key, entry in entries.items() if entry.value is not None}
        self.coefficients = {defined_name(key): key for key in results.coefficients}
        self.figures = {defined_name(key): key for key in (*results.figures, *results.years, *results.months)}

    def label(self, name: str) -> str:
        """The words of a cell."""
        if (at := OF_YEAR.match(name)) is None:
            return self.labels[name]
        found = self._line(name)
        return f"{within(found.label)} of {'month' if found.name in self.results.months else 'year'} {at[2]}"

    def _line(self, name: str) -> Line:
        name = OF_YEAR.sub(r"\1", name)
        return line(self.figures.get(name, name))

    def part(self, name: str) -> Part:
        """The record of a cell."""
        if entry := self.entries.get(name):
            return Part(entry.row.key, entry.row.label, value_words(entry), how_known(entry, with_source=True))
        if key := self.coefficients.get(name):
            label, unit = coefficient_words(key)
            value = figure_words(unit, "metric", self.results.coefficients[key])
            return Part(key, label, value, "computed from facts")
        found, scenario = self._line(name), self.results.scenario
        number = self.printed[name].value if name in self.printed else self.results.figures[found.name]
        said = figure_words(unit_of_line(scenario, found), scenario.system, number)
        return Part(found.name, self.label(name), said, "figure")
