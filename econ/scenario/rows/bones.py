"""Rows about the bones: how much, of what, what may not be fired."""

from __future__ import annotations

from econ.scenario.schema import Block, Option, Row

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
            highest=50e6,
            required=True,
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
            if_blank="no share excluded",
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
