"""Rows about finishing the char and selling it."""

from __future__ import annotations

from econ.scenario.schema import Block, Row

_PER_MASS = ("$ per kg", "$ per lb", "$ per tonne", "$ per short_ton")

PRODUCT = Block(
    name="product",
    title="tier",
    count=4,
    trigger="price",
    rows=(
        Row(
            key="price",
            label="Price you get for char",
            units=_PER_MASS,
            us="$ per lb",
            lowest=0.0,
            highest=1000.0,
            required=True,
            help="Into your own till: after a shop's margin. A price of small bags does not hold for tonnes.",
        ),
        Row(
            key="market_limit",
            label="Most that sells at this price",
            units=(
                "kg per year",
                "lb per year",
                "tonne per year",
                "short_ton per year",
                "kg per week",
                "lb per week",
                "kg per month",
                "lb per month",
            ),
            us="lb per year",
            lowest=0.0,
            highest=1e9,
            if_blank="no limit: a warning for any tier but the last",
            help="Count customers. Char above it goes to the last tier, and what that cannot take is stock.",
        ),
        Row(
            key="share",
            label="Share of the char offered here",
            units=("%", "fraction"),
            lowest=0.0,
            highest=1.0,
            if_blank="the rest (one tier may be left blank)",
            help="All tiers together make 100 %.",
        ),
    ),
)

AVAILABLE = Row(
    key="product.available_p2o5_share",
    label="Available phosphate of the char",
    units=("% P2O5", "% P"),
    us="% P2O5",
    lowest=0.0,
    highest=1.0,
    if_blank="half of the total P2O5 (seen on one label; 20 to 60 %)",
    help="Read off a label or lab sheet: the middle number of 0-16-0 is P2O5, so type 16 with '% P2O5'. "
    "Choose '% P' only for elemental phosphorus.",
)


def _finish(key: str, label: str, help_text: str) -> Row:
    return Row(
        key=key,
        label=label,
        units=_PER_MASS,
        us="$ per lb",
        lowest=0.0,
        highest=1000.0,
        default=0.0,
        if_blank="0",
        help=help_text,
    )


GRIND = _finish("finish.grind_cost", "Grinding, all char", "Power, screens, hammers; hours are counted above.")
TEA = _finish("finish.tea_cost", "Charging with compost tea, all char", "Tea or compost and its water.")
BAG = _finish("finish.bag_cost", "Bags and labels, all char", "Per mass of char, averaged over what you pack.")

P2O5_PRICE = Row(
    key="fertiliser.p2o5_price",
    label="Price of P2O5 in bought fertiliser",
    units=_PER_MASS,
    us="$ per lb",
    lowest=0.0,
    highest=1000.0,
    default=0.0,
    if_blank="0: no floor value is shown",
    help="Price of a bag ÷ its P2O5. Gives the value of the char as plain fertiliser, by available P2O5.",
)
SOIL_FACTOR = Row(
    key="fertiliser.soil_factor",
    label="Share of available P2O5 that works in the soil",
    units=("fraction", "%"),
    lowest=0.0,
    highest=1.0,
    default=0.4,
    default_range=(0.0, 0.8),
    if_blank="0.4 (0 above soil pH 6.1; assumed)",
    help="0.6 below pH 5.5, 0.4 from 5.5 to 6.1, 0 above 6.1, where bone char hardly dissolves.",
)
AREA = Row(
    key="market.area_per_customer",
    label="Garden that one customer treats",
    units=("m2", "ft2", "acre", "ha"),
    us="ft2",
    lowest=0.0,
    above_lowest=True,
    highest=1e9,
    default=40.0,
    default_range=(10.0, 200.0),
    if_blank="40 m² (assumed)",
    help="Beds, not the whole yard; an orchard row for an orchard customer.",
)
LABEL_RATE = Row(
    key="market.label_rate",
    label="Rate on the label",
    units=("kg per ha", "kg per m2", "lb per 100ft2", "lb per acre"),
    us="lb per 100ft2",
    lowest=0.0,
    above_lowest=True,
    highest=10.0,
    factor="app_rate",
    if_blank="1 lb per 100 ft² (488 kg/ha, seen on one label)",
    help="Phosphorus is the limit: 488 kg/ha is already 8 to 15 years of what an apple crop removes.",
)
