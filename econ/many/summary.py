"""What many plants say together: findings, how many pay, spreads, totals, supply, grants, and what explains them.

Money is kept apart by currency and never added across them: what ranks or adds money is of the commonest one.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from econ.inputs.schema import rows
from econ.many import programme
from econ.many.columns import ABOUT, Columns
from econ.many.journal import Done
from econ.many.programme import Records

Numbers = NDArray[np.float64]

VERDICTS = ("buy", "measure first", "do not buy", "rough: no decision yet")
PERCENTILES = (0, 10, 25, 50, 75, 90, 100)
SPREADS = ("net_cost_per_t_bones", "current_cost_per_t_bones", "npv")
TOTALS = tuple(f"{name}_per_year" for name in (
    "bones_t", "char_t", "p_t", "p2o5_t", "ca_t", "durable_c_t", "removal_t_co2e", "process_t_co2e",
    "avoided_t_co2e", "credits_lost_t_co2e", "project_net_t_co2e", "difference_t_co2e",
))  # fmt: skip
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
    frame = columns.frame("currency", "finding", "near_limit", "npv", "mean_npv")
    counts = frame["currency"].value_counts().sort_index().sort_values(ascending=False, kind="stable")
    main = str(counts.index[0]) if len(counts) else ""
    found = frame["finding"].value_counts() if (frame["finding"] != "").any() else {}
    faults = tuple(columns.faults())
    return Summary(
        plants=columns.used + len(faults),
        used=columns.used,
        not_used=len(faults),
        pay=int((frame["npv"] >= 0).sum()),
        pay_by_mean=int((frame["mean_npv"] >= 0).sum()) if len(found) else None,
        findings={name: int(found.get(name, 0)) for name in VERDICTS if len(found)},
        near_limit=int((frame["near_limit"] == "yes").sum()),
        currencies={str(name): int(count) for name, count in counts.items()},
        spreads=tuple(_spread(columns, name, str(one)) for one in counts.index for name in SPREADS),
        totals=tuple(_total(columns, name) for name in TOTALS) if columns.used else (),
        links_currency=main,
        links=_links(columns, main),
        groups=_groups(columns, main),
        facts=programme.facts(columns),
        supply=programme.supply(columns, main),
        grants=programme.grants(columns, main),
        regions=programme.regions(columns),
        ranked=programme.ranked(columns, main),
        faults=faults,
    )


def _spread(columns: Columns, name: str, currency: str) -> Spread:
    values = columns.frame(name, currency=currency)[name]
    known = values.dropna()
    named = {f"p{at}": float(known.quantile(at / 100)) for at in PERCENTILES if len(known)}
    about = ABOUT[name]
    unit = about["unit"].replace("currency", currency)
    return Spread(name, about["label"], unit, len(known), len(values) - len(known), named)


def _total(columns: Columns, name: str) -> Total:
    values = columns.frame(name)[name]
    known, about = values.dropna(), ABOUT[name]
    total = math.fsum(known) if len(known) else None
    return Total(name, about["label"], about["unit"], total, len(known), len(values) - len(known))


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


def _links(columns: Columns, currency: str) -> tuple[Link, ...]:
    """Every varying number against every answer, the strongest first; plants of the commonest currency."""
    links, answers = [], columns.frame(*EXPLAINED, currency=currency)
    for key in [key for key in columns.varying if rows()[key].is_number]:
        frame = answers.assign(**{key: columns.frame(key, currency=currency)[key]})
        for answer in EXPLAINED:
            both = frame[[key, answer]].dropna()
            correlation = rank_correlation(both[key], both[answer]) if len(both) >= FEWEST else math.nan
            if not math.isnan(correlation):
                beyond = abs(correlation) > OF_CHANCE / math.sqrt(len(both) - 1)
                links.append(Link(key, rows()[key].label, answer, correlation, len(both), beyond))
    return tuple(sorted(links, key=lambda one: (EXPLAINED.index(one.answer), -abs(one.correlation), one.key)))


def _groups(columns: Columns, main: str) -> tuple[Group, ...]:
    """For each choice that varies the plants with each option; net cost of the commonest currency."""
    found = []
    for key in columns.varying:
        if (row := rows()[key]).is_number or key == "plant.currency":
            continue
        frame = columns.frame(key, "npv", "net_cost_per_t_bones", "currency")
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
