"""What `econ.appraise` returns in Python: figures, and every table of the answer as a pandas frame."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from html import escape
from typing import TYPE_CHECKING, Any

from econ.answer.appraisal import appraise as _appraise
from econ.answer.base_case import base_case
from econ.answer.report import Appraisal, contract
from econ.answer.screen import screen
from econ.door.typed_plant import Plant, read_scenario, scenario, text_of
from econ.errors import KilncaseError
from econ.inputs.as_typed import Reading
from econ.inputs.records import Scenario
from econ.inputs.together import together
from econ.model.evaluate import facts_read
from econ.questions.chances import Progress
from econ.questions.latin import Sampling

if TYPE_CHECKING:
    import pandas

LINES = 10


@dataclass(frozen=True, slots=True, repr=False)
class Answer(Appraisal):
    """The results of one plant. Money is in the plant's currency, carbon in kg CO2e, shares are fractions."""

    def __repr__(self) -> str:
        return "\n".join(screen(self).splitlines()[:LINES])

    def _repr_html_(self) -> str:
        """The answer screen, for a notebook."""
        return f"<pre>{escape(screen(self))}</pre>"

    def years_frame(self) -> pandas.DataFrame:
        """The yearly rows: one row a year, year 0 today, one column a figure with its unit."""
        return self.to_frame()

    def effects_frame(self) -> pandas.DataFrame:
        """Each input with a range moved alone: its ends in canonical units, and the answers at both ends."""
        return _frame(
            {"key": one.entry.row.key, "label": one.entry.row.label, "low": one.entry.low, "high": one.entry.high}
            | {f"{name}_at_low": value for name, value in one.at_low.items()}
            | {f"{name}_at_high": value for name, value in one.at_high.items()}
            for one in self.effects
        )

    def samples_frame(self) -> pandas.DataFrame:
        """The answers of every simulation run: one row a run, one column a figure in its own unit."""
        return self.samples()

    def breakeven_frame(self) -> pandas.DataFrame:
        """Where the NPV is zero: lever, unit, its value, the range looked at, the turns, and a sentence."""
        names = ("name", "label", "unit", "value", "lowest", "highest", "values", "words")
        return _frame({name: getattr(one, name) for name in names} for one in self.breakeven)

    def sources_frame(self) -> pandas.DataFrame:
        """Every fact in use: value, range, unit, source, place in it, how surely (the rung), when it was read."""
        names = ("id", "label", "value", "low", "high", "unit", "source", "locator", "rung", "read", "note")
        return _frame({name: getattr(one, name) for name in names} for one in facts_read(self.scenario, self.plan))


def _frame(rows: Iterable[dict[str, Any]]) -> pandas.DataFrame:
    import pandas

    return pandas.DataFrame(list(rows))


def appraise(
    plant: Scenario, sampling: Sampling | None = None, progress: Progress | None = None, deep: bool = False
) -> Answer:
    """The answer for a plant; `sampling` says how the simulation runs are drawn, `deep` asks what to measure.

    `progress` hears of each chunk of runs. Raises InputFaults where the model shows that inputs contradict each
    other, such as a weighed yield of more char than the bones hold dry matter.
    """
    found = _appraise(plant, sampling, progress, deep)
    return Answer(**{one.name: getattr(found, one.name) for one in fields(found)})


def appraise_many(frame: pandas.DataFrame, base: str | Plant) -> pandas.DataFrame:
    """The base case of many plants: one row of `frame` a plant, one column an input key; blanks keep the base's.

    `base`: a shipped example, a workbook's path that ends in .xlsx, or a plant. Returns the figures of the JSON
    contract by the frame's own index, and a column `error`: empty, or why that plant has no figures.
    """
    import pandas

    start = read_scenario(base) if isinstance(base, str) and base.endswith(".xlsx") else scenario({}, base)
    given = [
        {str(key): text_of(value) for key, value in row.items() if not pandas.isna(value)}
        for row in frame.to_dict("records")
    ]

    def walk(texts: Mapping[str, str], readings: Mapping[str, Reading]) -> dict[str, Any]:
        case = base_case(start.put_over(texts, readings))
        return {"figures": contract(case.scenario, case.figures)}

    rows: list[dict[str, Any]] = [{}] * len(given)
    for places, found in together(given, walk):
        for at, place in enumerate(places):
            if found is not None:
                rows[place] = {**found[at]["figures"], "error": ""}
                continue
            try:
                rows[place] = {**walk(given[place], {})["figures"], "error": ""}
            except KilncaseError as fault:
                rows[place] = {"error": str(fault)}
    return pandas.DataFrame(rows, index=frame.index)
