"""The summary: counts, spreads, totals, ranks and groups against sums done here by hand."""

from __future__ import annotations

import json
import math
import random
import re
import shutil
from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np
import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from many_plants import BASE, HEADINGS, fill_folder, plant_rows, read_results, write_table
from typer.testing import CliRunner

from econ.cli import app
from econ.errors import FileRefused
from econ.many.book import write_summary_book
from econ.many.columns import FIGURES, WORDS, Columns
from econ.many.folder import Outcome, Task, in_lines, run_folder
from econ.many.summary import Summary, bins, summarise
from econ.questions.found_rule import FACTS

COUNT = 24
runner = CliRunner()
pytestmark = pytest.mark.usefixtures("reading_once")


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("summary")


@pytest.fixture(scope="module")
def outcome(place: Path) -> Outcome:
    """Invented plants, half of them composting today, in two regions, one bad row."""
    rows = [
        (*row, ("compost", "render")[at % 2], ("north", "south")[at < 5], "45.5")
        for at, row in enumerate(plant_rows(COUNT))
    ]
    rows.append((*plant_rows(1)[0][:2], "a lot", *plant_rows(1)[0][3:], "compost", "", ""))
    table = write_table(place / "plants.csv", rows, (*HEADINGS, "current.option", "region", "latitude"))
    return run_folder(Task(table, place / "plants.xlsx", BASE, workers=1, samples=200))


def screen(outcome: Outcome) -> str:
    return "\n".join(in_lines(outcome))


def written_again(place: Path, name: str) -> Outcome:
    """The same plants in another file, from a copy of their journal: none of them is run a second time."""
    shutil.copyfile(place / "plants.journal", (place / name).with_suffix(".journal"))
    found = run_folder(Task(place / "plants.csv", place / name, BASE, workers=1, samples=200))
    assert (found.done.run_now, found.done.found_finished) == (0, COUNT + 1)
    return found


@pytest.fixture(scope="module")
def lines(outcome: Outcome, place: Path) -> list[dict[str, str]]:
    written_again(place, "again.csv")
    return [row for row in read_results(place / "again.csv") if not row["fault"]]


def test_how_many_pay(outcome: Outcome, lines: list[dict[str, str]]) -> None:
    summary = outcome.summary
    assert (summary.plants, summary.used, summary.not_used) == (COUNT + 1, COUNT, 1)
    assert summary.pay == sum(float(row["npv"]) >= 0 for row in lines)
    assert 0 < summary.pay < COUNT


def test_totals_are_sums_of_the_rows(outcome: Outcome, lines: list[dict[str, str]]) -> None:
    names = {total["name"] for total in outcome.summary.totals}
    assert {"bones_t_per_year", "p_t_per_year", "removal_t_co2e_per_year", "process_t_co2e_per_year",
            "avoided_t_co2e_per_year", "credits_lost_t_co2e_per_year"} <= names  # fmt: skip
    for total in outcome.summary.totals:
        known = [float(row[total["name"]]) for row in lines if row[total["name"]]]
        assert total["total"] == (pytest.approx(math.fsum(known), rel=1e-12) if known else None)
        assert (total["plants"], total["withheld"]) == (len(known), COUNT - len(known))


def test_spread_of_net_cost(outcome: Outcome, lines: list[dict[str, str]]) -> None:
    found = outcome.summary.spreads[0]
    costs = [float(row["net_cost_per_t_bones"]) for row in lines]
    assert (found["name"], found["unit"], found["plants"]) == ("net_cost_per_t_bones", "USD per t", COUNT)
    assert found["percentiles"]["p50"] == pytest.approx(median(costs), rel=1e-12)
    assert (found["percentiles"]["p0"], found["percentiles"]["p100"]) == (min(costs), max(costs))


def test_links_are_spearman_by_scipy(outcome: Outcome, lines: list[dict[str, str]]) -> None:
    stats = pytest.importorskip("scipy.stats")
    links = [link for link in outcome.summary.links if link["answer"] == "net_cost_per_t_bones"]
    assert {link["key"] for link in links} == set(HEADINGS) - {"plant"}
    assert [abs(link["correlation"]) for link in links] == sorted(
        (abs(x["correlation"]) for x in links), reverse=True
    )
    for link in links:
        columns = [[float(row[name]) for row in lines] for name in (link["key"], link["answer"])]
        assert link["correlation"] == pytest.approx(stats.spearmanr(*columns).statistic, abs=1e-12)
        assert link["beyond_chance"] == (abs(link["correlation"]) > 1.96 / math.sqrt(COUNT - 1))
    assert links[0]["key"] == "bones.1.mass"
    assert "compared" not in screen(outcome)


