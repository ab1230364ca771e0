"""Numbers that are possible but unusual are asked about, with the likely slip; ordinary ones are not."""

from __future__ import annotations

import pytest
from test_as_typed import plant

from econ.evidence.factors import SPANS
from econ.inputs.build import build
from econ.inputs.examples import NAMES, example, in_units
from econ.inputs.records import Typed
from econ.inputs.schema import blocks, rows
from econ.units import unit

SLIPS = [
    # key, number, unit, the question
    ("fuel.1.price", 240, "USD per gal", "cents"),
    ("current.saving", 73000, "USD per month", "73,000 USD per year"),
    ("money.discount_rate", 0.7, "%", "7 % or 0.7 %?"),
    ("money.discount_rate", 0.07, "%", "7 % or 0.07 %?"),
    ("running.maintenance_share", 0.05, "%", "5 % or 0.05 %?"),
    ("bones.1.excluded_share", 0.05, "%", "5 % or 0.05 %?"),
    ("kiln.price", 0, "USD", "really nothing"),
    ("labour.hours_per_batch", 0, "hours", "really nothing"),
    ("fuel.1.per_batch", 0, "gal", "really nothing"),
    ("kiln.price", 38, "USD", "in thousands"),
    ("product.1.price", 25, "USD per lb", "a whole bag"),
    ("labour.wage", 3000, "USD per hour", "week or a month"),
    ("kiln.peak_temperature", 1250, "degC", "(usual: 350 to 1,000 °C). Was 1,250 degrees Fahrenheit"),
    ("kiln.peak_temperature", 400, "degF", "400 degrees Celsius"),
    ("fuel.1.per_batch", 500, "gal", "unusual"),
    ("money.inflation", 0.02, "%", "2 % or 0.02 %?"),
    ("product.1.price", 300, "USD per lb", "300 USD per tonne"),
    ("labour.hours_per_batch", 300, "hours", "300 hours is unusual (usual: 0.5 to 60 hours)"),
    ("bones.1.mass", 900_000, "lb per week", "900,000 pound (lb) per month"),
    ("contract.per_mass", 40, "USD per lb", "40 USD per tonne"),
    ("contract.fixed", 45_000, "USD per month", "45,000 USD per year"),
    ("kiln.life", 1, "years", "1 year is unusual (usual: 2 to 40 years)"),
]  # fmt: skip


@pytest.mark.parametrize(("key", "number", "short", "asks"), SLIPS, ids=[f"{r[0]} {r[1]} {r[2]}" for r in SLIPS])
def test_a_slip_is_asked_about(key: str, number: float, short: str, asks: str) -> None:
    found = plant(**{key.replace(".", "__"): Typed(number, unit=short, where="Sheet!B1")})
    said = [caution for caution in found.warnings if caution.id == "odd-number" and caution.where == "Sheet!B1"]
    assert len(said) == 1
    assert asks in said[0].text
    assert found[key].number == pytest.approx(unit(short, "USD").to_canonical(number)), "asked about, not changed"


@pytest.mark.parametrize(("percent", "asked"), [(0.5, 1), (0.95, 0)])
def test_a_share_whose_hundredfold_its_row_refuses_is_not_asked_about(percent: float, asked: int) -> None:
    """Char as sold holds at most 90 % water: 0.95 % cannot have meant 95 %."""
    found = plant(finish__sold_moisture=Typed(percent, unit="%", where="Sheet!B1"))
    assert len([one for one in found.warnings if one.id == "odd-number" and one.where == "Sheet!B1"]) == asked


@pytest.mark.parametrize(("known", "asked"), [("guessed", 1), (None, 1), ("quoted", 0)])
@pytest.mark.parametrize("key", ["running.insurance_per_year", "running.permits_per_year"])
def test_a_zero_of_nobodys_word_is_asked_about(key: str, known: str | None, asked: int) -> None:
    """The help says "Type 0 only if they say so"; a guessed 0 has no range, so nothing else would ask."""
    found = plant(**{key.replace(".", "__"): Typed(0, unit="USD per year", known=known, where="Sheet!B1")})
    assert len([one for one in found.warnings if one.id == "quiet-zero" and one.where == "Sheet!B1"]) == asked


@pytest.mark.parametrize("name", NAMES)
def test_a_shipped_plant_is_not_asked(name: str) -> None:
    found = example(name)
    said = build(found.rows, found.system, tables=found.tables).warnings
    assert not [caution.text for caution in said if caution.id == "odd-number"]


def test_every_span_is_about_a_row_and_in_its_measure() -> None:
    every = {f"{block.name}.{row.key}": row for block in blocks().values() for row in block.rows} | rows()
    for span in SPANS.all():
        measures = {one.dimension for one in every[span.row].unit_choices("USD")}
        own = unit(span.unit.replace("$", "USD"), "USD").dimension
        assert span.when in {"per bones", "per load"} or own in measures, span.row


def test_dollars_say_nothing_of_rupees() -> None:
    """The numbers of a plant in dollars, in a currency of which a dollar is many."""
    found = in_units(example("thistle-flat"), "us", "INR")
    typed = found.rows | {"kiln.price": Typed(20_000_000, unit="INR")}
    assert not [one for one in build(typed, "us", tables=found.tables).warnings if one.id == "odd-number"]


ZERO = [
    # what the plan says, the row that is zero, words of the caution
    ({"finish.bag_cost": Typed(0, unit="USD per lb")}, "sold in bags"),
    ({"finish.bag_cost": Typed(None)}, "sold in bags"),
    ({"finish.charge": Typed("compost tea"), "finish.charge_ratio": Typed(0.5, unit="kg per kg"),
      "finish.tea_cost": Typed(0, unit="USD per lb")}, "is charged with costs nothing"),
    ({"finish.particle_size": Typed(1, unit="mm"), "finish.grind_cost": Typed(None)}, "Grinding costs nothing"),
    ({"money.inflation": Typed(0, unit="%")}, "no price or wage rises"),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "says"), ZERO, ids=[row[1] + str(at) for at, row in enumerate(ZERO)])
def test_a_quiet_zero_is_said(typed: dict[str, Typed], says: str) -> None:
    found = plant(**{key.replace(".", "__"): one for key, one in typed.items()})
    assert [one.text for one in found.warnings if one.id == "quiet-zero" and says in one.text]


def test_zero_is_no_caution_where_nothing_implies_a_cost() -> None:
    """Loose char, plain, in real money: none of these costs arises."""
    loose = {f"product__{n}__packing": Typed("loose") for n in (1, 2, 3)}
    blank = {key: Typed(None) for key in ("finish__bag_cost", "finish__tea_cost", "finish__grind_cost")}
    found = plant(**loose, **blank, money__basis=Typed("real"), money__inflation=Typed(0, unit="%"))
    assert not [one.text for one in found.warnings if one.id == "quiet-zero"]
