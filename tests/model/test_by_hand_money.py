"""What is bought, written down, earned, taxed and owed, stage by stage: each line worked on paper, house numbers.

The shares of MACRS are those of IRS Publication 946, tables A-1 and so on, from memory.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from stage import check, plan_with, told

from econ.model import assets, cashflow, lender, money
from econ.model.cashflow import Added, Project, View
from econ.model.ledger import Arrays, Book
from econ.model.plan import Item

NAN = math.nan


def written_down(
    method: str, cost: float, life: float, years: int, bought: dict[int, float] | None = None, **rows: float
) -> Arrays:
    """An asset through the years, bought again at the end of the years of `bought`."""
    ledger = Arrays()
    b = Book({key.replace("__", "."): value for key, value in rows.items()}, ledger)
    asset = assets.Asset.start(b, assets.rows_of("tool"), method, life, cost)
    for t in range(1, years + 1):
        written = asset.written(b, t)
        again = (bought or {}).get(t)
        asset.close(b, t, written, None if again is None else 1.0, again)
    return ledger


@pytest.mark.parametrize(
    ("method", "life", "written"),
    [
        ("straight-line", 4, (250, 250, 250, 250, 0)),
        ("straight-line", 2.5, (400, 400, 200, 0)),
        # two fifths of the book; once it is more, the book over the years left
        ("declining-balance", 5, (400, 240, 144, 108, 108, 0)),
        ("declining-balance", 1, (1000, 0)),
        # digits 4, 3, 2, 1 of 10; of 2.5 years 2.5, 1.5, 0.5 of 4.5
        ("sum-of-years", 4, (400, 300, 200, 100, 0)),
        ("sum-of-years", 2.5, (2500 / 4.5, 1500 / 4.5, 500 / 4.5, 0)),
        ("macrs-5", 9, (200, 320, 192, 115.2, 115.2, 57.6, 0)),
    ],
)
def test_depreciation(method: str, life: float, written: tuple[float, ...]) -> None:
    found = written_down(method, 1000.0, life, len(written)).years
    book = [1000 - sum(written[:t]) for t in range(len(written) + 1)]
    check(found, {"tool_written": (NAN, *written), "tool_book": book, "tool_unit_cost": [1000] * len(book)})


@pytest.mark.parametrize(
    ("method", "written", "book"),
    [
        # half at once, half by the method; bought again for 1,200 at the end of year 2
        ("straight-line", (750, 250, 900, 300), (250, 1200 - 0, 300, 0)),
        ("sum-of-years", (500 + 1000 / 3, 500 / 3, 600 + 400, 200), (500 / 3, 1200, 200, 0)),
    ],
)
def test_a_share_at_once_and_a_second_purchase(
    method: str, written: tuple[float, ...], book: tuple[float, ...]
) -> None:
    found = written_down(method, 1000.0, 2, 4, {2: 1200.0}, written_off_at_once_share=0.5).years
    assert list(found["tool_written"].values()) == pytest.approx(written)
    # the half that is written off next year stands apart from the book
    assert [found["tool_book"][t] for t in range(5)] == pytest.approx([500, book[0], 600, book[2], 0])


def test_a_tax_life_of_its_own_and_that_of_the_tax_rows() -> None:
    """The row of the tax counts for the kiln, whose service life is 4; an item brings its own."""
    by_row = written_down("straight-line", 1000.0, 4, 2, tax__life=10.0).years
    check(by_row, {"tool_written": (NAN, 100, 100)})
    ledger = Arrays()
    b = Book({"tax.life": 10.0}, ledger)
    asset = assets.Asset.start(b, assets.rows_of("tool"), "straight-line", 4, 1000.0, 5)
    assert asset.written(b, 1) == pytest.approx(200)


def test_many_purchases_by_a_table_stand_in_two_lines() -> None:
    """100 every year by the 15-year table: 5.00, 9.50, 8.55, 7.70, 6.93, 6.23, 5.90, 5.90, 5.91, 5.90 %.

    In year 10 the eight latest stand in one formula, the two before them in a line.
    """
    found = written_down("macrs-15", 100.0, 15, 10, dict.fromkeys(range(1, 10), 100.0)).years
    assert found["tool_written"][3] == pytest.approx(5.00 + 9.50 + 8.55)
    assert found["tool_written"][10] == pytest.approx(67.52)
    assert found["tool_older_written"] == pytest.approx({9: 5.91, 10: 11.81})


@pytest.mark.parametrize(
    ("years", "life", "is_due"),
    [(4, 4, 1), (3, 4, 0), (5, 4, 0), (3, 2.5, 1), (4, 2.5, 0), (5, 2.5, 1), (1, 0.5, 1)],
)
def test_a_life_ends(years: int, life: float, is_due: int) -> None:
    assert assets.falls_due(years, life) == is_due


@pytest.mark.parametrize(
    ("years", "life", "used_share", "left", "used_up"),
    [
        (10, 4, 0.5, 0.5, 0),  # in the middle of the third life
        (8, 4, 0, 0, 0),  # just ended
        (5, 4.5, 1 / 9, 0, 1 / 9),  # half a year before the end: not renewed, but used
        (1, 4, 0.25, 0.75, 0),
    ],
)
def test_what_is_left_of_a_life(years: int, life: float, used_share: float, left: float, used_up: float) -> None:
    ledger = Arrays()
    found = assets.life_left(Book({}, ledger), "kiln", years, life)
    assert found == pytest.approx((left, used_up))
    check(ledger.lines, {"kiln_life_used_share": used_share, "kiln_life_left_share": left})


@pytest.mark.parametrize(
    ("typed", "runs", "value"),
    # half a life of 1,000 is left; a resale of 300 bounds what was bought first
    [(None, 0.5, 500), (300.0, 0.5, 300), (300.0, 1, 300), (300.0, 2.5, 500), (800.0, 0.5, 500)],
)
def test_what_comes_back(typed: float | None, runs: float, value: float) -> None:
    assert assets.end_value(Book({}, Arrays()), "end", 1000.0, 0.5, typed, runs) == value


BUY: dict[str, Any] = {
    "kiln.price": 1000.0, "kiln.installation": 200.0, "capital.other": 300.0, "kiln.life": 4.0,
    "equipment.1.cost": 400.0, "equipment.1.installation": 50.0, "equipment.1.life": 2.0,
    "equipment.2.cost": 600.0,
    "wear.1.life": 0.5, "wear.1.cost": 50.0, "money.salvage_share": 0.1, "equipment.1.salvage_share": 0.2,
    "equipment.2.salvage_share": 0.25, "capital.contingency_share": 0.1,
}  # fmt: skip
ITEMS = (Item(1, 0, "straight-line", True), Item(2, 2, "straight-line", False))
BOUGHT: dict[str, Any] = {"items": ITEMS, "wear": (1,), "kiln_method": "straight-line", "years": 6}


@pytest.mark.parametrize(
    ("rows", "facts"),
    [
        # 1,500 and 450 of today, a tenth more; what is bought in year 2 is not among it
        ({}, {"capital_today": 1500, "item_1_cost_today": 450, "item_2_cost_today": 600,
              "capital_quoted_today": 1950, "contingency_today": 195, "capital_total_today": 2145,
              "written_off_at_once_share": None}),
        # 30 % expensed, half of the rest at once
        ({"tax.expensed_share": 0.3, "tax.bonus_share": 0.5}, {"written_off_at_once_share": 0.65}),
        ({"tax.expensed_share": 0.3}, {"written_off_at_once_share": 0.3}),
        ({"tax.bonus_share": 0.5}, {"written_off_at_once_share": 0.5}),
    ],
)  # fmt: skip
def test_capital(rows: dict[str, float], facts: dict[str, float | None]) -> None:
    check(told(assets.capital, BUY | rows, plan_with(**BOUGHT)).lines, facts)


def test_contingency_of_a_class_where_none_is_typed() -> None:
    rows = {key: value for key, value in BUY.items() if key != "capital.contingency_share"}
    check(
        told(assets.capital, rows, plan_with(**BOUGHT)).lines,
        {"contingency_today": 0, "capital_total_today": 1950},
    )
    of_class = rows | {"contingency_of_class": 0.2}
    check(told(assets.capital, of_class, plan_with(**BOUGHT)).lines, {"contingency_today": 390})


def equipment(
    rows: dict[str, float], price: float, deflator: float, **choices: Any
) -> tuple[Arrays, list[Any], Any]:
    """All equipment through six years: what is written, its yearly answers, and what the end brings."""
    ledger, plan = Arrays(), plan_with(**BOUGHT | choices)
    b = Book(BUY | rows, ledger)
    assets.capital(b, plan)
    all_of_it = assets.Equipment(b, plan)
    years = []
    for t in range(1, plan.years + 1):
        years.append(all_of_it.year(t, price, deflator))
        all_of_it.book(t)
    return ledger, years, all_of_it.end()


def test_equipment_through_the_years() -> None:
    """Kiln 1,500 and contingency 195 over 4 years, renewed for 1,200; tools 450 every 2 years; 600 over the kiln's
    4 years from year 2; two parts of 50 a year, one less with a new kiln and at the end."""
    ledger, years, (resale, part_lives) = equipment({}, 1.0, 1.0)
    kiln, late = 423.75, 150
    written = [kiln + 225, kiln + 225, kiln + 225 + late, kiln + 225 + late, 300 + 225 + late, 300 + 225 + late]
    assert [one[0] for one in years] == pytest.approx(written)
    assert [one[1] for one in years] == pytest.approx([0, 1050, 0, 1650, 0, 0])
    assert [one[2] for one in years] == pytest.approx([100, 100, 100, 50, 100, 50])
    # half of the second kiln's life is left; tools end with the study; a quarter of the 600
    assert (resale, part_lives) == pytest.approx((600 + 0 + 150, 0))
    check(ledger.lines, {"resale_today": 750, "salvage_today": 600, "item_1_end_today": 0})
    assert ledger.years["all_book"][4] == pytest.approx(1200 + 450 + 300)
    assert ledger.years["all_book"][6] == pytest.approx(600)
    check(ledger.years, {"renewal_due": (NAN, 0, 0, 0, 1, 0), "part_1_due": (NAN, 2, 2, 2, 1, 2, 1)})


def test_equipment_at_other_prices() -> None:
    """Bought again at 1.1 times the price in money of the study, written down in money 1.5 times as nominal."""
    _, years, _ = equipment({}, 1.1, 1.5)
    assert years[1][1] == pytest.approx(1050 * 1.1)
    assert years[2][0] == pytest.approx(423.75 + 450 * 1.1 * 1.5 / 2 + 600 * 1.1 * 1.5 / 4)
    assert years[0][2] == pytest.approx(110)


def test_a_life_that_ends_in_the_last_year_is_charged_for_what_it_runs_on() -> None:
    """A kiln of 5.5 years in a study of 6: half a year of a next one, 0.5/5.5 × 1,200; the first fetches
    nothing."""
    _, _, (resale, part_lives) = equipment({"kiln.life": 5.5}, 1.0, 1.0)
    assert (resale, part_lives) == pytest.approx((150, 1200 * 0.5 / 5.5))


def test_parts_that_wear_out_in_some_years() -> None:
    """A life of 1.5 years ends in years 2, 3, 5 and 6, and in the last year nothing is bought."""
    ledger, _, _ = equipment({"wear.1.life": 1.5}, 1.0, 1.0)
    check(ledger.years, {"part_1_due": (NAN, 0, 1, 1, 0, 1, 0)})


def test_a_tool_bought_later_is_as_new_then() -> None:
    """600 at the end of year 2 by the digits of 4 years: 4, 3, 2 and 1 tenths from year 3 on."""
    late = (Item(2, 2, "sum-of-years", True),)
    ledger, _, _ = equipment({"equipment.2.life": 4.0}, 1.0, 1.0, items=late)
    check(ledger.years, {"item_2_written": (NAN, 0, 0, 240, 180, 120, 60)})


def test_a_tool_bought_later_is_bought_again_by_its_own_years() -> None:
    """Bought at the end of year 2, 3 years of life: again in year 5, with two thirds left in year 6."""
    late = (Item(2, 2, "straight-line", True),)
    ledger, _, (resale, _) = equipment({"equipment.2.life": 3.0}, 1.0, 1.0, items=late)
    check(ledger.years, {"item_2_due": (NAN, NAN, NAN, 0, 0, 1)})
    assert resale == pytest.approx(600 + 400)


def test_a_kiln_and_a_tool() -> None:
    ledger, years, _ = equipment({}, 1.0, 1.0, items=ITEMS[:1], wear=())
    assert [one[0] for one in years] == pytest.approx([423.75 + 225] * 4 + [300 + 225] * 2)
    assert ledger.years["depreciation_all_nominal"][1] == pytest.approx(648.75)


def test_what_is_bought_in_the_last_year_is_worth_its_resale() -> None:
    """600 at the end of year 6 of 6: a quarter as typed, no part of a life."""
    late = (Item(2, 6, "straight-line", True),)
    _, _, (resale, part_lives) = equipment({"equipment.2.life": 4.0}, 1.0, 1.0, items=late)
    assert (resale, part_lives) == pytest.approx((600 + 150, 0))


def test_a_kiln_alone_has_no_sums() -> None:
    """Without salvage typed straight line on what is left: 2 of 8 years; typed, never more than that resale."""
    rows = {"kiln.life": 8.0}
    ledger, years, end = equipment(rows, 1.0, 1.0, items=(), wear=())
    assert years[0] == pytest.approx((1650 / 8, 0, 0))
    assert end == pytest.approx((100, 0)), "a tenth of 1,000, as typed"
    assert not {"all_book", "depreciation_all_nominal", "bought"} & set(ledger.years)
    assert "resale_today" not in ledger.lines
    blank = {key: value for key, value in BUY.items() if key != "money.salvage_share"} | rows
    b = Book(blank, Arrays())
    plan = plan_with(**BOUGHT | {"items": (), "wear": ()})
    assets.capital(b, plan)
    assert assets.Equipment(b, plan).end() == pytest.approx((300, 0))


# -- tax and present values


@pytest.mark.parametrize(
    ("choices", "limit", "profit", "carried", "tax", "left"),
    [
        # a fifth of profit; a loss set against other income earns it at once
        ({"losses_offset": True}, None, -50, 30, -10, 30),
        # 30 carried are 24 in money of today at 25 % inflation
        ({"is_real": True}, None, 100, 30, 15.2, 0),
        ({"is_real": True}, None, 10, 30, 0, 14),
        ({"is_real": True}, None, -50, 30, 0, 74),
        ({}, None, 100, 30, 14, 0),
        # losses take off no more than half of a year's profit
        ({}, 0.5, 100, 80, 10, 30),
        ({}, 0.5, 100, 30, 14, 0),
        ({}, 0.5, -10, 80, 0, 90),
    ],
)
def test_income_tax(
    choices: dict[str, bool], limit: float | None, profit: float, carried: float, tax: float, left: float
) -> None:
    rows = {"money.tax_rate": 0.2, "money.inflation": 0.25} | (
        {} if limit is None else {"tax.loss_limit_share": limit}
    )
    plan = plan_with(**{"losses_offset": False, "is_real": False} | choices)
    assert cashflow.income_tax(Book(rows, Arrays()), plan, profit, carried) == pytest.approx((tax, left))
    ledger = Arrays()
    cashflow.income_tax(Book(rows, ledger), plan, profit, carried, "owner_", 3)
    assert ledger.years["owner_income_tax"] == pytest.approx({3: tax})


TAXED: dict[str, Any] = {"money.tax_rate": 0.2, "money.inflation": 0.25}
CARRIED = {"years": 2, "losses_offset": False, "is_real": False}
FACTOR = {0: 1.0, 1: 0.8, 2: 0.5}


def test_flows_with_their_tax() -> None:
    """-100, 60, 70 before a fifth of 20 and 50: worth -100 + 56 × 0.8 + 60 × 0.5."""
    ledger = Arrays()
    found = cashflow.taxed(
        Book(TAXED, ledger), plan_with(**CARRIED), "", {0: -100.0, 1: 60.0, 2: 70.0}, {1: 20.0, 2: 50.0}, FACTOR
    )
    check(ledger.years, {"net_cash": (-100, 56, 60), "income_tax": (NAN, 4, 10), "npv_so_far": (-100, -55.2,
                                                                                                -25.2),
                         "taxable_profit": (NAN, 20, 50), "loss_carried": (0, 0, 0)})  # fmt: skip
    assert found.npv == pytest.approx(-25.2)


def test_a_view_adds_and_is_taxed_anew() -> None:
    """10 more at once and 5 in year 2; 30 less profit in year 1 make a loss of 10, carried to year 2."""
    project = Project(before_tax={0: -100.0, 1: 60.0, 2: 70.0}, profit={1: 20.0, 2: 50.0}, factor=FACTOR)
    added = Added({0: 10.0}, {1: -30.0}).with_all(Added({2: 5.0}, {}))
    ledger = Arrays()
    found = cashflow.view(Book(TAXED, ledger), plan_with(**CARRIED), project, "owner", added)
    check(ledger.years, {"owner_cash": (-90, 60, 67), "owner_profit": (NAN, -10, 50), "owner_income_tax": (NAN,
                                                                                                           0, 8),
                         "owner_loss_carried": (0, 10, 0), "owner_npv_so_far": (-90, -42, -8.5)})  # fmt: skip
    assert found.npv == pytest.approx(-8.5)


def test_what_two_views_add() -> None:
    both = Added({1: 5.0, 2: 1.0}, {1: 2.0}).with_all(Added({1: 7.0, 3: 4.0}, {2: 6.0}))
    assert both == Added({1: 12.0, 2: 1.0, 3: 4.0}, {1: 2.0, 2: 6.0})
    both.put(1, None, 1.0)
    assert both == Added({1: 12.0, 2: 1.0, 3: 4.0}, {1: 3.0, 2: 6.0})


@pytest.mark.parametrize(("flows", "worth"), [({0: 3.0, 1: 10.0, 2: 20.0}, 21), ({1: 10.0, 2: 20.0}, 18)])
def test_present_value(flows: dict[int, float], worth: float) -> None:
    kept = Arrays()
    assert cashflow.present_value(Book({}, kept), "sum", flows, FACTOR) == pytest.approx(worth)
    check(kept.years, {"sum": (flows.get(0, NAN), worth - 10, worth)})


def whole_project(lost: float = 0.0) -> Project:
    """Two years: 100 paid at once, 20 and 30 a year, 60 and 70 saved; the end brings 15 of the last 45."""
    return Project(
        price={1: 1.1, 2: 1.2}, factor=FACTOR, costs={0: 100.0, 1: 20.0, 2: 30.0}, saved={1: 60.0, 2: 70.0},
        profit={1: 10.0, 2: 20.0}, before_tax={0: -100.0, 1: 42.5, 2: 45.0}, operating={1: 55.0, 2: 60.0},
        sales={1: 10.0, 2: 20.0}, end_cash=15.0, end_profit=5.0, end_resale=12.0,
        view=View({0: -100.0, 1: 40.0, 2: 40.0}, carried={0: 0.0, 1: lost}),
    )  # fmt: skip


def test_a_loss_carried_into_the_last_year_lowers_its_tax() -> None:
    """10 of year 1: 5 of 15 are taxed without what the end brings, and nothing of 8."""
    rows = {"npv": -48.0, "bones_received_kg": 1000.0, "char_kg": 100.0, "money.tax_rate": 0.25,
            "money.inflation": 0.0}  # fmt: skip
    found = told(cashflow.profitability, rows, plan_with(**CARRIED), whole_project(10.0)).lines
    check(found, {"no_end_tax_last_year": 1.25, "no_end_value_tax_last_year": 0, "npv_no_end_value": -51.5})


def test_what_is_made_of_the_flows() -> None:
    """Annuity 0.8 + 0.5, in today's prices 0.88 + 0.6; cost 100 + 16 + 15 = 131, saved 48 + 35 = 83.

    Without the end: profit 15, tax 3.75, cash 26.25; with everything worth nothing: 8, 2 and 31, and 9 less cash.
    """
    rows = {"npv": -48.0, "bones_received_kg": 1000.0, "owner_time_today": 10.0, "char_kg": 100.0,
            "money.tax_rate": 0.25, "money.inflation": 0.0}  # fmt: skip
    found = told(cashflow.profitability, rows, plan_with(**CARRIED), whole_project())
    check(found.lines, {
        "npv_per_year": -48 / 1.3, "annuity_today": 1.48, "pv_cost": 131, "pv_saving": 83, "npv_before_tax": -48,
        "kiln_cost_per_year": 131 / 1.48, "pv_owner_time": 14.8, "annuity_bones_kg": 1480,
        "net_cost_per_kg_bones": 131 / 1480, "saved_bill_per_kg_bones": 83 / 1480, "no_end_profit_last_year": 15,
        "no_end_tax_last_year": 3.75, "no_end_cash_last_year": 26.25, "no_end_value_profit_last_year": 8,
        "no_end_value_cash_last_year": 31, "npv_no_end_value": -52.5, "payback_years": NAN,
        "pv_paid": 149, "benefit_cost_ratio": 101 / 149, "pv_invested": 122, "savings_investment_ratio": 74 / 122,
        "levelised_cost_per_kg_char": 149 / 1.48 / 100,
    })  # fmt: skip
    check(found.years, {"present_value": (-100, 32, 20), "pv_operating_so_far": (NAN, 44, 74),
                        "payback_running_sum": (-100, -60, -33.75)})  # fmt: skip


@pytest.mark.parametrize(
    ("cash", "first", "for_good"),
    [
        # sums -100, -40, 40, -20, 30: after 1 + 40/80, and for good after 3 + 20/50 years
        ((-100, 60, 80, -60, 50), 1.5, 3.4),
        ((-100, 60, 40, 0, 0), 2, 2),  # a sum of zero has paid back
        ((-100, 10, 10, 10, 10), NAN, NAN),
        ((-100, 150, -80, 10, 10), 100 / 150, NAN),  # and lost again
        ((0, 5, 5, 5, 5), 0, 0),
        ((0.5, 5, 5, 5, 5), 0, 0),
        ((10, -40, 10, 10, 30), 0, 3 + 10 / 30),
    ],
)
def test_payback(cash: tuple[float, ...], first: float, for_good: float) -> None:
    flows = dict(enumerate(map(float, cash)))
    years = dict.fromkeys(range(1, 5), 1.0)
    project = Project(
        price=years, factor={0: 1.0, **years}, costs=flows, saved=years, profit=years, before_tax=flows,
        operating=years, sales=years, view=View(flows, carried=dict.fromkeys(range(5), 0.0)),
    )  # fmt: skip
    rows = {"npv": 0.0, "bones_received_kg": 1.0, "char_kg": 1.0, "money.tax_rate": 0.0, "money.inflation": 0.0}
    found = told(cashflow.profitability, rows, plan_with(**CARRIED | {"years": 4}), project)
    for name in ("payback", "discounted_payback"):
        check(found.lines, {f"{name}_years": first, f"{name}_for_good_years": for_good})
        begins = [found.years[f"{name}_{word}"][0] for word in ("running_sum", "at", "last_at", "reached")]
        assert begins == [cash[0], 0, 0, cash[0] >= 0]


# -- cash by year


@pytest.mark.parametrize(
    ("rows", "ramp"),
    [
        ({}, None),
        ({"market.first_year_share": 0.4}, (0.4, 1, 1, 1, 1)),
        ({"market.years_to_full": 4.0}, (0.25, 0.5, 0.75, 1, 1)),
        ({"market.years_to_full": 3.0, "market.first_year_share": 0.4}, (0.4, 0.7, 1, 1, 1)),
        ({"market.years_to_full": 1.0, "market.first_year_share": 0.4}, (0.4, 1, 1, 1, 1)),
        ({"market.years_to_full": 1.0}, (1, 1, 1, 1, 1)),
    ],
)
def test_sales_build_up(rows: dict[str, float], ramp: tuple[float, ...] | None) -> None:
    b = Book(rows, Arrays())
    found = [money.sales_ramp(b, t) for t in range(1, 6)]
    assert found == ([None] * 5 if ramp is None else pytest.approx(ramp))


TODAY: dict[str, Any] = {
    "kiln.price": 1000.0, "kiln.installation": 200.0, "capital.other": 300.0, "kiln.life": 4.0,
    "capital.working": 100.0, "money.decommissioning": 30.0, "wear.1.life": 1.0, "wear.1.cost": 10.0,
    "sale_income_today": 1000.0, "disposal_saved_today": 500.0, "price_rise_today": 20.0,
    "excluded_cost_today": 40.0,
    "fuel_cost_today": 100.0, "labour_cost_today": 200.0, "upkeep_today": 60.0, "finish_cost_today": 10.0,
    "bag_cost_today": 5.0, "side_income_today": 8.0, "selling_cost_today": 12.0, "own_use_saved_today": 6.0,
    "extra_cost_today": 9.0, "char_sold_kg": 900.0, "own_use_kg": 100.0, "money.months_to_start": 0.25,
    "costs.downtime_share": 0.1, "market.first_year_share": 0.5, "money.inflation": 0.1,
    "money.discount_rate": 0.25,
    "growth.char_price": 0.2, "growth.bill": 0.1, "growth.fuel": -0.5, "growth.wages": 0.0, "money.tax_rate": 0.2,
}  # fmt: skip
TWO_YEARS: dict[str, Any] = {"years": 2, "items": (), "wear": (1,), "kiln_method": "straight-line",
                             "is_real": False, "losses_offset": True}  # fmt: skip


def cash(rows: dict[str, Any], **choices: Any) -> tuple[Arrays, Project]:
    ledger = Arrays()
    return ledger, money.cash(Book(rows, ledger), plan_with(**TWO_YEARS | choices))


def test_two_years_of_cash() -> None:
    """Nominal, prices 10 % up, char 20 % and the bill 10 % more than that, fuel half. Year 1 begins after 3 months
    with half the sales: 0.75 and 0.5. A tenth of the saved bill is lost to breakdowns."""
    ledger, found = cash(TODAY)
    check(ledger.years, {
        "price_index": (1, 1.1, 1.21), "deflator": (1,), "discount_factor": (1, 0.8, 0.64),
        "char_price": (1, 1.32, 1.7424), "bill_price": (1, 1.21, 1.4641), "fuel_price": (1, 0.55, 0.3025),
        "wage_level": (1, 1.1, 1.21), "sale_income": (NAN, 495, 1742.4), "disposal_saved": (NAN, 453.75, 732.05),
        "price_rise": (NAN, 18.15, 29.282), "excluded_cost": (NAN, 33, 48.4), "fuel_cost": (NAN, 41.25, 30.25),
        "labour_cost": (NAN, 165, 242), "upkeep": (NAN, 66, 72.6), "finish_cost": (NAN, 8.25, 12.1),
        "bag_cost": (NAN, 2.0625, 6.05), "side_income": (NAN, 6.6, 9.68), "selling_cost": (NAN, 4.95, 14.52),
        "own_use_saved": (NAN, 4.95, 7.26), "extra_cost": (NAN, 9.9, 10.89), "running_cost": (NAN, 280.5, 356.95),
        "breakdowns": (NAN, 45.375, 73.205), "bill_saved": (NAN, 390.225, 629.563),
        "bill_of_same_bones": (NAN, 580.8, 702.768), "operating_cost": (NAN, -176.1375, -1322.53),
        "operating_cash": (NAN, 566.3625, 1952.093), "char_used": (NAN, 412.5, 1000),
        "char_used_so_far": (NAN, 0.4125, 1.4125), "parts_paid": (NAN, 11, 0), "depreciation_nominal": (NAN,
                                                                                                        375, 375),
        # at the end half of 1,200 is left, the book is 750; clean-up 36.3; working capital back
        "resale": (NAN, NAN, 726), "gain_on_resale": (NAN, NAN, -24), "decommissioning": (NAN, NAN, 36.3),
        "working_returned": (NAN, NAN, 100), "part_lives": (NAN, NAN, 0),
        "taxable_profit": (NAN, 180.3625, 1516.793), "cost_only_cash": (1600, -165.1375, -2112.23),
        "net_cash": (-1600, 555.3625 - 36.0725, 2741.793 - 303.3586),
    })  # fmt: skip
    assert ledger.lines["npv"] == pytest.approx(-1600 + 519.29 * 0.8 + 2438.4344 * 0.64)
    assert ledger.lines["char_used_study_share"] == pytest.approx(0.70625)
    assert found.moving == pytest.approx(
        {1: 41.25 + 165 + 8.25 + 2.0625 - 495, 2: 30.25 + 242 + 12.1 + 6.05 - 1742.4}
    )
    assert found.selling == pytest.approx({1: 7.0125, 2: 20.57})
    assert (found.end_cash, found.end_profit, found.end_resale) == pytest.approx((789.7, -60.3, 726))
    assert found.book == {1: 1125}


def test_two_years_of_cash_in_money_of_today() -> None:
    """Prices stand still, nominal amounts are worn: 375 ÷ 1.1, book 750 ÷ 1.21, working capital 100 ÷ 1.21."""
    ledger, found = cash(TODAY, is_real=True)
    operating = ledger.years["operating_cash"]
    check(ledger.years, {
        "price_index": (1,), "deflator": (1, 1.1, 1.21), "char_price": (1, 1.2, 1.44), "fuel_price": (1, 0.5,
                                                                                                      0.25),
        "wage_level": (1, 1, 1), "sale_income": (NAN, 450, 1440), "upkeep": (NAN, 60, 60),
        "taxable_profit": (NAN, operating[1] - 375 / 1.1 - 10, operating[2] - 375 / 1.21 + 600 - 750 / 1.21 - 30),
        "working_returned": (NAN, NAN, 100 / 1.21), "resale": (NAN, NAN, 600),
    })  # fmt: skip
    assert found.bill_price == pytest.approx({1: 1.1, 2: 1.21})


def test_cash_of_a_plain_plant() -> None:
    """No build-up, late start, breakdowns, parts, working capital or clean-up: each year whole, nothing beside."""
    left_out = ("capital.working", "money.decommissioning", "money.months_to_start", "costs.downtime_share",
                "market.first_year_share", "price_rise_today", "side_income_today", "selling_cost_today",
                "own_use_saved_today", "extra_cost_today", "own_use_kg")  # fmt: skip
    rows = {key: value for key, value in TODAY.items() if key not in left_out}
    ledger, found = cash(rows, wear=())
    check(ledger.years, {
        "sale_income": (NAN, 1320, 1742.4), "bill_saved": (NAN, 605, 732.05), "bill_of_same_bones": (NAN, 605,
                                                                                                     732.05),
        "char_used": (NAN, 900, 900), "sales_ramp": None, "breakdowns": None, "parts_paid": None,
        "operating_cost": (NAN, 55 + 220 + 66 + 11 + 44 - 1320 + 5.5, 356.95 + 48.4 - 1742.4 + 6.05),
    })  # fmt: skip
    assert ledger.lines["char_used_study_share"] == pytest.approx(1)
    assert (found.end_cash, found.parts) == (pytest.approx(726), {1: 0.0, 2: 0.0})


def test_a_next_life_begun_at_the_end_lowers_profit_and_cash() -> None:
    """A kiln of 1.5 years in a study of 2: a third of 1,200 at 1.21, both from profit and from cash."""
    ledger, found = cash(TODAY | {"kiln.life": 1.5})
    charged = 1200 / 3 * 1.21
    check(ledger.years, {"part_lives": (NAN, NAN, charged)})
    assert (found.end_cash, found.end_profit) == pytest.approx((100 - 36.3 - charged, -36.3 - charged))


# -- the lender

OWED: dict[str, Any] = {
    "money.grant": 110.0, "capital_total_today": 1000.0, "capital.working": 50.0, "money.tax_rate": 0.2,
    "money.inflation": 0.1, "kiln.life": 4.0, "kiln.price": 1000.0, "renewal_today": 1200.0,
    "money.salvage_share": 0.1, "money.decommissioning": 30.0, "loan.principal": 500.0, "loan_interest_1": 0.08,
    "loan_interest_2": 0.04, "loan_repaid_1": 0.4, "loan_repaid_2": 0.6, "loan_left_1": 0.6,
    "market.spring_share": 0.4, **{f"loan_month_{m}": 0.04 if m <= 12 else 0.64 / 12 for m in range(1, 25)},
}  # fmt: skip
FINANCED: dict[str, Any] = {
    "years": 2, "is_real": True, "losses_offset": True, "has_grant": True, "grant_excluded": False,
    "grant_year": 1,
    "grant_awarded": False, "loan_years": 2, "loan_term": 2, "kiln_method": "straight-line", "wear": (1,),
    "first_month": 3,
}  # fmt: skip


def owed(rows: dict[str, float] | None = None, **choices: Any) -> Arrays:
    """The views of a project of -1,000, 200 and 900 before a tax of a fifth of 100 and 200; a row None is
    blank."""
    profit, book = choices.pop("profit", (100.0, 200.0)), choices.pop("book", 400.0)
    ledger, plan = Arrays(), plan_with(**FINANCED | choices)
    b = Book({key: value for key, value in {**OWED, **(rows or {})}.items() if value is not None}, ledger)
    found = Project(
        price={1: 1.25, 2: 1.5}, deflator={1: 1.1, 2: 1.21}, factor=FACTOR, sales={1: 120.0, 2: 240.0},
        selling={1: 0.0, 2: 24.0}, operating={1: 200.0, 2: 300.0}, parts={1: 5.0, 2: 6.0},
        bought={1: 10.0, 2: 0.0}, before_tax={0: -1000.0, 1: 200.0, 2: 900.0},
        profit=dict(enumerate(profit, start=1)), book={1: book}, standing={1: 30.0},
    )  # fmt: skip
    found.view = cashflow.taxed(b, plan, "", found.before_tax, found.profit, FACTOR)
    lender.views(b, plan, found)
    return ledger


SERVICE = (240 / 1.1, 320 / 1.21)
"""Interest and principal of 500, worn by inflation: 8 + 40 and 4 + 60 %."""
OF_LOAN = (0.2 * 40 / 1.1, 0.2 * 20 / 1.21)
"""Tax that interest saves."""
SURE = (-500, 180 - SERVICE[0] + OF_LOAN[0], 860 - SERVICE[1] + OF_LOAN[1])
"""The owner's cash with the loan alone."""


