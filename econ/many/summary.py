"""What many plants say together: findings, how many pay, spreads, totals, supply, grants, and what explains them.

Money is kept apart by currency and never added across them: what ranks or adds money is of the commonest one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from econ.inputs.schema import rows
from econ.many.columns import ABOUT, Columns
from econ.many.journal import Done
from econ.questions.found_rule import FACTS

if TYPE_CHECKING:
    import pandas

Numbers = NDArray[np.float64]
Records = list[dict[str, Any]]

VERDICTS = ("buy", "measure first", "do not buy", "rough: no decision yet")
PERCENTILES = (0, 10, 25, 50, 75, 90, 100)
SPREADS = ("net_cost_per_t_bones", "current_cost_per_t_bones", "npv")
TOTALS = tuple(f"{name}_per_year" for name in (
    "bones_t", "char_t", "p_t", "p2o5_t", "ca_t", "durable_c_t", "removal_t_co2e", "process_t_co2e",
    "avoided_t_co2e", "credits_lost_t_co2e", "project_net_t_co2e", "difference_t_co2e",
))  # fmt: skip
EXPLAINED = ("net_cost_per_t_bones", "npv", "project_net_t_co2e_per_year")
STEPS = 20
"""Steps of the supply curve and of the grants, each with as nearly as can be as many plants."""
RANKED = 20
"""Plants on a ranked list."""
FEWEST = 8
"""Fewer plants than this give ranks that say little: no correlation is shown."""
OF_CHANCE = 1.96
"""Inputs unrelated to the answer stay below this ÷ √(plants - 1) 19 times in 20 (large samples, from memory)."""


@dataclass(frozen=True, slots=True)
class Summary:
    """The whole summary; its tables are plain records, see the functions that make them.

    `findings`: plants by finding; `pay` at the values typed, `pay_by_mean` by the mean of the samples; a fault is
    plant, place and text.
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
    links: Records
    groups: Records
    facts: Records
    supply: Records
    grants: Records
    regions: Records
    ranked: Records
    faults: Records


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
    faults = columns.faults()
    return Summary(
        plants=columns.used + len(faults),
        used=columns.used,
        not_used=len(faults),
        pay=int((frame["npv"] >= 0).sum()),
        pay_by_mean=int((frame["mean_npv"] >= 0).sum()) if len(found) else None,
        findings={name: int(found.get(name, 0)) for name in VERDICTS if len(found)},
        near_limit=int((frame["near_limit"] == "yes").sum()),
        currencies={str(name): int(count) for name, count in counts.items()},
        spreads=[_spread(columns, name, str(one)) for one in counts.index for name in SPREADS],
        totals=[_total(columns, name) for name in TOTALS] if columns.used else [],
        links_currency=main,
        links=_links(columns, main),
        groups=_groups(columns, main),
        facts=facts(columns),
        supply=supply(columns, main),
        grants=grants(columns, main),
        regions=regions(columns),
        ranked=ranked(columns, main),
        faults=faults,
    )


def _known(columns: Columns, name: str, currency: str = "") -> tuple[pandas.Series, dict[str, Any]]:
    """A figure of the plants that have it, and what is said of it: label, unit, plants with and without it."""
    values, about = columns.frame(name, currency=currency)[name], ABOUT[name]
    known = values.dropna()
    unit = about["unit"].replace("currency", currency)
    said = {"name": name, "label": about["label"], "unit": unit, "plants": len(known)}
    return known, said | {"withheld": len(values) - len(known)}


def _spread(columns: Columns, name: str, currency: str) -> dict[str, Any]:
    """A figure across the plants of one currency."""
    known, said = _known(columns, name, currency)
    return said | {"percentiles": {f"p{at}": float(known.quantile(at / 100)) for at in PERCENTILES if len(known)}}


def _total(columns: Columns, name: str) -> dict[str, Any]:
    """The sum of a yearly figure over the plants that have it; None: no plant has."""
    known, said = _known(columns, name)
    return said | {"total": math.fsum(known) if len(known) else None}


