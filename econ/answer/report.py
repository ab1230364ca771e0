"""The JSON contract: names, units and order that do not change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from econ.answer import kiln_work
from econ.answer.carbon_account import carbon_json
from econ.answer.option_table import options_json
from econ.answer.plan_words import plans_json
from econ.answer.report_measured import after_json, measured_json
from econ.answer.report_questions import deep_json, questions
from econ.answer.results import Results, inputs_code
from econ.answer.weights import NET, NPV, heaviest_json
from econ.evidence.sieves import sieve_for
from econ.inputs.records import Scenario
from econ.model.derived import clean, kg_per_t_bones, per_tonne, tonnes
from econ.model.money import STOPPED


@dataclass(frozen=True, slots=True)
class Appraisal(Results):
    """What `econ.appraise` returns: the results, and the way to their JSON."""

    def to_json(self) -> dict[str, Any]:
        """The contract of `kilncase run --json`: plain numbers, None for what does not exist."""
        return as_json(self)


def as_json(results: Results) -> dict[str, Any]:
    """The results as plain JSON values: metric tonnes, the scenario's currency, None for what is missing."""
    return {
        **contract(results.scenario, results.figures),
        "warnings": [
            {"id": caution.id, "text": caution.text, "where": caution.where} for caution in results.cautions
        ],
        "details": _details(results),
    }


def contract(scenario: Scenario, figures: Mapping[str, float]) -> dict[str, Any]:
    """The figures of the contract, by name and in order."""

    def figure(name: str) -> float | None:
        return clean(figures.get(name))

    fee = scenario["current.fee"].number if scenario.has("current.fee") else figure("invoice_per_kg_bones")
    return {
        "currency": scenario.currency,
        "npv": figure("npv"),
        "irr": figure("irr"),
        "mirr": figure("mirr"),
        "payback_years": figure("payback_years"),
        "discounted_payback_years": figure("discounted_payback_years"),
        "net_cost_per_t_bones": per_tonne(figure("net_cost_per_kg_bones")),
        "current_cost_per_t_bones": per_tonne(fee),
        "bones_t_per_year": tonnes(figure("bones_fired_kg")),
        "char_t_per_year": tonnes(figure("char_kg")),
        "p_t_per_year": tonnes(figure("p_kg")),
        "p2o5_t_per_year": tonnes(figure("p2o5_kg")),
        "ca_t_per_year": tonnes(figure("ca_kg")),
        "durable_c_t_per_year": tonnes(figure("durable_c_kg")),
        "removal_t_co2e_per_year": tonnes(figure("removal_kg_co2e")),
        "project_net_t_co2e_per_year": tonnes(figure("project_net_kg_co2e")),
    }


def _matter(results: Results) -> dict[str, Any]:
    """What a tonne of fired bones turns into [kg], and the grind by its sieve."""
    size = results.scenario["finish.particle_size"]
    sieve = None if size.value is None else sieve_for(size.number * 1000)
    return {
        "kg_per_t_bones": kg_per_t_bones(results.figures),
        "particle_size_mm": None if size.value is None else size.number * 1000,
        "sieve": None if sieve is None else sieve.name,
    }


