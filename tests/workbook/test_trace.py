"""From a figure to its origin: formula in words, what it is made of, inputs and coefficients under it."""

from __future__ import annotations

import pytest
from conftest import ROOT, plant
from plants import plant as bare
from remembered import appraise
from typer.testing import CliRunner

from econ.answer.results import Results
from econ.cli import app
from econ.errors import InputFault
from econ.questions.latin import Sampling
from econ.workbook.trace import find_figure, place, trace
from econ.workbook.what_if import as_run, print_model


@pytest.fixture(scope="module")
def results() -> Results:
    return appraise(plant("thistle-flat"), Sampling(samples=100))


TRACES = {
    "char_kg": ("char by composition", {"bones.1.mass", "bones.1.water_share", "kiln.batch_load"}),
    "npv": ("of year 10", {"money.discount_rate", "kiln.price", "product.1.price", "labour.wage"}),
    "removal_kg_co2e": ("CO2 from carbon", {"carbon.organic_share", "carbon.in_scope_share", "bones.1.mass"}),
    "planting_2_loads": ("tank of the injector", {"planting.2.tea_per_char", "planting.tank"}),
    "payback_years": ("else “never”", {"kiln.price"}),
    "lowest_balance": ("of month 24", {"kiln.price"}),
    "irr": ("adds up to zero", {"kiln.price", "current.saving"}),
}


@pytest.mark.parametrize("name", TRACES)
def test_a_figure_leads_to_its_inputs(name: str, results: Results) -> None:
    words, inputs = TRACES[name]
    found = trace(results, name, print_model(as_run(results), place))
    assert words in found.formula
    keys = {part.key for part in found.inputs}
    wanted = {key for key in inputs if key in results.scenario.entries}
    assert wanted <= keys
    assert all(part.how for part in (*found.inputs, *found.coefficients))
    assert "_" not in found.formula.replace("H/C_org", "")


@pytest.mark.parametrize(("text", "name"), [("char_kg", "char_kg"), ("Dry char made", "char_kg"), ("npv", "npv"),
                                              ("NPV if stopped after 3 years", "npv_if_stopped_after_3"),
                                              ("Initial investment", "capital_total_today")])  # fmt: skip
def test_a_figure_is_found_by_key_or_label(text: str, name: str, results: Results) -> None:
    assert find_figure(results, text) == name


def test_labels_of_screen_and_pages_find_their_figure_and_none_is_said_as_none() -> None:
    loan = {"loan__principal": "30000 USD", "loan__rate": "8 %", "loan__years": "7 years"}
    poor = appraise(plant(**loan, current__saving="0 USD per month", product__1__price="0 USD per kg"),
                    Sampling(samples=100))  # fmt: skip
    for text in ("minimum DSCR", "Lowest debt service coverage (DSCR)"):
        assert find_figure(poor, text) == "lowest_coverage"
    with pytest.raises(InputFault, match="this plant has no such figure"):
        find_figure(appraise(bare({}), Sampling(samples=100)), "minimum DSCR")
    sheets = print_model(as_run(poor), place)
    assert [trace(poor, name, sheets).figure.value for name in ("irr", "payback_years")] == ["none", "never"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("no such thing", "none fits"),
        ("NPV to the owner if sold", "none fits"),
        ("methane", "compost_ch4_kg"),
    ],
)
def test_what_fits_no_figure_or_several_is_said(text: str, said: str, results: Results) -> None:
    with pytest.raises(InputFault, match=said):
        find_figure(results, text)


def test_a_figure_is_said_as_its_page_shows_it(results: Results) -> None:
    """Shares in per cent, masses in the units of the workbook, flags and ratios bare."""
    sheets = print_model(as_run(results), place)
    said = {name: trace(results, name, sheets) for name in ("irr", "char_kg", "payback_years")}
    assert said["irr"].figure.value == f"{results.figures['irr'] * 100:.3g} %"
    assert said["char_kg"].figure.value == f"{results.figures['char_kg'] / 0.45359237:,.0f} lb/year"
    said["bone"] = trace(results, "removal_kg_co2e", sheets)
    values = [part.value for one in said.values() for part in (*one.parts, *one.coefficients)]
    assert not [value for value in values if value.endswith((" share", " flag", " ratio", " 1 = yes"))]


@pytest.mark.parametrize("name", ["stopped_1_gain", "no_end_value_cash_last_year"])
def test_rows_of_years_with_a_name_of_one_word_are_traced(results: Results, name: str) -> None:
    """Their cells are called the_deflator__y1 and so on: a bare word could be taken for a cell address."""
    assert trace(results, name, print_model(as_run(results), place)).parts


def test_what_a_figure_is_made_of_is_listed_only_where_there_is_any() -> None:
    told = CliRunner().invoke(app, ["explain", "irr", str(ROOT / "scenarios" / "thistle-flat.xlsx")])
    assert "Made of" not in told.output
    assert "Inputs under it (" in told.output
