"""The sheets of a scenario workbook, put together from the rows of each subject."""

from __future__ import annotations

from econ.inputs.rows import (
    after,
    bones,
    carbon,
    equipment,
    finance,
    firing,
    handling,
    kiln,
    market,
    measuring,
    money,
    options,
    products,
    ranges,
    start,
    tables,
    today,
)
from econ.inputs.schema import Section, SheetPlan, repeat

BLOCKS = (
    bones.BONES, kiln.FUEL, firing.TASK, products.PRODUCT, equipment.EQUIPMENT, equipment.WEAR, ranges.SPECIAL,
    ranges.TOGETHER, options.OPTION, after.PLANTING,
)  # fmt: skip

_TIER_KEYS = tuple(row.key for row in market.TIER_ROWS)
_COMPONENT_KEYS = tuple(f"{name}_share" for name in bones.COMPONENTS)

START = SheetPlan(
    "Start here",
    "Fill this sheet and you get a rough answer. The other sheets make it a good one.",
    (
        Section("The plant", (start.NAME, start.CURRENCY)),
        Section("The bones", repeat(bones.BONES, range(1, 2), ("mass", "excluded_share"))),
        Section("Today", (today.OPTION, today.SAVING)),
        Section(
            "What must be bought",
            (kiln.PRICE, kiln.INSTALLATION, kiln.OTHER_CAPITAL),
            "An empty cell here is a fault: type 0 where there is nothing to pay.",
        ),
        Section(
            "A firing",
            (
                kiln.BATCH_LOAD,
                kiln.BATCHES_PER_WEEK,
                kiln.HOURS,
                kiln.WAGE,
                *repeat(kiln.FUEL, range(1, 2), kiln.START_FUEL),
                kiln.YIELD,
            ),
        ),
        Section(
            "Every year",
            (kiln.INSURANCE, kiln.PERMITS),
            "An empty cell here is a fault: type 0 where there is nothing to pay.",
        ),
        Section("What the char brings", repeat(products.PRODUCT, range(1, 2), ("price", "market_limit"))),
        Section("The money", (money.YEARS, money.RATE)),
    ),
)

