"""The most phosphate of one application: one question for every block, for the label and for customers' ground.

Three ceilings, the least of which counts, all in kg P2O5/ha of the ground covered: what the crops remove between
two applications, with build-up where the soil test is short and nothing where it needs none; where the
application takes the soil test; and what a local plan allows, where one is typed. Total P2O5 is counted, not the
available part: it is what loads the soil.
"""

from __future__ import annotations

import numpy as np

from econ.model.ledger import WHOLE, Book, Quantity, above

HA_M2 = 10_000.0
PPM = 1e6


def p2o5_per_test(b: Book) -> Quantity:
    """Phosphate that raises a Mehlich-3 test by 1 mg/kg in the sampled layer [kg P2O5/(ha mg/kg)].

    The figure of the plough layer, by the mass of the layer sampled: its depth times the bulk density of the soil.
    """
    layer = b.line("soil_layer_kg_per_m2", b["soil.density"] * 1000 * b["soil.sample_depth"])
    build = b["soil.build"] * HA_M2
    return b.line("p2o5_per_test_kg_per_ha", build * layer / b["soil_slice_kg_per_m2"])


def most_p2o5(
    b: Book,
    start: str,
    removal: Quantity,
    years: Quantity,
    test: Quantity | None = None,
    local: Quantity | None = None,
) -> Quantity:
    """The most phosphate of one application [kg P2O5/ha], kept with its ceilings as `{start}_ceiling_...`.

    removal: phosphate that leaves with the crops [kg/ha a year]; years: from one application to the next; test:
    Mehlich-3 [mg/kg], None without one: then no more than removal; local: what a local plan allows [kg/ha].
    Classes: to `soil_test_short` build-up and removal, to `soil_test_none` removal, above it nothing (Sims 2002).
    """
    least = b.line(f"{start}_ceiling_removal_kg_per_ha", removal * years)
    if test is not None:
        none, per_test = b["soil_test_none"], b["p2o5_per_test_kg_per_ha"]
        short = np.maximum(b["soil_test_short"] - test, 0) * per_test
        build = b.line(f"{start}_build_kg_per_ha", short * np.minimum(years / b["soil_build_years"], 1))
        needed = 1 - above(test, none)
        by_test = b.line(f"{start}_ceiling_test_kg_per_ha", (least + build) * needed)
        peak = b.line(f"{start}_ceiling_peak_kg_per_ha", np.maximum(none - test, 0) * per_test)
        least = np.minimum(by_test, peak)
    if local is not None:
        least = np.minimum(least, local)
    return b.line(f"{start}_most_p2o5_kg_per_ha", least)


def ground_of_customers(b: Book) -> None:
    """The label rate held to the same question: how often it may be repeated, and the rate allowed [kg/m2].

    A customer's soil test is not known, so an application may bring what crops remove until the next. A blank
    interval is the whole years that removal needs for the label rate; a shorter one lowers the rate allowed.
    Rates are by weight as sold.
    """
    rate, removal = b["market.label_rate"], b["market.crop_removal"] * HA_M2
    share = np.maximum(b["sold_p2o5_share"], WHOLE)
    brings = b.line("label_p2o5_kg_per_ha", rate * HA_M2 * share)
    needs = b.line("label_repeat_years", np.maximum(np.ceil(brings / np.maximum(removal, WHOLE) - WHOLE), 1))
    typed = b.optional("label.interval")
    years = b.line("label_interval_years", needs if typed is None else typed)
    most = most_p2o5(b, "label", removal, years)
    b.line("label_allowed_kg_per_m2", np.minimum(rate, most / HA_M2 / share))
