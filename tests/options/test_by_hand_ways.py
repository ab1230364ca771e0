"""Other ways of handling the bones, way by way: each line worked on paper over round numbers of the house."""

from __future__ import annotations

import math
from typing import Any

import pytest
from stage import check, plan_with

from econ.model import options
from econ.model.cashflow import Project
from econ.model.ledger import Arrays, Book
from econ.model.plan import Way

NAN = math.nan
FACTOR = {0: 1.0, 1: 0.8, 2: 0.5}
ROWS: dict[str, Any] = {
    "net_cost_per_kg_bones": 0.2, "saved_bill_per_kg_bones": 0.1, "pv_saving": 83.0, "pv_cost": 131.0,
    "npv": -48.0,
    "fuel_cost_today": 100.0, "labour_cost_today": 200.0, "upkeep_today": 60.0, "finish_cost_today": 10.0,
    "bag_cost_today": 5.0, "excluded_cost_today": 40.0, "selling_cost_today": 12.0, "extra_cost_today": 9.0,
    "sale_income_today": 300.0, "side_income_today": 8.0, "own_use_saved_today": 6.0, "p_kg": 50.0,
    "p_bones_kg": 52.0, "n_bones_kg": 36.0, "n_lost_kg": 32.0, "char_used_share": 0.75, "bones_excluded_kg": 100.0,
    "bones_fired_kg": 1000.0, "bones_received_kg": 1250.0, "kiln_capacity_kg": 1500.0, "mineral_kg": 300.0,
    "char_kg": 340.0, "handling.compost_n_kept": 0.5, "compost_kg_co2e": 440.0, "compost_nitrogen_kg_co2e": 120.0,
    "process_kg_co2e": 100.0, "rendering_kg_co2e": 105.0, "rendering_credits_kg_co2e": 270.0,
    "landfill_kg_co2e": 408.0, "pit_kg_co2e": 504.0, "own_way_if_blank": NAN, "annuity_bones_kg": 1480.0,
    "annuity_today": 1.48, "money.tax_rate": 0.2, "money.inflation": 0.0, "cost_per_hour": 20.0,
    "kiln.weeks_per_year": 50.0, "hours_per_year": 80.0, "capital_total_today": 100.0, "bones.storage_days": 7.0,
}  # fmt: skip


def ways(
    *filled: tuple[Way, dict[str, float]], today: str = "landfill", deflator: float = 1.0, **more: float
) -> Arrays:
    """Ways over a project of two years, losses set against other income, a fifth of tax."""
    project = Project(
        price={1: 1.1, 2: 1.2}, wages={1: 1.0, 2: 2.0}, excluded={1: 5.0, 2: 6.0}, bill={1: 60.0, 2: 70.0},
        factor=FACTOR, deflator={1: deflator, 2: deflator}, moving={1: 10.0, 2: 12.0},
        before_tax={0: -100.0, 1: 42.0, 2: 45.0}, profit={1: 10.0, 2: 20.0}, costs={0: 100.0, 1: 20.0, 2: 30.0},
    )  # fmt: skip
    rows = {f"option.{way.number}.{word}": value for way, more in filled for word, value in more.items()}
    ledger = Arrays()
    plan = plan_with(ways=tuple(way for way, _ in filled), years=2, losses_offset=True, is_real=False, today=today,
                     kiln_method="straight-line")  # fmt: skip
    options.compare(Book(ROWS | rows | more, ledger), plan, project)
    return ledger


def way(number: int, kind: str, *words: str) -> Way:
    """A block with money, and what else of it is filled."""
    names = ("in_mix", "buys", "renews", "own_ghg", "own_p", "own_n", "own_leftover")
    return Way(number, kind, "free" not in words, **{name: name in words for name in names})


def own(ledger: Arrays, number: int) -> dict[str, Any]:
    """Lines and years of one way, its number left off."""
    start = f"option_{number}_"
    return {
        name.removeprefix(start): value
        for name, value in {**ledger.lines, **ledger.years}.items()
        if name.startswith(start)
    }


@pytest.mark.parametrize(
    ("today", "facts"),
    [
        ("landfill", {"today_p_kept_kg": 0, "today_p_in_feed_kg": 0, "today_n_kept_kg": 0}),
        ("composting", {"today_p_kept_kg": 52, "today_p_in_feed_kg": 0, "today_n_kept_kg": 18}),
        ("rendering", {"today_p_kept_kg": 0, "today_p_in_feed_kg": 52, "today_n_kept_kg": 0}),
    ],
)
def test_the_kiln_and_current_practice(today: str, facts: dict[str, float]) -> None:
    """Paid 436 a year, made 314; of 50 kg P and 4 kg N three quarters reach soil."""
    check(ways(today=today).lines, facts | {
        "char_cost_per_kg": 0.2, "char_paid_a_year": 436, "char_made_a_year": 314, "char_yearly_cost": 122,
        "char_p_kept_kg": 37.5, "char_n_kept_kg": 3, "char_left_over_kg": 100, "today_pv_cost": 83,
        "today_cost_per_kg": 0.1, "best_other_npv": None, "mix_npv": None,
    })  # fmt: skip


