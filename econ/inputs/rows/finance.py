"""Rows about grant and loan, and the costs that a sketch forgets."""

from __future__ import annotations

from econ.inputs.schema import Option, Row

GRANT_SHARE = Row(
    key="grant.share",
    label="Grant hoped for, as a share of what is bought today",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    if_blank="the amount above",
    help="Instead of the amount above, never with it. Never in the headline.",
)
GRANT_TREATMENT = Row(
    key="grant.treatment",
    label="Tax on the grant",
    kind="choice",
    choices=(
        Option("taxable", "taxable income, full cost written down", ("taxed",)),
        Option("excluded", "not taxed, less cost to write down", ("basis reduced", "untaxed")),
    ),
    default="taxable",
    if_blank="taxable income, full cost written down",
    help="Most grants are taxable unless a law says otherwise. Ask your accountant.",
)
GRANT_YEAR = Row(
    key="grant.year",
    label="Year at whose end the grant is paid",
    kind="whole",
    units=("years",),
    lowest=1,
    highest=40,
    fixed=True,
    if_blank="1",
    help="Grants repay what you have already paid: the bills come first.",
)
GRANT_MATCH = Row(
    key="grant.match_share",
    label="Own money that the grant asks for, as a share of the purchase",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    if_blank="none asked",
    help="Must be at hand in year 0 and not borrowed. A warning if it is not.",
)
LOAN = Row(
    key="loan.principal",
    label="Loan",
    units=("$",),
    lowest=0.0,
    highest=1e9,
    if_blank="no loan",
    help="Only in the owner's and the lender's view: a project is worth the same however it is paid for.",
)
LOAN_SHARE = Row(
    key="loan.share",
    label="Loan, as a share of what is bought today",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    if_blank="the amount above",
    help="Instead of the amount above, never with it.",
)
LOAN_RATE = Row(
    key="loan.rate",
    label="Rate of the loan, a year",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    if_blank="must be filled with a loan",
    help="Nominal, charged each month as a twelfth.",
)
LOAN_YEARS = Row(
    key="loan.years",
    label="Term of the loan",
    kind="whole",
    units=("years",),
    lowest=1,
    highest=40,
    fixed=True,
    if_blank="must be filled with a loan",
    help="The whole term, with the months of interest only. What outlives the study is repaid in its last year.",
)
LOAN_GRACE = Row(
    key="loan.grace_months",
    label="First months in which only interest is paid",
    kind="whole",
    units=("each",),
    lowest=0,
    highest=120,
    fixed=True,
    if_blank="0",
    help="Equal monthly payments follow.",
)

_A_YEAR = ("$ per year", "$ per month")


def _cost(key: str, label: str, help_text: str, lowest: float = 0.0) -> Row:
    return Row(
        key=key, label=label, units=_A_YEAR, lowest=lowest, highest=1e8, if_blank="0", help=help_text
    )  # fmt: skip


ASSAYS = _cost(
    "costs.assays", "Lab assays of the char", "Phosphate for the label, carbon and H/C for the carbon note."
)
REGISTRATION = _cost(
    "costs.registration", "Registration of the label", "A year's fee, often one a product and state."
)
TONNAGE_FEE = Row(
    key="costs.tonnage_fee",
    label="Tonnage fee on fertiliser sold",
    units=("$ per tonne", "$ per short_ton", "$ per kg"),
    us="$ per short_ton",
    lowest=0.0,
    highest=100.0,
    if_blank="0",
    help="Charged by the state on each ton sold under a label.",
)
DOWNTIME = Row(
    key="costs.downtime_share",
    label="Share of a year's sales and saving lost to breakdowns",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    if_blank="0",
    help="The costs of the year go on; the income of these days does not come. Weeks shut by plan are counted "
    "elsewhere.",
)
GREASE = _cost(
    "costs.grease", "Handling of grease", "Pumping, barrels, hauling; negative if somebody pays for it.", -1e8
)
OWNER_HOURS = Row(
    key="owner.hours",
    label="The owner's own hours",
    units=("hour per week", "hour per month", "hour per year"),
    lowest=0.0,
    highest=8760.0,
    if_blank="0",
    help="Selling, papers, repairs, standing by: hours not in the hours of a firing.",
)
OWNER_WORTH = Row(
    key="owner.hour_worth",
    label="What an hour of the owner is worth",
    units=("$ per hour",),
    lowest=0.0,
    highest=10000.0,
    if_blank="0: the hours cost nothing",
    help="What the hour would earn in the shop.",
)
PRICE_RISE = _cost(
    "current.price_rise",
    "How much dearer the rest of today's bill gets when the bones leave",
    "A renderer may ask more for the offal alone. Ask before you sign; it is taken off the saving.",
)
