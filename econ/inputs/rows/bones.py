"""Rows about the bones: how much, of what, what may not be fired."""

from __future__ import annotations

from econ.inputs.schema import Block, Option, Row

KINDS = (
    Option("beef-mixed", "beef, mixed bones", ("beef", "beef mixed", "beef_mixed")),
    Option("beef-femur", "beef leg bones (femur)", ("beef femur", "femur")),
    Option("sheep-pig-limb", "sheep and pig limb bones", ("sheep", "pig", "sheep pig limb", "limb")),
    Option("green-bone", 'wet "green" bone with marrow', ("green bone", "green")),
    Option("meaty-trim", "meaty trim and bone", ("meaty trim", "trim")),
    Option("poultry", "poultry bones", ("chicken",)),
)

COMPONENTS = ("water", "fat", "protein", "ash")


def _component(name: str, label: str) -> Row:
    return Row(
        key=f"{name}_share",
        label=label,
        units=("%", "fraction"),
        lowest=0.0,
        highest=1.0,
        if_blank="published or assumed composition of the kind of bone",
        help="Only from an assay of your own bones. Fill all four; they must add up to 100 %.",
    )


BONES = Block(
    name="bones",
    title="stream",
    count=4,
    trigger="mass",
    rows=(
        Row(
            key="mass",
            label="Bones you have",
            units=(
                "kg per week",
                "lb per week",
                "kg per month",
                "lb per month",
                "tonne per year",
                "short_ton per year",
                "kg per year",
                "lb per year",
            ),
            us="lb per week",
            lowest=0.0,
            above_lowest=True,
            highest=50e6,
            required=True,
            unless="heads",
            help="As they leave the cutting room, wet. Weigh the barrels of a month if you can.",
        ),
        Row(
            key="excluded_share",
            label="Share that may not be fired",
            units=("%", "fraction"),
            lowest=0.0,
            highest=1.0,
            default=0.0,
            required=True,
            unless="older_share",
            if_blank="no share excluded, or what the age of the cattle gives",
            help="Specified risk material (skull and backbone of cattle of 30 months and over), condemned "
            "parts. Type 0 if there is none. The kiln is not claimed to make them safe.",
        ),
        Row(
            key="kind",
            label="Kind of bones",
            kind="choice",
            choices=KINDS,
            default="beef-mixed",
            if_blank="beef, mixed bones",
            help="Decides water, fat, protein and mineral unless you give an assay.",
        ),
        Row(
            key="heads",
            label="Or: animals cut up",
            units=("head per week", "head per month", "head per year"),
            lowest=0.0,
            highest=1e7,
            if_blank="the bones are weighed (row above)",
            help="Instead of a weight: animals × bone per animal. A weight, where given, wins.",
        ),
        Row(
            key="bone_per_head",
            label="Bones of one animal",
            units=("kg per head", "lb per head"),
            us="lb per head",
            lowest=0.0,
            highest=500.0,
            if_blank="50 kg (110 lb) for beef; any other kind must be typed (hog about 10 kg, lamb about 5 kg)",
            help="What your cutting leaves, not what the carcass holds: weigh the barrel of one animal.",
        ),
        Row(
            key="older_share",
            label="Cattle of 30 months and over, share of the animals",
            units=("%", "fraction"),
            lowest=0.0,
            highest=1.0,
            if_blank="the share that may not be fired is typed",
            help="Leave the share that may not be fired blank, and skull and backbone of these are kept out.",
        ),
        Row(
            key="condemned_share",
            label="Condemned, share of the other bones",
            units=("%", "fraction"),
            lowest=0.0,
            highest=1.0,
            if_blank="0; read only where the age of the cattle is given",
            help="Added to the risk material of the older cattle.",
        ),
        _component("water", "Water in the bones"),
        _component("fat", "Fat in the bones"),
        _component("protein", "Protein in the bones"),
        _component("ash", "Mineral (ash) in the bones"),
    ),
)

EXCLUDED_FEE = Row(
    key="excluded.fee",
    label="Fee for the bones that may not be fired",
    units=("$ per tonne", "$ per kg", "$ per lb", "$ per short_ton"),
    us="$ per lb",
    lowest=-10.0,
    highest=100.0,
    default=0.0,
    if_blank="0: still covered by what stays of today's bill",
    help="What their separate disposal costs on top of the part of today's bill that stays.",
)

STORAGE_DAYS = Row(
    key="bones.storage_days",
    label="Days that raw bones may be kept before firing",
    units=("days",),
    lowest=1.0,
    highest=365.0,
    default=7.0,
    if_blank="7 days (assumed: kept cold and covered)",
    help="Decides the least number of firings: bones that cannot wait are fired in a part load. "
    "Unrefrigerated bones keep 1 to 3 days; follow your inspector.",
)

RISK_PART = Row(
    key="excluded.risk_part",
    label="Skull and backbone, share of the bones of an older animal",
    units=("%", "fraction"),
    lowest=0.0,
    highest=1.0,
    if_blank="30 % (assumed, 20 to 45 %), where the age of the cattle is given",
    help="Weigh those of one animal. Brain, spinal cord and ganglia are outside this figure and stay out too.",
)
WEIGHED_LOT = Row(
    key="bones.assay_of_weighed_load",
    label="Is the assay of the very load whose char was weighed?",
    kind="choice",
    choices=(Option("no", "no, or no assay", ("no",)), Option("yes", "yes, the same load", ("yes",))),
    default="no",
    if_blank="no: where scale and assay disagree, the scale is believed and the composition is refitted",
    help="If yes, char of less than the mineral of the load is a fault of one of the two.",
)


def _content(key: str, label: str, factor: str, if_blank: str, help_text: str) -> Row:
    return Row(
        key=key, label=label, units=("%", "fraction"), lowest=0.0, highest=1.0,
        factor=factor, if_blank=if_blank, help=help_text,
    )  # fmt: skip


ASH_P = _content(
    "bones.ash_p_share", "Phosphorus in bone mineral (elemental P)", "ash_p", "17.5 % (17 to 18.5 %)",
    "Of the ash. Pure hydroxyapatite holds 18.5 %: a higher figure is P2O5.",
)  # fmt: skip
ASH_CA = _content(
    "bones.ash_ca_share", "Calcium in bone mineral", "ash_ca", "37 % (36 to 38.5 %)", "Of the ash; elemental Ca."
)  # fmt: skip
RESIDUE = Row(
    key="kiln.residue_ratio",
    label="Protein left as char, against the house model",
    units=("fraction", "%"),
    lowest=0.0,
    highest=3.0,
    factor="residue_rel",
    if_blank="1 (0.74 to 1.3): the model as it stands",
    help="The weakest link of a computed yield. At 500 °C 0.74 gives char of 85 % ash. Weigh a firing instead.",
)
FAT_DRIP = Row(
    key="kiln.fat_drip_share",
    label="Fat that melts and drips out before it burns",
    units=("%", "fraction"),
    lowest=0.0,
    highest=0.6,
    default=0.0,
    default_range=(0.0, 60.0),
    if_blank="0; up to 60 % in a slow vessel (assumed)",
    help="Weigh the drip pan. What drips out is lost to the gas and needs a taker.",
)
FAT_PRICE = Row(
    key="fat.price",
    label="What the dripped fat brings (minus if you pay)",
    units=("$ per kg", "$ per lb", "$ per tonne", "$ per short_ton"),
    us="$ per lb",
    lowest=-100.0,
    highest=100.0,
    if_blank="nothing is paid or earned",
    help="Per mass of fat. Grease in the drain may need a permit.",
)