RENDERED = {"fee": 0.05, "yearly": 10.0, "hours": 2.0}
SOLD = {"sold_share": 0.8, "income": 0.1, "chips": 0.3, "chips_price": 0.05, "land_cost": 7.0,
        "leftover_share": 0.25,
        "capital": 120.0}  # fmt: skip


def test_a_way_that_is_paid_for() -> None:
    """Fees of 50, 10 and 2 hours of 20: 60 at prices in general and 40 at wages, bones kept out beside them.

    Cost 66 + 40 + 5 = 111 and 72 + 80 + 6 = 158 against a bill of 60 and 70: -51 and -88, of which tax bears a
    fifth.
    """
    found = ways((way(1, "rendering"), RENDERED))
    check(own(found, 1), {
        "people_hours": 2, "left_share": 0, "leftover_kg": 100, "p_in_feed_kg": 52, "p_kept_kg": 0, "n_kept_kg": 0,
        "emissions_kg_co2e": 105, "credits_kg_co2e": 270, "fee_paid": 50, "people": 40, "chips_paid": 0,
        "brought": 0, "moving_cost": 60, "yearly_cost": 100, "stays_share": 0, "bought": 0, "cost": (NAN, 111,
                                                                                                     158),
        "pv_cost": 167.8, "cost_per_kg": 167.8 / 1480, "npv": -32.64 - 35.2,
    })  # fmt: skip
    check(found.lines, {"best_other_npv": 0, "npv_against_best": -48})


@pytest.mark.parametrize(
    ("life", "profit", "cash", "end"),
    [
        # 120 over 2 years, worth nothing after; 38.3 and 40.1 less than nothing to pay, on bills of 60 and 70
        (2.0, (38.3, 50.1), (-120, 98.3 - 7.66, 110.1 - 10.02), 0),
        (None, (38.3, 50.1), (-120, 98.3 - 7.66, 110.1 - 10.02), None),
        # every year anew: 132 at the end of year 1, written off in year 2
        (1.0, (98.3 - 120, 110.1 - 132), (-120, 98.3 - 132 + 4.34, 110.1 + 4.38), 0),
        # half of 4 years is left: 60 at prices 1.2 times as high, 72 for a book of 60
        (4.0, (98.3 - 30, 110.1 - 30 - 60 + 72), (-120, 98.3 - 13.66, 110.1 + 72 - 18.42), 72),
        # a third of a next life is used up: 40 at 1.2
        (1.5, (98.3 - 80, 110.1 - 40 - 48), (-120, 98.3 - 3.66, 110.1 - 48 - 4.42), -48),
    ],
)
def test_a_way_that_buys(
    life: float | None, profit: tuple[float, float], cash: tuple[float, float, float], end: float | None
) -> None:
    """A quarter is left over, so three quarters are sold at 0.1 a kg, though four fifths would find a buyer; chips
    15 and land 7: 53 earned. What is not sold, and nothing else, stays on the bill."""
    words = ("buys", "own_leftover") if life is None else ("buys", "renews", "own_leftover")
    found = ways((way(2, "sell", *words), SOLD | ({} if life is None else {"life": life})))
    worth = sum(flow * FACTOR[t] for t, flow in enumerate(cash))
    check(own(found, 2), {
        "left_share": 0.25, "leftover_kg": 350, "brought": 75, "chips_paid": 15, "moving_cost": -53,
        "stays_share": 0.25, "bought": 120, "cost": (NAN, -38.3, -40.1), "profit": (NAN, *profit), "npv": worth,
        "end": None if end is None else (NAN, NAN, end), "emissions_kg_co2e": NAN, "credits_kg_co2e": 0,
    })  # fmt: skip
    check(found.lines, {"best_other_npv": max(worth, 0), "npv_against_best": -48 - max(worth, 0)})


def test_what_a_way_buys_is_nominal() -> None:
    """Money of the study worn to half: 120 written down lowers profit by 60; bought again for 132, 264 nominal."""
    found = ways((way(2, "sell", "buys", "renews", "own_leftover"), SOLD | {"life": 1.0}), deflator=2.0)
    check(own(found, 2), {"profit": (NAN, 98.3 - 60, 110.1 - 132), "book": (120, 264, 0)})


