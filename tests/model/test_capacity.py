"""Firings, capacity and months: tables of facts and what must always hold."""

from __future__ import annotations

import math

import pytest
from conftest import plant
from hypothesis import given, settings
from hypothesis import strategies as st

from econ.answer.base_case import base_case
from econ.errors import InputFaults
from econ.inputs.records import Scenario
from econ.inputs.rows import MONTHS
from econ.model.derived import months
from econ.model.evaluate import evaluate
from econ.model.plan import Plan

EVEN = {f"supply__{month}_share": f"{1 / 12!r} fraction" for month in MONTHS}
SEASON = (2, 2, 4, 6, 8, 8, 6, 6, 12, 18, 18, 10)
NO_CLOCK = {f"cycle__{key}_hours": "" for key in ("load", "fire", "cool", "empty")}
SEASONAL = {f"supply__{month}_share": f"{share} %" for month, share in zip(MONTHS, SEASON, strict=True)}


def figures(scenario: Scenario, **moved: float) -> dict[str, float]:
    numbers = scenario.numbers() | {key.replace("__", "."): value for key, value in moved.items()}
    return evaluate(numbers, Plan.of(scenario)).lines


def kiln(**sets: str) -> dict[str, float]:
    """A plain plant: 100 kg a load, 100 firings a year allowed, bones that keep all year, nothing excluded."""
    start = {
        "bones__1__excluded_share": "0 %", "kiln__batch_load": "100 kg", "kiln__batches_per_week": "2 a week",
        "kiln__weeks_per_year": "50 weeks", "bones__storage_days": "365 days",
        "bones__1__mass": "5000 kg per year",
    }  # fmt: skip
    return figures(plant(**{**start, **sets}))


FIRINGS = [
    # bones [kg a year], firings, why; arithmetic
    ("5000", 50, "50 whole loads"),
    ("5000.01", 51, "a load just over a whole batch costs one more batch"),
    ("4999.99", 50, "the last load a little short"),
    ("1", 1, "one part load"),
    ("10000", 100, "all that is allowed"),
    ("12000", 100, "2,000 kg stay with current practice"),
]


@pytest.mark.parametrize(("kg", "firings", "why"), FIRINGS)
def test_firings_by_mass(kg: str, firings: int, why: str) -> None:
    assert kiln(bones__1__mass=f"{kg} kg per year")["firings_per_year"] == firings, why


def test_all_excluded_is_no_firing() -> None:
    assert kiln(bones__1__excluded_share="100 %")["firings_per_year"] == 0


@pytest.mark.parametrize(
    ("sets", "firings"),
    [
        ({"bones__storage_days": "7 days"}, 50),  # 350 days over 7
        ({"bones__storage_days": "3 days"}, 100),  # 117 wanted, 100 allowed
        ({"bones__storage_days": "5 days", "bones__1__mass": "300 kg per year"}, 70),
        ({"kiln__volume": "200 L"}, 72),  # 70 kg at 350 kg/m3: 5000 / 70 = 71.4
        ({"kiln__volume": "200 L", "bones__bulk_density": "550 kg per m3"}, 50),  # 110 kg: the weight decides
        ({"kiln__core_share": "80 %"}, 63),  # 80 kg of new bones in a load: 62.5
        ({"kiln__number": "3"}, 50),
        ({"kiln__downtime_share": "60 %"}, 40),
    ],
)
def test_firings_are_the_most_of_those_forced_up_to_those_allowed(sets: dict[str, str], firings: int) -> None:
    assert kiln(**sets)["firings_per_year"] == firings


def test_several_kilns_and_downtime_move_what_is_allowed() -> None:
    assert kiln(kiln__number="3")["firings_allowed"] == 300
    assert kiln(kiln__downtime_share="7.5 %")["firings_allowed"] == 92
    assert kiln()["firings_allowed"] == 100


CYCLES = [
    # load, fire, cool, empty [h], days, hours of a crew -> firings a week; arithmetic on the clock
    ((1, 7, 14, 1), 5, 10, 5),  # 23 h: one a day
    ((1, 7, 20, 1), 5, 10, 2),  # 29 h: one every second day, 2.5 a week
    ((0.5, 3, 4, 0.5), 5, 8, 10),  # 8 h: three a day by the clock, two by the crew
    ((0.5, 3, 8, 0.5), 7, 24, 14),  # 12 h: two a day
    ((1, 10, 60, 1), 7, 12, 2),  # 72 h: every third day
]


