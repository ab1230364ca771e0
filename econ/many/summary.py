"""What many plants say together: findings, how many pay, spreads, totals, supply, grants, and what explains them.

Money is kept apart by currency and never added across them: what ranks or adds money is of the commonest one.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

from econ.fields import record
from econ.inputs.schema import rows
from econ.many.columns import ABOUT, Columns, Record, quoted
from econ.many.journal import Done
from econ.questions.found_rule import FACTS
from econ.shipped import described

if TYPE_CHECKING:
    import pandas

Records = list[Record]
Step = tuple[int, float, dict[str, float]]

TITLE = "kilncase: many plants"
VERDICTS = ("buy", "measure first", "do not buy", "rough: no decision yet")
PERCENTILES = (0, 10, 25, 50, 75, 90, 100)
SPREADS, TOTALS, SUMMED, EXPLAINED = described("book", "many")["told"].values()
"""Figures spread, added up, added up by region, and explained by inputs."""
STEPS = 20  # of the supply curve and of the grants, each with as nearly as can be as many plants
RANKED = 20  # plants on a ranked list
MOST_CLASSES = 12  # of net cost
COMPARED = 10_000  # plants whose ranks are correlated, at most: of more as many, spread evenly over the table
FEWEST = 8  # fewer plants give ranks that say little: no correlation is shown
OF_CHANCE = 1.96
"""Inputs unrelated to the answer stay below this ÷ √(plants - 1) 19 times in 20 (large samples, from memory)."""


@record(frozen=True, slots=True)
class Summary:
    """The whole summary; its tables are plain records, see the functions that make them.

    `findings`: plants by finding; `pay` at the values typed, `pay_by_mean` by the mean of the samples; a fault is
    plant, place and text. `links` rank at most COMPARED of `links_of` plants. `grants_by_mean`: plants with a
    mean below zero, and how far below in all.
    """

    plants: int
    used: int
    not_used: int
    pay: int
    pay_by_mean: int | None
    findings: dict[str, int]
    near_limit: int
    currencies: dict[str, int]
    spreads: Records
    totals: Records
    links_currency: str
    links_of: int
    links: Records
    groups: Records
    facts: Records
    supply: Records
    grants: Records
    grants_by_mean: tuple[int, float]
    regions: Records
    ranked: Records
    faults: Callable[[], Iterable[Record]]

    @property
    def compared_said(self) -> str:
        """Which plants the rank correlations rest on; empty where on all."""
        said = f"{COMPARED:,} of {self.links_of:,} plants are compared, taken evenly in their order."
        return said if self.links_of > COMPARED else ""

    @property
    def only_said(self) -> str:
        """Which plants are compared in money; empty where all have one currency."""
        return f"Only plants in {self.links_currency}." if len(self.currencies) > 1 else ""

    @property
    def findings_said(self) -> str:
        """Plants by finding in words; empty where there is no finding."""
        return ", ".join(f"{name} {count:,}" for name, count in self.findings.items() if count)


@record(frozen=True, slots=True)
class Outcome:
    """The summary, where the results are, and what was done now."""

    summary: Summary
    target: Path
    done: Done


def summarise(columns: Columns) -> Summary:
    """The summary of the plants that could be used, and the list of those that could not."""
    currencies, found = columns.counts("currency"), columns.counts("finding")
    main = next(iter(currencies), "")
    asked = [f"count(*) FILTER (WHERE {one})" for one in ("1", "npv >= 0", "mean_npv >= 0", "near_limit = 'yes'")]
    used, pay, by_mean, near = columns.usable(", ".join(asked)).fetchone()
    return Summary(
        plants=columns.count("plants"),
        used=used,
        not_used=columns.count("plants") - used,
        pay=pay,
        pay_by_mean=by_mean if found else None,
        findings={name: found.get(name, 0) for name in VERDICTS if found},
        near_limit=near,
        currencies=currencies,
        spreads=[said for one in currencies for said in _spreads(columns, one)],
        totals=[*_totals(columns)] if used else [],
        links_currency=main,
        links_of=currencies.get(main, 0),
        links=_links(columns, main),
        groups=_groups(columns, main),
        facts=facts(columns),
        supply=supply(columns, main),
        grants=grants(columns, main),
        grants_by_mean=columns.usable("count(*), -total(mean_npv)", main, "AND mean_npv < 0").fetchone(),
        regions=regions(columns),
        ranked=ranked(columns, main),
        faults=columns.faults,
    )


def _column(columns: Columns, name: str, currency: str = "") -> pandas.Series:
    return columns.numbers([name], currency)[name]


def _known(name: str, known: int, used: int, currency: str = "") -> Record:
    """What is said of a figure: label, unit, plants with and without it."""
    unit = ABOUT[name]["unit"].replace("currency", currency)
    return {"name": name, "label": ABOUT[name]["label"], "unit": unit, "plants": known, "withheld": used - known}


def _spreads(columns: Columns, currency: str) -> Iterator[Record]:
    """Figures across the plants of one currency, linear between the nearest plants."""
    for name in SPREADS:
        values = _column(columns, name, currency)
        found = values.quantile([at / 100 for at in PERCENTILES]).set_axis([f"p{at}" for at in PERCENTILES])
        told = _known(name, int(values.count()), len(values), currency)
        yield told | {"percentiles": found.dropna().to_dict()}


def _totals(columns: Columns) -> Iterator[Record]:
    """Sums of the yearly figures over the plants that have them, rounded once; None: no plant has."""
    used, *known = columns.usable(f"count(*), {', '.join(map('count({})'.format, TOTALS))}").fetchone()
    for name, count in zip(TOTALS, known, strict=True):
        found = chain.from_iterable(columns.usable(name, "", f"AND {name} IS NOT NULL"))
        yield _known(name, count, used) | {"total": math.fsum(found) if count else None}


def _links(columns: Columns, currency: str) -> Records:
    """Every varying number against every answer, the strongest first; plants of the commonest currency."""
    links: Records = []
    keys = [key for key in columns.varying if rows()[key].is_number]
    found = columns.numbers([*EXPLAINED, *keys], currency, COMPARED)
    for key in keys:
        pairs = found[[key, *EXPLAINED]].corr("spearman", min_periods=FEWEST)[key]
        for answer, correlation in pairs[list(EXPLAINED)].dropna().items():
            count = len(found[[key, answer]].dropna())
            beyond = abs(correlation) > OF_CHANCE / math.sqrt(count - 1)
            links.append({"key": key, "label": rows()[key].label, "answer": answer, "correlation": correlation,
                          "plants": count, "beyond_chance": beyond})  # fmt: skip
    return sorted(links, key=lambda one: (EXPLAINED.index(one["answer"]), -abs(one["correlation"]), one["key"]))


def _groups(columns: Columns, main: str) -> Records:
    """For each choice that varies the plants with each option; net cost of the commonest currency."""
    found: Records = []
    for key in [key for key in columns.varying if not rows()[key].is_number and key != "plant.currency"]:
        costs = _column(columns, "net_cost_per_t_bones").where(columns.words("currency") == main)
        pays = _column(columns, "npv") >= 0
        for slug, group in costs.groupby(columns.words(key), observed=True):
            option, cost = rows()[key].option(slug), group.quantile()
            found.append({"key": key, "label": rows()[key].label, "choice": option.label if option else slug,
                          "plants": len(group), "pay": int(pays[group.index].sum()),
                          "median_net_cost_per_t_bones": None if math.isnan(cost) else cost})  # fmt: skip
    return [one for one in found if one["choice"]]


def bins(columns: Columns, currency: str) -> list[tuple[float, float, int, int]]:
    """Classes of net cost, of round width, with how many plants pay and do not: lower, upper, pay, do not pay."""
    import numpy as np

    found = columns.numbers(["net_cost_per_t_bones", "npv"], currency).dropna()
    if found.empty:
        return []
    costs, pays = found["net_cost_per_t_bones"], found["npv"] >= 0
    least, largest = costs.min(), costs.max()
    rough = (largest - least) / (MOST_CLASSES - 1) or abs(least) / 10 or 1.0
    size: float = 10.0 ** math.floor(math.log10(rough))
    width = next(step * size for step in (1, 2, 5, 10) if step * size >= rough * (1 - 1e-12))
    start = math.floor(least / width)
    edges = [(start + i) * width for i in range(math.floor(largest / width) - start + 2)]
    within = [-math.inf, *edges[1:-1], math.inf]
    counts = [np.histogram(costs[some], within)[0].tolist() for some in (pays, ~pays)]
    return list(zip(edges[:-1], edges[1:], *counts, strict=True))


def facts(columns: Columns) -> Records:
    """By deciding fact: the plants whose finding it can turn, and those in which no other moves the NPV more."""
    turned, widest = Counter[str](), columns.counts("widest")
    for slugs, count in columns.counts("missing").items():
        turned.update(dict.fromkeys(slugs.split(), count))
    found = [
        {"fact": one.label, "can_turn": turned[one.slug], "moves_most": widest.get(one.slug, 0),
         "settled_by": one.settle} for one in FACTS
    ]  # fmt: skip
    told = [one for one in found if one["can_turn"] or one["moves_most"]]
    return sorted(told, key=lambda one: (-one["can_turn"], -one["moves_most"]))


def _in_steps(columns: Columns, currency: str, price: str, where: str, sums: Mapping[str, str]) -> Iterator[Step]:
    """Plants by `price`, in STEPS steps by their place: plants so far, the dearest price, `sums` so far."""
    size = max(columns.usable("count(*)", currency, f"AND {where}").fetchone()[0], STEPS)
    asked = f"{price}, {', '.join(sums.values())}"
    so_far = [0.0] * len(sums)
    found = columns.usable(asked, currency, f"AND {where} ORDER BY 1 NULLS LAST, rowid")
    for at, (dearest, *more) in enumerate(found):
        so_far = [one + (other or 0.0) for one, other in zip(so_far, more, strict=True)]
        if at * STEPS // size < (at + 1) * STEPS // size:
            yield at + 1, dearest, dict(zip(sums, so_far, strict=True))


def supply(columns: Columns, currency: str) -> Records:
    """Phosphorus and char that come at a net cost, the cheapest plants first, in steps: yearly sums so far."""
    price, where = "net_cost_per_year / p_t_per_year", "p_t_per_year > 0 AND net_cost_per_year IS NOT NULL"
    sums = {name: name for name in ("p_t_per_year", "char_t_per_year")}
    found = _in_steps(columns, currency, price, where, sums)
    return [{"plants": count, **so_far, "net_cost_per_t_p": dearest} for count, dearest, so_far in found]


def grants(columns: Columns, currency: str) -> Records:
    """What grants would buy, the cheapest phosphorus first, in steps: sums so far, and the dearest of each step.

    A grant is what brings the NPV of a plant to zero, paid today and not taxed. Phosphorus and net CO2e are those
    of the whole study; where all plants so far are a source of CO2e there is no price per tonne of it.
    """
    sums = {"grant_needed": "grant_needed", "p_t": "p_t_per_year * study_years",
            "net_t_co2e": "project_net_study_t_co2e"}  # fmt: skip
    found = _in_steps(columns, currency, "grant_per_t_p", "grant_needed > 0", sums)
    return [
        {"plants": count, **so_far, "grant_per_t_p": dearest,
         "grant_per_t_net_co2e": so_far["grant_needed"] / net if (net := so_far["net_t_co2e"]) > 0 else None}
        for count, dearest, so_far in found
    ]  # fmt: skip


def regions(columns: Columns) -> Records:
    """Plants, findings and yearly sums by region, where the table names regions."""
    if "region" not in columns.carried:
        return []
    import pandas

    region, finding = columns.words("region", "not said"), columns.words("finding")
    counted = {"plants": region.notna(), "pay": _column(columns, "npv") >= 0, "buy": finding == "buy",
               "measure_first": finding == "measure first"}  # fmt: skip
    counted |= {name: _column(columns, name) for name in SUMMED}
    found = pandas.DataFrame(counted).groupby(region, observed=True).sum()
    told: Records = found.rename_axis("region").reset_index().to_dict("records")
    return told


def ranked(columns: Columns, currency: str) -> Records:
    """The plants with the best NPV: by the mean of the samples, else as typed."""
    names = ("plant", "finding", "mean_npv", "npv", "npv_loss_chance", "best_share", "best_hours_per_week",
             "best_mean_npv", "net_cost_per_t_bones", "p_t_per_year", "project_net_t_co2e_per_year")  # fmt: skip
    best = f"ORDER BY coalesce(mean_npv, npv) DESC, rowid LIMIT {RANKED}"
    return [dict(zip(names, one, strict=True)) for one in columns.usable(quoted(names), currency, best)]
