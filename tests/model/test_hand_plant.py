"""One complete plant worked by hand, step by step, as arithmetic a reader can follow.

The plant is invented. Composition (beef, mixed: 35/15/20/30) and the 500 °C row of the char model are
house figures; stoichiometry is IUPAC; propane emits 1.51658 kg CO2e/L with the AR6 set (inventory factors,
see the Sources page). Nothing here calls a model function before its result is compared.
"""

from __future__ import annotations

import pytest

from econ.answer.appraisal import appraise
from econ.inputs.build import build
from econ.inputs.records import Typed

ROWS = {
    "bones.1.mass": (1000, "kg per week"),
    "bones.1.excluded_share": (10, "%"),
    "current.saving": (500, "USD per month"),
    "current.fee": (120, "USD per tonne"),
    "kiln.price": (30000, "USD"),
    "kiln.installation": (4000, "USD"),
    "capital.other": (6000, "USD"),
    "kiln.batch_load": (600, "kg"),
    "kiln.batches_per_week": (2, "a week"),
    "kiln.weeks_per_year": (52, "weeks"),
    "kiln.life": (20, "years"),
    "kiln.peak_temperature": (500, "degC"),
    "labour.hours_per_batch": (4, "hours"),
    "labour.wage": (20, "USD per hour"),
    "labour.on_cost_share": (10, "%"),
    "fuel.1.per_batch": (50, "L"),
    "fuel.1.price": (0.6, "USD per L"),
    "running.insurance_per_year": (400, "USD per year"),
    "running.permits_per_year": (100, "USD per year"),
    "running.other_per_year": (300, "USD per year"),
    "running.maintenance_share": (4, "%"),
    "finish.grind_cost": (0.02, "USD per kg"),
    "finish.tea_cost": (0.01, "USD per kg"),
    "finish.bag_cost": (0.03, "USD per kg"),
    "excluded.fee": (0.05, "USD per kg"),
    "product.1.price": (2, "USD per kg"),
    "product.1.market_limit": (3000, "kg per year"),
    "product.1.share": (30, "%"),
    "product.2.price": (0.5, "USD per kg"),
    "product.available_p2o5_share": (16, "% P2O5"),
    "fertiliser.p2o5_price": (1.5, "USD per kg"),
    "fertiliser.soil_factor": (0.4, "fraction"),
    "market.area_per_customer": (20, "m2"),
    "market.label_rate": (488, "kg per ha"),
    "money.study_years": (10, "years"),
    "money.discount_rate": (6, "%"),
    "money.inflation": (0, "%"),
    "money.tax_rate": (0, "%"),
    "money.salvage_share": (10, "%"),
    "carbon.in_scope_share": (80, "%"),
    "carbon.organic_share": (9, "%"),
    "carbon.stack_ch4": (1, "g per kg"),
    "carbon.stack_n2o_share": (0.1, "%"),
}


@pytest.fixture(scope="module")
def found() -> dict[str, object]:
    typed = {key: Typed(value=value, unit=unit, where=key) for key, (value, unit) in ROWS.items()}
    typed["fuel.1.kind"] = Typed(value="propane")
    typed["bones.1.kind"] = Typed(value="beef, mixed bones")
    typed["money.basis"] = Typed(value="real")
    return appraise(build(typed)).to_json()


# Bones: 1,000 kg a week × 52, a tenth kept out.
RECEIVED = 52_000
FIRED = RECEIVED * 0.9  # 46,800 kg; the kiln can take 2 × 52 × 600 = 62,400
FIRINGS = 78  # 46,800 / 600 exactly, more than one a week

# Char at 500 °C: mineral kept 0.985, residue 0.35 of protein.
CHAR = FIRED * (0.30 * 0.985 + 0.20 * 0.35)  # 17,105.4 kg
P = FIRED * 0.30 * 0.175
P2O5 = P * 141.94252 / 61.94752
CA = FIRED * 0.30 * 0.37

# Sales: 30 % offered in tier 1 is 5,131.62 kg, of which 3,000 sell; all else goes to tier 2.
SALES = 3_000 * 2 + (CHAR - 3_000) * 0.5