def test_of_many_plants_an_even_sample_is_compared_and_the_page_says_so(
    place: Path, lines: list[dict[str, str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of 24 plants every second: by scipy over those, and said on screen, in the workbook and in the JSON."""
    stats = pytest.importorskip("scipy.stats")
    monkeypatch.setattr("econ.many.summary.COMPARED", COUNT // 2)
    found = written_again(place, "few.xlsx")
    assert found.summary.links_of == COUNT
    assert found.summary.links
    for link in found.summary.links:
        columns = [[float(row[name]) for row in lines[1::2]] for name in (link["key"], link["answer"])]
        assert link["correlation"] == pytest.approx(stats.spearmanr(*columns).statistic, abs=1e-12)
        assert link["plants"] == COUNT // 2
    says = "12 of 24 plants are compared, taken evenly in their order."
    assert says in screen(found)
    sheet = openpyxl.load_workbook(found.target)["What explains it"]
    assert any(says in str(cell) for row in sheet.iter_rows(values_only=True) for cell in row)


def test_choices_are_groups(outcome: Outcome, lines: list[dict[str, str]]) -> None:
    groups = [group for group in outcome.summary.groups if group["key"] == "current.option"]
    assert [group["plants"] for group in groups] == [COUNT // 2, COUNT // 2]
    for group, slug in zip(groups, sorted({row["current.option"] for row in lines}), strict=True):
        mine = [row for row in lines if row["current.option"] == slug]
        assert group["pay"] == sum(float(row["npv"]) >= 0 for row in mine)
        assert group["median_net_cost_per_t_bones"] == pytest.approx(
            median(float(row["net_cost_per_t_bones"]) for row in mine), rel=1e-12
        )


def test_plants_are_counted_by_finding_and_by_the_mean_beside_the_base_case(
    outcome: Outcome, lines: list[dict[str, str]]
) -> None:
    summary = outcome.summary
    assert summary.findings == {name: sum(row["finding"] == name for row in lines) for name in summary.findings}
    assert sum(summary.findings.values()) == COUNT
    assert summary.pay_by_mean == sum(float(row["mean_npv"]) >= 0 for row in lines)
    assert f"By the mean of the samples it pays in {summary.pay_by_mean}" in screen(outcome)


def test_supply_and_grants_are_sums_in_the_order_of_their_price(
    outcome: Outcome, lines: list[dict[str, str]]
) -> None:
    """By hand: plants by cost per tonne of P, and by grant per tonne of P, added up.

    The cost of a year is that of a tonne received times all tonnes received, processed or not.
    """
    supply, grants = outcome.summary.supply, outcome.summary.grants
    cost = {row["plant"]: float(row["net_cost_per_year"]) / float(row["p_t_per_year"]) for row in lines}
    for row in lines:
        received = float(row["bones.1.mass"]) * 52 / 1000  # kg a week
        assert received > float(row["bones_t_per_year"])
        assert float(row["net_cost_per_year"]) == pytest.approx(float(row["net_cost_per_t_bones"]) * received)
    assert supply[-1]["p_t_per_year"] == pytest.approx(math.fsum(float(row["p_t_per_year"]) for row in lines))
    assert supply[0]["net_cost_per_t_p"] >= min(cost.values()) - 1e-6
    assert supply[-1]["net_cost_per_t_p"] == pytest.approx(max(cost.values()), rel=1e-12)
    losers = [row for row in lines if float(row["npv"]) < 0]
    assert grants[-1]["plants"] == len(losers)
    assert grants[-1]["grant_needed"] == pytest.approx(-math.fsum(float(row["npv"]) for row in losers), rel=1e-12)
    by_mean = [-float(row["mean_npv"]) for row in lines if float(row["mean_npv"]) < 0]
    assert outcome.summary.grants_by_mean == (len(by_mean), pytest.approx(math.fsum(by_mean)))
    told = openpyxl.load_workbook(outcome.target)["Grants"]
    needed = f"By the mean of the samples {len(by_mean)} plants would need one, {math.fsum(by_mean):,.0f} USD"
    assert any(needed in str(cell) for row in told.iter_rows(values_only=True) for cell in row)
    for row in losers:
        bought = float(row["p_t_per_year"]) * float(row["study_years"])
        assert float(row["grant_per_t_p"]) == pytest.approx(-float(row["npv"]) / bought, rel=1e-12)
        assert bool(row["grant_per_t_net_co2e"]) == (float(row["project_net_study_t_co2e"]) > 0)


def test_where_a_plant_stands_is_carried_through(outcome: Outcome, lines: list[dict[str, str]]) -> None:
    assert [row["region"] for row in lines] == ["south"] * 5 + ["north"] * (COUNT - 5)
    assert {row["latitude"] for row in lines} == {"45.5"}
    assert [(one["region"], one["plants"]) for one in outcome.summary.regions] == [
        ("north", COUNT - 5),
        ("south", 5),
    ]


def test_degrees_that_are_none_are_an_error_of_their_row(tmp_path: Path) -> None:
    table = write_table(tmp_path / "t.csv", [("91", "30000"), ("-90", "30000")], ("latitude", "kiln.price"))
    outcome = run_folder(Task(table, base=BASE, workers=1, samples=0))
    assert [(fault["place"], fault["text"]) for fault in outcome.summary.faults()] == [
        ("row 2", "latitude: '91'. Enter degrees from -90 to 90.")
    ]


def test_a_table_of_six_faults_and_two_of_one_name_says_so(tmp_path: Path) -> None:
    """Six faults take six lines; a cell is named by its column, beside its row; a total of no plant is none."""
    rows_ = [("Able", "cheap", ""), *[(f"p{at}", "x", "") for at in range(5)], ("Able", "30000", "")]
    table = write_table(tmp_path / "t.csv", rows_, ("plant", "kiln.price", "region"))
    outcome = run_folder(Task(table, base=BASE, workers=1, samples=0))
    text = screen(outcome)
    assert "Able (row 2): column kiln.price, Price of the kiln: 'cheap'." in text
    assert "--set" not in text + outcome.target.read_text()
    assert "  p4 (row 7)" in text
    assert "more" not in text.partition("Not used:")[2]
    assert "plants of one name, not taken as one: Able." in text
    assert "pays in 0 of 1 plant;" in text or "pays in 1 of 1 plant;" in text
    none = {"label": "Avoided emissions", "unit": "t CO2e per year", "total": None, "withheld": 1}
    said = screen(replace(outcome, summary=replace(outcome.summary, totals=[none])))
    assert [line.split() for line in said.splitlines() if line.startswith("Avoided")] == [
        ["Avoided", "emissions", "not", "reported"]
    ]


def test_names_can_be_withheld(tmp_path: Path) -> None:
    table = write_table(tmp_path / "t.csv", [("Able & Sons", "30000"), ("Baker", "x")], ("plant", "kiln.price"))
    outcome = run_folder(Task(table, base=BASE, workers=1, samples=0, hides_names=True))
    rows = [(row["plant"], row["place"]) for row in read_results(outcome.target)]
    assert rows == [("plant 1", "row 2"), ("plant 2", "row 3")]
    fill_folder(tmp_path / "county", ["36000"])
    outcome = run_folder(Task(tmp_path / "county", workers=1, samples=0, hides_names=True))
    rows = [(row["plant"], row["place"]) for row in read_results(outcome.target)]
    assert rows == [("plant 1", "workbook 1"), ("plant 2", "workbook 2")]
    assert "Able" not in outcome.target.read_text() + str(outcome.summary) + screen(outcome)


SPELT = ("South", "south", " SOUTH ", "south", "south-west", "South West", "north", "Fen")
"""Regions as eight counties type them: four of the south, two of the south-west, and two alone."""


@pytest.mark.parametrize(
    ("listed", "told"),
    [
        (SPELT, {"South": 4, "other regions": 4}),
        ((*SPELT[:6], "north", "north", "north", "fen"), {"South": 4, "north": 3, "other regions": 3}),
        (("south",) * 4 + ("north",) * 3 + ("fen",), {"south": 4, "other regions": 4}),
        (("south", "south", "north"), {"other regions": 3}),
        (("south", "north", "", ""), {}),
    ],
)
def test_no_region_names_a_plant_whose_name_is_hidden(
    tmp_path: Path, listed: tuple[str, ...], told: dict[str, int]
) -> None:
    """Fewer than three are never alone, nor what is left over when all others are known (common practice)."""
    rows_ = [(f"Able {at}", "30000", one, "45.5", "-93.5") for at, one in enumerate(listed)]
    rows_.append(("Baker", "x", "Fault Land", "45.5", "-93.5"))
    headings = ("plant", "kiln.price", "region", "latitude", "longitude")
    table = write_table(tmp_path / "t.csv", rows_, headings)
    for ending in ("csv", "parquet", "xlsx"):
        hidden = Task(table, tmp_path / f"t.results.{ending}", BASE, workers=1, samples=0, hides_names=True)
        outcome = run_folder(hidden)
        assert {one["region"]: one["plants"] for one in outcome.summary.regions} == told
        rows_seen = [*map(str, written(outcome.target))]
        assert not [row for row in rows_seen if re.search("latitude|Able|Fault Land", row)]
    assert {"fen", "Fen", "south-west"}.isdisjoint(
        one.get("region") for one in read_results(tmp_path / "t.results.csv")
    )


def written(path: Path) -> list[tuple[Any, ...]]:
    """The rows of a results file of any kind, headings and all."""
    if path.suffix == ".xlsx":
        return [row for sheet in openpyxl.load_workbook(path) for row in sheet.values]
    if path.suffix == ".parquet":
        found = pytest.importorskip("pyarrow.parquet").read_table(path).to_pylist()
        return [tuple(found[0]), *(tuple(row.values()) for row in found)]
    return [tuple(found.keys()) + tuple(found.values()) for found in read_results(path)]


def test_regions_that_are_spelt_in_two_ways_are_one(tmp_path: Path) -> None:
    rows_ = [("30000", one) for one in SPELT]
    outcome = run_folder(
        Task(write_table(tmp_path / "t.csv", rows_, ("kiln.price", "region")), base=BASE, workers=1, samples=0)
    )
    found = {one["region"]: one["plants"] for one in outcome.summary.regions}
    assert found == {"South": 4, "south-west": 2, "north": 1, "Fen": 1}


def test_a_county_table_as_it_comes(tmp_path: Path) -> None:
    """Tabs, headings typed twice, a row of sums (no source), a plant a thousand times too large."""
    rows_ = [("plant", "bones.1.mass", "kiln.price"), ("Able", "1900", "n/a"), ("Total Meats", "1900", ""),
             ("plant", "bones.1.mass", "kiln.price"), ("Cole", "1,900,000", "38000"),
             ("Dale", "0,83", ""), ("Grand total", "1905700", "38000"), ("Totals & Sons", "1900", "38000"),
             ("TOTAL:", "1905700", "")]  # fmt: skip
    (tmp_path / "t.csv").write_text("\n".join("\t".join(row) for row in rows_), encoding="utf-8")
    outcome = run_folder(Task(tmp_path / "t.csv", base=BASE, workers=1, samples=0))
    found = {fault["place"]: fault["text"] for fault in outcome.summary.faults()}
    says = {
        "row 2": "or leave the cell blank", "row 4": "the headings a second time. Take the row out.",
        "row 6": "write 0.83, with a point", "row 7": "plant: 'Grand total', as a sum is called.",
        "row 9": "plant: 'TOTAL:', as a sum is called.",
    }  # fmt: skip
    assert found.keys() == says.keys()
    assert all(words in found[place] for place, words in says.items())
    assert outcome.summary.used == 3
    assert "an input of unusual size in: Cole." in screen(outcome)


@pytest.mark.parametrize("odd", ["1,234", "about 1,900", "12,500 lb per week"])
def test_thousands_that_may_be_decimals_are_asked_about(tmp_path: Path, odd: str) -> None:
    """Where commas are decimal, programs part cells by semicolons (common practice): 1,234 is not read."""
    lines = ["plant;bones.1.mass;kiln.price", "1,234 Oak Street;1900;38000", f"Able;{odd};38000"]
    (tmp_path / "t.csv").write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(FileRefused, match=rf"{re.escape(repr(odd))} may be thousands or decimals; write no comma"):
        run_folder(Task(tmp_path / "t.csv", base=BASE, workers=1, samples=0))
    assert [*tmp_path.iterdir()] == [tmp_path / "t.csv"]
    lines[-1] = f'Able,"{odd}",38000'
    (tmp_path / "t.csv").write_text("\n".join(line.replace(";", ",") for line in lines[::2]), encoding="utf-8")
    assert run_folder(Task(tmp_path / "t.csv", base=BASE, workers=1, samples=0)).summary.used == 1


def test_no_workbook_of_a_folder_is_passed_over_and_copies_are_named(tmp_path: Path) -> None:
    """Endings in capitals, of macros, of other programs; a file left open is none; the journal has no name."""
    fill_folder(tmp_path / "county", ["36000"])
    (whole,) = [one for one in (tmp_path / "county").iterdir() if one.stat().st_size > 10_000]
    for name in ("Shouted.XLSX", "Macros.xlsm", "~$Shouted.xlsx"):
        shutil.copyfile(whole, tmp_path / "county" / name)
    for name in ("Elder.xls", "Other.ods"):
        (tmp_path / "county" / name).write_bytes(b"\xd0\xcf\x11\xe0 of an old program")
    outcome = run_folder(Task(tmp_path / "county", workers=1, samples=0, hides_names=True))
    assert (outcome.summary.plants, outcome.summary.used) == (6, 3)
    assert outcome.done.to_see["these workbooks are copies, and each counts"] == [
        row["plant"] for row in read_results(outcome.target) if not row["fault"]
    ]
    assert "these workbooks are copies, and each counts: plant " in screen(outcome)
    told = outcome.target.with_suffix(".journal").read_text()
    assert [name for name in ("Elder", "Other", "Shouted", "Macros") if name in told] == []


def made_plants(count: int, seed: int) -> list[dict[str, Any]]:
    """Invented plants with ties, blanks, two currencies, regions and a choice; the kiln price rises by one."""
    chance = random.Random(seed)
    return [
        {
            "npv": chance.choice([-1e5, 0.0, 0.1, chance.uniform(-1e6, 1e6)]),
            "net_cost_per_t_bones": chance.choice([None, 3.0, chance.gauss(0, 300)]),
            "p_t_per_year": chance.choice([None, 0.1, chance.uniform(0, 1e6)]),
            "currency": chance.choice(["USD", "USD", "USD", "CAD"]),
            "finding": chance.choice(["buy", "do not buy", ""]), "region": chance.choice(["", "ash", "elm"]),
        }
        | chance.choice([{}, {"labour.wage": float(chance.randint(14, 16))}])
        | chance.choice([{}, {"current.option": "compost"}, {"current.option": "render"}])
        for _ in range(count)
    ]  # fmt: skip


def quantile(values: list[float], share: float) -> float:
    """Linear between the nearest of the values in order, in plain Python."""
    at = (len(values) - 1) * share
    low, high = (sorted(values)[end] for end in (math.floor(at), math.ceil(at)))
    return low + (high - low) * (at - math.floor(at))


MADE = [(count, seed) for count in (0, 1, 2, 8, 9, 40, 200) for seed in (1, 2)]


@cache
def summed_up(made: tuple[int, int]) -> tuple[list[dict[str, Any]], Summary]:
    """Invented plants and their summary."""
    plants = made_plants(*made)
    return plants, summarise(settled(plants))


@pytest.mark.parametrize("made", MADE)
def test_quantiles_and_sums_are_those_of_plain_python(made: tuple[int, int]) -> None:
    """Quantiles of one currency to twelve digits; totals exact, to the last bit."""
    plants, summary = summed_up(made)
    assert {one["unit"][:3] for one in summary.spreads} == {one["currency"] for one in plants}
    for found in summary.spreads:
        mine = [one for one in plants if one["currency"] == found["unit"][:3]]
        known = [one for plant in mine if (one := plant.get(found["name"], 1.0)) is not None]
        assert (found["plants"], found["withheld"]) == (len(known), len(mine) - len(known))
        wanted = {f"p{at}": quantile(known, at / 100) for at in (0, 10, 25, 50, 75, 90, 100) if known}
        assert found["percentiles"] == pytest.approx(wanted, rel=1e-12, abs=1e-12)
    for found in summary.totals:
        known = [one for plant in plants if (one := plant.get(found["name"], 1.0)) is not None]
        assert found["total"] == (math.fsum(known) if known else None)


@pytest.mark.parametrize("made", MADE)
def test_groups_and_regions_are_those_of_plain_python(made: tuple[int, int]) -> None:
    plants, summary = summed_up(made)
    groups = {slug: [one for one in plants if one.get("current.option") == slug] for slug in ("compost", "render")}
    found = [one for one in summary.groups if one["key"] == "current.option"]
    chosen = {one.get("current.option") for one in plants}
    assert len(found) == (len(chosen - {None}) if len(chosen) > 1 else 0)
    for one, mine in zip(found, [mine for mine in groups.values() if mine], strict=False):
        assert (one["plants"], one["pay"]) == (len(mine), sum(plant["npv"] >= 0 for plant in mine))
        of_main = [plant for plant in mine if plant["currency"] == summary.links_currency]
        costs = [cost for plant in of_main if (cost := plant["net_cost_per_t_bones"]) is not None]
        wanted = pytest.approx(median(costs), rel=1e-12) if costs else None
        assert one["median_net_cost_per_t_bones"] == wanted
    places = sorted({one["region"] or "not said" for one in plants})
    assert [one["region"] for one in summary.regions] == (places if {*places} - {"not said"} else [])
    for one in summary.regions:
        mine = [plant for plant in plants if (plant["region"] or "not said") == one["region"]]
        assert (one["plants"], one["pay"]) == (len(mine), sum(plant["npv"] >= 0 for plant in mine))
        assert (one["buy"], one["measure_first"]) == (sum(plant["finding"] == "buy" for plant in mine), 0)
        phosphorus = math.fsum(plant["p_t_per_year"] or 0.0 for plant in mine)
        assert one["p_t_per_year"] == pytest.approx(phosphorus, rel=1e-15)
        assert one["bones_t_per_year"] == len(mine)


@pytest.mark.parametrize("made", MADE)
def test_rank_correlations_with_ties_and_blanks_are_spearman_by_scipy(made: tuple[int, int]) -> None:
    """Of the plants that have both; none of fewer than eight, nor where one side does not vary."""
    stats = pytest.importorskip("scipy.stats")
    plants, summary = summed_up(made)
    mine = [one | {"kiln.price": float(at)} for at, one in enumerate(plants)]
    mine = [one for one in mine if one["currency"] == summary.links_currency]
    found = {(one["key"], one["answer"]): one for one in summary.links}
    for pair in product(("kiln.price", "labour.wage"), ("npv", "net_cost_per_t_bones")):
        both = [two for one in mine if None not in (two := [one.get(name) for name in pair])]
        if len(both) < 8 or min(len(set(side)) for side in zip(*both, strict=True)) < 2:
            assert pair not in found
            continue
        said = found.pop(pair)
        assert said["correlation"] == pytest.approx(stats.spearmanr(both).statistic, abs=1e-12)
        assert said["plants"] == len(both)
        assert said["beyond_chance"] == (abs(said["correlation"]) > 1.96 / math.sqrt(len(both) - 1))
    assert not found


@given(st.lists(st.floats(-1e5, 1e5), min_size=1, max_size=60))
def test_every_plant_lies_in_one_class_of_the_chart(costs: list[float]) -> None:
    values = np.asarray(costs)
    found = bins(settled({"net_cost_per_t_bones": cost, "npv": cost} for cost in costs), "USD")
    assert sum(yes for _, _, yes, _ in found) == (values >= 0).sum()
    assert sum(no for _, _, _, no in found) == (values < 0).sum()
    assert len(found) <= 13
    assert all(low < high for low, high, _, _ in found)
    assert found[0][0] <= values.min() + 1e-6
    assert values.max() <= found[-1][1] + 1e-6


def settled(plants: Iterable[dict[str, Any]]) -> Columns:
    """Columns of plants of such figures and inputs, each with a price of the kiln that rises by one."""
    columns, rest = Columns(), dict.fromkeys(FIGURES, 1.0) | dict.fromkeys(WORDS, "") | {"currency": "USD"}
    for at, own in enumerate(plants):
        columns.enter([(f"p{at}", "", f"k{at}", {"region": own.get("region", "")})])
        inputs = {"kiln.price": float(at)} | {key: value for key, value in own.items() if "." in key}
        record = {"key": f"k{at}", "fault": "", "figures": rest | own, "inputs": inputs}
        columns.put([(record, 0)])
    assert columns.settle()
    return columns


def test_deciding_facts_stand_by_how_many_findings_they_can_turn() -> None:
    """Then by how often no other moves the NPV more, whatever their order in the rule."""
    first, second, third = (one.slug for one in FACTS[:3])
    plants = [
        {"missing": third, "widest": third}, {"missing": f"{third} {first}", "widest": second},
        {"missing": second, "widest": second},
    ]  # fmt: skip
    found = [(one["fact"], one["can_turn"], one["moves_most"]) for one in summarise(settled(plants)).facts]
    label = {one.slug: one.label for one in FACTS}
    assert found == [(label[third], 2, 1), (label[second], 1, 2), (label[first], 1, 0)]


def test_money_of_two_currencies_is_never_added_or_ranked_together() -> None:
    """Nine plants in USD, three in CAD that would turn the correlation round."""
    summary = summarise(settled(
        {"npv": npv, "net_cost_per_t_bones": float(at), "currency": coin}
        for at, (npv, coin) in enumerate([(-at, "USD") for at in range(9)] + 3 * [(1e7, "CAD")])
    ))  # fmt: skip
    assert summary.currencies == {"USD": 9, "CAD": 3}
    assert {(x["unit"], x["plants"]) for x in summary.spreads if x["name"] == "npv"} == {("USD", 9), ("CAD", 3)}
    links = {link["answer"]: (link["correlation"], link["plants"]) for link in summary.links}
    assert links["npv"] == (pytest.approx(-1.0), 9)
    assert summary.totals[0]["total"] == 12.0
    assert summary.only_said == "Only plants in USD."
    assert not summarise(settled([{}])).only_said


def test_choices_say_whose_net_cost_stands_beside_plants_of_every_currency(tmp_path: Path) -> None:
    coins, ways = ("USD", "USD", "CAD"), ("render", "compost")
    plants = settled({"currency": coin, "current.option": way} for coin in coins for way in ways)
    write_summary_book(tmp_path / "many.xlsx", summarise(plants), plants)
    cells = [one for row in openpyxl.load_workbook(tmp_path / "many.xlsx")["Choices"].values for one in row]
    assert "Plants of every currency are counted; the net cost is only of plants in USD." in cells
    assert cells.count(3) == 4  # plants, and those that pay, of two choices


def test_the_workbook_holds_summary_table_and_charts(outcome: Outcome) -> None:
    book = openpyxl.load_workbook(outcome.target)
    assert book.sheetnames == [
        "Summary", "Findings", "Supply", "Grants", "What explains it", "Choices", "Ranked", "Plants",
        "Not used",
    ]  # fmt: skip
    assert [len(book[name]._charts) for name in ("Summary", "Supply", "Grants")] == [1, 1, 1]
    assert len(book["What explains it"]._charts) == 3
    cells = {row[0]: row for row in book["Summary"].iter_rows(values_only=True) if row[0]}
    assert cells["The kiln pays"][1:3] == (outcome.summary.pay, outcome.summary.pay / COUNT)
    assert (cells["Used"][2], cells["Not used (sheet Not used)"][2]) == (COUNT / (COUNT + 1), 1 / (COUNT + 1))
    assert cells["Bones processed"][1] == pytest.approx(outcome.summary.totals[0]["total"])
    assert cells["Net cost per tonne of bones"][1] == pytest.approx(
        outcome.summary.spreads[0]["percentiles"]["p0"]
    )
    plants = [row for row in book["Plants"].iter_rows(values_only=True) if str(row[0]).startswith("county")]
    assert len(plants) == COUNT + 1
    assert [row[0] for row in book["Not used"].iter_rows(values_only=True)][-1] == "county 0"


def test_the_screen_fits_and_says_the_same(outcome: Outcome) -> None:
    text = screen(outcome)
    assert f"As typed the kiln pays in {outcome.summary.pay} of {COUNT} plants; 1 could not be used." in text
    assert "Bones you have" in text
    own = ("Results:", "  county 0 ")
    assert all(len(line) <= 80 for line in text.splitlines() if not line.startswith(own))


def test_the_command_prints_json_and_leaves_with_2_when_nothing_could_be_used(tmp_path: Path) -> None:
    table = write_table(tmp_path / "t.csv", [("30000",)], ("kiln.price",))
    words = ["folder", str(table), "--base", str(BASE), "--workers", "1", "--json"]
    found = runner.invoke(app, words)
    assert found.exit_code == 0, found.stderr
    assert json.loads(found.stdout)["used"] == 1
    write_table(table, [("cheap",)], ("kiln.price",))
    found = runner.invoke(app, words)
    assert found.exit_code == 2
    assert "cheap" in json.loads(found.stdout)["faults"][0]["text"]
