"""Rows that name the plant and its money."""

from __future__ import annotations

from econ.inputs.schema import Option, Row

NAME = Row(
    key="plant.name",
    label="Name of this scenario",
    kind="text",
    if_blank="the file name",
    help="Shown on every sheet of the results.",
)
CURRENCY = Row(
    key="plant.currency",
    label="Currency",
    kind="choice",
    choices=tuple(
        Option(code, code) for code in ("USD", "EUR", "GBP", "CAD", "AUD", "NZD", "CHF", "SEK", "ZAR", "INR")
    ),
    default="USD",
    fixed=True,
    if_blank="USD",
    help="All money of this workbook. It only names; nothing is converted.",
)
