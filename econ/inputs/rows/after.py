"""The sheet for what comes after the decision: the label, trials, and own planting."""

from __future__ import annotations

from econ.inputs.rows.garden import DIFFERENCES
from econ.inputs.rows.label import LABEL
from econ.inputs.rows.planting import INJECTOR, PLANTING
from econ.inputs.schema import Section, SheetPlan, repeat

__all__ = ["AFTER", "PLANTING"]

AFTER = SheetPlan(
    "Label and planting",
    "After the decision: what a label would state, and where your own char goes. Nothing here moves the money.",
    (
        Section("The label", LABEL, "Filled, the results carry a sheet for the label."),
        Section("Garden trials", DIFFERENCES, "For the sheet Garden trials, once it holds beds or trays."),
        Section("Injector or spreader", INJECTOR),
        Section("Own planting", repeat(PLANTING, range(1, 2)), "Soil test first."),
        Section("More ground", repeat(PLANTING, range(2, PLANTING.count + 1))),
    ),
    late=True,
)
