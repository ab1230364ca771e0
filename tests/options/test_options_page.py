"""The page Options: every formula recalculated by IronCalc, and the table equal to the JSON."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest
from conftest import plant
from iron import differences, kept
from office import cells
from remembered import appraise, results_bytes

from econ.answer.finding import say
from econ.answer.option_table import NO_RIVAL, compared, sentence
from econ.answer.results import Results
from econ.answer.screen import screen
from econ.units import shown_unit
from econ.workbook.desk import OPTIONS
from econ.workbook.page_plan import plans
from econ.workbook.pages.bones_pages import TOP
from econ.workbook.style import room_of_page


@pytest.fixture(scope="module")
def results() -> Results:
    return appraise(
        plant(
            option__1__kind="composting",
            option__1__hours="4 hour per week", option__1__capital="3000 USD",
            option__1__life="4 years", option__1__leftover_share="12 %", option__1__share_today="70 %",
            option__2__kind="landfill", option__2__fee="160 USD per short_ton", option__2__share_today="30 %",
            option__3__kind="gate-fee", option__3__mass="300 lb per week", option__3__fee="-40 USD per short_ton",
            option__4__kind="compost-char", option__4__hours="3 hour per week", option__5__kind="sell",
            option__5__income="0.1 USD per lb", money__tax_rate="20 %",
        )
    )  # fmt: skip


@pytest.fixture(scope="module")
def written(results: Results, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("options") / "options.xlsx"
    path.write_bytes(results_bytes(results))
    return path


def test_every_formula_equals_python(written: Path) -> None:
    assert sum(at.startswith(("Options!", "Cash by year!")) for at in kept(written)) > 150
    assert differences(written, nil=1e-7) == []


def test_the_table_is_the_json(results: Results, written: Path) -> None:
    recalculated = cells(written)
    for column, way in enumerate(compared(results), start=1):
        letter = chr(ord("A") + column)
        assert recalculated[f"Options!{letter}{TOP + 1}"] == way.label
        for row, words in enumerate(plans()[OPTIONS].words["row"], start=TOP + 2):
            name, factor = words["name"], shown_unit(words.get("unit", ""), results.scenario.system)[1]
            value = getattr(way, name)
            shown = recalculated.get(f"Options!{letter}{row}")
            if isinstance(value, float):
                assert shown == pytest.approx(value * factor, rel=1e-9, abs=1e-9), (way.name, name)
            else:
                assert shown == ("not known" if value is None else value), (way.name, name)


def test_page_json_screen_and_finding_rank_the_ways_alike(results: Results, written: Path) -> None:
    """One sentence, word for word; its cheapest and its best alternative are those of the table's first row."""
    said, options = sentence(results), results.to_json()["details"]["options"]
    npv = {one.label: one.npv_against_today for one in compared(results) if one.kind not in NO_RIVAL}
    ranked = sorted((label for label, value in npv.items() if value is not None), key=lambda one: -(npv[one] or 0))
    others = [label for label in ranked if label != "kiln: char"]
    assert f"cheapest for the bones: {ranked[0]};" in said
    assert f"the best alternative ({others[0]})" in said
    assert options["sentence"] == said == cells(written)["Options!A4"]
    assert "".join(said.split()) in "".join(screen(results).split())  # folded, also at a hyphen
    ahead = results.figures["npv"] - (npv[others[0]] or 0)
    assert options["npv_against_best"] == pytest.approx(ahead, rel=1e-9)
    assert results.chances.decisive == "npv_against_best"
    assert "against the best alternative" in say(results, "finding") or results.finding.missing


def test_the_chart_of_many_ways_is_not_cut_by_the_end_of_a_page(written: Path) -> None:
    """Where it has no room below the table, it begins a page."""
    sheet = openpyxl.load_workbook(written)[OPTIONS]
    (chart,) = sheet._charts
    first, last = chart.anchor._from.row, chart.anchor.to.row
    page, begins = 0.0, {one.id for one in sheet.row_breaks.brk}
    room = room_of_page(
        (sheet.column_dimensions[letter].width for letter in "ABCDEFGH"), landscape=True, is_letter=True
    )
    assert not [row for row in begins if first < row <= last]
    for row in range(last + 1):
        page = 0.0 if row in begins else page
        page += sheet.row_dimensions[row + 1].height or 15.0
        if row == first:
            start = page
    assert start < page <= room, "from its first row to its last on one page"
