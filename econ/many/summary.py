"""What many plants say together: how many pay, spreads, totals, and which inputs go with the differences."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from econ.inputs.schema import rows
from econ.many.columns import Columns
from econ.many.journal import Done

Numbers = NDArray[np.float64]


def mid_ranks(values: Numbers) -> Numbers:
    """Ranks from 1 of shape (n,); equal values share the middle of their ranks."""
    _, inverse, counts = np.unique(values, return_inverse=True, return_counts=True)
    return np.asarray((np.cumsum(counts) - (counts - 1) / 2)[inverse], dtype=np.float64)


def rank_correlation(first: ArrayLike, second: ArrayLike) -> float:
    """Correlation of the ranks, -1 to 1; nan where either column does not vary.

    Both of shape (n,) without nan. Spearman's coefficient with ties: Pearson's of the middle ranks (common
    practice, checked against scipy in the tests).
    """
    one, other = (mid_ranks(np.asarray(column, dtype=np.float64)) for column in (first, second))
    one, other = one - one.mean(), other - other.mean()
    size = float(np.sqrt(np.sum(one * one) * np.sum(other * other)))
    return float(np.sum(one * other)) / size if size > 0 else float("nan")


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
    "p2o5_t_per_year": ("The same as P2O5", "t per year"),
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
    """The sum of a yearly figure over the plants that have it; `withheld` plants have none."""

    name: str
    label: str
    unit: str
    total: float
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
    """The whole summary; money is kept apart by currency and never added across them."""

    plants: int
    used: int
    not_used: int
    pay: int
    currencies: dict[str, int]
    spreads: tuple[Spread, ...]
    totals: tuple[Total, ...]
    links_currency: str
    links: tuple[Link, ...]
    groups: tuple[Group, ...]
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
    currencies = dict(sorted(Counter(columns.currency).items(), key=lambda item: (-item[1], item[0])))
    figures = {name: np.asarray(column) for name, column in columns.figures.items()}
    money = np.asarray(columns.currency)
    main = next(iter(currencies), "")
    pays = figures["npv"] >= 0 if columns.count else np.zeros(0, dtype=bool)
    return Summary(
        plants=columns.count + len(columns.faults),
        used=columns.count,
        not_used=len(columns.faults),
        pay=int(pays.sum()),
        currencies=currencies,
        spreads=tuple(
            _spread(name, figures[name][money == currency], currency)
            for currency in currencies
            for name in SPREADS
        ),
        totals=tuple(_total(name, figures[name]) for name in TOTALS) if columns.count else (),
        links_currency=main,
        links=_links(columns, figures, money == main),
        groups=_groups(columns, figures, pays, money == main),
        faults=tuple(columns.faults),
    )


def _spread(name: str, values: Numbers, currency: str) -> Spread:
    label, unit = SPREADS[name]
    known = values[np.isfinite(values)]
    found = np.percentile(known, PERCENTILES) if len(known) else ()
    named = {f"p{at}": float(value) for at, value in zip(PERCENTILES, found, strict=False)}
    return Spread(name, label, unit.replace("$", currency), len(known), len(values) - len(known), named)


def _total(name: str, values: Numbers) -> Total:
    label, unit = TOTALS[name]
    known = values[np.isfinite(values)]
    return Total(name, label, unit, math.fsum(known), len(known), len(values) - len(known))


def _links(columns: Columns, figures: dict[str, Numbers], main: NDArray[np.bool_]) -> tuple[Link, ...]:
    """Every varying number against every answer, the strongest first; plants of the commonest currency."""
    found = []
    for answer in EXPLAINED:
        links = []
        for key in columns.varying():
            if key in columns.numbers:
                inputs = np.asarray(columns.numbers[key])
                both = main & np.isfinite(inputs) & np.isfinite(figures[answer])
                links.append(_link(key, answer, inputs[both], figures[answer][both]))
        strong = [link for link in links if link is not None]
        found += sorted(strong, key=lambda link: (-abs(link.correlation), link.key))
    return tuple(found)


def _link(key: str, answer: str, inputs: Numbers, answers: Numbers) -> Link | None:
    if len(inputs) < FEWEST:
        return None
    correlation = rank_correlation(inputs, answers)
    if math.isnan(correlation):
        return None
    beyond = abs(correlation) > OF_CHANCE / math.sqrt(len(inputs) - 1)
    return Link(key, rows()[key].label, answer, correlation, len(inputs), beyond)


def _groups(
    columns: Columns, figures: dict[str, Numbers], pays: NDArray[np.bool_], main: NDArray[np.bool_]
) -> tuple[Group, ...]:
    found = []
    for key in columns.varying():
        if key not in columns.choices or key == "plant.currency":
            continue
        row, words = rows()[key], np.asarray(columns.choices[key])
        for slug in sorted(set(columns.choices[key]) - {""}):
            here = words == slug
            costs = figures["net_cost_per_t_bones"][here & main]
            costs = costs[np.isfinite(costs)]
            option = row.option(slug)
            middle = float(np.median(costs)) if len(costs) else None
            label = option.label if option else slug
            found.append(Group(key, row.label, label, int(here.sum()), int(pays[here].sum()), middle))
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
