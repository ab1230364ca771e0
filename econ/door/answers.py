"""The Python door: plants without a file, validated like a workbook; answers whose tables are pandas frames."""

from __future__ import annotations

import gc
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from html import escape
from itertools import repeat
from pathlib import Path
from typing import TYPE_CHECKING, Any

from econ.answer.appraisal import appraise as _appraise
from econ.answer.base_case import base_case
from econ.answer.report import Appraisal, contract
from econ.answer.screen import screen
from econ.errors import InputFault, InputFaults, KilncaseError
from econ.fields import field, fields, record
from econ.harmless import one_line
from econ.inputs.as_typed import Reading
from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.put_over import put_over, together
from econ.inputs.records import Caution, Scenario, Typed, TypedTable
from econ.inputs.schema import rows
from econ.model.evaluate import facts_read
from econ.model.ledger import line
from econ.questions.chances import Progress
from econ.questions.latin import Sampling
from econ.workbook.read import read_typed

if TYPE_CHECKING:
    import pandas

Values = Mapping[str, float | str | None]
LINES = 10


@record(frozen=True, slots=True)
class Plant(Scenario):
    """A scenario that remembers what was typed, so that values can be put over it."""

    typed: Mapping[str, Typed] = field(default_factory=dict, repr=False)
    typed_tables: Mapping[str, TypedTable] = field(default_factory=dict, repr=False)
    start: str = "metric"
    """The unit system of rows that name no unit."""

    def with_values(self, values: Values) -> Plant:
        """The plant with values put over it: {"kiln.price": 42000, "bones.1.mass": "1900 lb per week"}.

        A number is in the row's own unit; a text may carry a unit, a choice or a range as in a workbook, and
        None blanks the row. A range of the row is kept where it holds the new value. Raises InputFaults with
        every value that is not allowed.
        """
        return self.put_over({key: text_of(value) for key, value in values.items()})

    def put_over(self, texts: Mapping[str, str], readings: Mapping[str, Reading] | None = None) -> Plant:
        """As `with_values`, of texts; `readings` are those of their numbers that were read before."""
        try:
            typed, cautions = put_over(
                self.typed, [f"{key}={text}" for key, text in texts.items()], readings, readings is not None
            )
            return _built(typed, self.start, cautions, self.typed_tables)
        except InputFaults as several:
            raise InputFaults([*map(_in_python, several.faults)], several.cautions) from None

    def __repr__(self) -> str:
        ranged = len(self.ranged())
        return f"<Plant {self.name!r}: {len(self.numbers())} numbers, {ranged} with a range, in {self.currency}>"


def _in_python(fault: InputFault) -> InputFault:
    """The error of a text put over a row in words for a mapping: without the option of the command."""
    where = fault.where.removeprefix("--set").strip() or "values"
    return InputFault(where, fault.wrong, fault.do.replace("KEY=VALUE", "a key"), fault.name)


def text_of(value: float | str | None) -> str:
    """A value as it would be typed, every digit kept; None is a blank cell, never the word for zero."""
    return "" if value is None else repr(float(value)) if isinstance(value, float) else str(value)


def scenario(values: Values, base: str | Plant | None = None, units: str = "us") -> Plant:
    """A plant from values by key over a shipped example ("thistle-flat"), a plant or nothing; `units`: us, metric.

    Raises InputFaults naming every row that is missing or not allowed, FactorError for an example not shipped.
    """
    if units not in ("us", "metric"):
        raise InputFaults([InputFault("units", f"{units!r}", "Choose us or metric")])
    if base is None:
        base = Plant({}, start=units)
    elif isinstance(base, str):
        shipped = example(base)
        base = Plant({}, typed=shipped.rows, typed_tables=shipped.tables, start=shipped.system)
    return base.with_values(values)


def read_scenario(path: str | Path, sets: Iterable[str] = ()) -> Plant:
    """The plant of a workbook, `sets` put over it; raises FileRefused, or InputFaults with every faulty cell."""
    book = read_typed(Path(path))
    typed, cautions = put_over(book.rows, sets)
    return _built(typed, "metric", [*book.warnings, *cautions], book.tables, one_line(Path(path).stem))


def _built(
    typed: Mapping[str, Typed], system: str, cautions: Iterable[Caution], tables: Mapping[str, TypedTable],
    name: str = "",
) -> Plant:  # fmt: skip
    found = build(typed, system, tuple(cautions), tables)
    kept = {one.name: getattr(found, one.name) for one in fields(found)}
    return Plant(**{**kept, "name": found.name or name}, typed=typed, typed_tables=tables, start=system)


