"""Rows about a firing in detail: capacity, heat, clock, tasks, months. All may stay blank."""

from __future__ import annotations

from dataclasses import replace

from econ.inputs.schema import Block, Option, Row, repeat

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
MONTH_NAMES = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip

NUMBER = Row(
    key="kiln.number",
    label="Kilns that share the work",
    units=("kilns",),
    kind="whole",
    lowest=1.0,
    highest=20.0,
    if_blank="1",
    help="Load and firings a week are those of each kiln; price, installation and repairs those of all of "
    "them together.",
)
DOWNTIME = Row(
    key="kiln.downtime_share",
    label="Firings lost to repairs, weather and failed loads",
    units=("%", "fraction"),
    lowest=0.0,
    highest=0.95,
    if_blank="none beyond the weeks above",
    help="Of the firings that crew and weeks would allow.",
)
VOLUME = Row(
    key="kiln.volume",
    label="Room for bones inside the kiln",
    units=("m3", "L", "ft3", "gal"),
    us="ft3",
    lowest=0.0,
    above_lowest=True,
    highest=1e6,
    if_blank="the load by weight alone counts",
    help="Usable volume of basket or drum. Whole bones lie loose: the kiln may be full before it is heavy.",
)
DENSITY = Row(
    key="bones.bulk_density",
    label="Weight of loose raw bones by volume",
    units=("kg per m3", "lb per ft3"),
    us="lb per ft3",
    lowest=0.05,
    highest=1.5,
    if_blank="350 kg/m³ (250 to 550, assumed)",
    help="Weigh a bin of known size. Counts only where the room inside the kiln is filled in.",
)
CORE_SHARE = Row(
    key="kiln.core_share",
    label="Share of the charge that reached the peak temperature",
    units=("%", "fraction"),
    lowest=0.05,
    highest=1.0,
    if_blank="all of it",
    help="From thermocouples or from broken pieces. What is not done is picked out and fired again: it takes "
    "room from new bones.",
)
MINUTES = Row(
    key="kiln.minutes_above",
    label="Minutes that the middle of the load stayed at the peak",
    units=("min",),
    lowest=0.0,
    highest=1440.0,
    if_blank="not stated",
    help="Goes into the record of the firing; no figure hangs on it.",
)
WEAR = Row(
    key="kiln.wear_per_firing",
    label="Wear of one firing (liner, grates, thermocouples)",
    units=("$",),
    lowest=0.0,
    highest=1e6,
    if_blank="in the yearly repairs",
    help="What wears with each firing, full or not; then keep the yearly repairs to the rest.",
)
LARGER = Row(
    key="kiln.larger_load",
    label="A size to look at: bones it would take in one firing",
    units=("kg", "lb", "tonne", "short_ton"),
    us="lb",
    lowest=0.0,
    above_lowest=True,
    highest=1e5,
    if_blank="no other size is shown",
    help="Shown beside the answer only: price by the six-tenths rule, a rule of thumb, not a quote.",
)

EFFICIENCY = Row(
    key="kiln.efficiency",
    label="Share of the fuel's heat that reaches the charge",
    units=("%", "fraction"),
    lowest=0.01,
    highest=0.95,
    if_blank="25 % (10 to 50, assumed)",
    help="On the lower heating value. The rest goes up the stack and through the walls.",
)
STEEL = Row(
    key="kiln.steel_mass",
    label="Steel and lining heated in each firing",
    units=("kg", "lb", "tonne", "short_ton"),
    us="lb",
    lowest=0.0,
    highest=1e5,
    if_blank="as heavy as a full load of bones (assumed)",
    help="The vessel, lids and basket of one kiln; ask the maker.",
)
FAN = Row(
    key="power.fan_per_firing",
    label="Electricity of fans and controls in one firing",
    units=("kWh", "MJ"),
    lowest=0.0,
    highest=1e5,
    if_blank="in the fuels",
    help="Kilowatts of the fan × its hours. Needs electricity among the fuels, with its price.",
)
GRINDER = Row(
    key="power.grinder_per_char",
    label="Electricity of the grinder",
    units=("kWh per tonne", "kWh per short_ton"),
    us="kWh per short_ton",
    lowest=0.0,
    highest=1000.0,
    if_blank="in the cost of grinding",
    help="5 (3 to 10) kWh a tonne to below 5 mm, 12 (8 to 25) to below 1 mm, from memory. Needs electricity "
    "among the fuels.",
)