def worth(cash: tuple[float, ...]) -> float:
    return sum(flow * FACTOR[t] for t, flow in enumerate(cash))


def test_views_with_a_grant_not_yet_awarded() -> None:
    """110 at the end of year 1 are 100 of today, taxed; the lender's view leaves them out."""
    found = owed()
    check(found.lines, {
        "grant_today": 110, "npv_with_grant": worth((-1000, 260, 860)), "npv_char_price_zero":
        worth((-1000, 180 - 120 + 24, 860 - 240 + 48)), "npv_owner": worth((SURE[0], SURE[1] + 80, SURE[2])),
        "loan_today": 500, "uses_total": 1050, "own_money": 550, "own_money_share": 550 / 1050,
    })  # fmt: skip
    check(found.years, {
        "grant_paid": (NAN, 100), "interest_paid": (NAN, 40 / 1.1, 20 / 1.21),
        "principal_repaid": (NAN, 200 / 1.1, 300 / 1.21), "debt_service": (NAN, *SERVICE), "financed_cash": SURE,
    })  # fmt: skip


def test_coverage() -> None:
    """Operating cash less what is bought, parts and tax, over the service; without parts that wear no parts."""
    paid = [100 * 0.2 - OF_LOAN[0], 200 * 0.2 - OF_LOAN[1]]
    ratios = [(200 - 10 - 5 - paid[0]) / SERVICE[0], (300 - 0 - 6 - paid[1]) / SERVICE[1]]
    assert ratios[0] < ratios[1]
    found = owed()
    check(found.years, {"debt_coverage": (NAN, *ratios), "lowest_coverage_so_far": (NAN, ratios[0], ratios[0])})
    check(found.lines, {"lowest_coverage": ratios[0]})
    check(owed(wear=()).years, {"available_for_debt": (NAN, 190 - paid[0], 300 - paid[1])})
    check(owed({"loan_repaid_1": 0.1}).lines, {"lowest_coverage": ratios[1]})


