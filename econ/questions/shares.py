"""Shares that must make 100 % together: kept so when a question moves one of them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from econ.model.ledger import Quantity, total
from econ.model.plan import Plan


def kept_whole(numbers: Mapping[str, Quantity], plan: Plan) -> dict[str, Quantity]:
    """The numbers with the shares of the product tiers scaled down wherever they pass 100 %.

    The tier that takes the rest is left with what remains. Where the shares add up to no more than 1
    they are returned as they were, to the last digit. Composition needs no such care: the model scales
    water, fat, protein and ash itself.
    """
    typed = [f"product.{n}.share" for n in plan.tiers if n != plan.rest_tier]
    if not any(np.ndim(numbers[key]) for key in typed):
        return dict(numbers)
    over = np.maximum(total(numbers[key] for key in typed), 1.0)
    return {**numbers, **{key: numbers[key] / over for key in typed}}
