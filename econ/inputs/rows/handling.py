"""Rows about what today's way emits, and about the carbon side of hauling and finishing."""

from __future__ import annotations

from econ.inputs.schema import Option, Row


def _share(key: str, label: str, if_blank: str, help_text: str) -> Row:
    return Row(
        key=key, label=label, units=("fraction", "%"), lowest=0.0, highest=1.0, if_blank=if_blank, help=help_text
    )


def _per_tonne(key: str, label: str, if_blank: str, help_text: str, lowest: float = 0.0) -> Row:
    return Row(
        key=key,
        label=label,
        units=("kg per tonne", "lb per short_ton"),
        us="kg per tonne",
        lowest=lowest,
        highest=10.0,
        if_blank=if_blank,
        help=help_text,
    )


OWN = _per_tonne(
    "handling.own_factor",
    "Emissions of burial, stockpile or another way, CO2e per mass of bones",
    "withheld where today's way is burial or something else",
    "Your own figure with its source. A shallow pit by the landfill formula stands on the results sheet.",
    lowest=-10.0,
)
COMPOST_BASIS = Row(
    key="handling.compost_basis",
    label="What the composting factors are applied to",
    kind="choice",
    choices=(
        Option(
            "degradable", "degradable dry matter of the bones (fat and protein)", ("organic", "degradable dry")
        ),
        Option("dry", "all dry matter of the bones", ("dry basis", "dry matter")),
        Option("wet", "wet weight of the bones", ("wet basis", "fresh")),
    ),
    default="degradable",
    if_blank="degradable dry matter: mineral does not rot (the least of the three)",
    help="The inventory table has a dry and a wet basis; the wet one takes 60 % moisture, bone has 14 to 50 %.",
)
COMPOST_CH4 = Row(
    key="handling.compost_ch4",
    label="Methane of composting, per mass on that basis",
    units=("g per kg",),
    lowest=0.0,
    highest=0.5,
    if_blank="10 g/kg dry (0.08 to 20), 4 g/kg wet (0.03 to 8)",
    help="Inventory table of composting; the ranges are wide because piles are.",
)
COMPOST_N2O = Row(
    key="handling.compost_n2o",
    label="N2O of composting, per mass on that basis",
    units=("g per kg",),
    lowest=0.0,
    highest=0.5,
    if_blank="0.6 g/kg dry (0.2 to 1.6), 0.24 g/kg wet (0.06 to 0.6)",
    help="Bone holds more nitrogen than the waste of the table: it may be more.",
)
CHIPS = Row(
    key="handling.chips",
    label="Chips or other carbon source that the bones need, per mass of bones",
    units=("kg per kg", "tonne per tonne"),
    lowest=0.0,
    highest=50.0,
    default=0.0,
    if_blank="0: only the bones are counted",
    help="New chips only. They take the low end of the table, 0.03 g CH4 and 0.06 g N2O per kg.",
)
COMPOST_N = _share(
    "handling.compost_n_kept",
    "Share of the nitrogen of the bones that compost keeps",
    "0.6 (0.4 to 1; assumed)",
    "The kiln drives it off; as compost it would have stood in for fertiliser: a credit lost.",
)
N_FERTILISER = Row(
    key="handling.n_fertiliser",
    label="Making of the nitrogen that this compost stands in for, CO2e",
    units=("kg per kg",),
    lowest=0.0,
    highest=20.0,
    if_blank="3 kg/kg (2 to 4; from memory)",
    help="0 where nobody would buy nitrogen instead.",
)
LF_DOC = _share(
    "handling.lf_doc",
    "Landfill: degradable carbon of the bones, wet",
    "0.15 as food waste (0.08 to 0.22)",
    "By composition fresh bone holds up to 0.22; there is no row for bone.",
)
LF_DOCF = _share(
    "handling.lf_docf", "Landfill: share of it that decomposes", "0.5 (0.5 to 0.7)", "The rest stays."
)
LF_MCF = _share(
    "handling.lf_mcf",
    "Landfill: methane correction",
    "1.0, managed and anaerobic (0.4 to 1.0)",
    "Semi-aerobic 0.5, deep unmanaged 0.8, shallow 0.4, unknown 0.6.",
)
LF_GAS = _share("handling.lf_gas", "Landfill: methane in the gas", "0.5 (0.5 to 0.6)", "By volume.")
LF_CAPTURE = _share(
    "handling.lf_capture",
    "Landfill: share of the gas that is captured",
    "0.75 (0.60 to 0.85), the cautious choice; 0 where there is no gas system",
    "Ask the landfill. Capture divides the methane by four: never take none without asking.",
)
LF_OX = _share(
    "handling.lf_ox", "Landfill: methane oxidised in the cover", "0.1 (0 to 0.1)", "0 without cover soil."
)
LF_DECAY = Row(
    key="handling.lf_decay",
    label="Landfill: decay rate",
    units=("each per year",),
    lowest=0.0,
    above_lowest=True,
    highest=5.0,
    if_blank="0.12 a year (0.06 dry to 0.185 wet)",
    help="Only the calendar uses it: how much of the methane has come out by which year.",
)
LF_ROTS = _share(
    "handling.lf_rots",
    "Landfill: share of the bone that decays like food waste",
    "1 (0.5 in the 'bone slow' case; assumed)",
    "Protein inside mineral decays slowly: real bone may be far lower.",
)
RENDERING = _per_tonne(
    "handling.rendering",
    "Rendering: emissions before product credits, CO2e per mass of bones",
    "158 kg/t (100 to 300), before haul",
    "Heat and power of the rendering plant.",
)
MEAL = Row(
    key="handling.meal_credit",
    label="Rendering: what a mass of meal displaces, CO2e",
    units=("kg per kg",),
    lowest=0.0,
    highest=10.0,
    if_blank="0.55 kg/kg (0.4 to 0.7; weak)",
    help="Soybean meal without land-use change. Only in the lines 'with product credits'.",
)
TALLOW = Row(
    key="handling.tallow_credit",
    label="Rendering: what a mass of tallow displaces, CO2e",
    units=("kg per kg",),
    lowest=0.0,
    highest=10.0,
    if_blank="2 kg/kg (1 to 3; weak)",
    help="Palm oil or fuel. Only in the lines 'with product credits'.",
)
TRIPS = Row(
    key="handling.haul_trips",
    label="Today: trips in a year that the bones cause",
    units=("each",),
    lowest=0.0,
    highest=1e5,
    default=0.0,
    if_blank="0: a pick-up that comes anyway does not count",
    help="Only trips that would end with the bones.",
)
DISTANCE = Row(
    key="handling.haul_distance",
    label="Today: distance of such a trip, there and back",
    units=("km", "mile"),
    us="mile",
    lowest=0.0,
    highest=1e8,
    default=0.0,
    if_blank="0",
    help="A share of it where the truck has other stops.",
)
BASELINE = (
    OWN, COMPOST_BASIS, COMPOST_CH4, COMPOST_N2O, CHIPS, COMPOST_N, N_FERTILISER, LF_DOC, LF_DOCF, LF_MCF,
    LF_GAS, LF_CAPTURE, LF_OX, LF_DECAY, LF_ROTS, RENDERING, MEAL, TALLOW, TRIPS, DISTANCE,
)  # fmt: skip

