"""Rows about own planting: blocks of trees, rows and beds, and the injector."""

from __future__ import annotations

from typing import Any

from econ.evidence import crop_removals
from econ.inputs.schema import Block, Option, Row

_LENGTH = ("m", "ft")
_PER_AREA = ("kg per ha", "kg per m2", "lb per acre", "lb per 100ft2")


def _row(key: str, label: str, units: tuple[str, ...], us: str, if_blank: str, help_text: str, **more: Any) -> Row:
    """A number that no chance is drawn of: it shapes the plan of planting, not the money."""
    bounds = {"lowest": 0.0, "highest": 1e6} | more
    return Row(key=key, label=label, units=units, us=us, if_blank=if_blank, help=help_text, fixed=True, **bounds)


def _choice(key: str, label: str, choices: tuple[Option, ...], if_blank: str, help_text: str) -> Row:
    return Row(key=key, label=label, kind="choice", choices=choices, if_blank=if_blank, help=help_text)


KIND = _choice(
    "kind", "What stands there",
    (Option("trees", "trees", ("tree",)), Option("rows", "rows", ("row",)), Option("beds", "beds", ("bed",))),
    "trees", "Trees are counted one by one; rows and beds have a length.",
)  # fmt: skip
WAY = _choice(
    "way", "How the char gets into the soil",
    (
        Option("hole", "into the planting hole", ("planting hole",)),
        Option("row", "row injection", ("injection", "injected")),
        Option("broadcast", "broadcast and worked in", ("spread",)),
    ),
    "trees by hole, rows by injection, beds broadcast", "A hole: mixed with the backfill, not against the roots.",
)  # fmt: skip
BLEND = _choice(
    "blend", "Blended with",
    (
        Option("none", "nothing", ("none", "plain")),
        Option("tea", "compost tea", ("tea",)),
        Option("compost", "finished compost", ("compost",)),
    ),
    "nothing", "Char in tea is what an injector can take. Compost brings phosphorus of its own.",
)  # fmt: skip
CROP = _choice(
    "crop", "Fruit that is picked there",
    tuple(Option(one.crop, one.label.lower()) for one in crop_removals()),
    "no comparison with what a crop takes away", "The phosphorus in the fruit is what leaves the ground.",
)  # fmt: skip

PLANTING = Block(
    name="planting",
    title="planting",
    count=4,
    trigger="count",
    rows=(
        Row(key="name", label="Name of the ground", kind="text", if_blank="its number",
            help="As you call it: nursery row, west orchard."),
        KIND,
        _row("count", "How many trees, rows or beds", ("each",), "", "this block is not used",
             "All that one dressing covers."),
        _row("spacing", "From tree to tree in the row", _LENGTH, "ft", "no area by trees",
             "With the distance between rows it gives the area.", above_lowest=True),
        _row("length", "Length of one row or bed", _LENGTH, "ft", "no area by rows or beds",
             "One of them, not all together.", above_lowest=True),
        _row("width", "Between rows, or width of one bed", _LENGTH, "ft", "no area by distances",
             "Middle of row to middle of row; of a bed its own width.", above_lowest=True),
        _row("area", "Area in all", ("ha", "m2", "acre", "ft2"), "acre", "number times the distances above",
             "Typed, it goes before the distances.", above_lowest=True, highest=1e9),
        _row("depth", "How deep the char is placed", ("mm", "in"), "in", "not said",
             "At the surface phosphorus runs off into water.", highest=2.0),
        WAY,
        _row("char_per_tree", "Char for one tree", ("g per each", "kg per each", "lb per each"), "lb per each",
             "100 g in a planting hole (50 to 200 g, assumed)", "Dry char. Type one of the three ways to count.",
             highest=1000.0),
        _row("char_per_length", "Char for a length of row", ("kg per m", "g per m", "lb per ft"), "lb per ft",
             "by tree or by area", "Dry char. Type one of the three ways to count.", highest=100.0),
        _row("char_per_area", "Char for an area", _PER_AREA, "lb per acre",
             "row injection 250 kg/ha (100 to 400, assumed), broadcast the rate on the label",
             "Dry char. Rates for wood char do not fit bone char.", highest=10.0),
        _row("years_between", "Years from one dressing to the next", ("years",), "", "1: every year",
             "The char a year is one dressing shared over them; for trees planted once, the years of planting.",
             lowest=1.0, highest=100.0),
        BLEND,
        _row("tea_per_char", "Tea for a mass of dry char", ("L per kg", "gal per lb"), "gal per lb",
             "10 L for a kilogram (assumed): try what your pump takes", "Only for char in tea.", highest=1000.0),
        _row("compost_volumes", "Volumes of compost to one of char", ("times",), "",
             "2 (1 to 4, from memory of practice)", "Only for char in compost.", highest=100.0),
        CROP,
        _row("crop_yield", "Harvest of an area in a year",
             ("tonne per ha", "kg per m2", "short_ton per acre", "lb per acre"), "short_ton per acre",
             "no comparison with what a crop takes away", "A full harvest of grown trees.", highest=100.0),
        _row("soil_test", "Soil test: Mehlich-3 phosphorus", ("mg/kg",), "", "no soil test: worth nothing",
             "Parts per million, by a lab. Other methods (Olsen, Bray) give other numbers: ask for Mehlich-3.",
             highest=0.01),
        _row("soil_ph", "pH of that soil", ("pH",), "", "the share that works on the sheet Products",
             "Bone char hardly dissolves above 6.1.", lowest=3.0, highest=10.0),
        _row("minutes_each", "Work by hand for one tree, row or bed", ("min",), "", "none",
             "Digging, mixing, filling; driving is counted below.", highest=1e4),
    ),
)  # fmt: skip

TANK = _row("injector.tank", "Tank of the injector", ("L", "gal"), "gal", "no tank loads",
            "What it holds filled to the mark.", above_lowest=True)  # fmt: skip
SPEED = _row("injector.speed", "Ground speed", ("km per hour", "mile per hour"), "mile per hour",
             "no hours of driving", "At work, not on the road.", above_lowest=True, highest=1e5)  # fmt: skip
WORKING_WIDTH = _row("injector.width", "Working width when broadcasting", _LENGTH, "ft",
                     "the distance between rows", "Of the spreader or boom.", above_lowest=True)  # fmt: skip
FILLING = _row("injector.minutes_per_load", "Filling one load, with the way there and back", ("min",), "",
               "0", "Tank or hopper.", highest=1e4)  # fmt: skip
DIESEL = _row("injector.diesel_use", "Diesel of the tractor", ("L per hour", "gal per hour"), "gal per hour",
              "no diesel", "Driving and filling hours.", highest=1000.0)  # fmt: skip
DIESEL_PRICE = _row("injector.diesel_price", "Price of diesel", ("$ per L", "$ per gal"), "$ per gal",
                    "diesel is counted, not priced", "Off-road, as you buy it.", highest=1000.0)  # fmt: skip
TESTED = _choice(
    "injector.tea_tested", "The compost tea is tested for E. coli and Salmonella",
    (Option("no", "no"), Option("yes", "yes: every batch")),
    "no: treated as raw manure would be", "Potable water, no sugar or molasses unless each batch is tested.",
)  # fmt: skip
INJECTOR = (TANK, SPEED, WORKING_WIDTH, FILLING, DIESEL, DIESEL_PRICE, TESTED)