@pytest.mark.parametrize(
    ("sold", "left", "not_sold"),
    [(0.7, None, 0.3), (None, 0.25, 0.25), (0.7, 0.25, 0.3), (0.8, 0.25, 0.25), (1.0, None, 0.0)],
)
def test_what_is_sold_and_what_stays_on_the_bill_are_all_the_bones(
    sold: float | None, left: float | None, not_sold: float
) -> None:
    """Both shares are of all the bones: each of 1,000 kg is paid for by the buyer or billed, and none twice."""
    typed = {"sold_share": sold, "leftover_share": left, "income": 0.1}
    rows = {word: value for word, value in typed.items() if value is not None}
    found = own(ways((way(2, "sell", *["own_leftover"] * (left is not None)), rows)), 2)
    check(
        found,
        {"stays_share": not_sold, "leftover_kg": 1000 * not_sold + 100, "brought": 1000 * (1 - not_sold) * 0.1},
    )


def test_a_way_without_a_share_sold_keeps_what_is_left_over_on_the_bill() -> None:
    found = ways((way(1, "composting", "own_leftover"), RENDERED | {"leftover_share": 0.25}))
    check(own(found, 1), {"stays_share": 0.25, "cost": (NAN, 111 + 15, 158 + 17.5), "written": None, "book": None})
    not_sold = RENDERED | {"leftover_share": 0.25, "sold_share": 0.8}
    check(own(ways((way(1, "composting", "own_leftover"), not_sold)), 1), {"stays_share": 0.25})


@pytest.mark.parametrize(
    ("kind", "words", "rows", "facts"),
    [
        ("composting", ("own_leftover",), {"leftover_share": 0.25},
         {"p_kept_kg": 39, "n_kept_kg": 13.5, "emissions_kg_co2e": 440, "credits_kg_co2e": 120}),
        ("landfill", (), {}, {"p_kept_kg": 0, "n_kept_kg": 0, "emissions_kg_co2e": 408, "credits_kg_co2e": 0}),
        ("burial", (), {}, {"emissions_kg_co2e": 504, "p_in_feed_kg": 0}),
        ("landfill", ("own_ghg", "own_p", "own_n"), {"ghg": 0.05, "p_kept_share": 0.3, "n_kept_share": 0.4},
         {"emissions_kg_co2e": 50, "p_kept_kg": 15.6, "n_kept_kg": 14.4}),
        ("compost-char", (), {}, {"left_share": 0.3, "p_kept_kg": 52, "n_kept_kg": 12.6,
                                  "emissions_kg_co2e": 470}),
        ("compost-char", ("own_leftover",), {"leftover_share": 0.25}, {"left_share": 0.25,
                                                                       "emissions_kg_co2e": 465}),
        ("other", ("own_ghg",), {"ghg": 0.1}, {"emissions_kg_co2e": 100}),
    ],
)  # fmt: skip
def test_matter_and_carbon_of_a_way(
    kind: str, words: tuple[str, ...], rows: dict[str, float], facts: dict[str, float]
) -> None:
    """52 kg P and 36 kg N in the bones, of which compost keeps half; 440 kg for compost, 408 for a landfill."""
    found = ways((way(5, kind, "free", *words), rows))
    check(own(found, 5), facts | {"npv": None})
    assert "best_other_npv" not in found.lines


def test_composting_first_and_a_small_kiln_for_the_rest() -> None:
    """0.3 are left over: 70 % of what moves with the bones, 10 and 12, falls away. Bones kept out are paid once.

    Cash before tax 42 + 7 + 44 - 55 = 38 and 45 + 8.4 + 52 - 64 = 41.4; profit 6 and 16.4.
    """
    found = ways((way(3, "compost-char"), {"yearly": 10.0}))
    check(own(found, 3), {
        "stays_share": None, "cost": (NAN, 16, 18), "small_kiln": (NAN, 13, 21.6), "small_pv_cost": 121.2,
        "pv_cost": 136, "profit": (NAN, 6, 16.4), "cash": (-100, 36.8, 38.12), "npv": -51.5,
    })  # fmt: skip


def test_composting_first_shows_what_it_and_the_kiln_need() -> None:
    """Kiln 436 - 314 = 122 a year; 315 move with the bones, less 300 sold: 0.7 of 15 is spared. 3 h at 20 and 10.

    80 h of the kiln, of which 0.3 are left, and 3; 100 for the kiln and 50.
    """
    found = ways((way(3, "compost-char", "buys"), {"yearly": 10.0, "hours": 3.0, "capital": 50.0}))
    check(own(found, 3), {
        "own_yearly_cost": 70, "spared_cost": 10.5, "yearly_cost": 122 - 10.5 + 70, "own_people_hours": 3,
        "people_hours": 27, "own_bought": 50, "bought": 150,
    })  # fmt: skip


