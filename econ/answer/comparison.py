"""Scenarios side by side: the answers, how far each is from the first, and the inputs that differ and matter."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import islice
from operator import attrgetter
from typing import NamedTuple

from econ.answer.results import Results, inputs_code
from econ.answer.sentences import chance
from econ.errors import KilncaseError
from econ.fields import record, replace
from econ.inputs.as_typed import plain_figure
from econ.inputs.records import Entry, Scenario
from econ.inputs.schema import rows
from econ.questions.latin import Sampling
from econ.shipped import described
from econ.units import shown_label, shown_unit

SHOWN = 10
"""Inputs that a screen lists; the rest are counted."""
FUEL = re.compile(r"fuel\.\d+\.")
REFUSED = "the first plant cannot take the value alone"
NO_CHANGE = 0.5
"""Money below which an input is taken not to matter: it would print as 0."""
FIGURES: tuple[tuple[str, str, str, float], ...] = tuple(map(tuple, described("tables")["compared"]["rows"]))
"""Answers compared: the model's name, words, unit shown and scale to it."""
RUNS: Mapping[str, tuple[str, str, float]] = described("tables")["compared"]["runs"]
"""What the simulation runs say beside the first answer: how a result holds it, words, unit and scale."""


@record(frozen=True, slots=True)
class Differing:
    """One input that is not the same everywhere, as typed in each file.

    `npv_change`: largest of the first plant's NPV by the value of file `whose` (from 0); None: `reason` says why.
    """

    key: str
    label: str
    shown: tuple[str, ...]
    values: tuple[float | str | None, ...]
    npv_change: float | None = None
    whose: int = 0
    reason: str = ""


@record(frozen=True, slots=True)
class Answer:
    """One figure of every scenario, and how far each is from the first; None where there is none."""

    name: str
    label: str
    unit: str
    values: tuple[float | None, ...]
    differences: tuple[float | None, ...]

    @property
    def heading(self) -> str:
        """Label and unit as shown: a share stands in per cent."""
        return f"{self.label} [{'%' if self.unit == 'share' else self.unit}]"

    @property
    def missing(self) -> str:
        """What stands for a figure that there is none of."""
        return "never" if "payback" in self.name else "not reported"


class Side(NamedTuple):
    """One scenario: its file, name, code of the inputs, currency, unit system, and what is found."""

    file: str
    name: str
    inputs_code: str
    currency: str
    system: str
    verdict: str


@record(frozen=True, slots=True)
class Comparison:
    """Scenarios side by side, in the order given."""

    sides: tuple[Side, ...]
    inputs: tuple[Differing, ...]
    answers: tuple[Answer, ...]

    @property
    def shown(self) -> Iterator[Answer]:
        """The answers as a person reads them: in US units where all plants are in them; JSON stays metric."""
        system = min(one.system for one in self.sides)
        for one in self.answers:
            unit, factor = ("share", 1.0) if one.unit == "share" else shown_unit(one.unit, system)
            shown = (one.values, one.differences)
            values, differences = (tuple(value and value * factor for value in found) for found in shown)
            yield replace(one, label=shown_label(one.label, system), unit=unit, values=values,
                          differences=differences)  # fmt: skip

    @property
    def one_currency(self) -> bool:
        """Whether money may be set against money."""
        return len({one.currency for one in self.sides}) == 1


def compare(files: Sequence[str], found: Sequence[Results], npv_of: Callable[[Scenario], float]) -> Comparison:
    """Results side by side, each against the first; `npv_of` tells the NPV of one more scenario."""
    plants = ((file, one.scenario, one.finding.verdict) for file, one in zip(files, found, strict=True))
    sides = tuple(Side(file, one.name, inputs_code(one), one.currency, one.system, at) for file, one, at in plants)
    lines = (FIGURES[0], *((name, *line) for name, line in RUNS.items()), *FIGURES[1:])
    known = (line for line in lines if line[0] in RUNS or any(line[0] in one.figures for one in found))
    bare = Comparison(sides, tuple(_inputs(found, npv_of)), ())
    return replace(bare, answers=tuple(_answer(found, line, bare.one_currency) for line in known))


def _inputs(found: Sequence[Results], npv_of: Callable[[Scenario], float]) -> list[Differing]:
    """Inputs whose value, low or high differ, those that move the NPV most first; the plant's name is none."""
    differing = []
    for key, row in rows().items():
        entries = [results.scenario.entries.get(key) for results in found]
        ends = {(one.value, one.low, one.high) if one else (None,) * 3 for one in entries}
        if key == "plant.name" or len(ends) == 1:
            continue
        values = tuple(None if entry is None else entry.value for entry in entries)
        shown = tuple(_shown(entry) for entry in entries)
        one = Differing(key, row.label, shown, values, reason=_not_alone(found, key, entries))
        if not one.reason:
            change, whose = _npv_change(found[0], entries, npv_of)
            one = replace(one, npv_change=change, whose=whose, reason=REFUSED if change is None else "")
        differing.append(one)
    return sorted(differing, key=lambda one: math.inf if one.npv_change is None else -abs(one.npv_change))


