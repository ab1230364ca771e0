"""The page of checks: balances that must close, and everything a trade expert would frown at."""

from __future__ import annotations

from econ.workbook.desk import CHECKS, Desk
from econ.workbook.pages.kiln import month_check
from econ.workbook.style import lines_of

WIDTHS = (58, 18, 18, 60)
TOP = 4


def write_checks(desk: Desk) -> None:
    """Live checks of the workbook's own arithmetic, then the cautions with their places."""
    sheet = desk.sheet(CHECKS, "Does it add up, and what must be settled first?", WIDTHS)
    for column, name in enumerate(("Check", "Value", "Must be", "Remark")):
        sheet.write_string(TOP, column, name, desk.styles("column"))
    at = TOP + 1
    for label, formula, value, must, remark in _checks(desk):
        sheet.write_string(at, 0, label, desk.styles("label"))
        sheet.write_formula(at, 1, formula, desk.styles("plain"), value)
        sheet.write_string(at, 2, must, desk.styles("faint"))
        sheet.write_string(at, 3, remark, desk.styles("faint_wrap"))
        at += 1
    at += 1
    for column, name in enumerate(("Caution", "", "", "Where")):
        sheet.write_string(at, column, name, desk.styles("column"))
    for caution in desk.results.cautions:
        at += 1
        sheet.merge_range(at, 0, at, 2, caution.text, desk.styles("caution"))
        sheet.set_row(at, 13.5 * lines_of(caution.text, sum(WIDTHS[:3])) + 4)
        sheet.write_string(at, 3, caution.where, desk.styles("faint"))
    sheet.print_area(0, 0, at, 3)


def _checks(desk: Desk) -> list[tuple[str, str, float | str, str, str]]:
    figures = desk.results.figures
    small = 'IF(ABS({0})<=0.000001*MAX({1},1),"ok","look")'
    mass = small.format("mass_residual_kg", "bones_fired_kg")
    bones = small.format("bones_eligible_kg-bones_fired_kg-bones_passed_on_kg", "bones_eligible_kg")
    own = "-own_use_kg" if "own_use_kg" in figures else ""
    char = small.format(f"product_kg-char_sold_kg-char_to_stock_kg{own}", "product_kg")
    solids = small.format("char_kg-char_finished_kg-dust_kg-fines_kg", "char_kg")
    net = small.format("project_net_kg_co2e-removal_kg_co2e+process_kg_co2e", "removal_kg_co2e")
    found: list[tuple[str, str, float | str, str, str]] = [
        ("Bones in = char + vapour + gas + drippings", f"={mass}", "ok", "ok", "to a millionth of the bones"),
        ("Offered = fired + passed on", f"={bones}", "ok", "ok", ""),
        ("Product, as sold = sold + stock" + (" + own use" if own else ""), f"={char}", "ok", "ok", ""),
        ("Char made = into the product + dust + fines", f"={solids}", "ok", "ok", "dry"),
        ("Every month: received = fired + passed on + excluded", f"={month_check()}", "ok", "ok", ""),
    ]
    if figures["removal_kg_co2e"] == figures["removal_kg_co2e"]:
        found.append(
            ("Project net = removal - process emissions", f"={net}", "ok", "ok", "nothing avoided is in it")
        )
    return found
