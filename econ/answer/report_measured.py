"""Kiln log and lab assays in the JSON: what was measured, its ranges, and how the answer changed."""

from __future__ import annotations

from typing import Any

from econ.answer.results import Results
from econ.measured.limits import compared
from econ.measured.sample import LEVEL, Sample
from econ.questions.measuring import Gain, View


def measured_json(results: Results) -> dict[str, Any]:
    """`log` and `assay`, each None where the workbook holds no such data; canonical units."""
    return {"log": _log(results), "assay": _assay(results)}


def _log(results: Results) -> dict[str, Any] | None:
    found = results.measured.readings.log
    if found is None:
        return None
    return {
        "firings": found.n,
        "dates": None if found.dates is None else list(found.dates),
        "level": LEVEL,
        "samples": {name: _sample(one) for name, one in found.samples.items()},
        "yield_of_totals": found.yield_of_totals,
        "trends": [
            {
                "of": one.of, "over": one.over, "beside": one.beside, "slope": one.slope, "low": one.low,
                "high": one.high, "n": one.n, "told": one.is_told,
            }
            for one in found.trends
        ],
        "change": _change(results, "log"),
    }  # fmt: skip


def _assay(results: Results) -> dict[str, Any] | None:
    found = results.measured.readings.assay
    if found is None:
        return None
    return {
        "samples_sent": len(found.data.lines),
        "level": LEVEL,
        "basis": "dry",
        "samples": {name: _sample(one) for name, one in found.samples.items()},
        "looks_wrong": [caution.id for caution in found.cautions],
        "limits": [
            {
                "rules": one.limit.regime, "substance": one.limit.substance, "allowed_mg_per_kg": one.allowed,
                "highest_mg_per_kg": one.highest, "verdict": one.verdict, "whose": one.whose,
                "source": one.limit.source.text, "locator": one.limit.locator, "mark": one.limit.mark,
            }
            for one in compared(found)
        ],
        "change": _change(results, "assay"),
    }  # fmt: skip


def _sample(found: Sample) -> dict[str, Any]:
    return {
        "n": found.n,
        "mean": found.mean,
        "sd": found.sd,
        "se": found.se,
        "mean_range": None if found.mean_range is None else list(found.mean_range),
        "next_range": None if found.next_range is None else list(found.next_range),
        "outlier_line": None if found.outlier is None else found.lines[found.outlier] + 1,
    }


def _change(results: Results, table: str) -> dict[str, Any]:
    return {
        "npv_as_typed": results.measured.npv_as_typed,
        "npv": results.figure("npv"),
        "inputs": [_gain(one) for one in results.measured.gains if one.standing.target.table == table],
    }


def _gain(one: Gain) -> dict[str, Any]:
    return {
        "key": one.standing.target.key,
        "used": one.standing.is_used,
        "n": one.standing.sample.n,
        "typed": {"value": one.standing.typed.value, "low": one.standing.typed.low,
                  "high": one.standing.typed.high, **_view(one.typed)},
        "measured": {"value": one.standing.measured.value, "low": one.standing.measured.low,
                     "high": one.standing.measured.high, **_view(one.measured)},
    }  # fmt: skip


def _view(found: View) -> dict[str, float | None]:
    return {
        "npv": found.npv,
        "removal_kg_co2e": found.removal,
        "npv_at_low": found.at_low,
        "npv_at_high": found.at_high,
        "worth_of_knowing": found.worth,
    }