def _clock(key: str, label: str, help_text: str) -> Row:
    return Row(
        key=f"cycle.{key}_hours",
        label=label,
        units=("hour",),
        lowest=0.0,
        highest=240.0,
        if_blank="not shown",
        help=help_text,
    )


CYCLE = (
    _clock("load", "Clock hours to load", "By the clock, however many people. Fill all four, or none."),
    _clock("fire", "Clock hours of fire", "From lighting to the end of the peak; 4 to 10 hours, from memory."),
    _clock("cool", "Clock hours to cool, sealed", "Unattended; 8 to 24 hours, from memory. Never open it hot."),
    _clock("empty", "Clock hours to empty", "Until the kiln may be loaded again."),
)
DAYS_A_WEEK = Row(
    key="shift.days_per_week",
    label="Days a week with a crew",
    units=("days a week",),
    lowest=0.0,
    above_lowest=True,
    highest=7.0,
    if_blank="the firings a week alone count",
    help="With the hours of a shift and the four clock hours, this too limits the firings a week.",
)
SHIFT_HOURS = Row(
    key="shift.hours_per_day",
    label="Hours a day with a crew",
    units=("hour",),
    lowest=0.0,
    above_lowest=True,
    highest=24.0,
    if_blank="the firings a week alone count",
    help="Loading, fire and emptying are attended and must fit into it; cooling may run overnight.",
)
WATCHING_PAID = Row(
    key="labour.watching_share",
    label="Share of the wage paid for idle watching",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    if_blank="100 %: watching is paid work",
    help="Less only where the same person does other paid work meanwhile.",
)

TASK_NAMES = (
    "collect", "load", "light", "watch the drying", "close the lids", "watch the gas fire", "seal", "empty",
    "grind", "charge with tea", "bag", "clean", "records", "fire-watch",
)  # fmt: skip
"""The tasks of a firing in order; a typed name replaces one."""
WATCHING = frozenset({"watch the drying", "watch the gas fire", "fire-watch"})

TASK = Block(
    name="task",
    title="task",
    count=14,
    trigger="hours",
    rows=(
        Row(
            key="name",
            label="Another name for it",
            kind="text",
            help="If your task is a different one.",
        ),
        Row(
            key="hours",
            label="Clock hours in one firing",
            units=("hour",),
            lowest=0.0,
            highest=240.0,
            if_blank="no such task",
            help="Counts where the hours of people for one firing (first sheet) are blank.",
        ),
        Row(
            key="people",
            label="People at it",
            units=("people",),
            lowest=0.0,
            highest=50.0,
            if_blank="1",
            help="Hours of people = clock hours × people.",
        ),
        Row(
            key="watching",
            label="Is it idle watching?",
            kind="choice",
            choices=(Option("no", "no"), Option("yes", "yes")),
            default="no",
            if_blank="no",
            help="Standing by, with hands free.",
        ),
    ),
)


def _task(row: Row) -> Row:
    """A row of a task with the task's own name in it; the watching ones count as such if left blank."""
    name = TASK_NAMES[row.number - 1]
    label = f"{row.label.partition(' (')[0]} (task {row.number}: {name})"
    if row.key.endswith(".name"):
        return replace(row, label=label, if_blank=name)
    if row.key.endswith(".watching") and name in WATCHING:
        return replace(row, label=label, default="yes", if_blank="yes")
    return replace(row, label=label)


TASKS = tuple(_task(row) for row in repeat(TASK, range(1, TASK.count + 1)))

SUPPLY = tuple(
    Row(
        key=f"supply.{month}_share",
        label=f"Share of the year's bones in {name}",
        units=("%", "fraction"),
        lowest=0.0,
        highest=1.0,
        if_blank="every month alike",
        help="Fill all twelve, or none. Bones above what the kiln takes in a month stay with today's way."
        if month == "jan"
        else "As for January: all twelve, or none.",
    )
    for month, name in zip(MONTHS, MONTH_NAMES, strict=True)
)
WEATHER = tuple(
    Row(
        key=f"weather.{month}_factor",
        label=f"Fuel of a firing in {name}, times",
        units=("times",),
        lowest=0.5,
        highest=5.0,
        if_blank="1",
        help="Frozen or rain-wet loads and cold weather. A load frozen at -18 °C takes about 1.13 "
        "(house arithmetic, 35 % water)."
        if month == "jan"
        else "As for January.",
    )
    for month, name in zip(MONTHS, MONTH_NAMES, strict=True)
)
