"""The carbon account as a reviewer reads it: four blocks apart, both methods, low - middle - high."""

from __future__ import annotations

import math
from functools import partial
from typing import Any

from econ.answer.carbon_case import today_words
from econ.answer.filled import contract, described
from econ.answer.quoted import organic_words
from econ.answer.reasons import persistence_reason
from econ.answer.results import Results
from econ.answer.sentences import Speech, amount
from econ.evidence import factor
from econ.model.carbon import out_share
from econ.model.derived import KG_PER_T, clean, over_study, share_of

HORIZON_YEARS = 100
METHODS = {slug: one["line"] for slug, one in described("tables")["method"].items()}
METHOD_WORDS = {slug: one["words"] for slug, one in described("tables")["method"].items()}
_DIFFERENCE = contract()["carbon"]["difference_to_current_practice"]
NET_FORMULA, WITHOUT_FORMULA, WITH_FORMULA = (
    one["formula"].removeprefix("=")
    for one in (contract()["carbon"]["project_net"], _DIFFERENCE["without_credits"], _DIFFERENCE["with_credits"])
)


def methods(results: Results) -> dict[str, Any]:
    """Each method with its own range (P10 to P90 of one char), its removal, and the reason where withheld."""
    sets: dict[str, Any] = {}
    for method, name in METHODS.items():
        sets[method] = {
            "persist_frac": [clean(lasting_share(results, name, end)) for end in ("low_", "", "high_")],
            "removal_t_co2e_per_year": spread(results, f"removal_by_{name}_kg_co2e"),
            "reason": reason(results, method),
        }
    sets["hydrogen-ratio"] |= {
        "half_range_of_the_mean_line": factor("hc_mean_half").value,
        "one_char_sd": clean(results.coefficients["hc_half_range"] / factor("sd_to_p90").value),
        "h_corg_of_mineral": clean(results.figures["hc_of_mineral"]),
        "h_corg_corrected": clean(results.figures["hc_less_mineral"]),
        "corrected_is_used": results.plan.corrects_hc,
        "removal_as_the_lab_gives_it_t_co2e_per_year": spread(results, "removal_by_hc_lab_kg_co2e"),
        "removal_mineral_corrected_t_co2e_per_year": spread(results, "removal_by_hc_corrected_kg_co2e"),
    }
    return sets


def lasting_share(results: Results, name: str, end: str) -> float:
    """Share lasting 100 years by "class", "hc" (as used), "hc_lab" or "hc_corrected"; `end` low_, high_ or ""."""
    if name == "hc_corrected" or (name == "hc" and results.plan.corrects_hc):
        return results.figures[f"hc_corrected_{end}share"]
    return results.coefficients[f"persist_by_{name.removesuffix('_lab')}_{end}frac"]


def reason(results: Results, method: str) -> str | None:
    """Why a method is withheld, or None."""
    value = results.figures[f"removal_by_{METHODS[method]}_kg_co2e"]
    return (
        None
        if math.isfinite(value)
        else persistence_reason(results.scenario, results.plan, results.figures, method)
    )


def measures(results: Results, name: str) -> dict[str, Any]:
    """A figure per year with low, middle, high; per tonne of bones, of char, and over the study life."""
    value = results.figures[name]
    bones, char = results.figures["bones_fired_kg"], results.figures["char_kg"]
    return {
        "t_co2e_per_year": spread(results, name),
        "kg_co2e_per_t_bones": clean(share_of(value, bones)),
        "kg_co2e_per_t_char": clean(share_of(value, char)),
        "t_co2e_over_study": _t(over_study(results.figures, name, results.plan.years)),
    }


def calendar(results: Results) -> list[dict[str, float]]:
    """Landfill methane that has come out by the end of each year of the study, all deposits so far."""
    yearly = results.figures["landfill_kg_co2e"] / KG_PER_T
    decay = results.scenario["handling.lf_decay"].number
    rows = []
    for year in range(1, results.plan.years + 1):
        share = float(out_share(decay, year))
        rows.append({"year": year, "deposited_t_co2e": yearly * year, "out_share": share,
                     "out_t_co2e": yearly * year * share})  # fmt: skip
    return rows


def say(results: Results, name: str) -> str:
    """A sentence on carbon by its id."""
    low, middle, high = results.carbon("project_net_outward_kg_co2e")
    removal = span_words(results, "removal_outward_kg_co2e")
    if not math.isfinite(results.figures["removal_outward_kg_co2e"]):
        removal = persistence_reason(results.scenario, results.plan, results.figures, "temperature-class")
    return Speech(results.scenario.entries, results.figures, {
        "r": results, "horizon": HORIZON_YEARS, "removal": removal, "span": partial(span_words, results),
        "organic": organic_words(results), "today": today_words(results), "tonnes": _n,
        "class_words": METHOD_WORDS["temperature-class"], "low": low, "middle": middle, "high": high,
    }).say(name)  # fmt: skip


paragraph = partial(say, name="paragraph")
"""A paragraph for a grant text, every number of which stands in the results."""
quoted_rule = partial(say, name="quoted-rule")
"""Which method is quoted outward: the lower of two, or the only one where H/C_org is blank."""
favourable = partial(say, name="favourable")
"""Why the median is quoted, where the figure at the plant's own values would look better; else empty."""


def span_words(results: Results, name: str) -> str:
    """A figure as "low - median - high t CO2e a year", or that it is not reported."""
    found = results.carbon(name)
    return "not reported" if math.isnan(found[1]) else f"{' - '.join(map(_n, found))} t CO2e a year"


def _n(kg: float) -> str:
    """Tonnes with about three figures; a true minus, which the dashes of a range cannot hide."""
    return amount(kg / KG_PER_T).replace("-", "−") if math.isfinite(kg) else "not reported"


def _t(kg: float) -> float | None:
    return clean(kg / KG_PER_T)


def spread(results: Results, name: str) -> dict[str, float | None]:
    """Low, middle and high of the samples and the figure as typed [t CO2e a year]."""
    low, middle, high = results.carbon(name)
    return {"low": _t(low), "middle": _t(middle), "high": _t(high), "typed": _t(results.figures[name]),
            "withheld_share_of_samples": results.chances.spreads[name].withheld_frac}  # fmt: skip
