"""Rows about the study, the rate, tax and help from outside."""

from __future__ import annotations

from econ.inputs.schema import Option, Row

YEARS = Row(
    key="money.study_years",
    label="Years to look ahead",
    kind="whole",
    units=("years",),
    lowest=1,
    highest=40,
    required=True,
    fixed=True,
    help="Usually the life of the kiln.",
)
RATE = Row(
    key="money.discount_rate",
    label="Discount rate",
    units=("%", "fraction"),
    lowest=-0.5,
    highest=1.0,
    required=True,
    help="What your money could earn elsewhere, or the rate of the loan. Nominal or real: say so on the "
    "sheet Money.",
)
BASIS = Row(
    key="money.basis",
    label="Money is counted",
    kind="choice",
    choices=(
        Option("nominal", "in the money of each year (nominal)", ("nominal",)),
        Option("real", "in today's money (real)", ("real",)),
    ),
    default="nominal",
    if_blank="nominal",
    help="Nominal: prices rise with inflation and the rate includes it. Real: neither does. Never mix.",
)
INFLATION = Row(
    key="money.inflation",
    label="Inflation",
    units=("%", "fraction"),
    lowest=-0.2,
    highest=1.0,
    default=0.0,
    if_blank="0 %",
    help="Raises every price and wage alike in a nominal study; in a real one it wears down what is fixed "
    "in money: depreciation, losses carried, loan, grant, working capital.",
)
TAX = Row(
    key="money.tax_rate",
    label="Income tax rate",
    units=("%", "fraction"),
    lowest=0.0,
    highest=0.9,
    default=0.0,
    if_blank="0 %: before tax",
    help="Of the owner or the company, federal and state together. Ask your accountant.",
)
LOSSES = Row(
    key="money.tax_losses",
    label="A year's tax loss",
    kind="choice",
    choices=(
        Option("carried-forward", "is carried to later years of the kiln", ("carry forward", "carried")),
        Option("other-income", "is set against other income of the same year", ("offset",)),
    ),
    default="carried-forward",
    if_blank="carried to later years of the kiln",
    help="A plant with other taxable profit can often use the loss at once. Ask your accountant.",
)
GRANT = Row(
    key="money.grant",
    label="Grant hoped for",
    units=("$",),
    lowest=0.0,
    highest=1e9,
    default=0.0,
    if_blank="0",
    help="Never in the headline; shown beside it, paid a year late and taxed.",
)
SALVAGE = Row(
    key="money.salvage_share",
    label="What the kiln fetches at the end, as a share of its price",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    default=0.0,
    if_blank="0 %",
    help="Few buyers look for a used bone kiln.",
)
