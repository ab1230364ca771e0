"""Share of the organic carbon that lasts 100 years in soil, by both methods."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from econ import evidence
from econ.evidence import curves
from econ.model.ledger import Quantity
from econ.model.plan import Plan

Values = Mapping[str, Quantity]


def persistence(p: Values, plan: Plan) -> dict[str, Quantity]:
    """Share of the organic carbon still in soil after 100 years, with its low and high end.

    Both methods are computed; the plan's choice is `persist_frac`. nan where a method does not apply
    (`by_class` at 350 °C or less; `by_hc` without H/C_org, above its limit, or soil outside 5 to 25 °C).
    """
    by_class = class_persistence(p["kiln.peak_temperature"])
    by_hc = hc_persistence(p.get("carbon.h_corg", np.nan), p["carbon.soil_temperature"])
    middle, half = by_hc if plan.persistence == "hydrogen-ratio" else by_class
    low, high = np.maximum(middle - half, 0), np.minimum(middle + half, 1)
    position = np.asarray(p["carbon.persistence_position"])
    value = middle + np.maximum(position, 0) * (high - middle) + np.minimum(position, 0) * (middle - low)
    return {
        "persist_frac": value,
        "persist_low_frac": low,
        "persist_high_frac": high,
        "persist_by_class_frac": by_class[0],
        "persist_by_hc_frac": by_hc[0],
    }


def class_persistence(peak_c: Quantity) -> tuple[Quantity, Quantity]:
    """Inventory classes of peak temperature [°C]: middle and half-range [kg/kg]; nan at 350 °C or less."""
    table = curves.persistence_classes()
    at = table.index(peak_c)
    middle = np.where(at > 0, table.persist_frac[at], np.nan)
    return middle, middle * table.half_range_frac[at]


def hc_persistence(h_corg: Quantity, soil_c: Quantity) -> tuple[Quantity, Quantity]:
    """H/C_org [mol/mol] and soil temperature [°C]: middle and half-range [kg/kg], capped to 0..1.

    The share is computed at the two nearest soil rows and interpolated between them; nan where H/C_org
    is above 0.7 or soil outside 5 to 25 °C. The half-range is assumed.
    """
    table = curves.persistence_by_hc()
    ratio, soil = np.broadcast_arrays(np.asarray(h_corg, float), np.asarray(soil_c, float))
    above = np.clip(np.searchsorted(table.soil_c, soil), 1, len(table.soil_c) - 1)
    below = above - 1
    ends = [np.clip(table.intercept_c[at] - table.slope_m[at] * ratio, 0, 1) for at in (below, above)]
    weight = (soil - table.soil_c[below]) / (table.soil_c[above] - table.soil_c[below])
    middle = ends[0] + (ends[1] - ends[0]) * weight
    inside = (ratio <= evidence.factor("hc_lim").value) & (soil >= table.soil_c[0]) & (soil <= table.soil_c[-1])
    middle = np.where(inside, middle, np.nan)
    return middle, np.full_like(middle, evidence.factor("hc_half").value)
