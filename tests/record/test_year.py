"""The statement of a year: by hand, two years that sum, gaps that never raise a removal, promises against weights.

Plants of this file are invented. Hand figures are house arithmetic on published factors of the evidence.
"""

from __future__ import annotations

import csv
import json
import math
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from books import book as workbook
from conftest import plant, put_in, shipped
from hypothesis import given, settings
from hypothesis import strategies as st
from remembered import appraise

from econ.answer import appraisal
from econ.answer.finding import say
from econ.answer.results import Results
from econ.answer.year import NOT_KNOWN, Known, Statement, _product, promised, statement
from econ.answer.year_tables import as_json, blocks, summary
from econ.cli import app
from econ.inputs.examples import tables_of
from econ.inputs.records import Scenario
from econ.measured.exact import at_most
from econ.measured.record import Period, read_record
from econ.measured.sample import sample
from econ.measured.use import Kept, calibration, next_range
from econ.model.persistence import class_persistence
from econ.note.write import _shown, targets, write_year, year_note
from econ.questions.draws import draws, inputs_drawn
from econ.questions.latin import LEAST, Sampling
from econ.workbook.read import read_scenario, read_typed, tables_of_csv

FEW = Sampling(LEAST)
YEAR, NEXT = Period("2026-01-01", "2026-12-31"), Period("2027-01-01", "2027-12-31")
BOTH = Period("2026-01-01", "2027-12-31")
LOG = ["date", "bones_in", "fuel_1", "hours", "peak", "char_out", "remark"]
SLIP = ["date", "mass", "moisture", "buyer", "use", "soil", "evidence"]
FIELD = ["farm or orchard", "field, grassland or orchard soil", "mineral soil", "slip"]
BED = ["garden or household", "raised bed or container", "mineral soil", "slip"]
UNITS: dict[str, dict[str, str]] = {
    "log": {"bones_in": "kg", "fuel_1": "L", "hours": "hours", "peak": "degC", "char_out": "kg"},
    "delivery": {"mass": "kg", "moisture": "%"},
    "assay": {"c_org": "%"}, "bought": {"fuel_1": "L", "cost": "USD"}, "sale": {"mass": "kg", "amount": "USD"},
}  # fmt: skip


def batch(
    day: str, bones: Any = 400, fuel: Any = 80, peak: Any = 500, char: Any = 140, remark: str = ""
) -> list[Any]:
    return [day, bones, fuel, 5, peak, char, remark]


def slip(day: str, mass: Any, where: list[str], moisture: Any = 0) -> list[Any]:
    return [day, mass, moisture, *where]


def record(log: list[list[Any]], slips: list[list[Any]], assays: list[list[Any]], **more: Any) -> dict[str, Any]:
    found = {
        "log": {"columns": LOG, "lines": log}, "delivery": {"columns": SLIP, "lines": slips},
        "assay": {"columns": ["date", "c_org", "basis"], "lines": [[*line, "dry"] for line in assays]}, **more,
    }  # fmt: skip
    return {name: {**table, "units": UNITS[name]} for name, table in found.items() if table["lines"]}


def scenario(tables: dict[str, Any], **sets: str) -> Scenario:
    """The shipped plant with this record in place of its tables."""
    items = [f"{key.replace('__', '.')}={value}" for key, value in sets.items()]
    return put_in(shipped("thistle-flat"), items, tables_of(tables))


@cache
def drawn() -> dict[str, Any]:
    return promised(plant("thistle-flat"))


@pytest.fixture(scope="module")
def results() -> Results:
    return appraise(plant("thistle-flat", monitor__scatter_share="2 %"), Sampling(512))


def said(results: Results, tables: dict[str, Any], period: Period = YEAR, **sets: str) -> Statement:
    return statement(results, scenario(tables, **sets), period, drawn())


MONTHS = [f"2026-{month:02}-10" for month in range(1, 13)]
HAND = record(
    [batch(day) for day in MONTHS if day != "2026-05-10"],
    [slip("2026-03-15", 200, FIELD), slip("2026-06-15", 300, BED, 10), slip("2026-09-15", 500, FIELD, 5)],
    [["2026-04-01", 9.0], ["2026-07-01", 9.4], ["2026-10-01", 9.2]],
)
"""Eleven batches of 400 kg with 140 kg of char; May has no line; two end uses; the rest stays in store."""


