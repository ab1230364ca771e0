"""The model against a plant reckoned by hand in a spreadsheet program, to the cent."""

from __future__ import annotations

import hand_plant
import openpyxl
import pytest
from hand_plant import AT, CASE, YEARS
from iron import calculated
from plants import plant

from econ.answer.base_case import BaseCase, base_case

CENT = 0.005


def scenario_rows(is_excluded: bool) -> dict[str, tuple[object, str | None]]:
    """The numbers of the hand plant as rows of a scenario."""
    c = CASE
    return {
        "bones.1.mass": (c["bones_kg_per_week"], "kg per week"),
        "kiln.char_yield": (c["char_yield"], "fraction"),
        "kiln.batch_load": (c["batch_kg"], "kg"),
        "kiln.weeks_per_year": (c["firings"] / 2, "weeks"),
        "kiln.price": (c["kiln_price"], "USD"),
        "kiln.installation": (c["installation"], "USD"),
        "capital.other": (c["other_capital"], "USD"),
        "kiln.life": (c["kiln_life"], "years"),
        "money.salvage_share": (c["salvage_share"], "fraction"),
        "capital.contingency_share": (c["contingency"], "fraction"),
        "equipment.1.cost": (c["tool_cost"], "USD"),
        "equipment.1.installation": (c["tool_installation"], "USD"),
        "equipment.1.life": (c["tool_life"], "years"),
        "equipment.1.salvage_share": (c["tool_salvage"], "fraction"),
        "equipment.1.depreciation": ("macrs-5", None),
        "equipment.2.cost": (c["late_cost"], "USD"),
        "equipment.2.year_bought": (c["late_year"], "years"),
        "wear.1.cost": (c["part_cost"], "USD"),
        "wear.1.life": (c["part_life"], "years"),
        "capital.working": (c["working_capital"], "USD"),
        "money.decommissioning": (c["cleanup"], "USD"),
        "labour.hours_per_batch": (c["hours"], "hours"),
        "labour.wage": (c["wage"], "USD per hour"),
        "labour.on_cost_share": (c["on_cost"], "fraction"),
        "fuel.1.per_batch": (c["fuel_each"], "L"),
        "fuel.1.price": (c["fuel_price"], "USD per L"),
        "running.maintenance_share": (c["maintenance"], "fraction"),
        "running.insurance_per_year": (c["insurance"], "USD per year"),
        "running.permits_per_year": (c["permits"], "USD per year"),
        "running.other_per_year": (c["other_running"], "USD per year"),
        "costs.assays": (c["assays"], "USD per year"),
        "costs.registration": (c["registration"], "USD per year"),
        "costs.tonnage_fee": (c["tonnage_fee"], "USD per kg"),
        "costs.downtime_share": (c["downtime"], "fraction"),
        "costs.grease": (c["grease"], "USD per year"),
        "owner.hours": (c["owner_hours_per_week"], "hour per week"),
        "owner.hour_worth": (c["owner_worth"], "USD per hour"),
        "current.price_rise": (c["price_rise"], "USD per year"),
        "current.saving": (c["saving"], "USD per year"),
        "product.1.price": (c["price_1"], "USD per kg"),
        "product.1.market_limit": (c["limit_1"], "kg per year"),
        "product.1.share": (c["share_1"], "fraction"),
        "product.1.channel_discount": (c["discount_1"], "fraction"),
        "product.1.freight": (c["freight_1"], "USD per kg"),
        "product.1.packaging": (c["packaging_1"], "USD per kg"),
        "product.1.selling_hours": (c["selling_hours_per_t"], "hour per tonne"),
        "product.2.price": (c["price_2"], "USD per kg"),
        "finish.grind_cost": (c["finish"], "USD per kg"),
        "market.first_year_share": (c["first_share"], "fraction"),
        "market.years_to_full": (c["years_to_full"], "years"),
        "market.spring_share": (c["spring"], "fraction"),
        "market.first_month": (c["first_month"], "each"),
        "money.study_years": (YEARS, "years"),
        "money.discount_rate": (c["rate"], "fraction"),
        "money.inflation": (c["inflation"], "fraction"),
        "money.tax_rate": (c["tax"], "fraction"),
        "money.grant": (c["grant"], "USD"),
        "grant.treatment": ("excluded" if is_excluded else "taxable", None),
        "grant.status": ("awarded", None),
        "loan.principal": (c["loan"], "USD"),
        "loan.rate": (c["loan_rate"], "fraction"),
        "loan.years": (c["loan_years"], "years"),
        "loan.grace_months": (c["grace"], "each"),
    }