def test_cash_by_month() -> None:
    """Sales of 120: 40 % in March to May, the first three months, 16 each, then 8; 80 by twelfths; debt 20 ÷ 1.1.

    The lowest is the end of year 1: 50 and the year's cash; with the grant it would be month 11.
    """
    found = owed()
    debt = 20 / 1.1
    spring, other = 16 + 80 / 12 - debt, 8 + 80 / 12 - debt
    before_end = 50 + 3 * spring + 8 * other
    balance = found.months["month_balance"]
    assert balance[3] == pytest.approx(50 + 3 * spring)
    assert (found.months["month_lowest"][0], found.months["month_of_lowest"][0]) == (50, 0)
    assert (balance[11], balance[12]) == pytest.approx((before_end, 50 + SURE[1]))
    # year 2: 216 of sales, 28.8 a month in spring; the debt is 64 % of 500 in twelfths, worn by 1.21
    assert balance[13] - balance[12] == pytest.approx(28.8 + 84 / 12 - 320 / 12 / 1.21)
    assert balance[24] == pytest.approx(50 + SURE[1] + SURE[2])
    check(found.lines, {
        "spring_month_share": 0.4 / 3, "other_month_share": 0.6 / 9, "sales_net_year_1": 120,
        "sales_net_year_2": 216,
        "other_operating_year_1": 80, "other_operating_year_2": 84, "year_end_year_1": SURE[1] - 200 + SERVICE[0],
        "deflator_year_2": 1.21, "award_year_1": 80, "award_year_2": 0, "lowest_balance": 50 + SURE[1],
        "lowest_balance_month": 12, "money_to_bridge": 0, "lowest_balance_awarded": before_end,
        "lowest_balance_awarded_month": 11, "grant_when_paid": None,
    })  # fmt: skip
    assert found.months["month_balance_awarded"][12] == pytest.approx(50 + SURE[1] + 80)
    check(owed({"capital.working": 0.0}).lines, {"money_to_bridge": -SURE[1]})


