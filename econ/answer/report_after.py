"""Label, own planting and garden trials in the JSON: None where the workbook asks for none."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from econ.answer.label_statement import label_of
from econ.answer.planting_cautions import said_of
from econ.answer.results import Results
from econ.measured.garden_trials import Counted, Germination, Means, TrialsReading

PLACED = "planting_"


def after_json(results: Results) -> dict[str, Any]:
    """`label`, `planting` and `trials`; canonical units, shares as fractions."""
    return {
        "label": _label(results),
        "planting": _planting(results),
        "trials": _trials(results.measured.readings.trials),
    }


def _label(results: Results) -> dict[str, Any] | None:
    found = label_of(results.scenario, results.figures)
    if found is None:
        return None
    return {
        "product": found.product, "grade": found.grade, "available_p2o5_share": found.available,
        "total_p2o5_share": found.total, "calcium_share": found.calcium, "moisture_share": found.moisture,
        "net_weight_kg": found.net_weight_kg, "is_lab_tested": found.is_tested,
    }  # fmt: skip


def _planting(results: Results) -> dict[str, Any] | None:
    grounds = results.plan.planting.grounds
    if not grounds:
        return None
    figures = {name: value for name, value in results.figures.items() if name.startswith(PLACED)}
    blocks = []
    for ground in grounds:
        start = f"{PLACED}{ground.number}_"
        name = results.scenario[f"planting.{ground.number}.name"].value
        own = {key.removeprefix(start): value for key, value in figures.items() if key.startswith(start)}
        said = said_of(results.scenario, results.figures, ground)
        blocks.append(
            {"name": name or str(ground.number), "kind": ground.kind, "way": ground.way, "blend": ground.blend,
             "soil_class": said.soil_class or None, "stopped": said.stopped, **own}
        )  # fmt: skip
    whole = {key.removeprefix(PLACED): value for key, value in figures.items() if not key[len(PLACED)].isdigit()}
    return {"blocks": blocks, **whole}


def _trials(reading: TrialsReading | None) -> list[Mapping[str, Any]] | None:
    if reading is None:
        return None
    return [
        {
            "trial": one.trial,
            "treatment": one.detail or "with char",
            "germination": None if one.germination is None else _germination(one.germination),
            "means": [_means(found) for found in one.means],
        }
        for one in reading.comparisons
    ]


def _side(found: Counted) -> Mapping[str, Any]:
    return {
        "trays": len(found.trays),
        "sown": found.sown,
        "sprouted": found.sprouted,
        "range": list(found.range),
    }


def _germination(found: Germination) -> Mapping[str, Any]:
    return {
        "with_char": _side(found.with_char), "without": _side(found.without),
        "p": found.p, "p_of_trays": found.tray_p, "difference": found.gap, "range": list(found.difference),
        "verdict": found.verdict, "difference_asked": found.asked, "seeds_a_side_needed": found.seeds,
    }  # fmt: skip


def _means(found: Means) -> Mapping[str, Any]:
    return {
        "of": found.of, "with_char": list(found.with_char), "without": list(found.without), "p": found.p,
        "difference": found.gap, "range": None if found.difference is None else list(found.difference),
        "verdict": found.verdict, "difference_asked": found.asked, "beds_a_side_needed": found.beds,
    }  # fmt: skip
