"""What a grant programme asks of many plants: open facts, supply, grants, regions, where to look first.

Each takes the columns of the plants, some with the commonest currency, and gives plain records.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from econ.many.columns import Columns
from econ.questions.found_rule import FACTS

if TYPE_CHECKING:
    import pandas

Records = list[dict[str, Any]]
STEPS = 20
"""Steps of the supply curve and of the grants, each with as nearly as can be as many plants."""
RANKED = 20
"""Plants on a ranked list."""


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