def test_a_year_by_hand(results: Results) -> None:
    found = said(results, HAND, record__opening_stock="50 kg")
    figures = found.figures
    assert figures["batches"] == 11
    assert figures["bones_kg"] == pytest.approx(4400)
    assert figures["char_made_kg"] == pytest.approx(1540)
    assert figures["char_delivered_kg"] == pytest.approx(200 + 270 + 475)
    assert figures["char_in_scope_kg"] == pytest.approx(200 + 475)
    assert figures["stock_open_kg"] == 50
    assert figures["stock_close_kg"] == pytest.approx(50 + 1540 - 945)
    lasting = float(class_persistence(500.0, results.scenario["carbon.soil_temperature"].number)[0])
    assert figures["removal_kg_co2e"] == pytest.approx(675 * 0.092 * lasting * 44 / 12, rel=1e-9)
    # the missing month burns what the highest month burnt: one batch of 80 L
    per_litre = results.coefficients["fuel_1_co2e_per_unit"]
    assert figures["fuel_kg_co2e"] == pytest.approx(12 * 80 * per_litre, rel=1e-9)
    assert figures["upstream_kg_co2e"] == pytest.approx(
        12 * 80 * per_litre * 0.118, rel=1e-9
    )  # propane, fuels.csv
    assert [gap.what for gap in found.gaps] == ["no line for 2026-05"]
    assert figures["net_kg_co2e"] == pytest.approx(figures["removal_kg_co2e"] - figures["process_kg_co2e"])
    low, high = found.spans["removal_kg_co2e"]
    assert low < figures["removal_kg_co2e"] < high


def test_emissions_span_what_the_stack_may_emit_and_nothing_else(results: Results) -> None:
    """P5 and P95 of the promised stack gases per kg of bones, over the bones of the log and of a missing month."""
    found, promised_ = said(results, HAND), drawn()
    per_kg = (promised_["stack_ch4_kg_co2e"] + promised_["stack_n2o_kg_co2e"]) / promised_["bones_fired_kg"]
    p5, median, p95 = np.percentile(per_kg, (5, 50, 95)) * 12 * 400
    assert found.figures["stack_kg_co2e"] == pytest.approx(median, rel=1e-12)
    sure = found.figures["process_kg_co2e"] - median
    assert found.spans["process_kg_co2e"] == pytest.approx((sure + p5, sure + p95), rel=1e-12)
    removal = found.spans["removal_kg_co2e"]
    assert found.spans["net_kg_co2e"] == pytest.approx(
        (removal[0] - sure - p95, removal[1] - sure - p5), rel=1e-12
    )


@pytest.mark.parametrize("undated", [0, 1, 2])
def test_a_batch_without_a_date_counts_as_one_of_which_nothing_stays(results: Results, undated: int) -> None:
    """The mean of two batches of one class of peak, over two, three or four."""
    log = [batch("2026-02-01"), batch("2026-03-01"), *[batch("")] * undated]
    share, _ = class_persistence(500.0, results.scenario["carbon.soil_temperature"].number)
    (known,) = [lasting for _, lasting in said(results, record(log, [], [])).known.values()]
    assert known.value == pytest.approx(2 * float(share) / (2 + undated), rel=1e-12)


def test_two_years_sum_and_nothing_counts_twice(results: Results) -> None:
    """Char made in the first year and delivered in the second counts in the second alone."""
    days = [*MONTHS, *(day.replace("2026", "2027") for day in MONTHS[:6])]
    tables = record(
        [batch(day, char=100 + 5 * at) for at, day in enumerate(days)],
        [slip("2026-08-01", 300, FIELD), slip("2027-02-01", 900, FIELD), slip("2027-05-01", 200, BED)],
        [["2026-04-01", 9.0], ["2026-07-01", 9.4], ["2027-04-01", 8.8], ["2027-05-01", 9.1]],
    )  # fmt: skip
    first, second, both = (said(results, tables, period) for period in (YEAR, NEXT, BOTH))
    assert first.figures["stock_close_kg"] == second.figures["stock_open_kg"]
    for name in first.figures.keys() - {"stock_open_kg", "stock_close_kg"}:
        assert first.figures[name] + second.figures[name] == pytest.approx(both.figures[name], rel=1e-12), name
    assert both.figures["char_in_scope_kg"] == pytest.approx(1200)
    half = [said(results, tables, Period(*days)) for days in
            (("2026-01-01", "2026-06-30"), ("2026-07-01", "2026-12-31"))]  # fmt: skip
    for name in ("removal_kg_co2e", "process_kg_co2e", "char_made_kg"):
        assert math.fsum(one.figures[name] for one in half) == pytest.approx(first.figures[name], rel=1e-12)


