"""The live workbook against two independent calculators: IronCalc, and LibreOffice forced to recalculate.

IronCalc takes every plant. One conversion of LibreOffice serves all else: both shipped plants as written, one with
inputs changed in the file, and a control file with wrong cached values, without which the comparison could be of
our numbers with themselves.
"""

from __future__ import annotations

import json
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from conftest import plant
from iron import differences, is_mark, kept
from office import cells, formulas, recalculate, same, values, with_inputs
from remembered import appraise, results_bytes

from econ.answer.base_case import base_case
from econ.workbook.pages.cash_rows import UNSURE

pytestmark = pytest.mark.office

PLANTS = {
    "pays": ("thistle-flat", {}),
    "does-not": ("low-sedge", {}),
    "taxed": (
        "thistle-flat",
        {"money__tax_rate": "27 %", "kiln__life": "3.5 years", "kiln__char_yield": "33 %", "money__basis": "real"},
    ),
    "crowded": (
        "low-sedge",
        {"bones__1__mass": "500 kg per week", "bones__2__mass": "80 kg per week", "fuel__2__kind": "electricity",
         "fuel__2__per_batch": "8 kWh", "fuel__2__price": "0.3 EUR per kWh", "bones__2__kind": "poultry bones",
         "product__2__market_limit": "1000 kg per year"},
    ),
    "finished": (
        "low-sedge",
        {"bones__2__heads": "20 head per week", "bones__2__bone_per_head": "5 kg per head",
         "fat__price": "-0.1 EUR per kg",
         "bones__2__older_share": "10 %", "bones__2__condemned_share": "2 %", "kiln__fat_drip_share": "25 %",
         "finish__charge": "compost", "finish__charge_ratio": "0.6 kg per kg", "finish__sold_moisture": "12 %",
         "finish__dust_share": "2 %", "finish__fines_share": "5 %", "finish__fines_price": "0.05 EUR per kg",
         "finish__bag_weight": "2 kg", "product__2__packing": "bulk", "fertiliser__soil_ph": "5.8",
         "product__total_p2o5_share": "33 % P2O5", "product__ca_share": "31 %"},
    ),
    "not reported": ("low-sedge", {"kiln__peak_temperature": "340 degC"}),
}  # fmt: skip

CHANGES = {
    "kiln.price": "51000 USD", "bones.1.mass": "2900 lb per week", "product.2.price": "0.31 USD per lb",
    "money.discount_rate": "9.5 %", "kiln.life": "4.5 years", "labour.wage": "27 USD per hour",
    "current.saving": "-75 USD per month", "carbon.organic_share": "7 %", "kiln.weeks_per_year": "44 weeks",
    "product.1.market_limit": "900 lb per year", "money.inflation": "4 %",
    "planting.1.count": "95 each", "planting.2.soil_test": "151 mg/kg", "injector.tank": "30 gal",
    "market.label_rate": "0.7 lb per 100ft2",
}  # fmt: skip
"""Inputs changed in the file, which must equal the same put over with --set."""


SHIPPED = ("pays",)
"""LibreOffice takes a few, IronCalc every plant."""


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The results workbook of each plant."""
    work = tmp_path_factory.mktemp("office")
    found = {name: work / f"{name}.xlsx" for name in PLANTS}
    for name, (which, sets) in PLANTS.items():
        found[name].write_bytes(results_bytes(appraise(plant(which, **sets))))
    return found


@pytest.fixture(scope="module")
def books(written: dict[str, Path]) -> dict[str, tuple[Path, Path]]:
    """Workbooks as written and as LibreOffice recalculated them."""
    work = written["pays"].parent
    written = {name: written[name] for name in SHIPPED}
    written["changed"] = with_inputs(
        written["pays"], work / "changed.xlsx", {key: float(value.split()[0]) for key, value in CHANGES.items()}
    )
    written["control"] = _control(work / "control.xlsx")
    return recalculate(written, work)


def _control(target: Path) -> Path:
    book = xlsxwriter.Workbook(target)
    sheet = book.add_worksheet("Control")
    sheet.write_number("A1", 2)
    sheet.write_formula("A2", "=A1*3", None, 999)
    sheet.write_formula("A3", "=IRR(B1:B3)", None, 999)
    for at, value in enumerate((-100, 60, 60)):
        sheet.write_number(at, 1, value)
    book.close()
    return target


def test_the_control_file_with_wrong_cached_values_comes_out_right(books: dict[str, tuple[Path, Path]]) -> None:
    found = cells(books["control"][1])
    assert found["Control!A2"] == 6
    assert found["Control!A3"] == pytest.approx(0.130662386, rel=1e-8)


@pytest.mark.parametrize("name", SHIPPED)
def test_libreoffice_finds_every_formula_equal_to_python(name: str, books: dict[str, tuple[Path, Path]]) -> None:
    written, recalculated = (cells(path) for path in books[name])
    live = formulas(books[name][0])
    wrong = [f"{at} {text}: {written[at]!r} | {recalculated.get(at)!r}" for at, text in live.items()
             if not same(written[at], recalculated.get(at))]  # fmt: skip
    assert not wrong, "\n".join(wrong[:20])
    assert not [at for at, value in recalculated.items() if str(value).startswith("#")]
    assert live == {at: text for at, (text, _) in kept(books[name][0]).items()}


def test_cells_read_off_the_parts_of_a_file_are_those_that_openpyxl_reads(written: dict[str, Path]) -> None:
    path = written["does-not"]
    assert cells(path) == values(openpyxl.load_workbook(path, data_only=True))
    live = openpyxl.load_workbook(path)
    assert formulas(path) == {f"{sheet.title}!{cell.coordinate}": cell.value for sheet in live
                              for row in sheet.iter_rows() for cell in row if cell.data_type == "f"}  # fmt: skip


@pytest.mark.parametrize("name", PLANTS)
def test_ironcalc_finds_every_formula_equal_to_python(name: str, written: dict[str, Path]) -> None:
    wrong = differences(written[name], by_name=True)
    assert not wrong, "\n".join(wrong[:20])
    assert len(kept(written[name])) >= 300
    assert max(len(text) for text, _ in kept(written[name]).values()) < 200


def test_inputs_changed_in_the_file_equal_set(books: dict[str, tuple[Path, Path]]) -> None:
    found = cells(books["changed"][1])
    asked = appraise(plant(**{key.replace(".", "__"): value for key, value in CHANGES.items()}))
    expected = cells_of(asked, books["changed"][0].with_name("asked.xlsx"))
    compared = 0
    for at, text in formulas(books["changed"][0]).items():
        if at.startswith(("Cash by year", "What comes out", "Carbon", "Answer")) and not is_mark(text):
            now = "none" if found.get(at) == UNSURE else found.get(at)  # these flows are all costs
            assert same(expected.get(at), now), f"{at} {text}: {expected.get(at)} | {now}"
            compared += 1
    assert compared > 300
    assert asked.figures["npv"] != base_case(plant()).figures["npv"]


def cells_of(results: object, path: Path) -> dict[str, object]:
    path.write_bytes(results_bytes(results))  # type: ignore[arg-type]
    return cells(path)


def test_withheld_carbon_is_a_word_in_the_book_and_null_in_the_json() -> None:
    results = appraise(plant("low-sedge", kiln__peak_temperature="340 degC"))
    found = json.loads(json.dumps(results.to_json(), allow_nan=False))
    for key in ("durable_c_t_per_year", "removal_t_co2e_per_year", "project_net_t_co2e_per_year"):
        assert found[key] is None
        assert "350" in found["details"]["reasons"][key]
    assert found["npv"] is not None