SAVED = 500 * 12
RUNNING = (
    FIRINGS * 50 * 0.6  # propane 2,340
    + FIRINGS * 4 * 20 * 1.1  # people 6,864
    + 30_000 * 0.04  # repairs 1,200
    + 400 + 100 + 300  # insurance, permits, other
    + CHAR * 0.06  # grinding, tea, bags
)  # fmt: skip
EXCLUDED = 5_200 * 0.05
YEARLY = SALES + SAVED - RUNNING - EXCLUDED
CAPITAL = 40_000
RESALE = 3_000

LASTING = 0.71 + (0.67 - 0.71) * (15 - 14.9) / (20 - 14.9)  # chars of 450 to 600 °C at 14.9 and 20 °C soil
REMOVAL_KG = CHAR * 0.09 * 0.80 * LASTING * 44 / 12  # organic C × in scope × share left × 44/12
VOLATILES = FIRED * (0.15 + 0.20 * 0.65)
N_LOST = FIRED * 0.20 * (0.18 - 0.35 * 0.107)
PROPANE = 78 * 50 * (62.87 * 0.091 + (3.0 * 27.0 + 0.60 * 273) * 0.091 / 1000) / 3.785411784
PROCESS_KG = PROPANE * 1.118 + VOLATILES * 0.001 * 27.0 + N_LOST * 0.001 * 44 / 28 * 273


def annuity(years: int = 10, rate: float = 0.06) -> float:
    return sum((1 + rate) ** -t for t in range(1, years + 1))


def test_tonnes(found: dict[str, object]) -> None:
    assert found["bones_t_per_year"] == pytest.approx(46.8)
    assert found["char_t_per_year"] == pytest.approx(17.1054)
    assert found["char_t_per_year"] == pytest.approx(CHAR / 1000)
    assert found["p_t_per_year"] == pytest.approx(2.457)
    assert found["p_t_per_year"] == pytest.approx(P / 1000)
    assert found["p2o5_t_per_year"] == pytest.approx(P2O5 / 1000)
    assert found["ca_t_per_year"] == pytest.approx(CA / 1000)


def test_money(found: dict[str, object]) -> None:
    npv = -CAPITAL + YEARLY * annuity() + RESALE / 1.06**10
    assert found["npv"] == pytest.approx(npv, rel=1e-12)
    assert found["payback_years"] == pytest.approx(CAPITAL / YEARLY)
    discounted, worth = 0.0, -CAPITAL
    for t in range(1, 11):
        gain = YEARLY / 1.06**t
        if worth + gain >= 0:
            discounted = t - 1 - worth / gain
            break
        worth += gain
    assert found["discounted_payback_years"] == pytest.approx(discounted)
    kiln = CAPITAL / annuity() + RUNNING + EXCLUDED - SALES - RESALE / 1.06**10 / annuity()
    assert found["net_cost_per_t_bones"] == pytest.approx(kiln / 52)
    assert found["current_cost_per_t_bones"] == pytest.approx(120)


def test_rates_of_return_make_the_worth_zero(found: dict[str, object]) -> None:
    irr, mirr = float(found["irr"]), float(found["mirr"])  # type: ignore[arg-type]
    assert -CAPITAL + YEARLY * annuity(10, irr) + RESALE / (1 + irr) ** 10 == pytest.approx(0, abs=1e-6)
    grown = sum(YEARLY * 1.06 ** (10 - t) for t in range(1, 11)) + RESALE
    assert mirr == pytest.approx((grown / CAPITAL) ** 0.1 - 1)


def test_carbon(found: dict[str, object]) -> None:
    assert found["durable_c_t_per_year"] == pytest.approx(CHAR * 0.09 * 0.8 * LASTING / 1000)
    assert found["removal_t_co2e_per_year"] == pytest.approx(REMOVAL_KG / 1000)
    # 5e-5: the propane factor of the table is rounded to five figures
    assert found["project_net_t_co2e_per_year"] == pytest.approx((REMOVAL_KG - PROCESS_KG) / 1000, rel=5e-5)


def test_details_of_the_year(found: dict[str, object]) -> None:
    figures = found["details"]["figures"]  # type: ignore[index]
    assert figures["firings_per_year"] == FIRINGS
    assert figures["tier_1_sold_kg"] == pytest.approx(3_000)
    assert figures["tier_2_sold_kg"] == pytest.approx(CHAR - 3_000)
    assert figures["customers_per_year"] == pytest.approx(CHAR / (20 * 0.0488))
    assert figures["fertiliser_value"] == pytest.approx(CHAR * 0.16 * 0.4 * 1.5)