PLANS = (
    START,
    SheetPlan(
        "Bones",
        "What the bones are, and a second, third and fourth stream if you keep them apart.",
        (
            Section(
                "The first stream",
                repeat(bones.BONES, range(1, 2), ("kind", "heads", "bone_per_head", *_COMPONENT_KEYS)),
            ),
            Section(
                "Keeping and excluding",
                (
                    *repeat(bones.BONES, range(1, 2), ("older_share", "condemned_share")),
                    bones.RISK_PART,
                    bones.EXCLUDED_FEE,
                    bones.STORAGE_DAYS,
                ),
            ),
            Section("Mineral and yield", (bones.ASH_P, bones.ASH_CA, bones.WEIGHED_LOT, bones.RESIDUE)),
            Section("Fat that drips out", (bones.FAT_DRIP, bones.FAT_PRICE)),
            Section("More streams", repeat(bones.BONES, range(2, bones.BONES.count + 1))),
        ),
    ),
    SheetPlan(
        "Kiln and crew",
        "How the kiln is run and what it costs to keep.",
        (
            Section("The kiln", (kiln.PEAK, firing.MINUTES, firing.CORE_SHARE, kiln.WEEKS, kiln.LIFE)),
            Section("Running it", (kiln.ON_COST, kiln.MAINTENANCE, firing.WEAR, kiln.OTHER_RUNNING)),
            Section(
                "What it can take",
                (firing.NUMBER, firing.DOWNTIME, firing.VOLUME, firing.DENSITY, firing.LARGER),
                "All of these may stay blank.",
            ),
            Section(
                "By the clock",
                (*firing.CYCLE, firing.DAYS_A_WEEK, firing.SHIFT_HOURS),
                "Clock hours are not hours of people: a kiln cools without a crew.",
            ),
            Section(
                "Heat",
                (
                    kiln.FUEL_BASIS,
                    *repeat(kiln.FUEL, range(1, 2), ("moisture",)),
                    firing.EFFICIENCY,
                    firing.STEEL,
                ),
                "For the check of the fuel, or for the fuel itself where you ask for the model.",
            ),
            Section("Electricity", (firing.FAN, firing.GRINDER)),
            Section("Weighed firings", tables.LOG_SWITCHES, "From the sheet Kiln log, once it holds firings."),
            Section("More fuels", repeat(kiln.FUEL, range(2, kiln.FUEL.count + 1))),
            Section(
                "Tasks of one firing",
                (firing.WATCHING_PAID, *firing.TASKS),
                "In place of the hours on the first sheet; the plus signs at the edge open all fourteen tasks.",
            ),
            Section("Bones by month", firing.SUPPLY, "Only where the supply is seasonal."),
            Section("Fuel by month", firing.WEATHER, "Only where cold or wet loads take more."),
            Section(
                "Costs that a sketch forgets",
                (
                    finance.ASSAYS,
                    finance.REGISTRATION,
                    finance.TONNAGE_FEE,
                    finance.DOWNTIME,
                    finance.GREASE,
                    finance.OWNER_HOURS,
                    finance.OWNER_WORTH,
                    finance.PRICE_RISE,
                ),
            ),
            Section("Parts that wear", repeat(equipment.WEAR, range(1, equipment.WEAR.count + 1))),
            Section("Other equipment", repeat(equipment.EQUIPMENT, range(1, equipment.EQUIPMENT.count + 1))),
        ),
    ),
    SheetPlan(
        "Products",
        "What the char is finished to, and who buys how much of it.",
        (
            Section(
                "Finishing",
                (
                    products.GRIND,
                    products.TEA,
                    products.BAG,
                    products.SIZE,
                    products.FINES,
                    products.FINES_PRICE,
                    products.DUST,
                    products.BAG_WEIGHT,
                ),
            ),
            Section(
                "Charging, and the weight as sold",
                (
                    products.CHARGE,
                    products.CHARGE_RATIO,
                    products.CHARGE_WATER,
                    products.ADDED_WATER,
                    products.SOLD_MOISTURE,
                ),
                "Prices, market limits, net weights and labels are by weight as sold; balances by dry char.",
            ),
            Section("The first tier", repeat(products.PRODUCT, range(1, 2), ("share", "packing", *_TIER_KEYS))),
            Section("More tiers", repeat(products.PRODUCT, range(2, products.PRODUCT.count + 1))),
            Section(
                "Phosphate",
                (
                    products.AVAILABLE,
                    products.READ_FROM,
                    products.ANALYSIS_BASIS,
                    products.TOTAL_P2O5,
                    products.CALCIUM,
                    products.SOLUBLE,
                    products.P2O5_PRICE,
                    products.SOIL_PH,
                    products.SOIL_FACTOR,
                ),
            ),
            Section("Lab assays", tables.ASSAY_SWITCHES, "From the sheet Lab assay, once it holds samples."),
            Section("Customers", (products.AREA, products.LABEL_RATE)),
            Section(
                "How sales go",
                (
                    market.REST,
                    market.FIRST_SHARE,
                    market.YEARS_TO_FULL,
                    market.SALES_SHARE,
                    market.SPRING_SHARE,
                    market.FIRST_MONTH,
                ),
            ),
            Section("Own use", (market.OWN_USE, market.SOIL_TEST, market.AVOIDED)),
        ),
    ),
    SheetPlan(
        "Money",
        "The rate, tax, a grant, and what today's way costs on average.",
        (
            Section("The count", (money.BASIS, money.INFLATION)),
            Section("Tax", (money.TAX, money.LOSSES, equipment.KILN_DEPRECIATION)),
            Section("Beside the headline", (money.GRANT, money.SALVAGE, today.FEE)),
            Section(
                "Beyond the quotes",
                (
                    equipment.ESTIMATE_CLASS,
                    equipment.CONTINGENCY,
                    equipment.WORKING,
                    equipment.DECOMMISSIONING,
                ),
            ),
            Section(
                "Grant",
                (finance.GRANT_SHARE, finance.GRANT_TREATMENT, finance.GRANT_YEAR, finance.GRANT_MATCH),
                "Never in the headline.",
            ),
            Section(
                "Loan",
                (finance.LOAN, finance.LOAN_SHARE, finance.LOAN_RATE, finance.LOAN_YEARS, finance.LOAN_GRACE),
                "Never in the headline.",
            ),
            Section(
                "The rule behind the finding",
                (ranges.BUY_CHANCE, ranges.REFUSE_CHANCE, ranges.LEAST_NPV),
                "Your own limits: buy, do not buy, or measure first.",
            ),
            measuring.SECTION,
            Section("Ranges and chances", (ranges.SHAPE, ranges.TABLE_FIRST, ranges.TABLE_SECOND)),
            Section(
                "Inputs with a shape of their own", repeat(ranges.SPECIAL, range(1, ranges.SPECIAL.count + 1))
            ),
            Section("Inputs that move together", repeat(ranges.TOGETHER, range(1, ranges.TOGETHER.count + 1))),
        ),
    ),
    SheetPlan(
        "Carbon",
        "What a grant writer needs. Blank rows take cautious defaults, named in the results.",
        (
            Section(
                "How much carbon, how lasting",
                (
                    carbon.METHOD,
                    carbon.ORGANIC,
                    carbon.TOTAL,
                    carbon.CARBONATE,
                    carbon.HC,
                    carbon.LAB_CORRECTED,
                    carbon.USE_CORRECTED,
                    carbon.SOIL_T,
                    carbon.POSITION,
                ),
            ),
            Section(
                "Where the char goes",
                (
                    carbon.IN_SCOPE,
                    carbon.SOIL_KIND,
                    carbon.BEDS,
                    carbon.BLENDS,
                    carbon.OTHER_USE,
                    carbon.NEEDS_P,
                    carbon.DISPLACED,
                ),
                "Removal is counted at application and only for what is documented. Unsold char counts nothing.",
            ),
            Section(
                "What the kiln emits",
                (
                    carbon.GWP,
                    carbon.STACK_CH4,
                    carbon.STACK_N2O,
                    carbon.TEST_CH4,
                    carbon.TEST_N2O,
                    carbon.GRID,
                    carbon.UPSTREAM,
                    carbon.GRINDING,
                    carbon.BAGS,
                ),
            ),
            Section("Hauling", handling.HAULING, "Count only trips that the bones or the char cause."),
            Section(
                "What today's way emits",
                handling.BASELINE,
                "For the difference to current practice, which is never part of a removal.",
            ),
            Section("A carbon price", (carbon.PRICE, carbon.PROTOCOL), "What-if only; off in the headline."),
        ),
    ),
    options.PLAN,
    after.AFTER,
)
