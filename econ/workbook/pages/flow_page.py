"""The page of the material flow: a picture whose band widths are the numbers, and the balances under it."""

from __future__ import annotations

from typing import Any

from econ.evidence.sieves import sieve_for
from econ.workbook.desk import FLOW, Desk
from econ.workbook.pages.flow_picture import BAND_ROWS, draw
from econ.workbook.style import number_format

WIDTHS = (44, 15, 15, 15, 15, 15, 15, 15, 15)
TABLE_TOP = 30
PER_TONNE = "{0}/MAX(bones_fired_kg,0.000001)*1000"

Part = tuple[str, str]
"""Label and name of a figure."""

IN: tuple[Part, ...] = (
    ("Water", "water_kg"),
    ("Fat", "fat_kg"),
    ("Protein", "protein_kg"),
    ("Mineral", "mineral_kg"),
)
OUT: tuple[Part, ...] = (
    ("Water vapour", "vapour_kg"),
    ("Gas from fat", "fat_gas_kg"),
    ("Gas from protein", "protein_gas_kg"),
    ("Gas from mineral: carbonate, bound water", "mineral_gas_kg"),
    ("Fat dripped off", "fat_drip_kg"),
    ("Dry char", "char_kg"),
)
PRODUCT: tuple[Part, ...] = (
    ("Dry char made", "char_kg"),
    ("  lost as dust", "dust_kg"),
    ("  screened out as fines", "fines_kg"),
    ("Dry char that goes into the product", "char_finished_kg"),
    ("Product for sale, as sold", "product_kg"),
    ("  sold", "char_sold_kg"),
    ("  unsold, in inventory", "char_to_stock_kg"),
)
ELEMENTS: tuple[tuple[str, str, str, str], ...] = (
    ("Phosphorus (P)", "p_bones_kg", "p_kg", "p_residual_kg"),
    ("Calcium (Ca)", "ca_bones_kg", "ca_kg", "ca_residual_kg"),
    ("Nitrogen (N)", "n_bones_kg", "n_char_kg", "n_lost_kg"),
    ("Organic carbon", "organic_c_bones_kg", "organic_c_kg", "organic_c_gas_kg+organic_c_drip_kg"),
    ("Carbonate carbon", "carbonate_c_kg+carbonate_c_lost_kg", "carbonate_c_kg", "carbonate_c_lost_kg"),
)
ANALYSIS: tuple[tuple[str, str, str], ...] = (
    ("Total P2O5", "char_p2o5_share", "sold_p2o5_share"),
    ("Available P2O5", "char_available_share", "sold_available_share"),
    ("Phosphorus (P)", "char_p_share", "sold_p_share"),
    ("Calcium (Ca)", "char_ca_share", "sold_ca_share"),
    ("Organic carbon", "char_organic_c_share", "sold_organic_c_share"),
)


def write_flow(desk: Desk) -> None:
    """Fill the page; picture, balance, elements, product and analysis on one printed sheet."""
    sheet = desk.sheet(FLOW, "Where do the bones go?", WIDTHS)
    sheet.fit_to_pages(1, 1)
    fired = desk.results.figures["bones_fired_kg"]
    text = (
        "Bones as loaded, left, and what they become, right: the width of a band is its mass. Gas and "
        "vapour are computed, not taken as the rest."
    )
    sheet.write_string(3, 0, text, desk.styles("plain"))
    at = _balance(desk, sheet, TABLE_TOP)
    _product(desk, sheet, TABLE_TOP)
    lower = max(at, TABLE_TOP + len(PRODUCT) + 3) + 1
    _elements(desk, sheet, lower)
    _analysis(desk, sheet, lower)
    bands = lower + max(len(ELEMENTS), len(ANALYSIS)) + 5
    _notes(desk, sheet, bands - 2)
    draw(desk, sheet, bands, 4, fired)
    sheet.print_area(0, 0, bands - 2, len(WIDTHS) - 1)
    for row in range(bands, bands + BAND_ROWS):
        sheet.set_row(row, None, None, {"level": 1, "hidden": False})


def _units(desk: Desk) -> tuple[str, str]:
    """Masses for a tonne of bones, and for a year."""
    return f"{desk.shown_unit('kg/t')[0]} of bones", desk.shown_unit("kg/year")[0]


def _value(desk: Desk, formula: str, scale: float) -> float:
    """The value of a sum or difference of figures."""
    total, sign = 0.0, 1.0
    for piece in formula.replace("+", " + ").replace("-", " - ").split():
        if piece in "+-":
            sign = 1.0 if piece == "+" else -1.0
        else:
            total += sign * desk.results.figures[piece]
    return total * scale