def _details(results: Results) -> dict[str, Any]:
    figures = {name: clean(value) for name, value in results.figures.items()}
    scenario = results.scenario
    return {
        "reasons": dict(results.reasons),
        "current_option": results.scenario.choice("current.option"),
        "figures": figures,
        "years": {
            name: [clean(row.get(t)) for t in range(results.plan.years + 1)] for name, row in results.years.items()
        },
        "money": {
            "basis": "real" if results.plan.is_real else "nominal",
            "npv_with_grant": clean(results.figures.get("npv_with_grant")),
            "npv_with_char_price_zero": clean(results.npv_without_sales),
            **_money(results),
        },
        "lender": _lender(results),
        "breakeven": [
            {
                "name": found.name,
                "unit": found.unit.replace("$", scenario.currency),
                "value": found.value,
                "lowest": found.lowest,
                "highest": found.highest,
                "values": list(found.values),
                "jumps": list(found.jumps),
                "words": found.words,
            }
            for found in results.breakeven
        ],
        "evidence": {
            "factors_in_use": results.leaning.in_use,
            "unverified": results.leaning.unverified,
            "unverified_defaults_with_range": results.leaning.defaults,
            "movers": {measure: heaviest_json(results, measure) for measure in (NPV, NET)},
            "matters_most": {
                measure: {
                    "key": mover.id,
                    "how_known": f"default: {mover.known}",
                    "at_low": clean(mover.at_low[measure]),
                    "at_high": clean(mover.at_high[measure]),
                }
                for measure, mover in results.leaning.worst.items()
            },
        },
        "matter": _matter(results),
        "kiln": kiln_work.as_json(results.scenario, results.plan, results.figures),
        "carbon": carbon_json(results),
        "options": options_json(results),
        "plans": plans_json(results),
        "inputs_code": inputs_code(results.scenario),
        **questions(results),
        **measured_json(results),
        **after_json(results),
        "deep": deep_json(results),
        "inputs": {
            key: entry.value
            for key, entry in results.scenario.entries.items()
            if entry.value is not None and entry.row.key != "plant.name"
        },
    }


def _money(results: Results) -> dict[str, Any]:
    """The views beside the headline, the ratios, and the paybacks of flows that turn more than once."""
    names = (
        "capital_total_today",
        "contingency_today",
        "npv_owner",
        "npv_per_year",
        "benefit_cost_ratio",
        "savings_investment_ratio",
        "levelised_cost_per_kg_char",
        "npv_before_tax",
        "npv_no_end_value",
        "payback_for_good_years",
        "discounted_payback_for_good_years",
    )
    return {
        **{name: clean(results.figures[name]) for name in names},
        "saved_bill_per_t_bones": per_tonne(clean(results.figures["saved_bill_per_kg_bones"])),
        "npv_if_stopped_after": {
            str(year): clean(results.figures.get(f"npv_if_stopped_after_{year}")) for year in STOPPED
        },
        "grant_status": results.scenario.choice("grant.status") if results.plan.has_grant else None,
        "grant_tax": "excluded" if results.plan.grant_excluded else "taxable",
        "irr_owner": clean(results.returns.irr_owner),
        "irr_owner_reason": results.returns.irr_owner_reason,
        "payback_crossings_years": list(results.returns.crossings),
    }


def _lender(results: Results) -> dict[str, Any]:
    """Sources and uses, coverage by year, the till by month; years without debt are left out."""
    names = (
        "uses_total",
        "loan_today",
        "own_money",
        "grant_today",
        "lowest_balance",
        "lowest_balance_month",
        "money_to_bridge",
    )
    found = {name: clean(results.figures[name]) for name in names}
    coverage = results.years.get("debt_coverage", {})
    needed = [found for found in results.breakeven if found.name == "tonnes_sold_for_coverage"]
    return {
        **found,
        "resale_of_kiln": clean(results.figures["salvage_today"]),
        "coverage": {str(t): clean(value) for t, value in coverage.items()},
        "lowest_coverage": clean(results.figures.get("lowest_coverage")),
        "lowest_balance_with_award": clean(results.figures.get("lowest_balance_awarded")),
        "stress": [
            {"name": one.name, "label": one.label, "npv": clean(one.npv),
             "lowest_coverage": clean(one.lowest_coverage), "lowest_balance": clean(one.lowest_balance)}
            for one in results.stress
        ],
        "char_t_per_year_for_coverage": list(needed[0].values) if needed else [],
        "char_for_coverage_words": needed[0].words if needed else "no loan",
        "months": {name: {str(m): value for m, value in row.items()} for name, row in results.months.items()},
    }  # fmt: skip