@pytest.mark.parametrize(("cycle", "days", "crew", "firings"), CYCLES)
def test_firings_a_week_by_shift_pattern(cycle: tuple[float, ...], days: float, crew: float, firings: int) -> None:
    hours = {
        f"cycle__{key}_hours": f"{h} hour" for key, h in zip(("load", "fire", "cool", "empty"), cycle, strict=True)
    }
    found = kiln(
        **hours,
        shift__days_per_week=str(days),
        shift__hours_per_day=f"{crew} hour",
        kiln__batches_per_week="20 a week",
    )
    assert found["firings_by_shift"] == firings
    assert found["firings_allowed"] == 50 * firings
    assert found["clock_hours_per_firing"] == pytest.approx(sum(cycle))


def test_the_shift_pattern_never_adds_firings_to_those_typed() -> None:
    pattern = {"cycle__load_hours": "1 hour", "cycle__fire_hours": "2 hour", "cycle__cool_hours": "2 hour",
               "cycle__empty_hours": "1 hour", "shift__days_per_week": "7",
               "shift__hours_per_day": "24 hour"}  # fmt: skip
    assert kiln(**pattern)["firings_allowed"] == 100


def test_twelve_even_months_equal_the_even_year() -> None:
    for sets in ({}, {"bones__1__mass": "5230 kg per year"}, {"bones__storage_days": "6 days"},
                 {"bones__1__mass": "13000 kg per year"}, {"kiln__batches_per_week": "0.5 a week"}):  # fmt: skip
        year, by_month = kiln(**sets), kiln(**sets, **EVEN)
        for name in ("bones_fired_kg", "bones_passed_on_kg", "firings_per_year", "npv", "hours_per_year"):
            assert by_month[name] == pytest.approx(year[name], rel=1e-9, abs=1e-6), (sets, name)


def test_a_season_above_capacity_passes_bones_on_though_the_year_would_fit() -> None:
    year, season = kiln(bones__1__mass="9000 kg per year"), kiln(bones__1__mass="9000 kg per year", **SEASONAL)
    assert year["bones_passed_on_kg"] == 0
    # a twelfth of 10,000 kg is 833.3: September 1,080, October and November 1,620, December 900
    assert season["bones_passed_on_kg"] == pytest.approx(1080 + 2 * 1620 + 900 - 4 * 10000 / 12)


def test_months_without_bones_leave_no_room_for_later_bones() -> None:
    # 150 kg in March and 150 kg in September: two firings each, since bones do not wait half a year
    shares = {f"supply__{month}_share": "50 %" if month in {"mar", "sep"} else "0 %" for month in MONTHS}
    found = kiln(bones__1__mass="300 kg per year", **shares)
    assert found["firings_per_year"] == 4
    assert [found[f"month_{m}_firings"] for m in (3, 4, 9, 10)] == [2, 0, 2, 0]


share = st.floats(0, 1)


@given(
    shares=st.lists(share, min_size=12, max_size=12).filter(lambda found: sum(found) > 0.1),
    mass=st.floats(1, 40000), load=st.floats(20, 800), weekly=st.floats(0.1, 6), days=st.floats(1, 60),
    excluded=st.floats(0, 1), core=st.floats(0.3, 1),
)  # fmt: skip
@settings(max_examples=80)
def test_every_month_adds_up_and_firings_are_whole(
    shares: list[float], mass: float, load: float, weekly: float, days: float, excluded: float, core: float
) -> None:
    base = plant(**SEASONAL, kiln__core_share="90 %")
    moved = {f"supply__{month}_share": one for month, one in zip(MONTHS, shares, strict=True)}
    found = figures(
        base, bones__1__mass=mass, kiln__batch_load=load, kiln__batches_per_week=weekly, bones__storage_days=days,
        bones__1__excluded_share=excluded, kiln__core_share=core, **moved,
    )  # fmt: skip
    assert sum(found[f"month_{m}_offered_kg"] for m in range(1, 13)) == pytest.approx(mass)
    for m in range(1, 13):
        offered, out, burnt, passed = (
            found[f"month_{m}_{key}_kg"] for key in ("offered", "excluded", "fired", "passed_on")
        )
        assert burnt + passed + out == pytest.approx(offered, abs=1e-6)
        assert min(burnt, out) >= 0
        assert passed >= -1e-6
        firings = float(found[f"month_{m}_firings"])
        assert firings == int(firings) >= 0
    year = sum(float(found[f"month_{m}_firings"]) for m in range(1, 13))
    assert year == found["firings_per_year"] <= found["firings_allowed"]
    assert found["firings_per_year"] * load * core >= found["bones_fired_kg"] * (1 - 1e-9) - 1e-6
    assert found["bones_fired_kg"] + found["bones_passed_on_kg"] + found["bones_excluded_kg"] == pytest.approx(
        mass
    )


