"""Rows about the kiln, its fuel and the people who run it."""

from __future__ import annotations

from econ.inputs.schema import Block, Option, Row

FUEL_KINDS = (
    Option("propane", "propane", ("lpg",)),
    Option("diesel", "diesel or heating oil", ("heating oil", "fuel oil")),
    Option("natural-gas", "natural gas", ("gas", "natural_gas")),
    Option("cordwood", "firewood (cordwood)", ("wood", "firewood")),
    Option("pellets", "wood pellets"),
    Option("electricity", "electricity"),
)

FUEL = Block(
    name="fuel",
    title="fuel",
    count=3,
    trigger="per_batch",
    rows=(
        Row(
            key="kind",
            label="Fuel",
            kind="choice",
            choices=FUEL_KINDS,
            required=True,
            help="What lights the kiln and dries the load; electricity for fans and grinder also counts.",
        ),
        Row(
            key="per_batch",
            label="Fuel for one firing",
            units=("L", "gal", "m3", "ft3", "therm gas", "kg", "lb", "cord", "kWh"),
            us="gal",
            lowest=0.0,
            highest=1e6,
            required=True,
            help="Start-up to the end of drying, and whatever is burnt after it. A part load takes as much. "
            "Fuel 1 not known yet? Leave it blank and ask for the model on the sheet Kiln and crew.",
        ),
        Row(
            key="price",
            label="Price of the fuel",
            units=(
                "$ per L",
                "$ per gal",
                "$ per m3",
                "$ per ft3",
                "$ per therm gas",
                "$ per kg",
                "$ per lb",
                "$ per cord",
                "$ per kWh",
            ),
            us="$ per gal",
            lowest=0.0,
            highest=1000.0,
            required=True,
            help="Delivered, with taxes that you do not get back. Same measure as the line above.",
        ),
        Row(
            key="moisture",
            label="Water in the firewood, of its weight as burnt",
            units=("%", "fraction"),
            lowest=0.0,
            highest=0.6,
            if_blank="20 % (air-dry)",
            help="For firewood only: lower heat = 18.4 × (1 - water) - 2.45 × water MJ/kg. Green wood 50 %.",
        ),
    ),
)

START_FUEL = ("kind", "per_batch", "price")
"""The words of the first fuel that stand on the first sheet."""

FUEL_BASIS = Row(
    key="fuel.basis",
    label="If the fuel of a firing (fuel 1) is blank",
    kind="choice",
    choices=(
        Option("measured", "it is asked for: I measure it", ("measured", "typed")),
        Option("modelled", "take it from the heat model", ("model", "modelled", "modeled")),
    ),
    default="measured",
    if_blank="an empty fuel 1 is a fault",
    help="A typed fuel always counts as measured and is used. The model is a guess with a wide range: log "
    "one firing and type what it burnt.",
)

