"""Shares that must make 100 % together: kept so when a question moves one of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from econ.model.ledger import Quantity, total
from econ.model.plan import Plan

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
