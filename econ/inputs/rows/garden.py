"""Columns of the garden trials, and the differences a trial should be able to show."""

from __future__ import annotations

from econ.inputs.schema import Option, Row
from econ.inputs.table_records import TablePlan

WITH, WITHOUT = "with-char", "without"

TRIALS = TablePlan(
    name="trials",
    sheet="Garden trials",
    intro="One line a tray or bed, as it was seen. Trays with and without char must be alike in all else, and "
    "mixed by lot over bench and bed. Type the failures too; leave empty only what was not looked at.",
    ready=40,
    columns=(
        Row(key="trials.trial", label="Trial", kind="text"),
        Row(
            key="trials.treatment", label="Treatment", kind="choice", required=True,
            choices=(Option(WITH, "with char", ("char", "with")),
                     Option(WITHOUT, "without char", ("control", "no char", "none"))),
        ),
        Row(key="trials.detail", label="What exactly, if several", kind="text"),
        Row(key="trials.replicate", label="Tray or bed", kind="text"),
        Row(key="trials.sown", label="Seeds sown", kind="whole", lowest=1, highest=2000),
        Row(key="trials.sprouted", label="Seeds sprouted", kind="whole", lowest=0, highest=2000),
        Row(key="trials.days_sprout", label="Days to the first sprout", units=("days",), lowest=0.0, highest=1e3),
        Row(key="trials.days_fruit", label="Days to the first fruit", units=("days",), lowest=0.0, highest=1e4),
        Row(key="trials.harvest", label="Yield of the bed", units=("kg", "g", "lb"), us="lb", lowest=0.0,
            highest=1e6),
        Row(key="trials.remark", label="Remark", kind="text"),
    ),
)  # fmt: skip


def _difference(key: str, label: str, if_blank: str, help_text: str) -> Row:
    return Row(
        key=key, label=label, units=("%", "fraction"), lowest=0.0, above_lowest=True, highest=1.0, fixed=True,
        if_blank=if_blank, help=help_text,
    )  # fmt: skip


GERMINATION = _difference(
    "trials.germination_difference", "Germination: difference a trial should show", "15 % of the seeds",
    "In seeds of a hundred: 15 % is 85 against 100.",
)  # fmt: skip
MEANS = _difference(
    "trials.mean_difference", "Days and yield: difference a trial should show", "20 % of the mean without char",
    "Smaller differences need many more beds.",
)  # fmt: skip
DIFFERENCES = (GERMINATION, MEANS)
