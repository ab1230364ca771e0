"""Rows about what may be said on carbon."""

from __future__ import annotations

from econ.inputs.schema import Option, Row

METHOD = Row(
    key="carbon.persistence_method",
    label="How the lasting share of the carbon is found",
    kind="choice",
    choices=(
        Option(
            "temperature-class",
            "temperature class (inventory method)",
            ("temperature", "class", "inventory", "ipcc"),
        ),
        Option(
            "hydrogen-ratio",
            "H/C_org and soil temperature",
            ("h/c", "h/corg", "h/c_org", "hydrogen", "woolf"),
        ),
    ),
    default="temperature-class",
    if_blank="temperature class",
    help="The inventory table has no row for bone: either method is an estimate outside its data.",
)
ORGANIC = Row(
    key="carbon.organic_share",
    label="Organic carbon of the dry char",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    if_blank="computed from the material balance (5 to 12 % is usual)",
    help="From a lab: total carbon less carbonate carbon. Wood char has 60 to 90 %, bone char about 10 %.",
)
HC = Row(
    key="carbon.h_corg",
    label="H/C_org of the char (molar)",
    units=("mol/mol",),
    lowest=0.0,
    highest=3.0,
    if_blank="the H/C_org figure is withheld",
    help="From the lab, dry. Hydrogen of the mineral itself can add 0.2 and make a good char look poor.",
)
SOIL_T = Row(
    key="carbon.soil_temperature",
    label="Mean soil temperature where the char goes",
    units=("degC", "degF"),
    us="degF",
    lowest=-20.0,
    highest=45.0,
    default=15.0,
    if_blank="15 °C (59 °F), about the world's cropland mean",
    help="Used by the H/C_org method only; outside 5 to 25 °C the figure is withheld.",
)
IN_SCOPE = Row(
    key="carbon.in_scope_share",
    label="Share of the char that goes on field, grassland or orchard soil",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    default=100.0,
    if_blank="100 %, with a warning: document where it goes",
    help="The method covers mineral cropland and grassland soil. Raised beds, pots, lawns, filters: not.",
)
POSITION = Row(
    key="carbon.persistence_position",
    label="Place of the lasting share within its published range",
    units=("position",),
    lowest=-1.0,
    highest=1.0,
    default=0.0,
    default_range=(-1.0, 1.0),
    if_blank="the middle; the whole range in the table of effects",
    help="Leave blank. It lets the range of the method show in the effects.",
)
GWP = Row(
    key="carbon.gwp_set",
    label="Global warming potentials",
    kind="choice",
    choices=(
        Option("AR6", "AR6 (IPCC 2021), 100 years", ("ar6",)),
        Option("AR5", "AR5 (IPCC 2013), 100 years", ("ar5",)),
    ),
    default="AR6",
    if_blank="AR6",
    help="One set for everything. National inventories use AR5.",
)
STACK_CH4 = Row(
    key="carbon.stack_ch4",
    label="Methane up the stack, per mass of gas-forming matter",
    units=("g per kg",),
    lowest=0.0,
    highest=0.5,
    factor="kiln_ch4v_retort",
    if_blank="1 g/kg (0.1 to 8.5; assumed: no bone kiln has been measured)",
    help="Per kg of fat and protein turned to gas. A stack test of your own beats any figure.",
)
STACK_N2O = Row(
    key="carbon.stack_n2o_share",
    label="Share of the lost nitrogen that leaves as N2O",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    factor="kiln_n2o_n",
    if_blank="0.5 % (0 to 2; assumed: unknown)",
    help="N2O-N per N driven off. About 1 % cancels the removal.",
)
GRID = Row(
    key="carbon.grid_factor",
    label="CO2 of a kilowatt-hour from your grid",
    units=("kg per kWh", "lb per kWh"),
    us="kg per kWh",
    lowest=0.0,
    highest=5.0,
    factor="grid_us",
    if_blank="0.373 kg/kWh (US mean 2022, from memory)",
    help="Your supplier's or region's figure is better.",
)
TOTAL = Row(
    key="carbon.total_share",
    label="Total carbon of the dry char",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    if_blank="not used",
    help="With the line below it gives the organic carbon if that is blank: total less CaCO3 × 12/100.",
)
CARBONATE = Row(
    key="carbon.caco3_share",
    label="Carbonate of the dry char, as CaCO3",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    if_blank="not used (6 to 10 % is usual)",
    help="Carbonate carbon was in the bone before: it is shown and never counted.",
)
SOIL_KIND = Row(
    key="carbon.soil_kind",
    label="Kind of soil that the char in scope goes on",
    kind="choice",
    choices=(
        Option("mineral", "mineral soil of field, grassland or orchard", ("mineral soil", "cropland", "orchard")),
        Option("organic", "peat or other organic soil", ("peat", "organic soil", "muck")),
        Option("none", "no soil", ("not soil", "filter", "feed")),
    ),
    default="mineral",
    if_blank="mineral soil",
    help="Neither method covers organic soil or uses other than soil: the figure is then withheld.",
)
LAB_CORRECTED = Row(
    key="carbon.lab_corrected",
    label="Has the lab taken the hydrogen of the mineral off H/C_org?",
    kind="choice",
    choices=(
        Option("yes", "yes"),
        Option("no", "no"),
        Option("not-known", "not known", ("unknown", "do not know")),
    ),
    default="not-known",
    if_blank="not known",
    help="Apatite holds 0.2 % hydrogen; over 10 % carbon that adds about 0.2 to the ratio. Ask the lab.",
)
USE_CORRECTED = Row(
    key="carbon.use_corrected",
    label="Use H/C_org less the hydrogen of the mineral",
    kind="choice",
    choices=(Option("no", "no"), Option("yes", "yes")),
    default="no",
    if_blank="no: both are shown, the one from the lab is used",
    help="The correction is arithmetic on pure apatite, not a lab result: it errs upward in the claim.",
)


