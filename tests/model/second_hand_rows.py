"""What the second hand counts: the plant as it is typed, and every row of its workbook with its rule.

In a formula `#name` is a single figure (an input or a line of the sheet "A year"), `@name` the same
year's figure of a row of "Cash", `@@name` that of the year before. Each row names the row of the scenario
workbook whose label or help is its rule; `common practice` marks a step of book-keeping that no help
spells out. All figures are invented.
"""

from __future__ import annotations

from dataclasses import dataclass

Value = float | str


@dataclass(frozen=True)
class Given:
    """One row as it is typed: the key of the program, the value, its unit (none for choices)."""

    key: str
    value: Value
    unit: str | None = None


# name in the formulas: what is typed. Invented figures, round, so that a person can follow them.
PLANT: dict[str, Given] = {
    "name": Given("plant.name", "Second hand (invented)"),
    "currency": Given("plant.currency", "USD"),
    "bones": Given("bones.1.mass", 24.0, "tonne per year"),
    "excluded": Given("bones.1.excluded_share", 0.0, "%"),
    "storage": Given("bones.storage_days", 30.0, "days"),
    "today": Given("current.option", "rendering"),
    "saving": Given("current.saving", 500.0, "$ per month"),
    "price": Given("kiln.price", 40000.0, "$"),
    "installation": Given("kiln.installation", 8000.0, "$"),
    "other_capital": Given("capital.other", 6000.0, "$"),
    "working": Given("capital.working", 2500.0, "$"),
    "load": Given("kiln.batch_load", 500.0, "kg"),
    "firings_a_week": Given("kiln.batches_per_week", 2.0, "a week"),
    "weeks": Given("kiln.weeks_per_year", 50.0, "weeks"),
    "life": Given("kiln.life", 5.0, "years"),
    "char_yield": Given("kiln.char_yield", 0.45, "fraction"),
    "depreciation": Given("kiln.depreciation", "straight-line"),
    "hours": Given("labour.hours_per_batch", 6.0, "hours"),
    "wage": Given("labour.wage", 20.0, "$ per hour"),
    "on_cost": Given("labour.on_cost_share", 0.12, "fraction"),
    "fuel_kind": Given("fuel.1.kind", "propane"),
    "fuel": Given("fuel.1.per_batch", 80.0, "L"),
    "fuel_price": Given("fuel.1.price", 0.7, "$ per L"),
    "maintenance": Given("running.maintenance_share", 0.04, "fraction"),
    "insurance": Given("running.insurance_per_year", 1200.0, "$ per year"),
    "permits": Given("running.permits_per_year", 800.0, "$ per year"),
    "other_running": Given("running.other_per_year", 50.0, "$ per month"),
    "assays": Given("costs.assays", 300.0, "$ per year"),
    "grind": Given("finish.grind_cost", 0.05, "$ per kg"),
    "tea": Given("finish.tea_cost", 0.0, "$ per kg"),
    "bag": Given("finish.bag_cost", 0.0, "$ per kg"),
    "fines": Given("finish.fines_share", 0.0, "fraction"),
    "dust": Given("finish.dust_share", 0.0, "fraction"),
    "tier_1_price": Given("product.1.price", 4.0, "$ per kg"),
    "tier_1_limit": Given("product.1.market_limit", 5000.0, "kg per year"),
    "tier_1_share": Given("product.1.share", 0.25, "fraction"),
    "tier_1_discount": Given("product.1.channel_discount", 0.2, "fraction"),
    "tier_1_packaging": Given("product.1.packaging", 0.12, "$ per kg"),
    "tier_2_price": Given("product.2.price", 2.0, "$ per kg"),
    "tier_2_limit": Given("product.2.market_limit", 20000.0, "kg per year"),
    "tier_2_share": Given("product.2.share", 0.75, "fraction"),
    "tier_2_freight": Given("product.2.freight", 0.08, "$ per kg"),
    "tonnage_fee": Given("costs.tonnage_fee", 6.0, "$ per tonne"),
    "first_share": Given("market.first_year_share", 0.4, "fraction"),
    "full_year": Given("market.years_to_full", 4.0, "years"),
    "years": Given("money.study_years", 9.0, "years"),
    "rate": Given("money.discount_rate", 0.08, "fraction"),
    "basis": Given("money.basis", "nominal"),
    "inflation": Given("money.inflation", 0.025, "fraction"),
    "tax_rate": Given("money.tax_rate", 0.27, "fraction"),
    "losses": Given("money.tax_losses", "carried-forward"),
    "salvage": Given("money.salvage_share", 0.1, "fraction"),
    "grant": Given("money.grant", 15000.0, "$"),
    "grant_tax": Given("grant.treatment", "taxable"),
    "grant_year": Given("grant.year", 2.0, "years"),
    "loan": Given("loan.principal", 30000.0, "$"),
    "loan_rate": Given("loan.rate", 0.072, "fraction"),
    "loan_years": Given("loan.years", 5.0, "years"),
    "loan_grace": Given("loan.grace_months", 4.0, "each"),
    "contingency": Given("capital.contingency_share", 0.0, "fraction"),
    "decommissioning": Given("money.decommissioning", 0.0, "$"),
    "breakdowns": Given("costs.downtime_share", 0.0, "fraction"),
    "price_rise": Given("current.price_rise", 0.0, "$ per year"),
    "owner_hours": Given("owner.hours", 0.0, "hour per year"),
    "owner_hour": Given("owner.hour_worth", 15.0, "$ per hour"),
    "selling_hours": Given("product.1.selling_hours", 0.0, "hour per tonne"),
    "tier_1_packing": Given("product.1.packing", "bags"),
    "tier_2_packing": Given("product.2.packing", "bulk"),
    "part_cost": Given("wear.1.cost", 0.0, "$"),
    "part_life": Given("wear.1.life", 2.0, "years"),
    "item_cost": Given("equipment.1.cost", 0.0, "$"),
    "item_installation": Given("equipment.1.installation", 0.0, "$"),
    "item_year": Given("equipment.1.year_bought", 2.0, "years"),
    "item_life": Given("equipment.1.life", 4.0, "years"),
    "item_salvage": Given("equipment.1.salvage_share", 0.1, "fraction"),
}

