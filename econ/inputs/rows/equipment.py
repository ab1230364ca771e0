"""Rows about what is bought: other equipment, parts that wear, contingency, the end of the plant."""

from __future__ import annotations

from econ.inputs.schema import Block, Option, Row

_NO_VALUE = "0"

DEPRECIATION_CHOICES = (
    Option("straight-line", "straight line over its life", ("sln", "linear")),
    Option("declining-balance", "double declining balance, then straight line", ("ddb", "vdb")),
    Option("sum-of-years", "sum of the years' digits", ("syd", "soyd")),
    Option("macrs-3", "US half-year table, 3 years", ("3",)),
    Option("macrs-5", "US half-year table, 5 years", ("5",)),
    Option("macrs-7", "US half-year table, 7 years", ("7",)),
    Option("macrs-10", "US half-year table, 10 years", ("10",)),
    Option("macrs-15", "US half-year table, 15 years", ("15",)),
)

EQUIPMENT = Block(
    name="equipment",
    title="item",
    count=6,
    trigger="cost",
    rows=(
        Row(
            key="item",
            label="What it is",
            kind="text",
            if_blank="no name",
            help="Grinder, trailer, scale, cooler.",
        ),
        Row(
            key="cost",
            label="Its cost",
            units=("$",),
            lowest=0.0,
            highest=1e9,
            if_blank="no such item",
            help="In today's prices. What stands here must not be in 'Other things to buy' as well.",
        ),
        Row(
            key="installation",
            label="Its freight and installation",
            units=("$",),
            lowest=0.0,
            highest=1e9,
            if_blank=_NO_VALUE,
            help="Paid again when it is replaced.",
        ),
        Row(
            key="year_bought",
            label="Year in which it is bought",
            kind="whole",
            units=("years",),
            lowest=0,
            highest=40,
            fixed=True,
            if_blank="0: today",
            help="0 is today; 3 means at the end of year 3, at the prices of that year.",
        ),
        Row(
            key="life",
            label="Its life",
            units=("years",),
            lowest=0.5,
            highest=60.0,
            if_blank="lasts as long as the study and is written down over the kiln's life",
            help="After it the item is bought and installed again, unless the study has ended.",
        ),
        Row(
            key="salvage_share",
            label="What it fetches at the end, as a share of its cost",
            units=("%", "fraction"),
            lowest=0.0,
            highest=1.0,
            if_blank=_NO_VALUE,
            help="At the end of the study.",
        ),
        Row(
            key="depreciation",
            label="How it is written down for tax",
            kind="choice",
            choices=DEPRECIATION_CHOICES,
            default="straight-line",
            if_blank="straight line over its life",
            help="Which class it falls in is a question for your accountant.",
        ),
    ),
)

WEAR = Block(
    name="wear",
    title="part",
    count=3,
    trigger="cost",
    rows=(
        Row(
            key="item",
            label="What wears out",
            kind="text",
            if_blank="no name",
            help="Lining, grate, burner nozzle.",
        ),
        Row(
            key="cost",
            label="Cost of a new one, fitted",
            units=("$",),
            lowest=0.0,
            highest=1e8,
            if_blank="no such part",
            help="In today's prices; deducted from profit in the year in which it is paid.",
        ),
        Row(
            key="life",
            label="How long it lasts",
            units=("years",),
            lowest=0.25,
            highest=60.0,
            if_blank="must be filled with the cost",
            help="May be a broken number. It falls due in each year in which a multiple of it ends, but not in "
            "the last year, nor when the whole kiln is renewed.",
        ),
    ),
)

KILN_DEPRECIATION = Row(
    key="kiln.depreciation",
    label="How the kiln is written down for tax",
    kind="choice",
    choices=DEPRECIATION_CHOICES,
    default="straight-line",
    if_blank="straight line over its life",
    help="A table writes down the whole cost by the printed half-year shares. Ask your accountant.",
)

ESTIMATE_CLASS = Row(
    key="capital.estimate_class",
    label="How good the estimate of the capital is",
    kind="choice",
    choices=(
        Option("none", "no contingency added"),
        Option("class-5", "class 5: prices off a page", ("5",)),
        Option("class-4", "class 4: a sketch and a few calls", ("4",)),
        Option("class-3", "class 3: drawings and budget quotes", ("3",)),
        Option("class-2", "class 2: written quotes for most", ("2",)),
        Option("class-1", "class 1: tenders in hand", ("1",)),
    ),
    default="none",
    if_blank="no contingency added",
    help="Adds a contingency of 15 % (classes 5 and 4), 8 % (3) or 5 % (2 and 1) unless you type a share; "
    "5, 8 and 15 % are a handbook's low, fair and high, their match to a class is assumed.",
)
CONTINGENCY = Row(
    key="capital.contingency_share",
    label="Contingency, as a share of all that is bought today",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    if_blank="0, or the share of the class above",
    help="For what no quote names. It is spent in year 0 and written down with the kiln.",
)
WORKING = Row(
    key="capital.working",
    label="Working capital",
    units=("$",),
    lowest=0.0,
    highest=1e9,
    if_blank=_NO_VALUE,
    help="Cash tied up in stock, fuel and unpaid bills: put in today, taken out in the last year as the same "
    "amount of money; neither written down nor taxed.",
)
DECOMMISSIONING = Row(
    key="money.decommissioning",
    label="Taking the kiln away at the end",
    units=("$",),
    lowest=0.0,
    highest=1e9,
    if_blank=_NO_VALUE,
    help="Clean-up, disposal of lining and ash, making the pad good; in today's prices, in the last year.",
)