PRICE = Row(
    key="kiln.price",
    label="Price of the kiln",
    units=("$",),
    lowest=0.0,
    highest=1e9,
    required=True,
    help="A written quote with burner, afterburner, stack and controls; a price from a web page is a guess.",
)
INSTALLATION = Row(
    key="kiln.installation",
    label="Freight, pad, shelter, hook-up of the kiln",
    units=("$",),
    lowest=0.0,
    highest=1e9,
    required=True,
    help="Type 0 only if the quote includes all of it.",
)
OTHER_CAPITAL = Row(
    key="capital.other",
    label="Other things to buy (grinder, bins, bagger, scale)",
    units=("$",),
    lowest=0.0,
    highest=1e9,
    required=True,
    help="Type 0 if you have them all.",
)
BATCH_LOAD = Row(
    key="kiln.batch_load",
    label="Bones the kiln takes in one firing",
    units=("kg", "lb", "tonne", "short_ton"),
    us="lb",
    lowest=0.0,
    above_lowest=True,
    highest=1e5,
    required=True,
    help="Raw bones in one full load. The rating in litres or gallons of char is something else.",
)
BATCHES_PER_WEEK = Row(
    key="kiln.batches_per_week",
    label="Firings a week, at most",
    units=("a week",),
    lowest=0.0,
    above_lowest=True,
    highest=50.0,
    required=True,
    help="What your crew and the cooling time allow. kilncase makes as many as the bones need, up to this.",
)
WEEKS = Row(
    key="kiln.weeks_per_year",
    label="Weeks a year in which the kiln runs",
    units=("weeks",),
    lowest=1.0,
    highest=52.0,
    default=50.0,
    if_blank="50 weeks (assumed)",
    help="A full year less holidays, repairs and weather.",
)
LIFE = Row(
    key="kiln.life",
    label="Life of the kiln",
    units=("years",),
    lowest=0.5,
    highest=60.0,
    default=10.0,
    default_range=(5.0, 15.0),
    if_blank="10 years (5 to 15, from memory)",
    help="After it the kiln is bought and installed again, unless the study has ended.",
)
PEAK = Row(
    key="kiln.peak_temperature",
    label="Peak temperature in the middle of the load",
    units=("degC", "degF"),
    us="degF",
    lowest=100.0,
    highest=1300.0,
    default=500.0,
    if_blank="500 °C (932 °F)",
    help="Of the bones, not of the flame. Mind the unit: 900 °F is 482 °C, and the carbon class changes.",
)
YIELD = Row(
    key="kiln.char_yield",
    label="Char out, as a share of the bones put in",
    units=("%", "fraction"),
    lowest=0.01,
    highest=0.95,
    if_blank="computed from composition and temperature",
    help="Weigh one firing: dry char out ÷ raw bones in. Leave blank if you have not weighed.",
)
HOURS = Row(
    key="labour.hours_per_batch",
    label="Hours of people for one firing",
    units=("hours",),
    lowest=0.0,
    highest=500.0,
    required=True,
    help="Load, light, watch the drying, close, seal, empty, grind, bag, clean, write down. Or fill the tasks "
    "on the sheet Kiln and crew and leave this blank.",
)
WAGE = Row(
    key="labour.wage",
    label="Wage",
    units=("$ per hour",),
    lowest=0.0,
    highest=10000.0,
    required=True,
    help="Before the employer's share of taxes and benefits; the owner's own hours cost too.",
)
ON_COST = Row(
    key="labour.on_cost_share",
    label="Employer's taxes and benefits, on top of the wage",
    units=("%", "fraction"),
    lowest=0.0,
    highest=2.0,
    default=11.0,
    default_range=(7.6, 41.9),
    if_blank="11 % (legally required part, derived; 42 % with all benefits)",
    help="Added hours carry mainly the legally required part.",
)
MAINTENANCE = Row(
    key="running.maintenance_share",
    label="Repairs and wear a year, as a share of the kiln's price",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    default=5.0,
    default_range=(2.0, 10.0),
    if_blank="5 % (2 to 10, from memory)",
    help="Lining, grates, burner, thermocouples. Hot batch kilns lie in the upper half.",
)
OTHER_RUNNING = Row(
    key="running.other_per_year",
    label="Other running costs",
    units=("$ per year", "$ per month"),
    lowest=0.0,
    highest=1e8,
    default=0.0,
    if_blank="0",
    help="Lab tests, licences for the label, book-keeping, grease handling.",
)
INSURANCE = Row(
    key="running.insurance_per_year",
    label="Added insurance",
    units=("$ per year", "$ per month"),
    lowest=0.0,
    highest=1e8,
    required=True,
    help="Ask your insurer about fire before you sign. Type 0 only if they say so.",
)
PERMITS = Row(
    key="running.permits_per_year",
    label="Air and other permits, tests, fees",
    units=("$ per year", "$ per month"),
    lowest=0.0,
    highest=1e8,
    required=True,
    help="The permit office decides what a kiln of this kind is. Type 0 only if they say so.",
)