# What a fuller plant adds: the later sheets filled in.
FULLER: dict[str, Value] = {
    "tier_2_price": 3.2,
    "contingency": 0.1,
    "decommissioning": 3000.0,
    "breakdowns": 0.03,
    "price_rise": 240.0,
    "owner_hours": 100.0,
    "selling_hours": 10.0,
    "bag": 0.15,
    "part_cost": 900.0,
    "item_cost": 5000.0,
    "item_installation": 500.0,
}

# name, what it is, the rule, the formula: one year at full sales, in today's prices
A_YEAR: tuple[tuple[str, str, str, str], ...] = (
    ("bones_kg", "Bones offered, kg", "bones.1.mass, less excluded_share", "=#bones*1000*(1-#excluded)"),
    ("most_firings", "Batches that crew and weeks allow", "kiln.batches_per_week × kiln.weeks_per_year",
     "=#firings_a_week*#weeks"),
    ("fired_kg", "Bones processed, kg", "kiln.batches_per_week: as the bones need, up to this",
     "=MIN(#bones_kg,#most_firings*#load)"),
    ("firings", "Batches", "kiln.batch_load: the bones are chosen so that the loads are full",
     "=#fired_kg/#load"),
    ("char_kg", "Dry char, kg", "kiln.char_yield: dry char out ÷ raw bones in", "=#fired_kg*#char_yield"),
    ("tier_1_kg", "Sold in tier 1, kg", "product.1.share, up to market_limit",
     "=MIN(#char_kg*#tier_1_share,#tier_1_limit)"),
    ("tier_2_kg", "Sold in tier 2, kg", "product.2.share, up to market_limit",
     "=MIN(#char_kg*#tier_2_share,#tier_2_limit)"),
    ("tier_1_income", "Income of tier 1", "price × (1 - channel_discount: what the shop keeps)",
     "=#tier_1_kg*#tier_1_price*(1-#tier_1_discount)"),
    ("tier_2_income", "Income of tier 2", "product.2.price", "=#tier_2_kg*#tier_2_price"),
    ("sales_full", "Income from char", "both tiers", "=#tier_1_income+#tier_2_income"),
    ("tonnage_full", "Tonnage fees", "costs.tonnage_fee: on each ton sold",
     "=(#tier_1_kg+#tier_2_kg)/1000*#tonnage_fee"),
    ("hour_cost", "An hour of people", "labour.wage, labour.on_cost_share on top", "=#wage*(1+#on_cost)"),
    ("selling_hours_full", "Hours of selling", "product.1.selling_hours: paid as an hour of a batch",
     "=#tier_1_kg/1000*#selling_hours*#hour_cost"),
    ("selling_full", "Bags, freight, hours and tonnage fees", "product packaging and freight: of what is sold",
     "=#tier_1_kg*#tier_1_packaging+#tier_2_kg*#tier_2_freight+#tonnage_full+#selling_hours_full"),
    ("saving_year", "Avoided disposal cost", "current.saving, for the bones that are processed",
     "=#saving*12*#fired_kg/#bones_kg"),
    ("fuel_year", "Fuel", "fuel.1.per_batch × price, each batch", "=#firings*#fuel*#fuel_price"),
    ("labour_year", "People", "labour.hours_per_batch × wage, on_cost_share on top",
     "=#firings*#hours*#hour_cost"),
    ("repairs_year", "Repairs and wear", "running.maintenance_share: of the kiln's price",
     "=#maintenance*#price"),
    ("fees_year", "Insurance, permits, other, assays", "running.*_per_year, costs.assays",
     "=#insurance+#permits+#other_running*12+#assays"),
    ("extra_year", "Owner's hours, rest of today's bill dearer", "owner.hours × hour_worth, current.price_rise",
     "=#owner_hours*#owner_hour+#price_rise"),
    ("finishing_year", "Grinding", "finish.grind_cost: all char", "=#char_kg*#grind"),
    ("bags_full", "Bags of tier 1", "finish.bag_cost: what is sold in bags; loose product bears none",
     "=#tier_1_kg*#bag"),
    ("bought_today", "All that is bought today",
     "kiln.price, kiln.installation, capital.other; capital.contingency_share of them",
     "=(#price+#installation+#other_capital)*(1+#contingency)"),
    ("item_today", "The item, installed", "equipment.1.cost and installation", "=#item_cost+#item_installation"),
    ("renewal_today", "The kiln bought and installed again", "kiln.life: bought and installed again",
     "=#price+#installation"),
    ("kiln_run", "Kiln: share of its life run at the end", "kiln.life", "=#years/#life-INT(#years/#life)"),
    ("kiln_over", "Kiln: life ended in the last year (1 = yes)", "kiln.life: not bought again then",
     "=IF(INT(#years/#life)>INT((#years-1)/#life),1,0)"),
    ("item_run", "Item: share of its life run at the end", "equipment.1.life, from year_bought",
     "=(#years-#item_year)/#item_life-INT((#years-#item_year)/#item_life)"),
    ("item_over", "Item: life ended in the last year (1 = yes)", "equipment.1.life",
     "=IF(INT((#years-#item_year)/#item_life)>INT((#years-#item_year-1)/#item_life),1,0)"),
    ("full_rate", "Discount rate with inflation in it", "money.basis: a real rate has none",
     '=IF(#basis="real",(1+#rate)*(1+#inflation)-1,#rate)'),
    ("month_rate", "Rate of the loan, a month", "loan.rate: each month a twelfth", "=#loan_rate/12"),
    ("payments", "Equal monthly payments", "loan.years: whole term, months of interest only within",
     "=#loan_years*12-#loan_grace"),
    ("payment", "Each of them", "loan.grace_months: equal payments follow; annuity, common practice",
     "=#loan*#month_rate/(1-(1+#month_rate)^(-#payments))"),
)  # fmt: skip

