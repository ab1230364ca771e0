"""What bounds a range: the class edges inside it, and shares that together make one whole."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from econ.evidence import curves, factor
from econ.inputs.records import Entry
from econ.model.ledger import Quantity, total
from econ.model.plan import Plan


def edges_inside(entry: Entry, plan: Plan) -> tuple[float, ...]:
    """The class edges between low and high of an input, in its canonical unit; empty where there are none.

    Peak temperature: the edges of the classes of lasting carbon, where such a method is chosen. H/C_org and
    soil temperature: the limits beyond which the method gives no figure. A class holds its upper
    edge, so an edge counts from low (included) to high (left out).
    """
    if entry.low is None or entry.high is None:
        return ()
    return tuple(edge for edge in _edges(entry.row.key, plan) if entry.low <= edge < entry.high)


def _edges(key: str, plan: Plan) -> tuple[float, ...]:
    if key == "kiln.peak_temperature" and plan.persistence != "hydrogen-ratio":
        return tuple(float(edge) for edge in curves.persistence_classes().edges_c)
    if key == "carbon.h_corg" and plan.persistence == "hydrogen-ratio":
        return (factor("hc_lim").value,)
    if key == "carbon.soil_temperature" and plan.persistence != "inventory-class":
        soil_c = curves.persistence_by_hc().soil_c
        return float(soil_c[0]), float(soil_c[-1])
    return ()


END_USES = ("carbon.in_scope_share", "carbon.beds_share", "carbon.blends_share", "carbon.other_share")
"""Where the char ends up; what they leave of the whole is not said."""


def kept_whole(numbers: Mapping[str, Quantity], plan: Plan) -> dict[str, Quantity]:
    """The numbers with shares scaled down wherever those of one whole together pass 100 %.

    Two wholes: the product tiers other than the one that takes the rest, and the end uses of the char.
    Shares that add up to no more than 1 are returned as they were, to the last digit. Composition needs
    no such care: the model scales water, fat, protein and ash itself.
    """
    found = dict(numbers)
    for group in _groups(numbers, plan):
        if any(np.ndim(numbers[key]) for key in group):
            over = np.maximum(total(numbers[key] for key in group), 1.0)
            found |= {key: numbers[key] / over for key in group}
    return found


def _groups(numbers: Mapping[str, Quantity], plan: Plan) -> Iterator[list[str]]:
    """The typed shares of each whole."""
    yield [key for n in plan.tiers if n != plan.rest_tier and (key := f"product.{n}.share") in numbers]
    yield [key for key in END_USES if key in numbers]
