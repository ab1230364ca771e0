"""Every row of the money in the live workbook: recalculated by IronCalc, and changed in the file."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest
from iron import Iron, differences, is_mark, kept, plain
from office import same, with_inputs
from plants import plant
from remembered import appraise, results_bytes
from test_money_hand import scenario_rows

from econ.questions.latin import LEAST, Sampling

Rows = dict[str, tuple[object, str | None]]

OTHER: Rows = {
    "money.basis": ("real", None), "money.tax_losses": ("other-income", None),
    "kiln.depreciation": ("declining-balance", None), "equipment.1.depreciation": ("sum-of-years", None),
    "equipment.2.depreciation": ("macrs-15", None), "equipment.2.life": (1, "years"),
    "money.study_years": (20, "years"), "market.rest": ("p-value", None), "kiln.life": (3.5, "years"),
    "product.2.market_limit": (500, "kg per year"), "product.1.customers": (100, "each per year"),
    "fertiliser.p2o5_price": (1.4, "USD per kg"), "own_use.mass": (300, "kg per year"),
    "own_use.soil_test": ("below-optimum", None), "own_use.purchase_avoided": (90, "USD per year"),
    "capital.estimate_class": ("class-4", None), "grant.year": (3, "years"),
    "money.months_to_start": (4.5, "month"),
}  # fmt: skip
"""Put over the hand plant: the other choices, and a table of 15 years bought again every year."""

FEW = Sampling(LEAST)
"""What samples say stands as values in these files."""
NIL = 1e-7
"""Amounts of money nearer to nil than this count as nil."""

CHANGES = {
    "kiln.price": 41000, "equipment.1.cost": 7100, "wear.1.life": 2.25, "loan.principal": 18000,
    "money.grant": 9500,
    "market.first_year_share": 0.55, "market.spring_share": 0.3, "costs.downtime_share": 0.08, "kiln.life": 2.5,
    "capital.working": 1200, "product.1.channel_discount": 0.4, "owner.hour_worth": 31, "money.tax_rate": 0.22,
    "product.1.selling_hours": 25, "money.decommissioning": 2600, "equipment.1.life": 1.5,
}  # fmt: skip


@pytest.fixture(scope="module")
def books(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The hand plant both ways, with other choices, and with inputs changed in the file."""
    work = tmp_path_factory.mktemp("live")
    plants = {
        "taxed": scenario_rows(is_excluded=False), "untaxed": scenario_rows(is_excluded=True),
        "other": scenario_rows(is_excluded=True) | OTHER,
    }  # fmt: skip
    written = {name: _written(work / f"{name}.xlsx", more) for name, more in plants.items()}
    return {**written, "changed": with_inputs(written["untaxed"], work / "changed.xlsx", CHANGES)}


def _written(path: Path, more: Rows) -> Path:
    path.write_bytes(results_bytes(appraise(plant(more), FEW)))
    return path


@pytest.mark.parametrize("name", ["taxed", "untaxed", "other"])
def test_every_formula_equals_python(name: str, books: dict[str, Path]) -> None:
    live = kept(books[name])
    assert {at.split("!")[0] for at in live} >= {"Cash by year", "For the lender", "What comes out"}
    wrong = differences(books[name], NIL)
    assert not wrong, "\n".join(wrong[:20])
    assert max(len(text) for text, _ in live.values()) < 200


def test_inputs_changed_in_the_file_equal_the_scenario(books: dict[str, Path], tmp_path: Path) -> None:
    rows = scenario_rows(is_excluded=True)
    asked = _written(tmp_path / "asked.xlsx", rows | {k: (v, rows[k][1]) for k, v in CHANGES.items()})
    expected, found = kept(asked), Iron(books["changed"], plain(books["changed"])).all()
    pages = ("Cash by year", "For the lender", "What comes out", "Answer")
    there = {at for at, (text, _) in kept(books["changed"]).items() if at.startswith(pages) and not is_mark(text)}
    live = [
        at for at in found if at in there and at in expected and kept(books["changed"])[at][0] == expected[at][0]
    ]
    assert len(live) > max(500, 0.95 * len(there)), "a page of other rows has them at other places"
    # what depends on the search for break-even is a value and says so
    wrong = [f"{at}: {expected.get(at)!r} | {found[at]!r}" for at in live
             if not same(expected[at][1], found[at], NIL)]  # fmt: skip
    assert not wrong, "\n".join(wrong[:20])


def test_no_new_row_is_dead_in_the_file(books: dict[str, Path]) -> None:
    """Numbers of the money stand as live; whole years and the rate of the loan act through the choices."""
    fixed = {
        "equipment.2.year_bought", "market.first_month", "loan.rate", "loan.years", "loan.grace_months",
        "money.study_years",
    }  # fmt: skip
    ended = {"equipment.1.salvage_share"}  # its life ends with the study: nothing is left to sell
    sheet = openpyxl.load_workbook(books["taxed"])["Inputs used"]
    heads = next(row for row in sheet.iter_rows(values_only=True) if row and "Key" in row)
    key_at, live_at = heads.index("Key"), heads.index("In this file")
    state = {row[key_at]: row[live_at] for row in sheet.iter_rows(values_only=True) if row[key_at]}
    subjects = ("equipment.", "wear.", "capital.", "money.", "grant.", "loan.", "costs.", "owner.", "product.1.")
    rows = [key for key, (value, _) in scenario_rows(is_excluded=False).items()
            if key.startswith(subjects) and not isinstance(value, str)]  # fmt: skip
    assert len(rows) > 25
    assert {key for key in rows if state[key] != "live"} == (fixed | ended) - {"market.first_month"}