BOUGHT = {"columns": ["date", "fuel_1", "cost"], "lines": [["2026-03-02", 500, 300]]}
BAD = [
    (record([batch("2026-02-01")], [slip("2026-03-01", 900, FIELD)], []),
     "a delivery above what was made plus stock"),
    (record([batch("2026-02-01")], [slip("2026-03-01", 50, [*FIELD[:3], ""])], []), "a delivery without evidence"),
    (record([batch("2026-02-01")], [slip("2026-03-01", 50, [*BED[:3], ""])], []), "an end use without evidence"),
    (record([batch("2026-02-01")], [slip("", 50, FIELD)], []), "a delivery without date"),
    (record([batch("2026-02-01")], [slip("2026-03-01", "", FIELD)], []), "a delivery without weight"),
    (record([batch("2026-02-01")], [slip("", "", FIELD)], []), "a delivery without date and weight"),
    (record([batch("2026-02-01")], [slip("2026-03-01", 50, FIELD, "")], []), "a delivery without water"),
    (record([batch("2026-02-01")], [slip("2026-03-01", 50, BED, "")], []), "a delivery without water"),
    (record([batch("2026-02-01")], [slip("2026-03-01", 50, FIELD)] * 2, []),
     "a delivery like another in date, weight, end use and evidence"),
    (record([batch("2025-02-01")], [], []), "no batch in the period"),
    (record([batch("2025-02-01")], [], []), "1 line outside the period"),
    (record([batch("2026-02-01"), batch("2026-04-01")], [], []), "no line for 2026-03"),
    (record([batch("2026-03-01")], [], []), "no line before 2026-03"),
    (record([batch("")], [], []), "a batch without a date"),
    (record([batch("2026-03-01", peak="")], [], []), "a batch without peak temperature"),
    (record([batch("2026-03-01", char="")], [], []), "a batch without weight of char"),
    (record([batch("2026-03-01", fuel="")], [], []), "a batch without fuel 1"),
    (record([batch("2026-03-01", bones="")], [], []), "a batch without weight of bones"),
    (record([batch("2026-03-01")], [], []), "no sample of organic carbon in 2026"),
    (record([batch("2026-03-01")], [], [["2026-04-01", 9.0]]), "1 of 2 samples of organic carbon in 2026"),
    (record([batch("2026-03-01")], [], [["", 9.0]]), "a line without a date"),
    (record([batch("2026-03-01")], [], [], bought=BOUGHT),
     "fuel 1 of 2026: invoices and log differ by over 5 %"),
]  # fmt: skip