def _end_use(key: str, label: str, help_text: str) -> Row:
    return Row(
        key=key,
        label=label,
        units=("%", "fraction"),
        lowest=0.0,
        highest=1.0,
        default=0.0,
        if_blank="0 %",
        help=help_text,
    )


BEDS = _end_use("carbon.beds_share", "Share to raised beds and containers", "No removal: outside the method.")
BLENDS = _end_use("carbon.blends_share", "Share to compost blends", "No removal until its soil is documented.")
OTHER_USE = _end_use("carbon.other_share", "Share to any other use", "Filters, feed, fuel, lawns: no removal.")
NEEDS_P = Row(
    key="carbon.needs_p_share",
    label="Share of the char used where a soil test calls for phosphate",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    default=0.0,
    if_blank="0 %: no fertiliser counted as displaced",
    help="Fertiliser is displaced by available P2O5 only, and not at all where the soil has enough.",
)
DISPLACED = Row(
    key="carbon.displaced_factor",
    label="Making of the phosphate displaced, CO2e per mass of P2O5",
    units=("kg per kg",),
    lowest=0.0,
    highest=10.0,
    if_blank="0.54 kg/kg, triple superphosphate (0.38 to 1.1)",
    help="Ground rock phosphate 0.2, DAP 0.65.",
)
UPSTREAM = Row(
    key="carbon.upstream_share",
    label="Upstream of fossil fuel, on top of burning it",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    default=0.0,
    if_blank="0 %: burning only (15 to 25 % is usual)",
    help="From the well to the tank. Switches it on for kiln fuel and for hauling.",
)
GRINDING = Row(
    key="carbon.grind_energy",
    label="Electricity for grinding, per mass of char",
    units=("kWh per tonne", "kWh per short_ton"),
    us="kWh per short_ton",
    lowest=0.0,
    highest=10.0,
    default=0.0,
    if_blank="0 (3 to 10 kWh/t below 5 mm, 8 to 25 below 1 mm, from memory)",
    help="Leave blank where the grinder is among the fuels already.",
)
BAGS = Row(
    key="carbon.bag_factor",
    label="Making of bags, CO2e per mass of char",
    units=("kg per tonne", "lb per short_ton"),
    us="kg per tonne",
    lowest=0.0,
    highest=10.0,
    default=0.0,
    if_blank="0",
    help="Mass of a bag ÷ char in it × the maker's figure.",
)
TEST_CH4 = Row(
    key="carbon.test_ch4",
    label="Own stack test: methane of one firing",
    units=("kg", "g", "lb"),
    us="lb",
    lowest=0.0,
    highest=1e4,
    if_blank="the figure per mass of gas-forming matter above",
    help="Replaces the figure above.",
)
TEST_N2O = Row(
    key="carbon.test_n2o",
    label="Own stack test: N2O of one firing",
    units=("kg", "g", "lb"),
    us="lb",
    lowest=0.0,
    highest=1e4,
    if_blank="the share of the lost nitrogen above",
    help="Replaces the share above.",
)
PRICE = Row(
    key="carbon.price",
    label="What if: price of a tonne of CO2e",
    units=("$ per tonne",),
    lowest=0.0,
    highest=100.0,
    if_blank="no what-if",
    help="Never part of the headline. Needs the protocol below.",
)
PROTOCOL = Row(
    key="carbon.protocol",
    label="Protocol under which it would be issued",
    kind="text",
    if_blank="the what-if is withheld",
    help="Name and version. Ask whether bone is an eligible feedstock before anything else.",
)
