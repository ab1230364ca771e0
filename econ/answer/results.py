"""What an appraisal finds, and the version code of the scenario behind it."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from econ.inputs.records import Caution, Scenario
from econ.measured.use import Measured
from econ.model.derived import Returns, tonnes
from econ.model.ledger import line
from econ.model.plan import Plan
from econ.questions.found import CARBON_PAIR, BreakEven, Chances, Effect, Leaning, Stress, TwoWay
from econ.questions.found_deep import Deep
from econ.questions.found_plans import Plans
from econ.questions.found_rule import Finding, Headline

if TYPE_CHECKING:
    import pandas


@dataclass(frozen=True, slots=True)
class Results:
    """One scenario appraised; everything the screen, the JSON and the workbook show comes from here."""

    scenario: Scenario
    plan: Plan
    coefficients: Mapping[str, float]
    figures: Mapping[str, float]
    years: Mapping[str, Mapping[int, float]]
    returns: Returns
    effects: tuple[Effect, ...]
    cautions: tuple[Caution, ...]
    reasons: Mapping[str, str]
    npv_without_sales: float
    leaning: Leaning
    months: Mapping[str, Mapping[int, float]]
    breakeven: tuple[BreakEven, ...]
    better_than_best: tuple[BreakEven, ...]
    chances: Chances
    stress: tuple[Stress, ...]
    two_way: TwoWay | None
    finding: Finding
    headline: Headline
    measured: Measured
    plans: Callable[[], Plans]
    """Other plans, worked out when first asked for."""
    deep: Deep | None = None

    def figure(self, name: str, scale: float = 1.0) -> float | None:
        """A figure by name times `scale`, or None where it does not exist (`reasons` says why)."""
        value = self.figures.get(name, math.nan)
        return value * scale if math.isfinite(value) else None

    def tonnes(self, name: str) -> float | None:
        """A figure in kg as metric tonnes."""
        return tonnes(self.figure(name))

    def carbon(self, name: str) -> tuple[float, float, float]:
        """P5, P50 and P95 of a carbon figure over the samples; nan where the figure is not reported."""
        if not math.isfinite(self.figures[name]):
            return math.nan, math.nan, math.nan
        return self.chances.spreads[name].pair(CARBON_PAIR)

    def samples(self) -> pandas.DataFrame:
        """The answers of every sample: one row a simulation run, one column a figure in its own unit."""
        import pandas

        return pandas.DataFrame(dict(self.chances.kept))

    def to_frame(self) -> pandas.DataFrame:
        """The yearly rows as a pandas DataFrame: one row a year, one column a figure."""
        import pandas

        frame = pandas.DataFrame({name: dict(row) for name, row in self.years.items()}).sort_index()
        frame.index.name = "year"
        return frame.rename(columns=lambda name: f"{name} [{line(name).unit}]")


LENGTH = 12


def inputs_code(scenario: Scenario) -> str:
    """Twelve hexadecimal digits that change with any value, low or high; names and remarks do not count."""
    rows = {
        key: [entry.value, entry.low, entry.high]
        for key, entry in scenario.entries.items()
        if entry.value is not None and key != "plant.name"
    }
    text = json.dumps(rows, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:LENGTH]


def version() -> str:
    """The version of kilncase as installed."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("kilncase")
    except PackageNotFoundError:
        return "of no installed version"