_PROJECT = ("profit", "loss_used", "taxed", "loss_carried", "tax")
_OWNER = tuple(f"owner_{word}" for word in _PROJECT)

Line = tuple[str, str, str, str, str]


def _tax_lines(names: tuple[str, ...], who: str, formula: str) -> tuple[Line, ...]:
    """Profit, use of losses, taxed profit, losses left, tax: the same five steps for project and owner."""
    profit, used, taxed, carried, tax = names
    return (
        (profit, f"{who}: taxable profit before losses", "common practice", "=0", formula),
        (used, f"{who}: earlier losses used", "money.tax_losses: carried to later years, up to the profit",
         "=0", f"=IF(#carried=1,MIN(@@{carried},MAX(@{profit},0)),0)"),
        (taxed, f"{who}: profit that is taxed", "money.tax_losses: or set against other income at once", "=0",
         f"=IF(#carried=1,MAX(@{profit},0)-@{used},@{profit})"),
        (carried, f"{who}: losses left to carry", "money.tax_losses", "=0",
         f"=IF(#carried=1,@@{carried}+MAX(-@{profit},0)-@{used},0)"),
        (tax, f"{who}: income tax", "money.tax_rate, paid in the year it is owed", "=0", f"=@{taxed}*#tax_rate"),
    )  # fmt: skip