@record(frozen=True, slots=True, repr=False)
class Answer(Appraisal):
    """The results of one plant: what the workbook, the screen and the JSON show.

    `figures[name]` is a float in the unit that its name ends in (kg, kg CO2e, hours, years; money in the plant's
    currency; shares and rates as fractions), nan where it is not reported: `reasons[name]` then says why.
    `sources_frame` names where each fact comes from. Ranges are P10 to P90 of money and P5 to P95 of carbon.
    """

    def __repr__(self) -> str:
        return "\n".join(screen(self).splitlines()[:LINES])

    def _repr_html_(self) -> str:
        """The answer screen, for a notebook."""
        return f"<pre>{escape(screen(self))}</pre>"

    def samples_frame(self) -> pandas.DataFrame:
        """The answers of every simulation run, (runs, figures), each figure in its own unit; nan: not reported."""
        import pandas

        return pandas.DataFrame(dict(self.chances.kept))

    def years_frame(self) -> pandas.DataFrame:
        """The yearly rows, (study years + 1, figures): year 0 is today, each column names its unit."""
        import pandas

        frame = pandas.DataFrame({name: dict(row) for name, row in self.years.items()}).sort_index()
        frame.index.name = "year"
        units = {name: line(name).unit.replace("$", self.scenario.currency) for name in self.years}
        return frame.rename(columns={name: f"{name} [{unit}]" for name, unit in units.items()})

    def effects_frame(self) -> pandas.DataFrame:
        """Each input with a range moved alone, a row each: its ends in canonical units, the answers there."""
        return _frame(
            {"key": one.entry.row.key, "label": one.entry.row.label, "low": one.entry.low, "high": one.entry.high}
            | {f"{name}_at_low": value for name, value in one.at_low.items()}
            | {f"{name}_at_high": value for name, value in one.at_high.items()}
            for one in self.effects
        )

    def breakeven_frame(self) -> pandas.DataFrame:
        """Where the NPV is zero, one row a lever: unit, value, range looked at, the turns (none, one, several)."""
        names = ("name", "label", "unit", "value", "lowest", "highest", "values", "words")
        return _frame({name: getattr(one, name) for name in names} for one in self.breakeven)

    def sources_frame(self) -> pandas.DataFrame:
        """Every fact in use, a row each: value, range, unit, source, place in it, how surely, when read."""
        names = ("id", "label", "value", "low", "high", "unit", "source", "locator", "rung", "read", "note")
        facts = facts_read(self.scenario, self.plan)
        return _frame({name: getattr(one, name) for name in names} | {"source": one.source.text} for one in facts)


def _frame(rows: Iterable[dict[str, Any]]) -> pandas.DataFrame:
    import pandas

    return pandas.DataFrame(list(rows))


def appraise(
    plant: Scenario, sampling: Sampling | None = None, progress: Progress | None = None, deep: bool = False
) -> Answer:
    """The answer for a plant; `deep` asks what to measure, `progress` hears of each chunk of runs.

    Raises InputFaults where the model shows that inputs contradict each other, TypeError for anything but a plant.
    """
    if not isinstance(plant, Scenario):
        raise TypeError(f"{plant!r} is no plant: make one by econ.scenario or econ.read_scenario")
    found = _appraise(plant, sampling, progress, deep)
    return Answer(**{one.name: getattr(found, one.name) for one in fields(found)})


@contextmanager
def _few_searches() -> Iterator[None]:
    """Within it Python seldom looks for cycles: records are none, and to look through them took a tenth."""
    was = gc.get_threshold()
    gc.set_threshold(was[0] and max(was[0], 50_000), *was[1:])
    try:
        yield
    finally:
        gc.set_threshold(*was)


@_few_searches()
def appraise_many(frame: pandas.DataFrame, base: str | Plant) -> pandas.DataFrame:
    """The base case of many plants: one row of `frame` a plant, one column an input key; blanks keep the base's.

    `base`: a shipped example, a workbook's path that ends in .xlsx, or a plant. Returns the figures of the JSON
    contract by the frame's own index, and a column `error`: empty, or why that plant has no figures. Raises
    InputFaults for a column that is no input key, or stands there twice.
    """
    import pandas

    start = read_scenario(base) if isinstance(base, str) and base.endswith(".xlsx") else scenario({}, base)
    if unknown := {key: "" for key in map(str, frame.columns) if key not in rows()}:
        start.put_over(unknown)
    if not frame.columns.is_unique:
        twice = ", ".join(map(str, frame.columns[frame.columns.duplicated()].unique()))
        raise InputFaults([InputFault("columns", f"{twice} stands there twice", "Keep one of them")])
    given = [
        {str(key): text_of(value) for key, value in row.items() if not pandas.isna(value)}
        for row in frame.to_dict("records")
    ]

    def walk(texts: Mapping[str, str], readings: Mapping[str, Reading]) -> dict[str, Any]:
        case = base_case(start.put_over(texts, readings))
        return {"figures": contract(case.scenario, case.figures)}

    answers: list[dict[str, Any]] = [{}] * len(given)
    for places, found in together(given, walk):
        for place, one in zip(places, repeat(None) if found is None else found, strict=False):
            try:
                answers[place] = {**(one or walk(given[place], {}))["figures"], "error": ""}
            except KilncaseError as fault:
                answers[place] = {"error": str(fault)}
    return pandas.DataFrame(answers, index=frame.index)
