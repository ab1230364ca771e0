"""Rows about what may be said on carbon."""

from __future__ import annotations

from econ.scenario.schema import Option, Row

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
