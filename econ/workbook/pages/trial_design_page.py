"""The page to plan a garden trial: sizes for the differences worth selling, and what goes where."""

from __future__ import annotations

from econ.measured.trial_design import Design, design_of
from econ.workbook.desk import DESIGN, Desk
from econ.workbook.page_plan import Found, Slot, plans


def trial_design(desk: Desk) -> Found:
    """Sizes a side and the order within each block of two."""
    results, said = desk.results, plans()[DESIGN].words
    found = design_of(results.scenario, results.measured.readings.trials)
    assert found is not None
    return {
        "comparisons": found.comparisons,
        "scatter": found.scatter,
        "seed": found.seed,
        "sizes": [
            (said["seeds"], f"{found.germination:.0%}", f"{found.asked_germination:.0%} of the seeds", found.alpha,
             _size(found.trays, said["too_many"]), _seeds(found, said["trays_of"])),
            (said["beds"], "the mean", f"{found.asked_mean:.0%} of the mean", found.alpha,
             _size(found.beds, said["too_many"]), ""),
        ],
        "layout": [(said["one"].format(at), *order.split(", "), "", "", "")
                   for at, order in enumerate(found.order, start=1)],
    }  # fmt: skip


def _size(count: int | None, too_many: str) -> Slot:
    return Slot(too_many if count is None else count, "bold_right" if count is None else "bold n0")


def _seeds(found: Design, words: str) -> str:
    return "" if found.seeds is None else words.format(found.seeds, found.seeds_per_tray)
