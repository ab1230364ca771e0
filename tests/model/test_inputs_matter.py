"""Every input, moved alone, changes something, or is listed as having no effect in that plant."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest
from conftest import plant

from econ.answer.appraisal import appraise
from econ.answer.base_case import base_case
from econ.answer.report import FUNCTIONS, NAMES, contract
from econ.answer.results import Results
from econ.answer.sentences import filled
from econ.inputs.records import Scenario
from econ.inputs.rows import Row
from econ.inputs.schema import rows
from econ.questions.latin import LEAST, Sampling

RICH = {
    "kiln__char_yield": "30 %", "bones__2__mass": "100 kg per week", "fuel__2__kind": "electricity",
    "fuel__2__per_batch": "9 kWh", "fuel__2__price": "0.2 USD per kWh", "money__tax_rate": "25 %",
    "kiln__life": "4 years", "carbon__persistence_method": "temperature class", "bones__2__excluded_share": "5 %",
    "bones__2__kind": "poultry bones", "product__2__market_limit": "2000 kg per year", "money__basis": "nominal",
    "carbon__use_corrected": "yes", "haul__trips": "9 each", "haul__distance": "30 km",
    "haul__mass": "8 tonne per year",
    "haul__mass_distance": "90 km", "handling__haul_trips": "20 each", "handling__haul_distance": "40 km",
    "equipment__1__cost": "3000 USD", "equipment__1__life": "3 years", "equipment__1__installation": "200 USD",
    "equipment__1__year_bought": "1 years", "equipment__1__salvage_share": "10 %", "wear__1__cost": "500 USD",
    "wear__1__life": "1.5 years", "capital__working": "900 USD", "money__decommissioning": "800 USD",
    "grant__year": "2 years", "costs__assays": "200 USD per year", "costs__registration": "90 USD per year",
    "costs__tonnage_fee": "2 USD per short_ton", "costs__downtime_share": "3 %",
    "costs__grease": "60 USD per year",
    "owner__hours": "2 hour per week", "owner__hour_worth": "25 USD per hour", "current__price_rise":
    "9 USD per month", "product__1__channel_discount": "20 %", "product__1__freight": "0.05 USD per lb",
    "product__1__packaging": "0.04 USD per lb", "product__1__selling_hours": "9 hour per short_ton",
    "product__3__customers": "200 each per year", "product__3__area": "40 m2", "product__3__repeat_share": "50 %",
    "market__first_year_share": "50 %", "market__years_to_full": "3 years", "market__sales_share": "90 %",
    "market__first_month": "2", "own_use__mass": "50 kg per year", "own_use__soil_test": "below-optimum",
    "own_use__purchase_avoided": "3 USD per year", "money__months_to_start": "2 month",
}  # fmt: skip
"""A plant in which as many rows as possible act."""

FEW = Sampling(samples=LEAST)

NO_EFFECT = {
    **{
        f"planting.{row}": "decides which other rows must be filled: test_own_planting moves it with them"
        for row in ("1.kind", "2.kind", "3.kind", "3.way")
    },
    **{f"planting.{n}.depth": "said in a caution only, where char is broadcast: below" for n in (1, 2, 3)},
    "plant.name": "names the scenario",
    "plant.currency": "names the money",
    "plant.units": "says how figures are shown",
    "carbon.h_corg": "acts only with the H/C_org method, shown beside the other",
    "fuel.basis": "acts only where the first fuel is blank",
    "task.1.watching": "acts only where tasks stand in for the hours of a batch",
    "carbon.soil_temperature": "acts only with the H/C_org method, shown beside the other",
    "product.soluble_share": "acts only where no available phosphate is typed: test_matter_finishing",
    **{key: "acts only in a deep run: tests/questions/test_deep" for key in rows() if key.startswith("measure.")},
    **{key: "acts in the record of a year only: tests/record" for key in rows() if key.startswith("record.")},
    **{key: "acts in the note only: tests/note" for key in rows() if key.startswith(("claim.", "monitor."))},
    "rule.least_measuring_share": "acts only in a deep run: tests/questions/test_deep",
    **{
        key: "acts only with a filled kiln log or lab assay: tests/measured"
        for key in rows()
        if key.startswith(("log.use_", "assay.use_"))
    },
}

NEEDS: dict[str, dict[str, str]] = {
    "bones.assay_of_weighed_load": {
        f"bones__{n}__{part}": share
        for n in (1, 2)
        for part, share in {
            "water_share": "45 %", "fat_share": "10 %", "protein_share": "20 %", "ash_share": "25 %",
        }.items()
    },
    "finish.charge": {"finish__charge": "tea", "finish__charge_ratio": "0.4 kg per kg"},
    "finish.charge_ratio": {"finish__charge": "compost", "finish__charge_ratio": "0.4 kg per kg"},
    "product.analysis_basis": {"finish__added_water": "0.2 kg per kg"},
    "contract.falls_away": {
        "contract__fixed": "100 USD per month", "contract__per_mass": "0.05 USD per lb", "current__saving": "",
    },
    "equipment.1.salvage_share": {"equipment__1__life": "20 years"},  # at 3 years nothing is left of it
    "injector.tank": {"injector__tank": "20 gal"},  # at 100 as many loads as before
    "own_use.from_planting": {"own_use__mass": ""},
    "planting.3.soil_ph": {"planting__3__soil_ph": "5.8", "planting__3__soil_test": "30 mg/kg"},
}  # fmt: skip
"""Rows that act only beside others: what must stand in the plant before they are moved."""


def flat(found: object, at: str = "") -> Iterator[tuple[str, object]]:
    if isinstance(found, dict):
        for key, value in found.items():
            if key not in {"inputs", "inputs_code", "warnings", "reasons"}:
                yield from flat(value, f"{at}.{key}")
    elif isinstance(found, list):
        for i, value in enumerate(found):
            yield from flat(value, f"{at}[{i}]")
    else:
        yield at, found


BASE = plant(**RICH)


def figures(scenario: Scenario) -> dict[str, str]:
    """Of the base case, as texts: nan is nan."""
    return {name: repr(value) for name, value in base_case(scenario).figures.items()}


@cache
def figures_before(**sets: str) -> dict[str, str]:
    return figures(plant(**sets))


def told(results: Results) -> Iterator[dict[str, object]]:
    """The JSON part by part, and all of it last: its plans take half of the time."""
    yield dict(flat(contract(results.scenario, results.figures)))
    for name in NAMES["details"]:
        if name != "plans":
            yield dict(flat({name: filled(NAMES[name], results, FUNCTIONS)}))
    yield dict(flat(results.to_json()))


@cache
def answer_before(**sets: str) -> tuple[dict[str, object], ...]:
    return tuple(told(appraise(plant(**sets), FEW)))


def moved(row: Row, scenario: Scenario) -> str:
    entry = scenario.entries[row.key]
    if row.kind == "choice":
        return next(option.slug for option in row.choices if option.slug != entry.value)
    shown = entry.shown(entry.number)
    assert shown is not None
    unit = f" {entry.unit.short}" if entry.unit else ""
    if row.kind == "whole":
        return f"{int(shown) + 3}{unit}"
    for value in (shown * 1.07, shown * 0.9, shown + 0.05):
        canonical = entry.unit.to_canonical(value) if entry.unit else value
        if value != shown and row.lowest <= canonical <= row.highest:
            return f"{value!r}{unit}"
    raise AssertionError(row.key)


ROWS = [row for row in rows().values() if row.key in BASE.entries and BASE.has(row.key) and row.kind != "text"]


@pytest.mark.parametrize("row", [r for r in ROWS if r.key not in NO_EFFECT], ids=lambda row: row.key)
def test_every_input_moved_alone_changes_something(row: Row) -> None:
    sets = {**RICH, **NEEDS.get(row.key, {})}
    unmoved, start = dict(sets), plant(**sets)
    sets[row.key.replace(".", "__")] = moved(row, start)
    if row.key == "finish.charge":
        sets["finish__charge"] = "compost"
    if row.key == "fuel.1.kind":
        sets |= {"fuel__1__kind": "diesel"}
    if row.key == "fuel.2.kind":
        sets |= {"fuel__2__kind": "pellets", "fuel__2__per_batch": "9 kg", "fuel__2__price": "0.2 USD per kg"}
    if row.block == "bones" and row.key.endswith(("water_share", "fat_share", "protein_share", "ash_share")):
        n = row.key.split(".")[1]
        parts = {name: BASE[f"bones.{n}.{name}_share"].number for name in ("water", "fat", "protein", "ash")}
        name = row.key.split(".")[2].removesuffix("_share")
        parts[name] += 0.01
        sets |= {f"bones__{n}__{k}_share": f"{v!r} fraction" for k, v in parts.items()}
    if row.key.startswith("product.") and row.key.endswith(".share"):
        sets[row.key.replace(".", "__")] = "12 %"
    found = plant(**sets)
    if figures(found) == figures_before(**unmoved):  # nothing of the base case: then of the whole answer
        both = zip(told(appraise(found, FEW)), answer_before(**unmoved), strict=False)
        assert any(
            answer.get(key) != value
            for answer, before in both
            for key, value in before.items()
            if ".effects" not in key
        ), row.key


@pytest.mark.parametrize(("depth", "told"), [("0.9 in", True), ("1.1 in", False)])
def test_char_less_than_25_mm_deep_is_said_to_lie_at_the_surface(depth: str, told: bool) -> None:
    """The depth of a block moves no figure; 25 mm is common practice, no source."""
    found = base_case(plant(planting__3__way="broadcast", planting__3__depth=depth)).cautions()
    assert any("left at the surface" in one.text for one in found) is told
