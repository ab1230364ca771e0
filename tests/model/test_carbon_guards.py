"""What may not be claimed: figures of other chars, total carbon, a unit mistaken, wording."""

from __future__ import annotations

import re

import pytest
from conftest import plant

from econ.answer.appraisal import appraise
from econ.answer.base_case import base_case
from econ.errors import InputFaults


@pytest.mark.parametrize(
    ("sets", "says"),
    [
        ({"carbon__organic_share": "75 %"}, "Wood char"),
        ({"carbon__organic_share": "0.75 fraction"}, "Wood char"),
        # the default of the inventory table for char of manure (IPCC 2019, from memory)
        ({"carbon__organic_share": "38 %"}, "manure"),
        ({"carbon__organic_share": "0.38 fraction"}, "manure"),
        ({"carbon__organic_share": "11 %", "carbon__total_share": "10 %"}, "total"),
        ({"carbon__total_share": "1 %", "carbon__caco3_share": "9 %"}, "total carbon"),
        ({"carbon__beds_share": "60 %"}, "end uses"),  # with 70 % in scope
    ],
)
def test_refused(sets, says):
    with pytest.raises(InputFaults, match=says):
        plant(**sets)


ELECTRIC = {"fuel__1__kind": "electricity", "fuel__1__per_batch": "300 kWh", "fuel__1__price": "0.1 USD per kWh"}
OWN_GROUND = {"own_use__mass": "15000 lb per year"}


@pytest.mark.parametrize(
    ("sets", "caution"),
    [
        ({"carbon__organic_share": "14 %"}, "organic-carbon-high"),
        ({"carbon__organic_share": "10 %", "carbon__total_share": "10 %"}, "total-taken-for-organic"),
        ({"carbon__organic_share": "", "carbon__total_share": "11 %"}, "total-carbon-alone"),
        ({"kiln__peak_temperature": "900 degC"}, "peak-unit"),
        ({"carbon__soil_temperature": "40 degC"}, "soil-unit"),
        ({"carbon__stack_ch4": "40 g per kg"}, "stack-methane-per-kg"),
        ({"carbon__protocol": "Our offset scheme"}, "claim-wording"),
        ({"plant__name": "The carbon-negative butcher"}, "claim-wording"),
        ({"carbon__price": "50 USD per tonne"}, "carbon-price-what-if"),
        ({"carbon__in_scope_share": ""}, "scope-assumed"),
        ({}, "partly-in-scope"),
        ({}, "rendering-credits-lost"),
        ({"current__option": "landfill"}, "landfill-stores-more"),
        (ELECTRIC | {"carbon__grid_factor": "0 kg per kWh"}, "grid-of-zero"),
        # "below detection counts as the limit" of the monitoring plan: common practice, no source
        ({"carbon__test_n2o": "0 kg"}, "stack-test-zero"),
        ({"carbon__test_ch4": "0 g"}, "stack-test-zero"),
        # all of the char counted as needed, half of it on own ground that nobody tested
        (OWN_GROUND | {"carbon__needs_p_share": "100 %"}, "needs-p-own-ground"),
    ],
)
def test_cautioned(sets, caution):
    assert caution in {found.id for found in base_case(plant(**sets)).cautions()}


@pytest.mark.parametrize(
    ("sets", "caution"),
    [
        (ELECTRIC, "grid-of-zero"),
        ({"carbon__grid_factor": "0 kg per kWh"}, "grid-of-zero"),
        ({"carbon__test_n2o": "2 g", "carbon__test_ch4": "10 g"}, "stack-test-zero"),
        (OWN_GROUND, "needs-p-own-ground"),
        (OWN_GROUND | {"carbon__needs_p_share": "40 %"}, "needs-p-own-ground"),
        (
            OWN_GROUND | {"carbon__needs_p_share": "100 %", "own_use__soil_test": "below-optimum"},
            "needs-p-own-ground",
        ),
    ],
)
def test_not_cautioned(sets, caution):
    assert caution not in {found.id for found in base_case(plant(**sets)).cautions()}


@pytest.mark.parametrize(
    ("row", "value"),
    [
        ("carbon__organic_share", "9.5 %"),
        ("kiln__peak_temperature", "932 degF"),
        ("kiln__peak_temperature", "600 degC"),
    ],
)
def test_plain_figures_raise_no_such_caution(row, value):
    found = {caution.id for caution in base_case(plant(**{row: value})).cautions()}
    assert not found & {"organic-carbon-high", "peak-unit", "soil-unit", "stack-methane-per-kg", "claim-wording"}


def test_no_caution_or_paragraph_speaks_of_offsets_or_neutral_plants():
    results = appraise(plant())
    texts = [results.to_json()["details"]["carbon"]["paragraph"], *(caution.text for caution in results.cautions)]
    for text in texts:
        assert not re.search(r"\boffset|carbon.negative|net.zero|\bsequester", text, re.IGNORECASE)
    assert "no claim of carbon neutrality" in texts[0]
    assert "not verified" in texts[0]
