"""How much of a landfill's methane has come out by when: first-order decay of yearly deposits."""

from __future__ import annotations

import numpy as np

from econ.model.ledger import Quantity


def out_share(decay_per_year: Quantity, years: Quantity) -> Quantity:
    """Share [0..1] of the methane of steady deposits over `years` that has come out at their end.

    For deposits spread evenly over the years and decay at rate k, out = 1 - (1 - exp(-k T)) / (k T).
    Broadcasts; k and T above 0. First-order decay as in the inventory guidance of 2006 and 2019, volume 5,
    chapter 3, in continuous time.
    """
    span = decay_per_year * years
    return 1 + np.expm1(-span) / span


def out_of_one_share(decay_per_year: Quantity, years: Quantity) -> Quantity:
    """Share of the methane of a single deposit that has come out `years` after it: 1 - exp(-k t)."""
    return -np.expm1(-np.asarray(decay_per_year, float) * np.asarray(years, float))