HAUL_TRIPS = Row(
    key="haul.trips",
    label="Trips in a year that the kiln causes",
    units=("each",),
    lowest=0.0,
    highest=1e5,
    default=0.0,
    if_blank="0",
    help="Bones fetched, char delivered, fuel brought: only what would not be driven otherwise.",
)
HAUL_DISTANCE = Row(
    key="haul.distance",
    label="Distance of such a trip, there and back",
    units=("km", "mile"),
    us="mile",
    lowest=0.0,
    highest=1e8,
    default=0.0,
    if_blank="0",
    help="By the odometer.",
)
HAUL_USE = Row(
    key="haul.fuel_use",
    label="Diesel of the vehicle per distance",
    units=("L per km", "gal per mile"),
    us="gal per mile",
    lowest=0.0,
    highest=0.01,
    if_blank="0.12 L/km (0.08 to 0.18; about 20 miles a gallon; assumed)",
    help="1 ÷ miles per gallon. Used for both lists of trips.",
)
HAUL_MASS = Row(
    key="haul.mass",
    label="Or by mass and distance: mass hauled in a year",
    units=("tonne per year", "kg per year", "short_ton per year", "lb per year"),
    us="short_ton per year",
    lowest=0.0,
    highest=1e9,
    default=0.0,
    if_blank="0",
    help="For freight by a carrier. Not the loads already counted as trips.",
)
HAUL_MASS_DISTANCE = Row(
    key="haul.mass_distance",
    label="Distance of that freight, one way",
    units=("km", "mile"),
    us="mile",
    lowest=0.0,
    highest=1e8,
    default=0.0,
    if_blank="0",
    help="Loaded way only: the factor counts the vehicle's return.",
)
VEHICLE = Row(
    key="haul.vehicle",
    label="Vehicle of that freight",
    kind="choice",
    choices=(
        Option("truck", "truck, medium or heavy", ("lorry", "hgv")),
        Option("small-truck", "small truck, 3.5 to 7.5 t", ("rigid", "small lorry")),
        Option("van", "van"),
    ),
    default="truck",
    if_blank="truck: 0.115 kg CO2 per tonne and km (0.110 to 0.145)",
    help="Small truck 0.5, van 0.6 kg CO2e per tonne and km.",
)
HAULING = (HAUL_TRIPS, HAUL_DISTANCE, HAUL_USE, HAUL_MASS, HAUL_MASS_DISTANCE, VEHICLE)