def test_cash_by_month_before_a_late_first_batch() -> None:
    """Three months of waiting, the spring: each costs a twelfth of the 30 that run on, and brings nothing.

    The year's 120 of sales come in nine like months, as does its 80 + 30 of what waits for the first batch.
    """
    months = owed({"money.months_to_start": 0.25}).months
    assert [months["month_running"][m] for m in (1, 3, 4, 12)] == [0, 0, 1, 1]
    assert [months["month_sales"][m] for m in (1, 3, 4, 12)] == pytest.approx([0, 0, 120 / 9, 120 / 9])
    assert [months["month_other"][m] for m in (3, 4)] == pytest.approx([-30 / 12, 110 / 9 - 30 / 12])
    assert sum(months["month_sales"][m] + months["month_other"][m] for m in range(1, 13)) == pytest.approx(200)
    assert months["month_balance"][12] == pytest.approx(50 + SURE[1])
    # half of month 1 is waited: half of its share of the season is lost, all the rest shares the 120
    part = owed({"money.months_to_start": 0.5 / 12}).months["month_sales"]
    whole = 2.5 * 0.4 / 3 + 0.6
    assert [part[m] for m in (1, 2, 4)] == pytest.approx([120 * w / whole for w in (0.2 / 3, 0.4 / 3, 0.6 / 9)])
    never = owed({"money.months_to_start": 1.0}).months  # a year of waiting brings no sales to spread
    assert sum(never["month_sales"].values()) == pytest.approx(216)