def _cell(
    desk: Desk, sheet: Any, at: int, column: int, formula: str, per_tonne: bool, look: str = "plain"
) -> None:
    fired = max(desk.results.figures["bones_fired_kg"], 1e-6)
    factor = desk.shown_unit("kg/t" if per_tonne else "kg")[1]
    value = _value(desk, formula, factor * (1000 / fired if per_tonne else 1.0))
    text = f"({formula})" if "+" in formula or "-" in formula else formula
    shown = PER_TONNE.format(text) if per_tonne else text
    shown += f"*{factor!r}" if factor != 1.0 else ""
    clean = 0.0 if abs(value) < 1e-6 else value
    sheet.write_formula(at, column, f"={shown}", desk.styles(look, number_format(clean, "")), value)


def _head(desk: Desk, sheet: Any, at: int, column: int, words: tuple[str, ...]) -> None:
    for i, text in enumerate(words):
        sheet.write_string(at, column + i, text, desk.styles("column_right" if i else "column"))


def _balance(desk: Desk, sheet: Any, at: int) -> int:
    _head(desk, sheet, at, 0, ("Balance of the bones processed", *_units(desk)))
    sheet.set_row(at, 30)
    rows: list[tuple[str, str, str]] = [
        *((f"in: {label}", name, "plain") for label, name in IN),
        ("In, all", "bones_fired_kg", "total"),
        *((f"out: {label}", name, "plain") for label, name in OUT),
        ("Out, all", "char_kg+leaves_kg", "total"),
        ("In less out, must be zero", "mass_residual_kg", "plain"),
    ]
    for label, formula, look in rows:
        at += 1
        sheet.write_string(at, 0, label, desk.styles(look))
        _cell(desk, sheet, at, 1, formula, True, look)
        _cell(desk, sheet, at, 2, formula, False, look)
    return at + 1


def _product(desk: Desk, sheet: Any, at: int) -> None:
    sheet.merge_range(at, 4, at, 6, "From char to product", desk.styles("column"))
    for column, text in enumerate(_units(desk), start=7):
        sheet.write_string(at, column, text, desk.styles("column_right"))
    for label, formula in PRODUCT:
        at += 1
        sheet.merge_range(at, 4, at, 6, label, desk.styles("plain"))
        _cell(desk, sheet, at, 7, formula, True)
        _cell(desk, sheet, at, 8, formula, False)
    at += 1
    size = desk.results.scenario["finish.particle_size"]
    if size.value is not None:
        sieve = sieve_for(size.number * 1000)
        words = f"Ground to pass {size.number * 1000:.3g} mm"
        words += f", sieve {sieve.name} ({sieve.opening_mm:g} mm)" if sieve else ", wider than the sieves listed"
        sheet.merge_range(at, 4, at, 8, words, desk.styles("plain"))


def _elements(desk: Desk, sheet: Any, at: int) -> None:
    _head(desk, sheet, at, 0, (f"Elements, {_units(desk)[0]}", "in the bones", "in the char", "gone"))
    for label, *formulas in ELEMENTS:
        at += 1
        sheet.write_string(at, 0, label, desk.styles("plain"))
        for column, formula in enumerate(formulas, start=1):
            _cell(desk, sheet, at, column, formula, True)


def _analysis(desk: Desk, sheet: Any, at: int) -> None:
    sheet.merge_range(at, 5, at, 6, "Analysis", desk.styles("column"))
    for column, text in ((7, "of dry char"), (8, "as sold")):
        sheet.write_string(at, column, text, desk.styles("column_right"))
    for label, *names in ANALYSIS:
        at += 1
        sheet.merge_range(at, 5, at, 6, label, desk.styles("plain"))
        for column, name in enumerate(names, start=7):
            sheet.write_formula(at, column, f"={name}", desk.styles("plain", "pct1"), desk.results.figures[name])
    at += 1
    sheet.merge_range(at, 5, at, 7, "Water as sold", desk.styles("plain"))
    value = desk.results.figures["sold_moisture"]
    sheet.write_formula(at, 8, "=sold_moisture", desk.styles("plain", "pct1"), value)


def _notes(desk: Desk, sheet: Any, at: int) -> None:
    text = (
        "Yield by the house model of composition and temperature, which is not a published table; a weighed yield "
        "replaces it. P and Ca are taken to stay entirely. P is elemental, P2O5 = 2.29 × P. Gone: to the gas, in "
        "drippings, or not found by an assay."
    )
    sheet.merge_range(at, 0, at, len(WIDTHS) - 1, text, desk.styles("faint_wrap"))
    sheet.set_row(at, 28)
