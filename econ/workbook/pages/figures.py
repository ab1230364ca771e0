"""Pages that list figures with their formulas: what comes out, and carbon."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from econ.model.lines import line
from econ.workbook.desk import CARBON, MATTER, Desk, figure_format

WIDTHS = (52, 16, 15, 74)
TOP = 4


def write_matter(desk: Desk) -> None:
    """Bones, firings, char, gases, nutrients, sales and running costs of a full year."""
    sheet = desk.sheet(MATTER, "What comes out, and what does a year at the kiln take?", WIDTHS)
    listing(desk, sheet, MATTER, ("matter",), TOP)


def write_carbon(desk: Desk) -> None:
    """Removal, process emissions and project net, with what the figures are not."""
    sheet = desk.sheet(CARBON, "What may be said about carbon?", WIDTHS)
    at = listing(desk, sheet, CARBON, ("carbon",), TOP) + 1
    for text in notes(desk):
        sheet.merge_range(at, 0, at, 3, text, desk.styles("caution"))
        sheet.set_row(at, 32)
        at += 1


def notes(desk: Desk) -> list[str]:
    """What the carbon figures mean, and what they do not claim."""
    found = desk.results.coefficients
    plan = desk.results.plan
    method = "H/C_org and soil temperature" if plan.persistence == "hydrogen-ratio" else "temperature class"

    def share(name: str) -> str:
        value = found[name]
        return "withheld" if value != value else f"{value:.1%}"

    return [
        "Removal = organic carbon of the char that goes on field, grassland or orchard soil × share lasting "
        f"100 years × 44/12. Method: {method}. Share by temperature class {share('persist_by_class_frac')}, by "
        f"H/C_org {share('persist_by_hc_frac')}. The inventory table has no row for bone: an estimate outside "
        "its data.",
        "Process emissions are those of fuel and stack. Nothing avoided elsewhere is in them: what today's "
        "handling emits, or the fertiliser that char may replace, is never added to a removal.",
        f"Warming potentials: {plan.gwp_set}, 100 years. Biogenic CO2 stands apart. Carbonate carbon is "
        "shown and never counted. Estimated, not verified; not a carbon credit; no claim of neutrality.",
    ]


def listing(
    desk: Desk, sheet: Any, name: str, pages: tuple[str, ...], top: int, labels: Mapping[str, str] | None = None
) -> int:
    """All figures of the given pages, by section; names each value cell. Returns the next free row.

    `labels` replaces the label of a figure.
    """
    styles = desk.styles
    for column, title in enumerate(("Figure", "Value", "Unit", "How it is computed")):
        sheet.write_string(top, column, title, styles("column_right" if column == 1 else "column"))
    sheet.freeze_panes(top + 1, 1)
    sheet.repeat_rows(top)
    at = top + 1
    section = ""
    for key in sorted((key for key in desk.sheets.lines if line(key).page in pages), key=_order):
        found, printed = line(key), desk.sheets.lines[key]
        if found.section != section:
            section = found.section
            for column in range(len(WIDTHS)):
                sheet.write_string(at, column, section if column == 0 else "", styles("heading"))
            at += 1
        sheet.write_string(at, 0, (labels or {}).get(key, found.label), styles("label"))
        desk.write(sheet, at, 1, printed, "plain", figure_format(found, printed.value))
        sheet.write_string(at, 2, desk.unit(found), styles("faint"))
        how = f"= {printed.formula}" if printed.formula else "a value"
        sheet.write_string(at, 3, how, styles("faint"))
        desk.define(key, name, at, 1)
        at += 1
    return at


def _order(key: str) -> tuple[int, str]:
    return line(key).order, key