def test_cash_by_month_with_the_grant_awarded() -> None:
    """The grant of 100 comes in month 12; its tax of 20 at the same time."""
    found = owed(grant_awarded=True)
    assert found.months["month_grant"] == pytest.approx({12: 100})
    assert found.months["month_balance"][12] == pytest.approx(50 + SURE[1] + 80)
    check(found.lines, {"grant_when_paid": 100, "year_end_year_1": SURE[1] + 80 - 100 - 200 + SERVICE[0],
                        "lowest_balance_awarded": None, "lowest_balance_month": 11,
                        "award_year_1": None})  # fmt: skip
    assert list(owed(grant_awarded=True, grant_year=2).months["month_grant"]) == [24]


def test_sales_without_a_season_and_months_without_a_loan() -> None:
    found = owed({"market.spring_share": None}, loan_years=0, has_grant=False, first_month=12)
    balance = found.months["month_balance"]
    assert [balance[m] for m in (1, 4, 11)] == pytest.approx([50 + m * 200 / 12 for m in (1, 4, 11)])
    assert balance[12] == pytest.approx(50 + 180)
    check(found.lines, {"loan_today": 0, "own_money_share": 1, "lowest_coverage": None, "lowest_balance": 50,
                        "lowest_balance_month": 0, "npv_owner": worth((-1000, 180, 860))})  # fmt: skip
    assert "month_debt" not in found.months


