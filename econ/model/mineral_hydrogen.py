"""H/C_org less the hydrogen of the mineral, and the lasting share it gives, step by step.

These are lines and not coefficients, since they hang on the organic carbon of the char, which is live in
the workbook.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from econ.model.ledger import Book, Quantity

if TYPE_CHECKING:
    from econ.model.plan import Plan


def corrected(b: Book, plan: Plan) -> None:
    """Writes `hc_corrected_share` with its low, high and used value; nan above the limit of the method."""
    kept = b["mineral_kg"] - b["mineral_gas_kg"]
    mineral = b.line("mineral_share_of_char", kept / np.maximum(b["char_kg"], 1e-9))
    organic = b.line("organic_share_of_char", b["organic_c_kg"] / np.maximum(b["char_kg"], 1e-9))
    still_in = 0.0 if plan.lab_corrected_hc else 1.0
    shows = mineral * b["hydrogen_per_mineral"] / np.maximum(organic, 1e-9)
    part = b.line("hc_of_mineral", shows * still_in)
    lab = b["carbon.h_corg"] if plan.has_hc else b["h_corg_if_blank"]
    ratio = b.line("hc_less_mineral", np.maximum(lab - part, 0))
    allowed = b.line("hc_less_mineral_within_limit", np.greater_equal(b["hc_limit"], ratio) * 1.0)
    ends = [
        b.line(f"hc_share_{end}", np.minimum(np.maximum(b[f"hc_c_{end}"] - b[f"hc_m_{end}"] * ratio, 0), 1))
        for end in ("below", "above")
    ]
    between = ends[0] + (ends[1] - ends[0]) * b["hc_soil_weight"]
    nil_or_share = b.line("hc_share_or_nil", between * allowed)
    middle = b.withhold("hc_corrected_share", allowed, nil_or_share)
    low = b.line("hc_corrected_low_share", np.maximum(middle - b["hc_half_range"], 0) * allowed)
    high = b.line("hc_corrected_high_share", np.minimum(middle + b["hc_half_range"], 1) * allowed)
    place = b["carbon.persistence_position"]
    b.line("hc_corrected_used_share", _moved(middle, low, high, place))


def _moved(middle: Quantity, low: Quantity, high: Quantity, place: Quantity) -> Quantity:
    return middle + np.maximum(place, 0) * (high - middle) + np.minimum(place, 0) * (middle - low)
