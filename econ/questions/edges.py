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


CONSTITUENTS = ("water", "fat", "protein", "ash")


def kept_whole(
    numbers: Mapping[str, Quantity], plan: Plan, base: Mapping[str, Quantity] | None = None
) -> dict[str, Quantity]:
    """The numbers with shares scaled wherever a question moved some of one whole.

    The product tiers other than the one that takes the rest, and the end uses of the char, are scaled down
    where they pass 100 % together. Water, fat, protein and ash of a stream: with `base`, the numbers before
    anything moved, a share that differs from it stands as it is and the others keep their proportion. Shares
    that add up to no more than 1 are returned as they were, to the last digit.
    """
    found = dict(numbers)
    for group in _groups(numbers, plan):
        if any(np.ndim(numbers[key]) for key in group):
            over = np.maximum(total(numbers[key] for key in group), 1.0)
            found |= {key: numbers[key] / over for key in group}
    if base is not None:
        for n in plan.streams:
            found |= _in_proportion(numbers, base, [f"bones.{n}.{name}_share" for name in CONSTITUENTS])
    return found


def _groups(numbers: Mapping[str, Quantity], plan: Plan) -> Iterator[list[str]]:
    """The typed shares of each whole."""
    yield [key for n in plan.tiers if n != plan.rest_tier and (key := f"product.{n}.share") in numbers]
    yield [key for key in END_USES if key in numbers]


def _in_proportion(
    numbers: Mapping[str, Quantity], base: Mapping[str, Quantity], keys: list[str]
) -> dict[str, Quantity]:
    """The shares of one stream: those moved as they are, the others filling the rest in their proportion."""
    if not any(np.ndim(numbers[key]) for key in keys):
        return {}
    is_moved = {key: np.not_equal(numbers[key], base[key]) for key in keys}
    moved = total(np.where(is_moved[key], numbers[key], 0.0) for key in keys)
    others = total(np.where(is_moved[key], 0.0, base[key]) for key in keys)
    untouched = ~np.any(np.broadcast_arrays(*is_moved.values()), axis=0)
    scale = np.where(untouched, 1.0, np.maximum(1 - moved, 0.0) / np.maximum(others, 1e-12))
    return {key: np.where(is_moved[key], numbers[key], base[key] * scale) for key in keys}
