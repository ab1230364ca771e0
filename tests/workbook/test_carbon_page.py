"""The carbon page of the results: LibreOffice recalculates it to the same values; a bad kiln shows as a source."""

from __future__ import annotations

from pathlib import Path

import in_parts
import pytest
from conftest import plant
from iron import differences, kept
from remembered import appraise

from econ.questions.latin import Sampling
from econ.workbook.results_book import write_results

FEW = Sampling(samples=200)
"""For what no spread is asked of: half the time of an answer goes into its samples."""
RICH = {
    "current__option": "landfill",
    "haul__trips": "40 each",
    "haul__distance": "25 km",
    "carbon__beds_share": "10 %",
    "carbon__upstream_share": "20 %",
    "carbon__price": "50 USD per tonne",
    "carbon__protocol": "invented, version 1",
    "carbon__needs_p_share": "50 %",
    "handling__lf_decay": "0.09 each per year",
    "handling__chips": "0.5 kg per kg",
}


@pytest.mark.parametrize(
    "sets",
    [RICH, {"kiln__peak_temperature": "340 degC", "current__option": "burial"}, {"current__option": "composting"}],
    ids=["rich", "not reported", "composting"],
)
def test_recalculation_gives_the_same_page(sets: dict[str, str], tmp_path: Path) -> None:
    source = write_results(appraise(plant(**sets), FEW), tmp_path / "results.xlsx")
    mine = [value for at, (_, value) in kept(source).items() if at.startswith(("Carbon!", "Carbon figures!"))]
    assert sum(isinstance(value, float) for value in mine) > 60
    assert differences(source) == []


def page(path: Path) -> list[str]:
    return [str(value) for at, value in in_parts.values(path).items() if at.startswith("Carbon!")]


def test_a_kiln_that_burns_badly_is_a_net_source_on_the_sheet(tmp_path: Path) -> None:
    burns_badly = plant("low-sedge", carbon__stack_ch4="30 g per kg")
    bad = write_results(appraise(burns_badly, FEW), tmp_path / "bad.xlsx")
    clean = plant("low-sedge", carbon__stack_ch4="0.1 g per kg", carbon__stack_n2o_share="0 %")
    good = write_results(appraise(clean, FEW), tmp_path / "good.xlsx")
    assert any("a net source of greenhouse gas" in text for text in page(bad))
    assert any("a net removal, on these inputs" in text for text in page(good))


def test_withheld_is_a_word_and_never_an_error(tmp_path: Path) -> None:
    source = write_results(appraise(plant(carbon__soil_kind="peat"), FEW), tmp_path / "peat.xlsx")
    texts = page(source)
    assert "not reported" in texts
    assert any(text.startswith("The removal is not reported: the methods hold for mineral soil") for text in texts)
    assert not [text for text in texts if text.startswith("#")]


def test_both_methods_and_four_blocks_stand_on_the_page(tmp_path: Path) -> None:
    texts = " ".join(page(write_results(appraise(plant(), FEW), tmp_path / "r.xlsx")))
    for words in (
        "Class of peak temperature at the soil temperature",
        "Class of peak temperature of the inventory",
        "H/C_org and soil temperature",
        "less the hydrogen of the mineral",
        "CO2 removal (100",
        "Process emissions",
        "Avoided emissions against",
        "Lost displacement of co-products",
        "never part of a removal",
    ):
        assert words in texts
