"""The JSON contract: names, units and order that do not change."""

from __future__ import annotations

import math
from typing import Any

from econ.judgement import work
from econ.results import KG_PER_T, Results


def _clean(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else value


def _per_t(value: float | None) -> float | None:
    return None if value is None else value * KG_PER_T


def as_json(results: Results) -> dict[str, Any]:
    """The results as plain JSON values: metric tonnes, the scenario's currency, None for what is missing."""
    scenario = results.scenario
    fee = scenario["current.fee"].number if scenario.has("current.fee") else None
    return {
        "currency": scenario.currency,
        "npv": results.figure("npv"),
        "irr": results.figure("irr"),
        "mirr": results.figure("mirr"),
        "payback_years": results.figure("payback_years"),
        "discounted_payback_years": results.figure("discounted_payback_years"),
        "net_cost_per_t_bones": _per_t(results.figure("net_cost_per_kg_bones")),
        "current_cost_per_t_bones": _per_t(fee),
        "bones_t_per_year": results.tonnes("bones_fired_kg"),
        "char_t_per_year": results.tonnes("char_kg"),
        "p_t_per_year": results.tonnes("p_kg"),
        "p2o5_t_per_year": results.tonnes("p2o5_kg"),
        "ca_t_per_year": results.tonnes("ca_kg"),
        "durable_c_t_per_year": results.tonnes("durable_c_kg"),
        "removal_t_co2e_per_year": results.tonnes("removal_kg_co2e"),
        "project_net_t_co2e_per_year": results.tonnes("project_net_kg_co2e"),
        "warnings": [
            {"id": caution.id, "text": caution.text, "where": caution.where} for caution in results.cautions
        ],
        "details": _details(results),
    }


def _details(results: Results) -> dict[str, Any]:
    figures = {name: _clean(value) for name, value in results.figures.items()}
    return {
        "reasons": dict(results.reasons),
        "current_option": results.scenario.choice("current.option"),
        "figures": figures,
        "years": {
            name: [_clean(row.get(t)) for t in range(results.plan.years + 1)]
            for name, row in results.years.items()
        },
        "money": {
            "basis": "real" if results.plan.is_real else "nominal",
            "npv_with_grant": _clean(results.figures["npv_with_grant"]),
            "npv_with_char_price_zero": _clean(results.npv_without_sales),
        },
        "carbon": {
            "persistence_method": results.plan.persistence,
            "gwp_set": results.plan.gwp_set,
            "persist_by_class_frac": _clean(results.coefficients["persist_by_class_frac"]),
            "persist_by_hc_frac": _clean(results.coefficients["persist_by_hc_frac"]),
        },
        "kiln": work.as_json(results.scenario, results.plan, results.figures),
        "effects": [
            {
                "key": effect.entry.row.key,
                "low": effect.entry.low,
                "high": effect.entry.high,
                "at_low": {name: _clean(value) for name, value in effect.at_low.items()},
                "at_high": {name: _clean(value) for name, value in effect.at_high.items()},
            }
            for effect in results.effects
        ],
        "inputs": {
            key: entry.value
            for key, entry in results.scenario.entries.items()
            if entry.value is not None and entry.row.key != "plant.name"
        },
    }
