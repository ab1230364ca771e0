"""Kiln log, lab assays, label, planting and trials in the JSON: None where the workbook asks for none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from econ.answer.label_statement import label_of
from econ.answer.planting_cautions import said_of
from econ.answer.results import Results
from econ.measured.assay import compared
from econ.measured.garden_trials import Comparison, Counted, Germination, Means
from econ.measured.sample import LEVEL, Sample
from econ.measured.trial_design import design_of
from econ.questions.found import Gain, View


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


PLACED = "planting_"


def after_json(results: Results) -> dict[str, Any]:
    """`label`, `planting`, `trials` and `trial_design`; canonical units, shares as fractions."""
    reading = results.measured.readings.trials
    design = design_of(results.scenario, reading)
    return {
        "label": _label(results),
        "planting": _planting(results),
        "trials": None if reading is None else [_compared(one) for one in reading.comparisons],
        "trial_design": None if design is None else asdict(design),
    }


def _label(results: Results) -> dict[str, Any] | None:
    found = label_of(results.scenario, results.figures)
    if found is None:
        return None
    return {
        "product": found.product, "grade": found.grade, "available_p2o5_share": found.available.stated,
        "total_p2o5_share": found.total and found.total.stated, "calcium_share": found.calcium.stated,
        "moisture_share": found.moisture, "net_weight_kg": found.net_weight_kg, "is_lab_tested": found.is_tested,
        "guarantees": [asdict(one) for one in found.guarantees],
    }  # fmt: skip


def _planting(results: Results) -> dict[str, Any] | None:
    if not results.plan.planting.grounds:
        return None
    figures = {name: value for name, value in results.figures.items() if name.startswith(PLACED)}
    blocks = []
    for ground in results.plan.planting.grounds:
        start = f"{PLACED}{ground.number}_"
        said = said_of(results.scenario, results.figures, ground)
        blocks.append(
            {"name": results.scenario[f"planting.{ground.number}.name"].value or str(ground.number),
             "kind": ground.kind, "way": ground.way, "blend": ground.blend, "soil_class": said.soil_class or None,
             "stopped": said.stopped,
             **{key.removeprefix(start): value for key, value in figures.items() if key.startswith(start)}}
        )  # fmt: skip
    whole = {key.removeprefix(PLACED): value for key, value in figures.items() if not key[len(PLACED)].isdigit()}
    return {"blocks": blocks, **whole}


def _compared(one: Comparison) -> Mapping[str, Any]:
    seeds = one.germination
    return {
        "trial": one.trial,
        "treatment": one.detail or "with char",
        "germination": None if seeds is None else {
            "with_char": _side(seeds.with_char), "without": _side(seeds.without), "p_of_trays": seeds.tray_p,
            "range": list(seeds.difference), "seeds_a_side_needed": seeds.seeds, **_judged(seeds),
        },
        "means": [
            {"of": found.of, "with_char": list(found.with_char), "without": list(found.without),
             "range": found.difference and list(found.difference), "beds_a_side_needed": found.beds,
             **_judged(found)}
            for found in one.means
        ],
    }  # fmt: skip


def _judged(found: Germination | Means) -> Mapping[str, Any]:
    return {"p": found.p, "p_holm": found.p_holm, "difference": found.gap, "verdict": found.verdict,
            "difference_asked": found.asked}  # fmt: skip


def _side(found: Counted) -> Mapping[str, Any]:
    return {"trays": len(found.trays), "sown": found.sown, "sprouted": found.sprouted, "range": list(found.range)}