@pytest.mark.parametrize(("tables", "words"), BAD, ids=[words for _, words in BAD])
def test_what_is_wrong_or_missing_is_named(
    results: Results, tables: dict[str, Any], words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(appraisal, "appraise", lambda going_on: appraise(going_on, FEW))  # no spread is asked for
    found = said(results, tables)
    assert words in [gap.what for gap in found.gaps]
    assert found.again is not None
    assert words in json.dumps(as_json(found))


@pytest.mark.parametrize(("bought", "is_gap"), [(1000, False), (1020, True), (920, False), (900, True)])
def test_a_twentieth_between_invoices_and_log_is_no_gap(results: Results, bought: float, is_gap: bool) -> None:
    """Twelve batches of 80 L, 960 in all: 40 of 1,000 or of 920 is under 5 % of what was bought, 60 is over."""
    invoices = {"columns": ["date", "fuel_1", "cost"], "lines": [["2026-03-02", bought, 300]]}
    found = said(results, record([batch(day) for day in MONTHS], [], [], bought=invoices))
    assert ("fuel 1 of 2026: invoices and log differ by over 5 %" in [one.what for one in found.gaps]) == is_gap
    assert found.figures["fuel_1"] == pytest.approx(max(bought, 960))


def test_figures_of_a_statement_in_words() -> None:
    """Whole numbers as they are up to 999, then with a mark; others in about three figures; none is empty."""
    found = [_shown(one) for one in (999.0, 1000.0, 12.345, None, "none")]
    assert found == ["999", "1,000", "12.3", "", "none"]


@pytest.mark.parametrize("count", [1, 2, 3])
def test_as_many_samples_as_the_plan_asks_for_are_enough(results: Results, count: int) -> None:
    """Two are asked for: then their mean counts, and fewer count at their low end."""
    assays = [["2026-04-01", 9.0], ["2026-07-01", 9.4], ["2026-10-01", 9.2]][:count]
    found = said(results, record([batch(day) for day in MONTHS], [], assays))
    carbon, _ = found.known["2026"]
    assert carbon.value == pytest.approx(sum(share for _, share in assays) / count / 100)
    assert carbon.counted == (carbon.value if count >= 2 else carbon.low) < carbon.high
    assert (carbon.counted < carbon.value) == (count < 2)


def test_a_month_declared_idle_is_not_missing(results: Results) -> None:
    log = [
        batch("2026-02-01"),
        [*["2026-03-05"], "", "", "", "", "", "no batch: kiln relined"],
        batch("2026-04-01"),
    ]
    found = said(results, record(log, [], []), Period("2026-02-01", "2026-04-30"))
    assert not [gap for gap in found.gaps if "no line" in gap.what]
    assert found.figures["batches"] == 2


BLANKS = [("log", at) for at in (0, 1, 2, 4, 5)] + [("delivery", at) for at in range(7)]


@settings(max_examples=40)
@given(
    st.lists(st.tuples(st.integers(1, 24), st.sampled_from((340, 360, 480, 650)), st.integers(50, 200)),
             min_size=2, max_size=6),
    st.lists(st.tuples(st.integers(1, 24), st.integers(20, 400), st.booleans()), min_size=1, max_size=4),
    st.sampled_from(BLANKS), st.integers(0, 5),
)  # fmt: skip
def test_the_rule_for_gaps_never_raises_a_removal(
    results: Results,
    made: list[tuple[int, int, int]],
    gone: list[tuple[int, int, bool]],
    blank: tuple[str, int],
    at: int,
) -> None:
    """Any cell of a batch or a delivery blanked: no year, and no sum of years, removes more than before."""

    def day(half_month: int) -> str:
        return f"{2026 + half_month // 13}-{(half_month - 1) % 12 + 1:02}-{5 if half_month < 13 else 20:02}"

    log = [batch(day(when), peak=peak, char=char) for when, peak, char in made]
    slips = [slip(day(when), mass, FIELD if scoped else BED) for when, mass, scoped in gone]
    assays = [["2026-04-01", 9.0], ["2026-07-01", 9.4], ["2027-04-01", 8.8], ["2027-05-01", 9.1]]
    before = removed(results, record(log, slips, assays))
    table, column = blank
    lines = log if table == "log" else slips
    line = lines[at % len(lines)]
    line[column] = ""
    after = removed(results, record(log, slips, assays))
    assert sum(after) <= sum(before) * (1 + 1e-12) + 1e-9
    for one, other in zip(after, before, strict=True):
        assert one <= other * (1 + 1e-12) + 1e-9


def removed(results: Results, tables: dict[str, Any]) -> list[float]:
    """Removal of each of two years, kg CO2e."""
    typed = scenario(tables)
    found = [statement(results, typed, period, drawn()) for period in (YEAR, NEXT)]
    return [one.figures["removal_kg_co2e"] for one in found]


def test_promises_of_plants_whose_truth_is_known_hold_eight_times_in_ten() -> None:
    """Truths drawn from the ranges themselves: the share inside P10 to P90 is 80 % within its error."""
    start = plant("thistle-flat")
    inputs = [one for one in inputs_drawn(start) if one.key in
              ("fuel.1.per_batch", "labour.hours_per_batch", "product.1.price", "kiln.price")]  # fmt: skip
    kept = []
    for begin, end, values in draws(start, Sampling(2_000), inputs):
        for one in inputs:
            entry = one.entry
            kept += [Kept(entry.low or 0.0, entry.number, entry.high or 0.0, float(values[one.key][at]))
                     for at in range(end - begin)]  # fmt: skip
    found = calibration(kept)
    error = math.sqrt(0.8 * 0.2 / found.n)
    assert found.n == 8_000
    assert found.inside / found.n == pytest.approx(0.8, abs=3 * error)


@pytest.mark.parametrize(
    ("inside", "below", "above", "verdict"),
    [(3, 0, 0, "few"), (8, 1, 1, "sound"), (3, 4, 3, "narrow"), (10, 0, 0, "shifted"), (7, 0, 1, "shifted")],
)
def test_verdicts_on_ranges(inside: int, below: int, above: int, verdict: str) -> None:
    """Figures inside lie above the middle here, so that ten of ten inside read as shifted."""
    kept = [Kept(0, 5, 10, 6)] * inside + [Kept(0, 5, 10, -1)] * below + [Kept(0, 5, 10, 11)] * above
    found = calibration(kept)
    if verdict == "sound":
        found = calibration([Kept(0, 5, 10, 4)] * 4 + [Kept(0, 5, 10, 6)] * 4 + kept[inside:])
    assert found.verdict == verdict


def test_binomial_tails_against_an_independent_package() -> None:
    from scipy import stats

    for hits, n, share in ((3, 10, 0.8), (0, 4, 0.5), (20, 30, 0.8), (30, 30, 0.8)):
        assert at_most(hits, n, share) == pytest.approx(float(stats.binom.cdf(hits, n, share)), rel=1e-12)


@pytest.mark.parametrize("values", [(21.0, 22.5, 20.5, 21.2), (24.0, 27.5, 22.0)])
def test_next_years_range_by_integration(values: tuple[float, ...]) -> None:
    """Posterior of a normal prior and a normal mean, its percentiles by summing over a fine grid."""
    own = sample(values)
    low, middle, high, rule = next_range(16.0, 32.0, own)
    assert rule == "bayes"
    grid = np.linspace(5, 45, 400_001)
    spread = 8 / 1.2815515655446004
    assert own.se
    weight = np.exp(-0.5 * ((grid - 24) / spread) ** 2 - 0.5 * ((grid - own.mean) / own.se) ** 2)
    share = np.cumsum(weight) / weight.sum()
    for end, at in ((low, 0.1), (middle, 0.5), (high, 0.9)):
        assert end == pytest.approx(float(np.interp(at, share, grid)), abs=1e-3)


def test_a_sample_that_contradicts_the_promise_stands_alone_and_one_figure_stretches_it() -> None:
    assert next_range(16.0, 32.0, sample((50.0, 51.0, 52.0)))[3] == "sample"
    assert next_range(16.0, 32.0, sample((40.0,))) == (16.0, 40.0, 40.0, "stretched")


def test_decide_again_leaves_out_what_is_sunk(results: Results) -> None:
    """What was paid changes nothing from today on; a higher resale makes stopping better by as much."""
    tables = record([batch(day) for day in MONTHS], [], [])

    def npv(**sets: str) -> float:
        again = said(results, tables, **sets).again
        assert again is not None
        return again.results.figures["npv"]

    base = npv(record__resale_now="9000 USD", money__tax_rate="0 %")
    assert npv(
        record__resale_now="9000 USD", kiln__installation="20000 USD", money__tax_rate="0 %"
    ) == pytest.approx(base)
    more = npv(record__resale_now="10000 USD", money__tax_rate="0 %", money__salvage_share="0 %")
    less = npv(record__resale_now="9000 USD", money__tax_rate="0 %", money__salvage_share="0 %")
    assert less - more == pytest.approx(1000, rel=1e-6)
    again = said(results, tables).again
    assert again is not None, "the shipped plant types a resale value"
    old = said(results, tables, record__age_years="3 years").again
    assert old is not None
    left = [old.results.scenario[key].number for key in ("kiln.life", "money.study_years")]
    assert left == [12 - 3, 10 - 3], "of 12 and 10 years, three are gone"
    best = again.results.plans().best
    assert best is not None
    assert "kiln.number" not in dict(best.moves), "a change of plan buys no further kiln"
    told = {row[1] for block in blocks(said(results, tables)) for row in block.rows}
    assert say(again.results, "plans") in told


def test_planned_and_not_done_is_listed(results: Results) -> None:
    found = said(results, HAND)
    rows = {
        row[0]: row[2:] for block in blocks(found) if block.title.startswith("Monitoring") for row in block.rows
    }
    assert rows["Organic carbon"][:2] == (2.0, 3.0)
    assert rows["H/C_org"][2].endswith("not done")
    assert rows["Dry char"] == (11.0, 11.0, "done")


def test_document_sheet_and_json_say_the_same(results: Results, tmp_path: Path) -> None:
    import openpyxl
    from docx import Document

    found = said(results, HAND)
    document, book = targets(tmp_path / "y.docx", overwrite=False)
    write_year(found, document, book)
    words = "\n".join(paragraph.text for paragraph in Document(str(document)).paragraphs)
    cells = [cell.value for row in openpyxl.load_workbook(book)["Record"].iter_rows() for cell in row]
    for line in summary(found):
        assert line in words
        assert line in cells
    assert any(
        isinstance(cell, float) and cell == pytest.approx(found.figures["removal_kg_co2e"] / 1000)
        for cell in cells
    )
    assert len(year_note(found).parts) > len(blocks(found))


@pytest.mark.usefixtures("remembering")
def test_the_command_writes_refuses_and_reads_a_csv(tmp_path: Path) -> None:
    from typer.testing import CliRunner

    book = tmp_path / "plant.xlsx"
    workbook(book, {})
    slips = tmp_path / "slips.csv"
    with slips.open("w", newline="") as handle:
        csv.writer(handle).writerows([
            ["Date", "Char delivered [lb]", "moisture [%]", "Class of buyer", "use", "delivery.soil", "Evidence"],
            ["2026-04-22", "700", "0", "own land", "field", "mineral soil", "map"]])  # fmt: skip

    def run(*words: str) -> Any:
        return CliRunner().invoke(app, ["year", str(book), *words])

    span = ("--from", "2026-02-01", "--to", "2026-04-30")
    assert run(*span, "--quiet").exit_code == 0
    assert (tmp_path / "plant.2026-02-01.2026-04-30.docx").exists()
    assert (tmp_path / "plant.2026-02-01.2026-04-30.xlsx").exists()
    assert "stands there already" in run(*span).output
    named = json.loads(run(*span, "--json", "--csv", f"Char deliveries={slips}").output)["figures"]
    assert named["char_in_scope_kg"] == pytest.approx(700 * 0.45359237)
    assert run("--from", "2026-13-01", "--to", "2026-04-30").exit_code == 2
    assert run("--from", "2026-05-01", "--to", "2026-04-30").exit_code == 2
    assert run(*span, "--csv", "Nothing=x.csv").exit_code == 2
    assert read_record(read_scenario(book)).batches
    assert "delivery" in read_typed(book).tables


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_a_csv_is_parted_by_what_its_headings_are_parted_by(tmp_path: Path, mark: str) -> None:
    """RFC 4180 has commas; where the decimal sign is a comma, programs write semicolons; rows as in the file."""
    rows = [["Date", "Char delivered [lb]", "Water in that char [%]"], ["2026-04-22", "120.5", "1,5"],
            ["2026-13-45", "7", "0"]]  # fmt: skip
    slips = tmp_path / "slips.csv"
    with slips.open("w", newline="", encoding="utf-8-sig") as handle:
        csv.writer(handle, delimiter=mark).writerows(rows)
    tables, _ = tables_of_csv([f"Char deliveries={slips}"])
    first, second = tables["delivery"].lines
    assert (first.cells["delivery.mass"], first.cells["delivery.moisture"]) == ("120.5", "1,5")
    assert second.where["delivery.date"] == "slips.csv!A3"


def test_the_span_of_a_product_adds_relative_widths_as_squares() -> None:
    """First-order propagation of independent factors (JCGM 100:2008, 5.1.6, from memory); hand: 3, 4, 5."""
    one, other = Known(2.0, 1.4, 2.6, 2.0, ""), Known(0.5, 0.3, 0.7, 0.5, "")
    assert _product(one, other) == pytest.approx((0.5, 1.5))
    assert _product(one, NOT_KNOWN) == (0.0, 0.0)
    assert _product(Known(2.0, 0.2, 2.6, 2.0, ""), other)[0] == pytest.approx(1 - math.hypot(0.9, 0.4))
    assert _product(Known(2.0, 0.0, 2.6, 2.0, ""), other)[0] == 0.0, "no removal below zero"


@pytest.mark.parametrize(
    ("deviations", "rule"), [(1.95, "bayes"), (2.05, "sample"), (-1.95, "bayes"), (-2.05, "sample")]
)
def test_promise_and_sample_two_deviations_apart_are_not_averaged(deviations: float, rule: str) -> None:
    """By hand: P10 to P90 of 0 to 10 are 5 ± 1.2816 deviations of 3.90; the three values hardly scatter."""
    mean = 5 + deviations * 5 / 1.2816
    assert next_range(0.0, 10.0, sample([mean - 0.01, mean, mean + 0.01]))[3] == rule
