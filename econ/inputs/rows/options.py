"""Rows about the other ways of handling the bones, set beside the kiln: a block each."""

from __future__ import annotations

from econ.inputs.schema import Block, Option, Row, Section, SheetPlan, repeat

KINDS = (
    Option("rendering", "a renderer picks them up", ("render", "renderer")),
    Option("composting", "composting on site", ("compost", "composted here")),
    Option("compost-char", "composting first, then charring what is left", ("compost then char",)),
    Option("sell", "sold as they are (soup, pet)", ("soup", "pet", "sold")),
    Option("landfill", "landfill"),
    Option("burial", "burial", ("bury",)),
    Option("own", "another way of your own", ("other", "something else")),
    Option("gate-fee", "kiln, with bones taken in from other plants", ("gate fee",)),
)
_PER_MASS = ("$ per tonne", "$ per kg", "$ per lb", "$ per short_ton")


def _row(key: str, label: str, units: tuple[str, ...], if_blank: str, help_text: str, **more: object) -> Row:
    bounds = {"lowest": 0.0, "highest": 1e9} | more
    return Row(key=key, label=label, units=units, if_blank=if_blank, help=help_text, **bounds)  # type: ignore[arg-type]


def _share(key: str, label: str, if_blank: str, help_text: str) -> Row:
    return _row(key, label, ("%", "fraction"), if_blank, help_text, highest=1.0)


OPTION = Block(
    name="option",
    title="option",
    count=8,
    trigger="kind",
    rows=(
        Row(
            key="kind",
            label="Another way for the bones",
            kind="choice",
            choices=KINDS,
            if_blank="not compared; the kiln and today's way always are",
            help="Fill at least one line of money, or the way is compared in matter and carbon only.",
        ),
        Row(
            key="name",
            label="Its name in tables",
            kind="text",
            if_blank="the kind of way",
            help="Such as the name of a site or a quote.",
        ),
        _row(
            "fee",
            "Paid for each mass of bones",
            _PER_MASS,
            "0",
            "Pick-up, gate, tipping. Negative if you are paid, as with a gate fee that others pay you.",
            lowest=-100.0,
            highest=100.0,
            us="$ per lb",
        ),
        _row(
            "yearly",
            "Other cost of this way",
            ("$ per year", "$ per month", "$ per week"),
            "0",
            "Turning, cover, tests, permits, haul.",
            lowest=-1e8,
        ),
        _row(
            "hours",
            "People's hours it takes",
            ("hour per week", "hour per month", "hour per year"),
            "0",
            "Paid at the wage of the kiln's crew with its on-cost.",
            highest=1e6,
        ),
        _row(
            "chips",
            "Carbon source it needs, per mass of bones",
            ("kg per kg", "tonne per tonne"),
            "0",
            "Chips or sawdust for composting; several times the bones by volume.",
            highest=50.0,
        ),
        _row(
            "chips_price",
            "Price of that carbon source",
            _PER_MASS,
            "0",
            "Delivered.",
            highest=100.0,
            us="$ per short_ton",
        ),
        _row(
            "land_area",
            "Land it takes",
            ("m2", "ft2", "acre"),
            "not told",
            "Pile, curing and the way around.",
            us="ft2",
        ),
        _row("land_cost", "Rent or worth of that land", ("$ per year",), "0", "What the land would bring else."),
        _row(
            "income",
            "What it brings, per mass sold",
            _PER_MASS,
            "0",
            "Bones as they are, compost per mass of bones put in, or char from bones taken in.",
            highest=100.0,
            us="$ per lb",
        ),
        _share("sold_share", "Share of the bones that finds a buyer", "all", "Only the clean ones sell for soup."),
        _row("capital", "To buy for it today", ("$",), "0", "Pad, bins, loader, freezer."),
        _row(
            "life",
            "Life of what is bought",
            ("years",),
            "lasts as long as the study",
            "After it all is bought again.",
            lowest=0.5,
            highest=60.0,
        ),
        _share(
            "leftover_share",
            "What is left over, as a share of the bones",
            "0; the mineral of the bones where the leftovers are charred",
            "Skulls and teeth picked out of the pile.",
        ),
        _share(
            "p_kept_share",
            "Share of the phosphorus kept for soil",
            "composting all but what is picked out; compost and char all; other ways 0",
            "Buried bones count 0: the phosphorus is not where a crop is.",
        ),
        _share(
            "n_kept_share",
            "Share of the nitrogen kept for soil",
            "compost as on sheet Carbon; others 0",
            "Of the bones.",
        ),
        _row(
            "months",
            "Time until what comes out can be used",
            ("month", "week"),
            "by kind",
            "Curing counted in.",
            highest=20.0,
        ),
        _row(
            "ghg",
            "Emissions of this way by your own figure, CO2e per mass of bones",
            ("kg per tonne", "lb per short_ton"),
            "by the sheet Carbon; withheld for bones sold and for another way",
            "With its source.",
            lowest=-10.0,
            highest=10.0,
        ),
        _share(
            "share_today",
            "Share of the bones that goes this way today",
            "not part of the present mix",
            "Fill for all parts of the present mix; they make 100 %.",
        ),
        _row(
            "mass",
            "Bones taken in from other plants",
            ("tonne per year", "kg per year", "lb per week", "short_ton per year"),
            "0",
            "Only for the kiln with bones of others; no more than the kiln has room for.",
            us="lb per week",
        ),
    ),
)
MONEY = ("fee", "yearly", "hours", "chips_price", "land_cost", "income", "capital")
"""Rows of which at least one makes a way comparable in money."""

PLAN = SheetPlan(
    "Options",
    "The other ways for the same bones. Leave a block blank and that way is not compared.",
    (
        Section(
            "Other ways",
            repeat(OPTION, range(1, OPTION.count + 1)),
            "The kiln and today's way are always compared; every way stands on the bones that the "
            "kiln would fire.",
        ),
    ),
    late=True,
)
