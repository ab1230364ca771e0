"""Where one figure comes from: its line of the model, its formula in words, inputs and coefficients under it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from econ.answer.comparison import FIGURES
from econ.answer.results import Results, digits, how_known, value_words
from econ.errors import InputFault
from econ.evidence.used import Used
from econ.inputs.rows import plain
from econ.model.coefficients import coefficients
from econ.model.ledger import Line, line
from econ.workbook.desk import CARBON_FIGURES, CASH, KILN, MATTER, MONTHLY, MONTHS, OPTIONS, PLANTING
from econ.workbook.in_words import coefficient_words, labels_of, within, words_of
from econ.workbook.live import Printed, Sheets, defined_name
from econ.workbook.page_plan import plans

SHEETS = {"matter": MATTER, "carbon": CARBON_FIGURES, "money": CASH, "cash": CASH, "kiln": KILN, "lender": MONTHLY,
          "month": MONTHS, "months": MONTHLY, "options": OPTIONS, "planting": PLANTING}  # fmt: skip
NAME, WORD = re.compile(r"[a-z][a-z0-9_]+"), re.compile(r'"[^"]*"')
OF_YEAR = re.compile(r"^(.+)__y(\d+)$")
BY_SEARCH = {
    "irr": "the rate at which the yearly net cash, discounted, adds up to zero (found by search)",
    "mirr": "the rate that grows the outlay into what the yearly net cash is worth at the end",
}
ON_SCREEN = {
    "npv_with_grant": "with the grant",
    "npv_owner": "to the owner, with loan and grant",
    "payback_for_good_years": "for good, replacements paid",
    "net_cost_per_kg_bones": "Net cost of the kiln, per tonne of bones",
    "saved_bill_per_kg_bones": "avoided cost",
    "lowest_coverage": "minimum DSCR",
    "firings_per_year": "Batches per year",
}
"""What the screen calls figures that the pages call otherwise."""
LETTERS = re.compile(r"\w+")
STEP = 1.01
MOST_NAMED = 8
"""Of figures that fit a text, so many are named."""


@dataclass(frozen=True, slots=True)
class Part:
    """A figure, an input or a coefficient: words, value with unit, and how it is known or made."""

    key: str
    label: str
    value: str
    how: str


@dataclass(frozen=True, slots=True)
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
    wanted = plain(text)
    labels = {name: plain(line(name).label) for name in results.figures}
    if wanted.replace(" ", "_") in results.figures:
        return wanted.replace(" ", "_")
    exact = [name for name, label in labels.items() if label == wanted]
    shown = [] if exact else list(_shown())
    absent = {name for name, label in shown if label == wanted} - results.figures.keys()
    shown = [one for one in shown if one[0] in results.figures]
    exact = exact or sorted({name for name, label in shown if label == wanted})
    close = exact or [name for name, label in labels.items() if wanted in f"{label} {plain(name)}"]
    words = set(LETTERS.findall(wanted))
    close = close or sorted(
        {name for name, label in (*labels.items(), *shown) if words <= {*LETTERS.findall(label)}}
    )
    if len(close) == 1:
        return close[0]
    said = "; ".join(f"{name} ({line(name).label})" for name in close[:MOST_NAMED]) or (
        "this plant has no such figure" if absent else "none fits"
    )
    raise InputFault("explain", f"the text {text!r}", f"Name one figure by its key or label: {said}")


def _shown() -> Iterator[tuple[str, str]]:
    """Figures with the labels that screen, comparison and pages give them."""
    said = [(name, label) for name, label, *_ in FIGURES] + list(ON_SCREEN.items())
    tables = (words for plan in plans().values() for words in plan.words.values() if isinstance(words, Mapping))
    said += [item for table in tables for item in table.items()]
    return ((name, plain(label.partition(" [")[0])) for name, label in said if isinstance(label, str))


def trace(results: Results, name: str, sheets: Sheets) -> Trace:
    """The trace of a figure of the model; `sheets` are the cells of the model printed with `place`."""
    printed = dict(_printed(sheets.lines, sheets.years, sheets.months))
    named = _Named(results, printed)
    top = defined_name(name)
    formula = printed[top].formula if top in printed else None
    inputs, carried = [], []
    for found in _under(defined_name("npv") if name in BY_SEARCH else top, printed):
        if found in named.entries:
            inputs.append(named.part(found))
        elif found in named.coefficients:
            carried.append(named.part(found))
    direct = {part.key for part in inputs}
    behind = _behind(results, [part.key for part in carried])
    inputs += [named.part(defined_name(key)) for key in behind if key not in direct]
    return Trace(
        figure=named.part(top),
        sheet=SHEETS.get(line(name).page, ""),
        section=line(name).section,
        formula=BY_SEARCH.get(name, "a value") if formula is None else words_of(formula, named.label),
        parts=tuple(named.part(one) for one in dict.fromkeys(_read(formula))),
        inputs=tuple(inputs),
        coefficients=tuple(carried),
    )


def of_fact(fact: Used) -> Part:
    """The record of a fact, with how it is known, its source and place."""
    value = "" if fact.value is None else f"{fact.value:.6g} {fact.unit}"
    return Part(fact.id, fact.label, value, f"{fact.mark}: {fact.source}; {fact.locator}")


def place(name: str, t: int | None) -> str:
    """The name of a cell, with its year or month at the end."""
    return defined_name(name) if t is None else f"{defined_name(name)}__y{t}"


def _printed(
    lines: Mapping[str, Printed], *rows: Mapping[str, Mapping[int, Printed]]
) -> Iterator[tuple[str, Printed]]:
    for name, cell in lines.items():
        yield place(name, None), cell
    for several in rows:
        for name, cells in several.items():
            for t, cell in cells.items():
                yield place(name, t), cell


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
        self.figures = {defined_name(key): key for key in results.figures}

    def label(self, name: str) -> str:
        """The words of a cell."""
        if year := OF_YEAR.match(name):
            return f"{within(self._line(year[1]).label)} of year {year[2]}"
        return self.labels[name]

    def _line(self, name: str) -> Line:
        return line(self.figures.get(name, name))

    def part(self, name: str) -> Part:
        """The record of a cell."""
        if name in self.entries:
            entry = self.entries[name]
            return Part(entry.row.key, entry.row.label, value_words(entry), how_known(entry, with_source=True))
        if name in self.coefficients:
            key = self.coefficients[name]
            label, unit = coefficient_words(key)
            return Part(
                key, label, f"{digits(self.results.coefficients[key])} {unit}".strip(), "computed from facts"
            )
        year = OF_YEAR.match(name)
        found = self._line(year[1] if year else name)
        value = self.printed[name].value if name in self.printed else self.results.figures[found.name]
        if isinstance(value, str) or value != value:
            word = value if isinstance(value, str) else "none"
            return Part(found.name, self.label(name), word, "figure")
        unit = found.unit.replace("$", self.results.scenario.currency)
        return Part(found.name, self.label(name), f"{digits(value)} {unit}", "figure")