@pytest.mark.parametrize(("first", "spring"), [(3, [1, 2, 3]), (1, [3, 4, 5]), (12, [4, 5, 6]), (6, [10, 11, 12])])
def test_months_of_spring_by_the_month_that_sales_begin(first: int, spring: list[int]) -> None:
    months = owed(first_month=first).months["month_sales"]
    assert [m for m in range(1, 13) if months[m] == pytest.approx(16)] == spring
    assert months[spring[-1] + 12] == pytest.approx(216 * 0.4 / 3)


@pytest.mark.parametrize(("life", "profits"), [(2.0, (50, 55 / 1.21)), (4.0, (25, 27.5 / 1.21 + 55 / 1.21))])
def test_a_grant_kept_out_of_profit(life: float, profits: tuple[float, float]) -> None:
    """110 less are written down over the kiln's life; what is left at the end is gone with it."""
    found = owed({"kiln.life": life}, grant_excluded=True)
    cash = (-1000, 300 - 0.2 * (100 + profits[0]), 900 - 0.2 * (200 + profits[1]))
    check(found.lines, {"npv_with_grant": worth(cash)})


def test_a_grant_that_is_hoped_for_and_no_loan() -> None:
    """The lender's view is the project itself."""
    found = owed(loan_years=0)
    check(found.lines, {"npv_owner": worth((-1000, 260, 860)), "lowest_balance": 50, "award_year_1": 80})
    assert "financed_cash" not in found.years