@given(mass=st.floats(1, 12000), load=st.floats(20, 500))
@settings(max_examples=60)
def test_even_months_are_whole_too(mass: float, load: float) -> None:
    scenario = plant()
    found = figures(scenario, bones__1__mass=mass, kiln__batch_load=load)
    rows = months(Plan.of(scenario), found)
    assert sum(row["firings"] for row in rows) == found["firings_per_year"]
    for row in rows:
        assert row["firings"] == int(row["firings"])
        assert row["fired_kg"] + row["passed_on_kg"] + row["excluded_kg"] == pytest.approx(row["offered_kg"])


@given(loads=st.integers(1, 90), load=st.floats(20, 500), over=st.floats(1e-4, 0.5))
def test_a_load_just_over_a_whole_batch_costs_one_more(loads: int, load: float, over: float) -> None:
    base = plant(kiln__batches_per_week="2 a week", bones__1__excluded_share="0 %", bones__storage_days="365 days")
    whole = figures(base, bones__1__mass=loads * load, kiln__batch_load=load)
    more = figures(base, bones__1__mass=(loads + over) * load, kiln__batch_load=load)
    assert more["firings_per_year"] == whole["firings_per_year"] + 1
    assert more["fuel_1_used"] / whole["fuel_1_used"] == pytest.approx((loads + 1) / loads)
    assert more["hours_per_year"] / whole["hours_per_year"] == pytest.approx((loads + 1) / loads)


def test_a_larger_size_is_a_line_beside_the_answer() -> None:
    found = kiln(kiln__larger_load="200 kg", bones__1__mass="25000 kg per year")
    plain = kiln(bones__1__mass="25000 kg per year")
    # the six-tenths rule: twice the size is 2 ** 0.6 = 1.516 times the price (common practice)
    assert found["larger_price"] / plant()["kiln.price"].number == pytest.approx(1.5157, abs=1e-4)
    assert found["larger_capacity_kg"] == 20000
    assert found["larger_passed_on_kg"] == 5000
    assert found["npv"] == plain["npv"]


def test_wear_falls_on_every_firing_full_or_not() -> None:
    worn = kiln(kiln__wear_per_firing="5 USD", bones__1__mass="5000.01 kg per year")
    assert worn["wear_today"] == 5 * 51


@pytest.mark.parametrize(
    ("sets", "id"),
    [
        ({"kiln__volume": "10 ft3"}, "volume-limits"),
        ({"kiln__number": "2"}, "several-kilns"),
        ({"kiln__core_share": "90 %"}, "core-unfinished"),
        ({"bones__storage_days": "7 days"}, "keep-cold"),
        ({"bones__storage_days": "2 days", "kiln__batches_per_week": "1 a week"}, "bones-wait"),
        ({"bones__1__mass": "9000 lb per week"}, "above-capacity"),
    ],
)
def test_cautions(sets: dict[str, str], id: str) -> None:
    assert id in {caution.id for caution in base_case(plant(**sets)).cautions()}


@pytest.mark.parametrize(
    ("sets", "words"),
    [
        ({"supply__jan_share": "10 %"}, "only 1 of the 12 months"),
        ({**SEASONAL, "supply__jan_share": "40 %"}, "add up to"),
        ({"cycle__fire_hours": ""}, "3 of 4 rows"),
        (
            {**NO_CLOCK, "shift__days_per_week": "5", "shift__hours_per_day": "8 hour"},
            "without the hours of a batch",
        ),
        ({"power__fan_per_firing": "5 kWh"}, "no electricity among the fuels"),
        ({"fuel__1__per_batch": "20 therm"}, "propane in therm"),
        ({"fuel__1__per_batch": ""}, "Fuel for one batch (fuel 1): blank"),
        ({"labour__hours_per_batch": ""}, "Labour hours for one batch: blank"),
    ],
)
def test_faults(sets: dict[str, str], words: str) -> None:
    with pytest.raises(InputFaults) as caught:
        plant(**sets)
    assert words in str(caught.value)


def test_the_hours_of_a_crew_must_hold_a_firing() -> None:
    cycle = {f"cycle__{key}_hours": "6 hour" for key in ("load", "fire", "cool", "empty")}
    with pytest.raises(InputFaults, match="attended hours"):
        plant(**cycle, shift__days_per_week="5", shift__hours_per_day="8 hour")


def test_floor_and_ceiling_forgive_rounding() -> None:
    assert kiln(kiln__batch_load=f"{1e4 / 3!r} kg", bones__1__mass="10000 kg per year")["firings_per_year"] == 3
    assert math.isclose(kiln(kiln__batches_per_week=f"{0.1 + 0.2!r} a week")["firings_allowed"], 15)
