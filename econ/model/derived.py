"""Numbers made from the figures of one evaluated case: rates of return, amounts per tonne, even months, grant.

The JSON, the pages, the note and the screen all read them here; none of them divides or sums for itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from econ.evidence import factors, substances
from econ.evidence.facts import Ranged
from econ.fields import record, replace
from econ.finance import returns as finance
from econ.inputs.lanes import is_column
from econ.inputs.rows import MONTHS
from econ.model.plan import Plan
from econ.shipped import described

Figures = Mapping[str, float]
Yearly = Mapping[str, Mapping[int, float]]

KG_PER_T = 1000.0
MONTHLY = ("offered_kg", "excluded_kg", "fired_kg", "passed_on_kg")
OF_YEAR = ("bones_received_kg", "bones_excluded_kg", "bones_fired_kg", "bones_passed_on_kg")
"""The figures of a year that even months share, in the order of MONTHLY."""
OUT_OF_BONES: list[str] = described("flows", "model")["out_of_bones"]
"""Yearly masses that are also said per tonne of bones fired."""


@record(frozen=True, slots=True)
class Returns:
    """Rates of return a year as fractions, nan where there is none (the reason says why), and paybacks [years]."""

    irr: float
    irr_reason: str
    mirr: float
    irr_owner: float
    irr_owner_reason: str
    crossings: tuple[float, ...]


def returns(
    rows: Mapping[str, Mapping[int, Any]], plan: Plan, rate: Any, one: Callable[[Any], float] = float
) -> Returns:
    """IRR, MIRR, paybacks, and the owner's IRR [1/a, a]; `rate` finances and reinvests. Source: `econ.finance`.

    Rows and rate may be arrays of cases, which `one` makes figures of: then IRR and MIRR are all there is.
    """

    def flows(name: str) -> Any:
        found = [rows[name][t] for t in range(plan.years + 1)]
        if all(np.ndim(flow) == 0 for flow in found):
            return [float(flow) for flow in found]
        return np.stack(np.broadcast_arrays(*found))

    of_project = flows("net_cash")
    project, mirr = finance.irr(of_project), one(finance.mirr(of_project, rate, rate))
    if not isinstance(of_project, list):
        return Returns(one(project.value), "", mirr, math.nan, "", ())
    of_owner = flows("owner_cash" if "owner_cash" in rows else "net_cash")
    own = project if of_owner == of_project else finance.irr(of_owner)
    crossings = tuple(finance.payback_crossings(of_project))
    return Returns(float(project.value), str(project.reason), mirr, float(own.value), str(own.reason), crossings)


def clean(value: float | None) -> float | None:
    """The number [its unit], or None where it does not exist; in a column what does not exist stays nan."""
    if value is None or not (is_column(value) or math.isfinite(value)):
        return None
    return value if isinstance(value, float) else float(value)


def tonnes(kg: float | None) -> float | None:
    """Kilograms as metric tonnes [t]; None stays None. Definition."""
    return None if kg is None else kg / KG_PER_T


def per_tonne(per_kg: float | None) -> float | None:
    """An amount per kg as one per metric tonne [1/t]; None stays None. Definition."""
    return None if per_kg is None else per_kg * KG_PER_T


def share_of(value: float, mass_kg: float) -> float | None:
    """`value` per metric tonne of `mass_kg` [1/t], or None where there is no mass. Definition."""
    return value / mass_kg * KG_PER_T if mass_kg else None


def kg_per_t_bones(figures: Figures) -> dict[str, float]:
    """What a tonne of bones processed turns into [kg/t]. Definition."""
    fired_t = max(figures["bones_fired_kg"] / KG_PER_T, 1e-12)
    return {name.removesuffix("_kg"): figures[name] / fired_t for name in OUT_OF_BONES}


def months(plan: Plan, figures: Figures) -> list[dict[str, Any]]:
    """Twelve months: bones received, excluded, processed, passed on [kg], and whole batches.

    Alike months have a twelfth of the bones each, and the loads begun by their end less those begun before.
    """
    found = []
    for m, name in enumerate(MONTHS, start=1):
        if plan.by_month:
            row = {key: figures[f"month_{m}_{key}"] for key in (*MONTHLY, "firings")}
        else:
            row = {key: figures[whole] / 12 for key, whole in zip(MONTHLY, OF_YEAR, strict=True)}
            firings = figures["firings_per_year"]
            row["firings"] = float(math.ceil(firings * m / 12 - 1e-9) - math.ceil(firings * (m - 1) / 12 - 1e-9))
        found.append({"month": name, **row})
    return found


def study_name(name: str) -> str:
    """The figure over the study of a yearly figure that counts only the char sold or used by then, else ""."""
    start = name.removesuffix("_kg_co2e")
    return f"{start}_study_kg_co2e" if start in {"removal", "project_net", "difference"} else ""


def over_study(figures: Figures, name: str, years: int) -> float:
    """A yearly figure over the study [its unit × a]: its own line where it follows the char sold. Definition."""
    if "outward" in name:
        return of_sold(figures[name], figures["removal_outward_kg_co2e"], figures, years)
    return figures[study_name(name)] if study_name(name) else figures[name] * years


def of_sold(yearly: float, removal: float, figures: Figures, years: int) -> float:
    """A yearly figure over the study [kg CO2e], less the `removal` in it of char never sold or used by then.

    Definition: the rule of `carbon.over_study`, for figures that the model has by the year alone.
    """
    return yearly * years - removal * years * (1 - figures["char_used_study_share"])


def grant(figures: Figures, years: int) -> dict[str, float | None]:
    """What a funder asks: money per tonne of bones and CO2e [currency/t]; None where it has none. Definition."""
    bones_t = figures["bones_fired_kg"] / KG_PER_T * years
    public, net_cost = figures["grant_today"], max(-figures["npv"], 0.0)
    found: dict[str, float | None] = {
        "grant": public,
        "grant_per_t_bones": public / bones_t if bones_t else None,
        "capital_per_t_bones": figures["capital_total_today"] / bones_t if bones_t else None,
        "p_kg_per_year": figures["p_kg"],
        "available_p2o5_kg_per_year": figures["available_p2o5_kg"],
        "pv_net_cost": net_cost,
    }
    for name, line in (("removal", "removal"), ("net", "project_net"), ("difference", "difference")):
        over_study = figures[f"{line}_study_kg_co2e"] / KG_PER_T
        for money, amount in (("grant", public), ("net_cost", net_cost)):
            found[f"{money}_per_t_{name}"] = amount / over_study if over_study > 0 else None
    return found


def twenty_years(figures: Figures, coefficients: Figures, plan: Plan) -> dict[str, float]:
    """Process emissions, project net, the same bones composted and landfilled, with GWP-20 [kg CO2e a year].

    Methane and N2O of fuel, haul, stack, pile and landfill are weighed anew; upstream, freight and grid power,
    known as CO2e alone, stay, as does removal, a storage over 100 years in either view. Source: factors gwp20_...
    """
    were = substances.gwp(plan.gwp_set)
    facts = [factors.factor(f"gwp20_{gas}_{plan.gwp_set.lower()}") for gas in ("ch4", "n2o")]
    ch4, n2o = (Ranged(one.value, one.low, one.high) for one in facts)
    now = replace(were, ch4_biogenic=ch4, n2o=n2o)
    more = {"ch4": ch4.value - coefficients["gwp_ch4_biogenic"], "n2o": n2o.value - coefficients["gwp_n2o"]}
    found = {"landfill": figures["landfill_ch4_out_kg"] * ch4.value}
    for name, line, part in (("process", "process", "stack"), ("composting", "compost", "compost")):
        added = math.fsum(figures.get(f"{part}_{gas}_kg", 0.0) * more[gas] for gas in more)
        found[name] = figures[f"{line}_kg_co2e"] + added
    fuels = [(f"fuel_{n}", kind) for n, kind in zip(plan.fuels, plan.fuel_kinds, strict=True)]
    for line, kind in [("haul_trips", "diesel"), *(one for one in fuels if one[1] != "electricity")]:
        fuel = substances.fuel(kind)
        times = fuel.co2e_kg_per_unit(now) / fuel.co2e_kg_per_unit(were)
        found["process"] += figures[f"{line}_kg_co2e"] * (times - 1)
    return found | {"project_net": figures["removal_kg_co2e"] - found["process"]}


def budget(figures: Figures, numbers: Mapping[str, float]) -> dict[str, float]:
    """What is bought in year 0 by category [currency]; working capital stands beside it. Definition."""
    bare = figures["capital_today"]
    return {
        "kiln": numbers["kiln.price"],
        "installation": numbers["kiln.installation"],
        "other": numbers["capital.other"],
        "items": figures.get("capital_quoted_today", bare) - bare,
        "contingency": figures.get("contingency_today", 0.0),
        "total": figures["capital_total_today"],
    }