@pytest.fixture(scope="module")
def by_hand(tmp_path_factory: pytest.TempPathFactory) -> dict[bool, openpyxl.Workbook]:
    """Both workbooks calculated by IronCalc, by whether the grant is untaxed."""
    work = tmp_path_factory.mktemp("hand")
    return {
        excluded: calculated(hand_plant.write(work / f"{excluded}.xlsx", excluded)) for excluded in (False, True)
    }


@pytest.fixture(scope="module")
def modelled() -> dict[bool, BaseCase]:
    return {excluded: base_case(plant(scenario_rows(excluded))) for excluded in (False, True)}


YEARLY = {
    "sales": "sale_income", "selling": "selling_cost", "running": "running_cost", "operating": "operating_cash",
    "parts": "parts_paid", "kiln_written": "depreciation_nominal", "kiln_book": "book_value",
    "tool_written": "item_1_written", "tool_book": "item_1_book", "late_written": "item_2_written",
    "profit": "taxable_profit", "carried": "loss_carried", "tax": "income_tax", "cash": "net_cash",
    "interest": "interest_paid", "principal": "principal_repaid", "owner_profit": "owner_profit",
    "owner_carried": "owner_loss_carried", "owner_tax": "owner_income_tax", "owner_cash": "owner_cash",
    "coverage": "debt_coverage",
}  # fmt: skip


@pytest.mark.parametrize("excluded", [False, True], ids=["grant taxed", "grant untaxed, basis lowered"])
class TestHandPlant:
    @pytest.mark.parametrize("row", YEARLY)
    def test_every_year(
        self,
        row: str,
        excluded: bool,
        by_hand: dict[bool, openpyxl.Workbook],
        modelled: dict[bool, BaseCase],
    ) -> None:
        sheet = by_hand[excluded]["Years"]
        ours = modelled[excluded].years[YEARLY[row]]
        hand = {t: sheet.cell(AT[row], t + 2).value for t in range(1, YEARS + 1)}
        compared = {t: value for t, value in hand.items() if value is not None}
        assert len(compared) >= 5
        for t, value in compared.items():
            assert ours.get(t, 0.0) == pytest.approx(value, abs=CENT), f"year {t}"

    def test_worth(
        self, excluded: bool, by_hand: dict[bool, openpyxl.Workbook], modelled: dict[bool, BaseCase]
    ) -> None:
        sheet = by_hand[excluded]["Years"]
        for row, name in (("worth", "npv"), ("owner_worth", "npv_owner")):
            hand = sum(sheet.cell(AT[row], t + 2).value for t in range(YEARS + 1))
            assert modelled[excluded].figures[name] == pytest.approx(hand, abs=CENT)

    def test_months(
        self, excluded: bool, by_hand: dict[bool, openpyxl.Workbook], modelled: dict[bool, BaseCase]
    ) -> None:
        sheet = by_hand[excluded]["Months"]
        balance = [sheet.cell(m + 1, 7).value for m in range(25)]
        for m, value in enumerate(balance):
            assert modelled[excluded].months["month_balance"][m] == pytest.approx(value, abs=CENT), f"month {m}"
        assert modelled[excluded].figures["lowest_balance"] == pytest.approx(min(balance), abs=CENT)
        assert modelled[excluded].figures["lowest_balance_month"] == balance.index(min(balance))

    def test_the_case_bites(
        self, excluded: bool, by_hand: dict[bool, openpyxl.Workbook], modelled: dict[bool, BaseCase]
    ) -> None:
        """A loss is carried, tax is paid, the kiln is renewed and sales build up: else the check is idle."""
        years = modelled[excluded].years
        assert years["loss_carried"][1] > 0
        assert max(years["income_tax"].values()) > 0
        assert years["renewal"][4] > 0
        assert years["sales_ramp"][1] < years["sales_ramp"][2] < years["sales_ramp"][3] == 1.0
