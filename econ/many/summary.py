"""What many plants say together: findings, how many pay, spreads, totals, supply, grants, and what explains them.

Money is kept apart by currency and never added across them: what ranks or adds money is of the commonest one.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from econ.inputs.schema import rows
from econ.many import programme
from econ.many.columns import Columns
from econ.many.journal import Done
from econ.many.programme import Records

if TYPE_CHECKING:
    import pandas

Numbers = NDArray[np.float64]

VERDICTS = ("buy", "measure first", "do not buy", "rough: no decision yet")
PERCENTILES = (0, 10, 25, 50, 75, 90, 100)
SPREADS = {
    "net_cost_per_t_bones": ("Net cost per tonne of bones", "$ per t"),
    "current_cost_per_t_bones": ("Cost of current practice per tonne", "$ per t"),
    "npv": ("Net present value", "$"),
}
TOTALS = {
    "bones_t_per_year": ("Bones processed", "t per year"),
    "char_t_per_year": ("Bone char", "t per year"),
    "p_t_per_year": ("Phosphorus (P)", "t per year"),
    "p2o5_t_per_year": ("Phosphorus as P2O5", "t per year"),
    "ca_t_per_year": ("Calcium", "t per year"),
    "durable_c_t_per_year": ("Durable carbon", "t C per year"),
    "removal_t_co2e_per_year": ("Carbon removal", "t CO2e per year"),
    "process_t_co2e_per_year": ("Process emissions", "t CO2e per year"),
    "avoided_t_co2e_per_year": ("Avoided emissions", "t CO2e per year"),
    "credits_lost_t_co2e_per_year": ("Lost displacement of co-products", "t CO2e per year"),
    "project_net_t_co2e_per_year": ("Removal less process emissions", "t CO2e per year"),
    "difference_t_co2e_per_year": ("Difference to current practice, no credits", "t CO2e per year"),
}
EXPLAINED = ("net_cost_per_t_bones", "npv", "project_net_t_co2e_per_year")
FEWEST = 8
"""Fewer plants than this give ranks that say little: no correlation is shown."""
OF_CHANCE = 1.96
"""Inputs unrelated to the answer stay below this ÷ √(plants - 1) 19 times in 20 (large samples, from memory)."""


@dataclass(frozen=True, slots=True)
class Spread:
    """A figure across the plants of one currency: how many have it, and its percentiles."""

    name: str
    label: str
    unit: str
    plants: int
    withheld: int
    percentiles: dict[str, float]


@dataclass(frozen=True, slots=True)
class Total:
    """The sum of a yearly figure over the plants that have it (None: no plant); `withheld` plants have none."""

    name: str
    label: str
    unit: str
    total: float | None
    plants: int
    withheld: int


@dataclass(frozen=True, slots=True)
class Link:
    """Rank correlation of an input with an answer over the plants that have both."""

    key: str
    label: str
    answer: str
    correlation: float
    plants: int
    beyond_chance: bool


@dataclass(frozen=True, slots=True)
class Group:
    """The plants with one choice of a choice row."""

    key: str
    label: str
    choice: str
    plants: int
    pay: int
    median_net_cost_per_t_bones: float | None


@dataclass(frozen=True, slots=True)
class Summary:
    """The whole summary.

    `findings`: plants by finding; `pay` at the values typed, `pay_by_mean` by the mean of the samples; `facts`,
    `supply`, `grants`, `regions`, `ranked`: tables, see the functions that make them.
    """

    plants: int
    used: int
    not_used: int
    pay: int
    pay_by_mean: int | None
    findings: dict[str, int]
    near_limit: int
    currencies: dict[str, int]
    spreads: tuple[Spread, ...]
    totals: tuple[Total, ...]
    links_currency: str
    links: tuple[Link, ...]
    groups: tuple[Group, ...]
    facts: Records
    supply: Records
    grants: Records
    regions: Records
    ranked: Records
    faults: tuple[tuple[str, str, str], ...]

    def to_json(self) -> dict[str, Any]:
        """Plain values for a machine; a fault is plant, place and text."""
        found = asdict(self)
        found["faults"] = [{"plant": a, "place": b, "text": c} for a, b, c in self.faults]
        return found


@dataclass(frozen=True, slots=True)
class Outcome:
    """The summary, where the results are, and what was done now."""

    summary: Summary
    target: Path
    done: Done


def summarise(columns: Columns) -> Summary:
    """The summary of the plants that could be used, and the list of those that could not."""
    frame = columns.frame()
    counts = frame["currency"].value_counts().sort_index().sort_values(ascending=False, kind="stable")
    main = str(counts.index[0]) if len(counts) else ""
    of_main = frame[frame["currency"] == main]
    found = frame["finding"].value_counts() if (frame["finding"] != "").any() else {}
    return Summary(
        plants=columns.count + len(columns.faults),
        used=columns.count,
        not_used=len(columns.faults),
        pay=int((frame["npv"] >= 0).sum()),
        pay_by_mean=int((frame["mean_npv"] >= 0).sum()) if len(found) else None,
        findings={name: int(found.get(name, 0)) for name in VERDICTS if len(found)},
        near_limit=int((frame["near_limit"] == "yes").sum()),
        currencies={str(name): int(count) for name, count in counts.items()},
        spreads=tuple(
            _spread(name, frame[frame["currency"] == one][name], str(one))
            for one in counts.index
            for name in SPREADS
        ),
        totals=tuple(_total(name, frame[name]) for name in TOTALS) if columns.count else (),
        links_currency=main,
        links=_links(columns, of_main),
        groups=_groups(columns, frame, main),
        facts=programme.facts(frame),
        supply=programme.supply(of_main),
        grants=programme.grants(of_main),
        regions=programme.regions(frame),
        ranked=programme.ranked(of_main),
        faults=tuple(columns.faults),
    )


def _spread(name: str, values: pandas.Series, currency: str) -> Spread:
    label, unit = SPREADS[name]
    known = values.dropna()
    named = {f"p{at}": float(known.quantile(at / 100)) for at in PERCENTILES if len(known)}
    return Spread(name, label, unit.replace("$", currency), len(known), len(values) - len(known), named)


def _total(name: str, values: pandas.Series) -> Total:
    label, unit = TOTALS[name]
    known = values.dropna()
    return Total(name, label, unit, math.fsum(known) if len(known) else None, len(known), len(values) - len(known))


def rank_correlation(first: ArrayLike, second: ArrayLike) -> float:
    """Correlation of the ranks, -1 to 1; nan where either column does not vary.

    Both of shape (n,) without nan. Spearman's coefficient with ties: Pearson's of the middle ranks (common
    practice, checked against scipy in the tests).
    """
    import pandas

    ranks = pandas.DataFrame({"first": np.asarray(first), "second": np.asarray(second)}).rank()
    if ranks.nunique().min() < 2:
        return float("nan")
    return float(ranks["first"].corr(ranks["second"]))


def _links(columns: Columns, frame: pandas.DataFrame) -> tuple[Link, ...]:
    """Every varying number against every answer, the strongest first; plants of the commonest currency."""
    found = []
    for answer in EXPLAINED:
        links = []
        for key in columns.varying():
            both = frame[[key, answer]].dropna() if rows()[key].is_number else frame[[]]
            correlation = (
                rank_correlation(both[key], both[answer]) if both.size and len(both) >= FEWEST else math.nan
            )
            if not math.isnan(correlation):
                beyond = abs(correlation) > OF_CHANCE / math.sqrt(len(both) - 1)
                links.append(Link(key, rows()[key].label, answer, correlation, len(both), beyond))
        found += sorted(links, key=lambda link: (-abs(link.correlation), link.key))
    return tuple(found)


def _groups(columns: Columns, frame: pandas.DataFrame, main: str) -> tuple[Group, ...]:
    found = []
    for key in columns.varying():
        row = rows()[key]
        if row.is_number or key == "plant.currency":
            continue
        for slug, group in frame[frame[key] != ""].groupby(key):
            middle = group[group["currency"] == main]["net_cost_per_t_bones"].median()
            label, pay = row.words(slug), int((group["npv"] >= 0).sum())
            cost = None if math.isnan(middle) else float(middle)
            found.append(Group(key, row.label, label, len(group), pay, cost))
    return tuple(found)


def bins(values: Numbers, pays: NDArray[np.bool_], most: int = 12) -> list[tuple[float, float, int, int]]:
    """Classes of round width with how many plants in each pay and do not: lower, upper, pay, do not pay."""
    known = np.isfinite(values)
    values, pays = values[known], pays[known]
    if not len(values):
        return []
    least, largest = float(values.min()), float(values.max())
    width = _round_up((largest - least) / (most - 1) or abs(least) / 10 or 1.0)
    start = math.floor(least / width)
    place = np.floor(values / width).astype(int) - start
    count = int(place.max()) + 1
    yes, no = (np.bincount(place[chosen], minlength=count) for chosen in (pays, ~pays))
    edges = [(start + i) * width for i in range(count + 1)]
    return [(edges[i], edges[i + 1], int(yes[i]), int(no[i])) for i in range(count)]


def _round_up(width: float) -> float:
    """The next of 1, 2, 5 times a power of ten."""
    size: float = 10.0 ** math.floor(math.log10(width))
    return next(step * size for step in (1, 2, 5, 10) if step * size >= width * (1 - 1e-12))