def _not_alone(found: Sequence[Results], key: str, entries: Sequence[Entry | None]) -> str:
    """Why a value of another plant means nothing in the first; empty where it does."""
    if rows()[key].is_money and len({results.scenario.currency for results in found}) > 1:
        return "the currencies differ"
    typed = [entry for entry in entries if entry is not None and entry.value is not None]
    if len(typed) < len(entries):
        return "blank in one file"
    if fuel := FUEL.match(key):  # amount and price are read in the measure of the kind of fuel
        kinds = {entry.value for results in found if (entry := results.scenario.entries.get(f"{fuel[0]}kind"))}
        if len(kinds) > 1:
            return "the fuels differ: kind, amount and price change together"
    return "the units differ in kind" if len({one.unit.dimension for one in typed if one.unit}) > 1 else ""


def _npv_change(
    first: Results, entries: Sequence[Entry | None], npv_of: Callable[[Scenario], float]
) -> tuple[float | None, int]:
    """The most that the first plant's NPV gains or loses by another's value of one input, and whose that is."""
    changes = [(0.0, 0)]
    for at, entry in enumerate(entries):
        if entry is None or entries[0] is None or entry.value == entries[0].value:
            continue
        taken = replace(first.scenario, entries={**first.scenario.entries, entry.row.key: entry})
        try:
            changes.append((npv_of(taken) - first.figures["npv"], at))
        except KilncaseError:
            return None, at
    return max(changes, key=lambda change: abs(change[0]))


def _shown(entry: Entry | None) -> str:
    """A value as typed with its range and unit; the words of a choice; a dash where blank."""
    if entry is None or entry.value is None:
        return "-"
    if isinstance(entry.value, str):
        return entry.words
    numbers = [entry.shown(value) for value in (entry.value, entry.low, entry.high)]
    value, low, high = (None if number is None else plain_figure(number) for number in numbers)
    span = f" ({low} to {high})" if entry.has_range else ""
    unit = f" {entry.unit.symbol}" if entry.unit else ""
    return f"{value}{span}{unit}"


def _answer(found: Sequence[Results], line: tuple[str, str, str, float], one_currency: bool) -> Answer:
    name, label, unit, scale = line
    known = (attrgetter(name)(one) if name in RUNS else one.figures.get(name, math.nan) for one in found)
    values = tuple(value * scale if math.isfinite(value) else None for value in known)
    first = values[0]
    comparable = one_currency or not unit.startswith("$")
    differences = tuple(
        value - first if comparable and value is not None and first is not None else None for value in values
    )
    shown = unit.replace("$", found[0].scenario.currency if one_currency else "own currency")
    return Answer(name, label, shown, values, differences)


def as_text(comparison: Comparison) -> str:
    """Plain text: a letter for each file, the answers, at most ten inputs that differ and matter."""
    letters = [chr(ord("A") + at) for at in range(len(comparison.sides))]
    heads = zip(letters, comparison.sides, strict=True)
    text = [f"{at}: {one.file} - {one.name} (inputs {one.inputs_code}): {one.verdict}" for at, one in heads]
    wide = max(46, *(len(one.heading) for one in comparison.shown))
    text += ["", f"{'Answers':<{wide + 2}}" + "".join(f"{letter:>15}" for letter in letters)]
    text += [
        f"  {one.heading:<{wide}}" + "".join(f"{_number(one, value):>15}" for value in one.values)
        for one in comparison.shown
    ]
    if not comparison.one_currency:
        text.append("The currencies differ: money is shown in each plant's own and not set against each other.")
    return "\n".join([*text, "", *_differing(comparison, letters)])


def _differing(comparison: Comparison, letters: Sequence[str]) -> Iterator[str]:
    """The inputs that differ and matter, the largest on the NPV first, and how many are left out."""
    # what moves the NPV, or might
    moving = (one for one in comparison.inputs if one.npv_change is None or abs(one.npv_change) > NO_CHANGE)
    shown = [*islice(moving, SHOWN)]
    count = len(comparison.inputs)
    yield f"{count} input{'' if count == 1 else 's'} differ{'s' if count == 1 else ''}" + (
        "; what each alone does to the NPV of A:" if shown else "."
    )
    for one in shown:
        whose = f" by the value of {letters[one.whose]}" if len(letters) > 2 else ""
        change = f"not reported: {one.reason}" if one.npv_change is None else f"{one.npv_change:+,.0f}{whose}"
        yield f"  {one.label}: {change}"
        yield from (f"    {letter}: {words}" for letter, words in zip(letters, one.shown, strict=True))
    if left := count - len(shown):
        yield f"  {left} more that matter less or not: in the workbook (--to) and in --json."


def _number(answer: Answer, value: float | None) -> str:
    if value is None:
        return answer.missing
    if answer.name == "finding.loss":
        return chance(value, Sampling().samples)
    if answer.unit == "share":
        return f"{value:.1%}"
    return f"{value:,.0f}" if abs(value) >= 1000 else f"{value:,.3f}"
