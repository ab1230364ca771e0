"""Share of the organic carbon that lasts 100 years in soil, by each method.

One method is used: the class of peak temperature at the soil temperature of the plant; the inventory's class, and
H/C_org, stand beside it. H/C_org less the hydrogen of the mineral and its share are lines, not coefficients, since
they rest on the organic carbon of the char, which is live in the workbook.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from econ.evidence import curves, factors, substances
from econ.model.ledger import TINY, Book, Column, Quantity, Values, at_least, interp, step, total
from econ.model.plan import Plan


def persistence(p: Values, plan: Plan) -> dict[str, Quantity]:
    """Share of the organic carbon still in soil after 100 years [kg/kg], with low and high, by each method.

    `used` stands at the place within the range, P10 to P90 of one char. nan where a method does not apply (a class
    at 350 °C or less; `hc` without H/C_org or above its limit; `class` and `hc` for soil outside 5 to 25 °C; all
    off mineral soil). Source: persistence_soil.csv, persistence_class.csv, persistence_hc.csv.
    """
    soil_c, place = p["carbon.soil_temperature"], p["carbon.persistence_position"]
    covers = 1.0 if plan.soil_is_mineral else np.nan
    found = _soil_rows(soil_c)
    found["hc_soil_weight"] = found["hc_soil_weight"] * covers
    methods = {
        "class": class_persistence(p["kiln.peak_temperature"], soil_c),
        "inventory": inventory_persistence(p["kiln.peak_temperature"]),
        "hc": hc_persistence(p.get("carbon.h_corg", np.nan), soil_c),
    }
    found |= {
        "hc_limit": factors.factor("hc_lim").value,
        "hc_half_range": methods["hc"][1],
        "hydrogen_per_mineral": hydrogen_ratio(1.0, 1.0),
        "h_corg_if_blank": np.nan,
    }
    for name, (middle, half) in methods.items():
        found[f"persist_by_{name}_frac"] = middle * covers
        low = found[f"persist_by_{name}_low_frac"] = np.maximum(middle - half, 0) * covers
        high = found[f"persist_by_{name}_high_frac"] = np.minimum(middle + half, 1) * covers
        found[f"persist_by_{name}_used_frac"] = _moved(middle, low, high, place) * covers
    return found


def _soil_rows(soil_c: Quantity) -> dict[str, Quantity]:
    """The rows of the soil table below and above a soil temperature [°C], and the weight of the one above."""
    table = curves.persistence_by_hc()
    columns = {"soil": table.soil_c, "hc_c": table.intercept_c, "hc_m": table.slope_m}
    found = {
        f"{name}_{end}": step(table.soil_c[1:-1], column[part], soil_c)
        for end, part in (("below", slice(None, -1)), ("above", slice(1, None)))
        for name, column in columns.items()
    }
    below, above = found.pop("soil_below"), found.pop("soil_above")
    weight = (soil_c - below) / (above - below) * _inside(table.soil_c, soil_c)
    return {"hc_soil_weight": weight, **found}


def _inside(rows: Column, soil_c: Quantity) -> Quantity:
    """1 for a soil temperature [°C] within the table, nan outside it."""
    return step((np.nextafter(rows[0], -np.inf), rows[-1]), (np.nan, 1.0, np.nan), soil_c)


def hydrogen_ratio(mineral_share: Quantity, organic_share: Quantity) -> Quantity:
    """H/C_org [mol/mol] that apatite shows over organic carbon [both kg/kg char]. Source: atomic weights."""
    hydrogen_mol = mineral_share * substances.H_IN_HYDROXYAPATITE / substances.H_G_PER_MOL
    return hydrogen_mol * substances.C_G_PER_MOL / np.maximum(organic_share, TINY)


def class_persistence(peak_c: Quantity, soil_c: Quantity) -> tuple[Quantity, Quantity]:
    """Class of peak temperature [°C] at a soil temperature [°C]: middle and P90 less middle [kg/kg].

    Mean and scatter of one char over its class, straight between rows of the soil; nan at 350 °C or less, soil
    outside 5 to 25 °C. An edge takes the lower class. Source: persistence_soil.csv.
    """
    table, edges = curves.persistence_by_soil(), curves.persistence_classes().edges_c
    in_class = [step(edges, marks, peak_c) for marks in np.eye(4)[1:]]

    def at_soil(columns: NDArray[np.float64]) -> Quantity:
        pairs = zip(in_class, columns, strict=True)
        return total(flag * interp(table.soil_c, column, soil_c) for flag, column in pairs)

    covered = step(edges, (np.nan, 1.0, 1.0, 1.0), peak_c) * _inside(table.soil_c, soil_c)
    return at_soil(table.mean_frac) * covered, at_soil(table.one_char_sd) * factors.factor("sd_to_p90").value


def inventory_persistence(peak_c: Quantity) -> tuple[Quantity, Quantity]:
    """Inventory classes of peak temperature [°C]: middle and half-range [kg/kg]; nan at 350 °C or less.

    Source: IPCC 2019 Refinement, volume 4, appendix 4 to chapter 2 (persistence_class.csv).
    """
    table = curves.persistence_classes()
    middle = step(table.edges_c, (np.nan, *table.persist_frac[1:]), peak_c)
    return middle, middle * step(table.edges_c, table.half_range_frac, peak_c)


def hc_persistence(h_corg: Quantity, soil_c: Quantity) -> tuple[Quantity, Quantity]:
    """H/C_org [mol/mol] and soil temperature [°C]: middle, capped to 0..1, and P90 less middle [kg/kg].

    Interpolated between the two nearest soil rows; nan where H/C_org is above 0.7 or soil outside 5 to 25 °C. The
    range is that of one char about the line, not of the line. Source: persistence_hc.csv.
    """
    table, rows = curves.persistence_by_hc(), _soil_rows(soil_c)
    lines = ((rows[f"hc_c_{end}"], rows[f"hc_m_{end}"]) for end in ("below", "above"))
    low, high = (np.minimum(np.maximum(c - m * h_corg, 0), 1) for c, m in lines)
    applies = step((factors.factor("hc_lim").value,), (1.0, np.nan), h_corg)
    scatter = interp(table.soil_c, table.one_char_sd, soil_c) * factors.factor("sd_to_p90").value
    return (low + (high - low) * rows["hc_soil_weight"]) * applies, scatter


def corrected(b: Book, plan: Plan) -> None:
    """H/C_org share less the mineral's hydrogen [kg/kg]; it and `outward_share` are nan above the limit."""
    kept = b["mineral_kg"] - b["mineral_gas_kg"]
    mineral = b.line("mineral_share_of_char", kept / np.maximum(b["char_kg"], TINY))
    organic = b.line("organic_share_of_char", b["organic_c_kg"] / np.maximum(b["char_kg"], TINY))
    shows = mineral * b["hydrogen_per_mineral"] / np.maximum(organic, TINY)
    part = b.line("hc_of_mineral", 0.0 if plan.lab_corrected_hc else shows)
    lab = b["carbon.h_corg"] if plan.has_hc else b["h_corg_if_blank"]
    ratio = b.line("hc_less_mineral", np.maximum(lab - part, 0))
    allowed = b.line("hc_less_mineral_within_limit", at_least(b["hc_limit"], ratio))
    below, above = (
        b.line(f"hc_share_{end}", np.minimum(np.maximum(b[f"hc_c_{end}"] - b[f"hc_m_{end}"] * ratio, 0), 1))
        for end in ("below", "above")
    )
    zero_or_share = b.line("hc_share_or_nil", (below + (above - below) * b["hc_soil_weight"]) * allowed)
    middle = b.value_or_withheld("hc_corrected_share", allowed, zero_or_share)
    half, place = b["hc_half_range"], b["carbon.persistence_position"]
    low = b.line("hc_corrected_low_share", np.maximum(middle - half, 0) * allowed)
    high = b.line("hc_corrected_high_share", np.minimum(middle + half, 1) * allowed)
    b.line("hc_corrected_used_share", _moved(middle, low, high, place))
    by_class = b["persist_by_class_used_frac"]
    if plan.has_hc:
        least = b.line("hc_low_share_or_nil", np.maximum(zero_or_share - half, 0))
        most = b.line("hc_high_share_or_nil", np.minimum(zero_or_share + half, 1))
        by_hc = b.line("hc_used_share_or_nil", _moved(zero_or_share, least, most, place))
        b.value_or_withheld("outward_share", allowed, allowed * (by_class - np.maximum(by_class - by_hc, 0)))
    else:
        b.line("outward_share", by_class)


def _moved(middle: Quantity, low: Quantity, high: Quantity, place: Quantity) -> Quantity:
    """The value at a place in the range, from -1 (low) by 0 (middle) to 1 (high)."""
    return middle + np.maximum(place, 0) * (high - middle) + np.minimum(place, 0) * (middle - low)
