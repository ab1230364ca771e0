"""Lab assays: one sample on two bases, doubts, and limits."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from measured_plants import assay, with_data

from econ.answer.base_case import base_case
from econ.errors import InputFaults
from econ.evidence import substances
from econ.measured.readings import compared
from econ.measured.use import read

DRY: dict[str, Any] = {
    "basis": "dry", "moisture": 4.0, "p2o5": 34.0, "available": 15.5, "ca": 31.5, "c_total": 10.0, "c_org": 9.0,
    "h": 0.5, "n": 1.4, "cd": 0.2, "pb": 3.0,
}  # fmt: skip


def received(moisture: float) -> dict[str, Any]:
    """The sample DRY as a lab reports it with so much water [%]."""
    kept = 1 - moisture / 100
    parts = {key: value * kept for key, value in DRY.items() if key not in {"basis", "moisture"}}
    return {"basis": "as received", "moisture": moisture, **parts}


def measured(*lines: dict[str, Any]) -> dict[str, float]:
    reading = read(with_data({"assay": assay(*lines)})).assay
    assert reading is not None
    return {name: found.mean for name, found in reading.samples.items()}


@settings(max_examples=30)
@given(moisture=st.floats(0.0, 60.0))
def test_dry_and_as_received_of_one_sample_agree(moisture: float) -> None:
    dry, wet = measured(DRY), measured(received(moisture))
    for name, value in dry.items():
        if name != "moisture":
            assert wet[name] == pytest.approx(value, rel=1e-12), name


def test_the_answer_is_the_same_on_either_basis() -> None:
    on = ("assay.use_available=yes", "assay.use_organic_carbon=yes", "assay.use_h_corg=yes")
    answers = [base_case(with_data({"assay": assay(line)}, *on)).figures for line in (DRY, received(12.5))]
    for key in ("npv", "removal_kg_co2e"):
        assert answers[1][key] == pytest.approx(answers[0][key], rel=1e-12)


def test_ratios_by_atomic_weights() -> None:
    """H/C_org (0.5/1.008)/(9/12.011) = 0.662; Ca/P 31.5/(34 × 0.43643) = 2.123 (arithmetic by hand)."""
    found = measured(DRY)
    assert found["h_corg"] == pytest.approx(0.662, abs=0.0005)
    assert found["ca_per_p"] == pytest.approx(2.123, abs=0.0005)


@pytest.mark.parametrize(
    ("change", "caution"),
    [
        ({}, None),
        ({"available": 35.0}, "assay-available-above-total"),
        ({"p2o5": 43.0, "ca": 39.0}, "assay-p2o5-high"),
        ({"ca": 40.5, "p2o5": 42.0}, "assay-ca-high"),
        ({"ca": 20.0}, "assay-ca-per-p"),
        ({"c_org": 10.5}, "assay-organic-above-total"),
        ({"c_org": 14.0, "c_total": 15.0}, "assay-organic-carbon-high"),
        ({"h": 0.9}, "assay-h-corg-high"),
        ({"p2o5": 41.0, "ca": 39.0, "c_org": 12.0, "c_total": 13.0}, "assay-adds-up"),
        ({"pah8": 3.0, "pah16": 2.0}, "assay-pah"),
    ],
)
def test_what_looks_wrong(change: dict[str, float], caution: str | None) -> None:
    """Limits of bone mineral: 42.4 % P2O5, 39.9 % Ca, Ca/P 1.9 to 2.4 by mass (computed from the formula)."""
    found = {one.id for one in base_case(with_data({"assay": assay(DRY | change)})).cautions()}
    ours = {word for word in found if word.startswith("assay-")}
    assert ours == set() if caution is None else caution in ours


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"p2o5": 37 * substances.P2O5_PER_P}, "Was P2O5 entered as P"),
        ({"c_org": 75.0}, "Wood char"),
        ({"basis": "as received", "moisture": None}, "the moisture of the sample"),
        ({"basis": None}, ": blank. Choose one of"),
        ({"basis": "oven"}, "as received; dry"),
        ({"moisture": 100.0}, "less than 100 %"),
        ({"cd": "< 0.1"}, "plain|number"),
    ],
)
def test_faults_of_an_assay(change: dict[str, Any], said: str) -> None:
    with pytest.raises(InputFaults, match=said):
        with_data({"assay": assay(DRY | change)})


# Allowed mg/kg of dry char. AAPFCO SUIP 25: Cd 10 ppm per 1 % P2O5, at least 6 %; California: Cd 4 and Pb 20 per
# 1 % available P2O5 (both read); EU 2019/1009: Cd 60 mg/kg P2O5; EBC: Cd 1.5 (both from memory).
@pytest.mark.parametrize(
    ("available", "regime", "substance", "allowed"),
    [
        (16.0, "aapfco_suip25", "Cd", 160.0),
        (4.0, "aapfco_suip25", "Cd", 60.0),
        (16.0, "california", "Cd", 64.0),
        (4.0, "california", "Pb", 80.0),
        (16.0, "eu_pfc1", "Cd", 60 * 0.34),
        (16.0, "ebc_agro", "Cd", 1.5),
    ],
)
def test_limits_of_a_char(available: float, regime: str, substance: str, allowed: float) -> None:
    reading = read(with_data({"assay": assay(DRY | {"available": available})})).assay
    assert reading is not None
    found = next(
        one for one in compared(reading) if (one.limit.regime, one.limit.substance) == (regime, substance)
    )
    assert found.allowed == pytest.approx(allowed, rel=1e-12)
    assert found.verdict == "within"
    assert found.whose
    assert found.limit.source.text


def test_above_a_limit_and_not_measured() -> None:
    reading = read(with_data({"assay": assay(DRY | {"cd": 2.0}, DRY)})).assay
    assert reading is not None
    said = [one.text for one in base_case(with_data({"assay": assay(DRY | {"cd": 2.0})})).cautions()]
    assert any(text.startswith("Cd of an assay is above the limit. European char certificate") for text in said)
    verdicts = {(one.limit.regime, one.limit.substance): one.verdict for one in compared(reading)}
    assert verdicts["ebc_agro", "Cd"] == "above the limit", "the highest sample counts"
    assert verdicts["eu_pfc1", "CrVI"] == "not measured"
    assert any("ask your state" in one.whose for one in compared(reading))