# name, what it is, the rule, formula of year 0, formula of any later year
CASH: tuple[Line, ...] = (
    ("index", "Price level", "money.inflation: raises every price alike; year t ends t years from today",
     "=1", "=@@index*(1+#inflation)"),
    ("reached", "Share of full sales", "market.first_year_share, years_to_full: a straight line up to it",
     "=0", "=MIN(1,#first_share+(1-#first_share)*(@year-1)/(#full_year-1))"),
    ("sales", "Char sold", "no stock is sold later", "=0", "=#sales_full*@reached*@index*(1-#breakdowns)"),
    ("saved", "Avoided disposal cost", "does not wait for sales", "=0", "=#saving_year*@index"),
    ("selling", "Selling costs", "of what is sold", "=0", "=#selling_full*@reached*@index*(1-#breakdowns)"),
    ("fuel", "Fuel", "all bones are processed from year 1", "=0", "=#fuel_year*@index"),
    ("labour", "People", "all bones are processed from year 1", "=0", "=#labour_year*@index"),
    ("repairs", "Repairs and wear", "running.maintenance_share", "=0", "=#repairs_year*@index"),
    ("fees", "Insurance, permits, other, assays", "running.*_per_year", "=0", "=#fees_year*@index"),
    ("finishing", "Grinding", "all char, sold or not", "=0", "=#finishing_year*@index"),
    ("bags", "Bags", "of what is sold", "=0", "=#bags_full*@reached*@index*(1-#breakdowns)"),
    ("extra", "Owner's hours, rest of today's bill", "paid from year 1", "=0", "=#extra_year*@index"),
    ("lost", "Saving lost to breakdowns", "costs.downtime_share: the costs go on", "=0",
     "=#breakdowns*@saved"),
    ("short", "Part of a life used that was not bought", "kiln.life, equipment.1.life: in the last year", "=0",
     "=IF(@year=#years,(#renewal_today*#kiln_run*#kiln_over+#item_today*#item_run*#item_over)*@index,0)"),
    ("part", "Part that wears", "wear.1.life: each year in which a multiple of it ends, but not the last year, "
     "nor with the kiln; deducted when paid", "=0",
     "=IF(AND(INT(@year/#part_life)>INT((@year-1)/#part_life),@year<#years,@due=0),#part_cost*@index,0)"),
    ("removed", "Kiln taken away", "money.decommissioning: last year, today's prices; deducted", "=0",
     "=IF(@year=#years,#decommissioning*@index,0)"),
    ("operating", "Operating cash less parts and removal", "common practice", "=0",
     "=@sales+@saved-@selling-@fuel-@labour-@repairs-@fees-@finishing-@bags-@extra-@lost-@short-@part-@removed"),
    ("due", "Kiln renewed at the end of the year (1 = yes)", "kiln.life: unless the study has ended", "=0",
     "=IF(AND(INT(@year/#life)>INT((@year-1)/#life),@year<#years),1,0)"),
    ("bought", "Bought", "kiln.price and the others today; the renewal at the prices of its year",
     "=#bought_today", "=@due*#renewal_today*@index"),
    ("item", "Item bought", "equipment.1.year_bought: at its end; life: bought again after it", "=0",
     "=IF(AND(@year>=#item_year,MOD(@year-#item_year,#item_life)=0,@year<#years),#item_today*@index,0)"),
    ("working", "Working capital, out is minus", "capital.working: back in the last year, same amount",
     "=-#working", "=IF(@year=#years,#working,0)"),
    ("resale", "Kiln and item: what is left of their lives; of a first one no more than the resale typed",
     "money.salvage_share, equipment.1.salvage_share: at the end, of the price, at the prices of that year", "=0",
     "=IF(@year=#years,(MIN(#salvage*#price+IF(#years>#life,#renewal_today,0),"
     "#renewal_today*(1-#kiln_run)*(1-#kiln_over))+MIN(#item_salvage*#item_cost+"
     "IF(#years-#item_year>#item_life,#item_today,0),#item_today*(1-#item_run)*(1-#item_over)))*@index,0)"),
    ("in_use", "Cost of what is in use in the year", "that of the purchase before", "=0",
     "=IF(@@bought>0,@@bought,@@in_use)"),
    ("written", "Depreciation", "kiln.depreciation: straight line over its life, whole cost, from the year after",
     "=0", "=MIN(@in_use/#life,@@book)"),
    ("book", "Book value at the end of the year, before the sale", "cost less depreciation", "=@bought",
     "=@@book+@bought-@written"),
    ("item_in_use", "Cost of the item in use in the year", "that of the purchase before", "=0",
     "=IF(@@item>0,@@item,@@item_in_use)"),
    ("item_written", "Depreciation of the item", "equipment.1.depreciation, as for the kiln", "=0",
     "=MIN(@item_in_use/#item_life,@@item_book)"),
    ("item_book", "Book value of the item", "cost less depreciation", "=@item",
     "=@@item_book+@item-@item_written"),
    ("gain", "Resale less book value", "common practice: taxed as profit, a loss deducted", "=0",
     "=IF(@year=#years,@resale-@book-@item_book,0)"),
    *_tax_lines(_PROJECT, "Project", "=@operating-@written-@item_written+@gain"),
    ("net_cash", "Project: net cash", "headline: no grant, no loan", "=@working-@bought",
     "=@operating-@bought-@item+@working+@resale-@tax"),
    ("factor", "Discount factor", "money.discount_rate, whole years", "=1", "=@@factor/(1+#full_rate)"),
    ("shown", "Project: net cash as shown", "money.basis: in the money of each year, or in today's", "=@net_cash",
     '=IF(#basis="real",@net_cash/@index,@net_cash)'),
    ("worth", "Project: worth today", "net cash × factor", "=@net_cash*@factor", "=@net_cash*@factor"),
    ("grant_in", "Grant received", "grant.year: paid at its end; a sum of money, not a price", "=0",
     "=IF(@year=#grant_year,#grant,0)"),
    ("loan_in", "Loan received", "loan.principal, today", "=#loan", "=0"),
    ("interest", "Interest", "months of the year, sheet Loan", "=0", "=SUMIF(Loan!$B:$B,@year,Loan!$D:$D)"),
    ("left", "Loan still owed when the study ends", "a caution of the program: repaid with the last year", "=0",
     '=IF(@year=#years,SUMIF(Loan!$B:$B,">"&@year,Loan!$E:$E),0)'),
    ("repaid", "Repayment", "months of the year, sheet Loan; at the end what is left", "=0",
     "=SUMIF(Loan!$B:$B,@year,Loan!$E:$E)+@left"),
    *_tax_lines(_OWNER, "Owner", "=@operating-@written-@item_written+@gain+@grant_in-@interest"),
    ("owner_cash", "Owner: net cash", "after loan and grant", "=@working-@bought+@loan_in",
     "=@operating-@bought-@item+@working+@resale+@grant_in-@interest-@repaid-@owner_tax"),
    ("owner_worth", "Owner: worth today", "at the same rate", "=@owner_cash*@factor", "=@owner_cash*@factor"),
)  # fmt: skip
