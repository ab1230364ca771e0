"""The JSON contract: names, units and order that do not change."""

from __future__ import annotations

import math
from typing import Any

from econ.evidence.sieves import sieve_for
from econ.judgement import work
from econ.report_measured import measured_json
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


def _matter(results: Results) -> dict[str, Any]:
    """What a tonne of fired bones turns into [kg], and the grind by its sieve."""
    fired_t = max(results.figures["bones_fired_kg"] / KG_PER_T, 1e-12)
    size = results.scenario["finish.particle_size"]
    sieve = None if size.value is None else sieve_for(size.number * 1000)
    return {
        "kg_per_t_bones": {
            name.removesuffix("_kg"): results.figures[name] / fired_t
            for name in (
                "char_kg", "vapour_kg", "fat_gas_kg", "fat_drip_kg", "protein_gas_kg", "mineral_gas_kg",
                "mass_residual_kg", "p_kg", "p2o5_kg", "available_p2o5_kg", "ca_kg", "n_lost_kg",
                "organic_c_kg", "carbonate_c_kg",
            )
        },
        "particle_size_mm": None if size.value is None else size.number * 1000,
        "sieve": None if sieve is None else sieve.name,
    }  # fmt: skip


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
        "evidence": {
            "factors_in_use": results.leaning.in_use,
            "unverified": results.leaning.unverified,
            "unverified_defaults_with_range": results.leaning.defaults,
            "matters_most": {
                measure: {
                    "key": doubt.entry.row.key,
                    "how_known": doubt.entry.known,
                    "at_low": _clean(doubt.at_low),
                    "at_high": _clean(doubt.at_high),
                }
                for measure, doubt in results.leaning.worst.items()
            },
        },
        "matter": _matter(results),
        "kiln": work.as_json(results.scenario, results.plan, results.figures),
        **measured_json(results),
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