def test_composting_first_with_a_purchase_of_its_own() -> None:
    """50 more at once, written off over the study: 25 less profit a year, 5 less tax."""
    found = ways((way(3, "compost-char", "buys"), {"yearly": 10.0, "capital": 50.0}))
    check(own(found, 3), {"pv_cost": 186, "cash": (-150, 41.8, 43.12), "npv": -51.5 - 50 + 5 * 1.3})


@pytest.mark.parametrize(
    ("store", "mass", "taken"), [(6.0, 800.0, 300), (60.0, 800.0, 500), (60.0, 200.0, 200), (None, 800.0, 500)]
)
def test_bones_of_others(store: float | None, mass: float, taken: float) -> None:
    """Room of 500 kg; a store of 6 kg turned 50 times holds 300. For 300: paid 15, costs 94.5 and 20, char 51.

    None of it counts as another way, since it is the kiln.
    """
    rows = {"mass": mass, "fee": 0.02, "haul": 0.03, "income": 0.5, "yearly": 20.0}
    rows |= {} if store is None else {"store": store}
    found = ways((way(4, "gate-fee"), rows))
    yearly = taken * (0.05 + 0.315 - 0.17) + 20
    flows = (-100, 42 - yearly * 1.1, 45 - yearly * 1.2)
    profit = (0, 10 - yearly * 1.1, 20 - yearly * 1.2)
    check(own(found, 4), {
        "stored_kg": None if store is None else store * 50, "taken_kg": taken, "fee_paid": taken * 0.05,
        "firing_cost": taken * 0.315, "char_kg": taken * 0.34, "brought": taken * 0.17,
        "added_cost": yearly, "yearly_cost": 122 + yearly, "bought": 100, "people_hours": 80 * (1 + taken / 1000),
        "cost": (NAN, yearly * 1.1, yearly * 1.2), "pv_cost": 131 + yearly * 1.48,
        "cost_per_kg": (131 + yearly * 1.48) / 1.48 / (1250 + taken),
        "npv": sum((flow - 0.2 * profit[t]) * FACTOR[t] for t, flow in enumerate(flows)),
    })  # fmt: skip
    assert "best_other_npv" not in found.lines


def test_a_full_kiln_takes_no_bones_of_others() -> None:
    found = ways((way(4, "gate-fee"), {"mass": 800.0, "fee": 0.02}), kiln_capacity_kg=1000.0)
    check(own(found, 4), {"taken_kg": 0, "added_cost": 0, "yearly_cost": 122})


def test_the_present_mix() -> None:
    """40 % of the first way and 60 % of the second, taxed on the summed flows: 2.58 and -5.14 of profit."""
    found = ways(
        (way(1, "rendering", "in_mix"), RENDERED | {"share_today": 0.4}),
        (way(2, "sell", "in_mix", "buys", "own_ghg", "own_leftover"), SOLD | {"share_today": 0.6, "ghg": 0.1}),
    )
    check(found.lines, {
        "option_1_mix_pv_cost": 0.4 * 167.8, "mix_pv_cost": 0.4 * 167.8 + 0.6 * 69.31, "mix_bought": 72,
        "mix_yearly_cost": 40 - 0.6 * 53, "mix_people_hours": 0.8, "mix_p_in_feed_kg": 20.8,
        "mix_emissions_kg_co2e": 0.4 * 105 + 60, "mix_cost_per_kg": (0.4 * 167.8 + 0.6 * 69.31) / 1480,
        "mix_npv": -72 + (38.58 - 0.516) * 0.8 + (30.86 + 1.028) * 0.5,
    })  # fmt: skip
    check(found.years, {"mix_before_tax": (-72, 38.58, 30.86), "mix_profit": (NAN, 2.58, -5.14)})
    assert not [name for name in found.years if name.startswith("mix_before_tax_first")]


def test_a_mix_of_three_names_its_first_sums() -> None:
    """Equal thirds of three ways alike are that way; the sum of the first two has a line of its own."""
    third = {"share_today": 1 / 3}
    found = ways(*((way(n, "rendering", "in_mix"), RENDERED | third) for n in (1, 2, 3)))
    check(found.lines, {"mix_npv": -67.84})
    check(found.years, {"mix_before_tax_first_2": (0, -34, -176 / 3), "mix_profit_first_2": (NAN, -34, -176 / 3),
                        "mix_before_tax_first_3": None, "mix_before_tax": (0, -51, -88)})  # fmt: skip


def test_a_mix_with_a_way_without_money_has_matter_only() -> None:
    found = ways(
        (way(1, "rendering", "in_mix"), RENDERED | {"share_today": 0.4}),
        (way(2, "landfill", "in_mix", "free"), {"share_today": 0.6}),
    )
    check(found.lines, {"mix_p_in_feed_kg": 20.8, "mix_emissions_kg_co2e": 0.4 * 105 + 0.6 * 408,
                        "mix_pv_cost": None, "mix_npv": None})  # fmt: skip
