"""Rows about selling: what each tier costs to sell, how much it can take, how sales begin."""

from __future__ import annotations

from econ.inputs.schema import Option, Row

_PER_MASS = ("$ per kg", "$ per lb", "$ per tonne", "$ per short_ton")

TIER_ROWS = (
    Row(
        key="channel_discount",
        label="Share of the price that the shop keeps",
        units=("%", "fraction"),
        lowest=0.0,
        highest=1.0,
        if_blank="0: the price above is what reaches your till",
        help="Only where the price above is the shelf price.",
    ),
    Row(
        key="freight",
        label="Freight to the buyer",
        units=_PER_MASS,
        us="$ per lb",
        lowest=0.0,
        highest=100.0,
        if_blank="0",
        help="If you pay it.",
    ),
    Row(
        key="packaging",
        label="Bags and pallets of this tier",
        units=_PER_MASS,
        us="$ per lb",
        lowest=0.0,
        highest=100.0,
        if_blank="0",
        help="For what is sold here, on top of the bags of all char.",
    ),
    Row(
        key="selling_hours",
        label="Hours to sell a tonne",
        units=("hour per tonne", "hour per short_ton", "hour per kg", "hour per lb"),
        us="hour per short_ton",
        lowest=0.0,
        highest=10.0,
        if_blank="0",
        help="Market stall, calls, deliveries; paid at the wage of a firing.",
    ),
    Row(
        key="customers",
        label="Customers reached in a year",
        units=("each per year", "each per month"),
        lowest=0.0,
        highest=1e8,
        if_blank="not counted",
        help="With garden, label rate and the share that buys it limits what can be sold.",
    ),
    Row(
        key="area",
        label="Ground that one of them treats",
        units=("m2", "ft2", "acre", "ha"),
        us="ft2",
        lowest=0.0,
        above_lowest=True,
        highest=1e9,
        if_blank="the garden of one customer, below",
        help="An orchard treats acres, a gardener beds.",
    ),
    Row(
        key="repeat_share",
        label="Share of them that buys in a year",
        units=("%", "fraction"),
        lowest=0.0,
        highest=1.0,
        if_blank="100 %: they are new each year",
        help="A lasting product is bought once a bed: 10 % where the same customers come back every ten years.",
    ),
)

REST = Row(
    key="market.rest",
    label="Char that no tier takes",
    kind="choice",
    choices=(
        Option("stock", "stays in stock and earns nothing"),
        Option("p-value", "goes in bulk at its worth as plain fertiliser", ("bulk", "p value")),
    ),
    default="stock",
    if_blank="stays in stock and earns nothing",
    help="The worth is available P2O5 × soil factor × price of P2O5; find a buyer before you count on it.",
)
FIRST_SHARE = Row(
    key="market.first_year_share",
    label="Share of full sales reached in the first year",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    if_blank="100 %, or 1 ÷ the years below",
    help="What does not sell while sales build up is stock and is not counted later.",
)
YEARS_TO_FULL = Row(
    key="market.years_to_full",
    label="Year in which sales are full",
    units=("years",),
    lowest=1.0,
    highest=20.0,
    if_blank="1: the first",
    help="Sales rise in a straight line up to it.",
)
SPRING_SHARE = Row(
    key="market.spring_share",
    label="Share of a year's sales made in March, April and May",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    if_blank="25 %: even over the year",
    help="Char is bought when beds are dug. Shapes the months of the lender's page and the stock before spring.",
)
FIRST_MONTH = Row(
    key="market.first_month",
    label="Calendar month of the first firing",
    kind="whole",
    units=("each",),
    lowest=1,
    highest=12,
    fixed=True,
    if_blank="1: January",
    help="1 to 12. For the months of the lender's page.",
)
SALES_SHARE = Row(
    key="market.sales_share",
    label="Share of the planned sales that comes true",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    if_blank="100 %",
    help="To try a bad market; the rest is stock.",
)
OWN_USE = Row(
    key="own_use.mass",
    label="Char you spread yourself",
    units=("kg per year", "lb per year", "tonne per year", "short_ton per year"),
    us="lb per year",
    lowest=0.0,
    highest=1e9,
    if_blank="none",
    help="Taken off before anything is sold, so that no kilogram counts twice.",
)
SOIL_TEST = Row(
    key="own_use.soil_test",
    label="What the soil test of that ground says of phosphorus",
    kind="choice",
    choices=(
        Option("none", "no soil test"),
        Option("optimum", "optimum or above", ("high", "above optimum")),
        Option("below-optimum", "below optimum", ("low", "below")),
    ),
    default="none",
    if_blank="no soil test",
    help="Own use is worth nothing unless phosphorus is short and you would have bought some.",
)
AVOIDED = Row(
    key="own_use.purchase_avoided",
    label="Phosphate that you then need not buy",
    units=("$ per year", "$ per month"),
    lowest=0.0,
    highest=1e8,
    if_blank="none: own use is worth nothing",
    help="The bill that really ends. It is counted up to the worth of the char as plain fertiliser.",
)