def rank_correlation(first: ArrayLike, second: ArrayLike) -> float:
    """Correlation of the ranks, -1 to 1; nan where either column does not vary.

    Both of shape (n,) without nan. Spearman's coefficient with ties: Pearson's of the middle ranks (common
    practice, checked against scipy in the tests).
    """
    import pandas

    both = pandas.DataFrame({"first": np.asarray(first), "second": np.asarray(second)})
    return float(both.corr(method="spearman").iloc[0, 1])


def _links(columns: Columns, currency: str) -> Records:
    """Every varying number against every answer, the strongest first; plants of the commonest currency."""
    links: Records = []
    answers = columns.frame(*EXPLAINED, currency=currency)
    for key in [key for key in columns.varying if rows()[key].is_number]:
        frame = answers.assign(**{key: columns.frame(key, currency=currency)[key]})
        for answer in EXPLAINED:
            both = frame[[key, answer]].dropna()
            correlation = rank_correlation(both[key], both[answer]) if len(both) >= FEWEST else math.nan
            if not math.isnan(correlation):
                beyond = abs(correlation) > OF_CHANCE / math.sqrt(len(both) - 1)
                links.append({"key": key, "label": rows()[key].label, "answer": answer, "correlation": correlation,
                              "plants": len(both), "beyond_chance": beyond})  # fmt: skip

    def place(one: dict[str, Any]) -> tuple[int, float, str]:
        return EXPLAINED.index(one["answer"]), -abs(one["correlation"]), one["key"]

    return sorted(links, key=place)


def _groups(columns: Columns, main: str) -> Records:
    """For each choice that varies the plants with each option; net cost of the commonest currency."""
    found = []
    for key in [key for key in columns.varying if not rows()[key].is_number and key != "plant.currency"]:
        frame = columns.frame(key, "npv", "net_cost_per_t_bones", "currency")
        frame = frame.assign(
            pay=frame["npv"] >= 0, cost=frame["net_cost_per_t_bones"].where(frame["currency"] == main)
        )
        by_choice = (
            frame[frame[key] != ""]
            .groupby(key)
            .agg(plants=(key, "size"), pay=("pay", "sum"), cost=("cost", "median"))
        )
        for one in _records(by_choice.reset_index()):
            option = rows()[key].option(one[key])
            label = option.label if option else one[key]
            found.append({"key": key, "label": rows()[key].label, "choice": label, "plants": one["plants"],
                          "pay": one["pay"], "median_net_cost_per_t_bones": one["cost"]})  # fmt: skip
    return found


def bins(values: Numbers, pays: NDArray[np.bool_], most: int = 12) -> list[tuple[float, float, int, int]]:
    """Classes of round width with how many plants in each pay and do not: lower, upper, pay, do not pay."""
    known = np.isfinite(values)
    values, pays = values[known], pays[known]
    if not len(values):
        return []
    least, largest = float(values.min()), float(values.max())
    width = _round_up((largest - least) / (most - 1) or abs(least) / 10 or 1.0)
    start = math.floor(least / width)
    edges = [(start + i) * width for i in range(math.floor(largest / width) - start + 2)]
    yes, no = (np.histogram(values[chosen], edges)[0].tolist() for chosen in (pays, ~pays))
    return list(zip(edges, edges[1:], yes, no, strict=False))


def _round_up(width: float) -> float:
    """The next of 1, 2, 5 times a power of ten."""
    size: float = 10.0 ** math.floor(math.log10(width))
    return next(step * size for step in (1, 2, 5, 10) if step * size >= width * (1 - 1e-12))


def facts(columns: Columns) -> Records:
    """By deciding fact: the plants whose finding it can turn, and those in which no other moves the NPV more."""
    frame = columns.frame("missing", "widest")
    turned, widest = frame["missing"].str.split().explode().value_counts(), frame["widest"].value_counts()
    found = [
        {"fact": one.label, "can_turn": int(turned.get(one.slug, 0)), "moves_most": int(widest.get(one.slug, 0)),
         "settled_by": one.settle} for one in FACTS
    ]  # fmt: skip
    told = [one for one in found if one["can_turn"] or one["moves_most"]]
    return sorted(told, key=lambda one: (-one["can_turn"], -one["moves_most"]))


