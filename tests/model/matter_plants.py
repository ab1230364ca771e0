"""Small invented plants for the tests of matter: one stream of 1,000 kg a year, fired in one load."""

from __future__ import annotations

from conftest import built

from econ.answer.appraisal import appraise
from econ.answer.base_case import base_case
from econ.inputs.records import Typed
from econ.questions.latin import LEAST, Sampling

START = {
    "bones.1.mass": (1000, "kg per year"),
    "bones.1.excluded_share": (0, "%"),
    "current.option": "a renderer picks them up",
    "current.saving": (1200, "EUR per year"),
    "kiln.price": (20000, "EUR"),
    "kiln.installation": (0, "EUR"),
    "capital.other": (0, "EUR"),
    "kiln.batch_load": (1000, "kg"),
    "kiln.batches_per_week": (7, "a week"),
    "labour.hours_per_batch": (5, "hours"),
    "labour.wage": (20, "EUR per hour"),
    "fuel.1.kind": "propane",
    "fuel.1.per_batch": (100, "L"),
    "fuel.1.price": (1, "EUR per L"),
    "running.insurance_per_year": (500, "EUR per year"),
    "running.permits_per_year": (500, "EUR per year"),
    "product.1.price": (2, "EUR per kg"),
    "money.study_years": (5, "years"),
    "money.discount_rate": (5, "%"),
    "plant.currency": "EUR",
    "plant.name": "Test plant",
}
CASES = {
    # water, fat, protein, ash in % of 1,000 kg as received
    "A": (35, 15, 20, 30),
    "B": (14.4, 33.6, 17.2, 34.8),
    "D": (50, 15, 12, 23),
    "E": (45, 18, 22, 15),
}


def typed(**changes):
    """The rows of the small plant; `a__b=(1, "kg")` sets row a.b, None empties it."""
    rows = {**START, **{key.replace("__", "."): item for key, item in changes.items()}}
    found = {}
    for key, item in rows.items():
        if item is None:
            continue
        value, unit = item if isinstance(item, tuple) else (item, None)
        found[key] = Typed(value=value, unit=unit, where=key)
    return found


def of_bone(*percent):
    """The four rows of an assay of stream 1 [%]."""
    names = ("water", "fat", "protein", "ash")
    return {f"bones__1__{name}_share": (share, "%") for name, share in zip(names, percent, strict=True)}


def scenario(**changes):
    return built(typed(**changes))


def results(**changes):
    return appraise(scenario(**changes), Sampling(LEAST))


def figures(**changes):
    return base_case(scenario(**changes)).figures


def ids(**changes):
    return [caution.id for caution in base_case(scenario(**changes)).cautions()]
