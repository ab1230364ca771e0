"""Rows about finishing the char and selling it."""

from __future__ import annotations

from typing import Any

from econ.inputs.rows.market import TIER_ROWS
from econ.inputs.schema import Block, Option, Row

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
            help="By weight as sold, into your own till: after a shop's margin. A small bag's price does not hold "
            "for tonnes.",
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
        Row(
            key="packing",
            label="Sold in bags or loose",
            kind="choice",
            choices=(Option("bags", "in bags", ("bag", "bagged")), Option("bulk", "loose, in bulk", ("loose",))),
            default="bags",
            if_blank="in bags",
            help="Loose product bears no cost of bags.",
        ),
        *TIER_ROWS,
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


GRIND = _finish("finish.grind_cost", "Grinding, all char", "By dry char: power, screens; not hours.")
TEA = _finish("finish.tea_cost", "Charging with compost tea, all char", "By dry char: tea or compost and water.")
BAG = _finish(
    "finish.bag_cost", "Bags and labels, all that is bagged", "By weight as sold, averaged over the bags."
)

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
SOIL_PH = Row(
    key="fertiliser.soil_ph",
    label="pH of the soil the char goes on",
    units=("pH",),
    lowest=3.0,
    highest=10.0,
    if_blank="the share that works is the row below",
    help="Sets the share that works: 0.6 to pH 5.5, 0.4 to 6.1, 0 above. A share typed below wins.",
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


def _share(key: str, label: str, if_blank: str, help_text: str, highest: float = 1.0, **more: Any) -> Row:
    return Row(
        key=key, label=label, units=("%", "fraction"), lowest=0.0, highest=highest, if_blank=if_blank,
        help=help_text, **more,
    )  # fmt: skip


SIZE = Row(
    key="finish.particle_size",
    label="Ground to pass a screen of",
    units=("mm", "in"),
    us="in",
    lowest=0.00003,
    highest=0.1,
    if_blank="not said; no figure depends on it",
    help="The opening, not a word like sand or kernel. The results name the sieve number (ASTM E11).",
)
FINES = _share(
    "finish.fines_share", "Fines screened out", "0",
    "Of the dry char ground; they do not go into the product.", default=0.0,
)  # fmt: skip
FINES_PRICE = Row(
    key="finish.fines_price",
    label="What the fines bring (minus if you pay)",
    units=_PER_MASS,
    us="$ per lb",
    lowest=-100.0,
    highest=1000.0,
    if_blank="nothing is paid or earned",
    help="By dry weight. Their carbon is not counted as removal.",
)
DUST = _share(
    "finish.dust_share", "Lost as dust", "0 (0 to 5 %, assumed)",
    "Of the dry char ground: filters, floor, air.", default=0.0, default_range=(0.0, 5.0),
)  # fmt: skip
CHARGE = Row(
    key="finish.charge",
    label="What the char is charged with",
    kind="choice",
    choices=(
        Option("none", "nothing: sold plain", ("none", "nothing", "plain")),
        Option("tea", "compost tea", ("tea",)),
        Option("compost", "finished compost, mixed in", ("compost", "mixed with compost")),
    ),
    default="none",
    if_blank="nothing: sold plain",
    help="Charging is not activation: that word means steam or acid in the char trade.",
)
CHARGE_RATIO = Row(
    key="finish.charge_ratio",
    label="Tea or compost put to a kilogram of dry char",
    units=("kg per kg", "lb per lb"),
    us="lb per lb",
    lowest=0.0,
    highest=50.0,
    default=0.0,
    if_blank="0",
    help="By weight. One volume of compost to one of char is about 0.9 kg to 1 kg.",
)
CHARGE_WATER = _share(
    "finish.charge_water_share", "Water in the tea or compost", "99 % of tea, 45 % of compost (assumed)",
    "Dry a weighed sample.",
)  # fmt: skip
ADDED_WATER = Row(
    key="finish.added_water",
    label="Plain water put to a kilogram of dry char",
    units=("kg per kg", "lb per lb"),
    us="lb per lb",
    lowest=0.0,
    highest=10.0,
    if_blank="none",
    help="Quenching or wetting against dust, as far as it stays in the product.",
)
SOLD_MOISTURE = _share(
    "finish.sold_moisture", "Water in the product as sold", "what was put in stays in; 0 % if nothing was",
    "Of the weight as sold. Type 0 if it is dried again; more than was put in counts as taken up later.",
    highest=0.9,
)  # fmt: skip
BAG_WEIGHT = Row(
    key="finish.bag_weight",
    label="Net weight of a bag",
    units=("kg per each", "lb per each"),
    us="lb per each",
    lowest=0.0,
    above_lowest=True,
    highest=2000.0,
    if_blank="bags are not counted",
    help="As printed on the bag, at the water content as sold.",
)
TOTAL_P2O5 = Row(
    key="product.total_p2o5_share",
    label="Total phosphate of the dry char, by assay",
    units=("% P2O5", "% P"),
    us="% P2O5",
    lowest=0.0,
    highest=1.0,
    if_blank="all phosphorus of the bones",
    help="Total, not available. '37 % phosphorus' with 33 % calcium is P2O5: choose '% P2O5'.",
)
CALCIUM = _share(
    "product.ca_share", "Calcium of the dry char, by assay", "all calcium of the bones",
    "Elemental Ca, not CaO.",
)  # fmt: skip
ANALYSIS_BASIS = Row(
    key="product.analysis_basis",
    label="The available phosphate above is of",
    kind="choice",
    choices=(Option("dry", "the dry char", ("dry char",)), Option("as-sold", "the product as sold", ("sold",))),
    default="dry",
    if_blank="the dry char",
    help="A label speaks of the product as sold, water and compost included.",
)
READ_FROM = Row(
    key="product.available_read_from",
    label="The available phosphate above is read off",
    kind="choice",
    choices=(
        Option("label", "a bag's label, like 0-16-0", ("label", "bag")),
        Option("lab", "a lab sheet", ("lab", "assay")),
        Option("guess", "nothing: a guess", ("guess",)),
    ),
    if_blank="not said",
    help="A label always speaks of P2O5; the unit must then be '% P2O5'.",
)
SOLUBLE = Row(
    key="product.soluble_share",
    label="Available share of the total phosphate",
    units=("fraction", "%"),
    lowest=0.0,
    highest=1.0,
    factor="av_label",
    if_blank="0.5 (0.2 to 0.6; one label)",
    help="Used where no available phosphate is typed: water plus neutral citrate, of the total.",
)