def _in_steps(frame: pandas.DataFrame) -> pandas.Series:
    """The number of each row's step, of STEPS, by its place."""
    import pandas

    return pandas.Series((np.arange(len(frame)) * STEPS) // max(len(frame), STEPS), index=frame.index)


def supply(columns: Columns, currency: str) -> Records:
    """Phosphorus and char that come at a net cost, the cheapest plants first, in steps: yearly sums so far."""
    names = ("p_t_per_year", "net_cost_per_t_bones", "bones_t_per_year", "char_t_per_year")
    frame = columns.frame(*names, currency=currency)
    able = frame[(frame["p_t_per_year"] > 0) & frame["net_cost_per_t_bones"].notna()]
    cost = able["net_cost_per_t_bones"] * able["bones_t_per_year"] / able["p_t_per_year"]
    order = able.assign(cost=cost, plants=1).sort_values("cost", kind="stable")
    sums = order[["plants", "p_t_per_year", "char_t_per_year"]].cumsum().assign(net_cost_per_t_p=order["cost"])
    return _records(sums.groupby(_in_steps(sums)).last())


def grants(columns: Columns, currency: str) -> Records:
    """What grants would buy, the cheapest phosphorus first, in steps: sums so far, and the dearest of each step.

    A grant is what brings the NPV of a plant to zero, paid today and not taxed. Phosphorus and net CO2e are those
    of the whole study; where all plants so far are a source of CO2e there is no price per tonne of it.
    """
    names = ("grant_needed", "grant_per_t_p", "study_years", "p_t_per_year", "project_net_study_t_co2e")
    frame = columns.frame(*names, currency=currency)
    order = frame[frame["grant_needed"] > 0].sort_values("grant_per_t_p", kind="stable").assign(plants=1)
    study = order["study_years"]
    sums = order.assign(p_t=order["p_t_per_year"] * study, net_t_co2e=order["project_net_study_t_co2e"])
    sums = (
        sums[["plants", "grant_needed", "p_t", "net_t_co2e"]].cumsum().assign(grant_per_t_p=order["grant_per_t_p"])
    )
    sums["grant_per_t_net_co2e"] = (sums["grant_needed"] / sums["net_t_co2e"]).where(sums["net_t_co2e"] > 0)
    return _records(sums.groupby(_in_steps(sums)).last())


def regions(columns: Columns) -> Records:
    """Plants, findings and yearly sums by region, where the table names regions."""
    if "region" not in columns.carried or not columns.used:
        return []
    frame = columns.frame("region", "finding", "npv", "bones_t_per_year", "char_t_per_year", "p_t_per_year")
    named = frame.assign(
        region=frame["region"].replace("", "not said"),
        plants=1,
        pay=frame["npv"] >= 0,
        buy=frame["finding"] == "buy",
        measure_first=frame["finding"] == "measure first",
    )
    asked = ["plants", "pay", "buy", "measure_first", "bones_t_per_year", "char_t_per_year", "p_t_per_year"]
    return _records(named.groupby("region")[asked].sum().reset_index())


def ranked(columns: Columns, currency: str) -> Records:
    """The plants with the best NPV: by the mean of the samples, else as typed."""
    names = ("plant", "finding", "mean_npv", "npv", "npv_loss_chance", "best_share", "best_mean_npv",
             "net_cost_per_t_bones", "p_t_per_year", "project_net_t_co2e_per_year")  # fmt: skip
    return _records(columns.best(RANKED, currency, ("mean_npv", "npv"), names))


def _records(frame: pandas.DataFrame) -> Records:
    """Plain values row by row; None for what does not exist."""
    found = frame.to_dict("records")
    return [
        {
            str(key): None if isinstance(value, float) and not math.isfinite(value) else value
            for key, value in one.items()
        }
        for one in found
    ]