def test_a_loan_and_no_grant() -> None:
    found = owed(has_grant=False)
    check(found.lines, {"npv_owner": worth(SURE), "npv_with_grant": None, "lowest_balance_awarded": None})
    assert "grant_paid" not in found.years


def test_shares_for_grant_and_loan() -> None:
    found = owed({"grant.share": 0.3, "loan.share": 0.4})
    check(found.lines, {"grant_today": 300, "loan_today": 400})
    found = owed({"grant.share": 1.5}, grant_excluded=True)  # no more is written down than was paid
    check(found.lines, {"npv_with_grant": worth((
        -1000, 200 + 1500 / 1.1 - 0.2 * (100 + 250 / 1.1), 900 - 0.2 * (200 + 750 / 1.21)))})  # fmt: skip


def test_a_plant_that_stops_after_a_year() -> None:
    """Sold for 100, a tenth of its price, less 30 of clean-up, at prices 1.25 times as high; the book of 400 ÷ 1.1
    lowers the tax; 60 % of the loan is repaid, working capital comes back."""
    gain = 87.5 - 400 / 1.1
    got = 87.5 - 0.2 * gain + 50 / 1.1 - 300 / 1.1
    check(owed().lines, {
        "stopped_1_life_left_share": 0.75, "stopped_1_sold": 87.5, "stopped_1_gain": gain,
        "stopped_1_tax": 0.2 * gain, "stopped_1_got": got, "npv_if_stopped_after_2": None,
        "npv_if_stopped_after_1": -500 + (SURE[1] + got) * 0.8,
    })  # fmt: skip
    # never more than what is left of its life: half of 1,200 where 90 % are typed; a loan of one year is repaid
    check(owed({"money.salvage_share": 0.9, "kiln.life": 2.0}).lines, {"stopped_1_sold": 712.5})
    check(owed(loan_years=1).lines, {"stopped_1_got": 87.5 - 0.2 * gain + 50 / 1.1})
    # a loss of the year to come lowers no tax of this one
    late = owed(losses_offset=False, profit=(100.0, -500.0), book=0.0).lines
    check(late, {"stopped_1_gain": 87.5, "stopped_1_tax": 0.2 * 87.5})
