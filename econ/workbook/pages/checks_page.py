"""The page of checks: balances that must close, and everything a trade expert would frown at."""

from __future__ import annotations

from typing import Any

from econ.workbook.desk import CHECKS, Desk
from econ.workbook.pages.kiln_page import month_check
from econ.workbook.style import row_height

WIDTHS = (58, 18, 18, 60)
TOP = 4


def write_checks(desk: Desk) -> None:
    """Live checks of the workbook's own arithmetic, then the cautions with their places."""
    sheet = desk.sheet(CHECKS, "Does it add up, and what must be settled first?", WIDTHS)
    for column, name in enumerate(("Check", "Value", "Must be", "Remark")):
        sheet.write_string(TOP, column, name, desk.styles("column" if column < 2 else "column_word"))
    at = TOP + 1
    for label, formula, value, must, remark in _checks(desk):
        sheet.write_string(at, 0, label, desk.styles("label"))
        sheet.write_formula(at, 1, formula, desk.styles("plain"), value)
        sheet.write_string(at, 2, must, desk.styles("faint"))
        sheet.write_string(at, 3, remark, desk.styles("faint_wrap"))
        at += 1
    at += 1
    for column, name in enumerate(("Caution", "", "", "Where")):
        sheet.write_string(at, column, name, desk.styles("column" if column < 3 else "column_word"))
    for caution in desk.results.cautions:
        at += 1
        sheet.merge_range(at, 0, at, 2, caution.text, desk.styles("caution"))
        sheet.set_row(at, row_height((caution.text, sum(WIDTHS[:3]) - 2)) + 3)
        _where(desk, sheet, at, caution.where)
    sheet.print_area(0, 0, at, 3)


def _where(desk: Desk, sheet: Any, at: int, where: str) -> None:
    """The place of a caution; that of an input leads to its row."""
    target = desk.names.get(key.replace(".", "_"), "") if (key := where.split(" ")[0]) else ""
    if target:
        sheet.write_url(at, 3, f"internal:{target}", desk.styles("faint"), where, f"to {target}")
    else:
        sheet.write_string(at, 3, where, desk.styles("faint_wrap"))


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
