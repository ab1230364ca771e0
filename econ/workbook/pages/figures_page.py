"""Pages that list figures with their formulas, and the words that the carbon pages share."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from econ.answer.carbon_account import HORIZON_YEARS
from econ.evidence import factor
from econ.model.lines import line
from econ.workbook.desk import MATTER, Desk

WIDTHS = (52, 16, 15, 74)
HEADS = ("Figure", "Value", "Unit", "How it is computed")
TOP = 4
ONE_PAGE = 64
"""So many rows still print readably on one page."""


def write_matter(desk: Desk) -> None:
    """Bones, firings, char, gases, nutrients, sales and running costs of a full year."""
    sheet = desk.sheet(MATTER, "What comes out, and what does a year at the kiln take?", WIDTHS)
    listing(desk, sheet, MATTER, ("matter",), TOP)


def listing(
    desk: Desk,
    sheet: Any,
    name: str,
    pages: tuple[str, ...],
    top: int,
    labels: Mapping[str, str] | None = None,
    freezes: bool = True,
    widths: Sequence[float] = WIDTHS,
) -> int:
    """All figures of the given pages, by section; names each value cell. Returns the next free row.

    `labels` replaces the label of a figure. On a page of more columns the formulas take all from the fourth on.
    """
    styles = desk.styles
    for column, head in enumerate(HEADS):
        look = styles("column" if column == 0 else "column_right" if column == 1 else "column_word")
        if column == 3 and len(widths) > len(HEADS):
            sheet.merge_range(top, 3, top, len(widths) - 1, head, look)
        else:
            sheet.write_string(top, column, head, look)
    if freezes:
        sheet.freeze_panes(top + 1, 1)
    sheet.repeat_rows(top)
    room = sum(widths[3:])
    at = top + 1
    section = ""
    keys = sorted((key for key in desk.sheets.lines if line(key).page in pages), key=_order)
    for key in keys:
        found, printed = line(key), desk.sheets.lines[key]
        if found.section != section:
            section = found.section
            sheet.set_row(at, None, None, desk.fold(*(key for key in keys if line(key).section == section)))
            for column in range(len(widths)):
                sheet.write_string(at, column, section if column == 0 else "", styles("heading"))
            at += 1
        if len(widths) > len(HEADS):
            sheet.merge_range(at, 3, at, len(widths) - 1, "", styles("faint_wrap"))
        sheet.write_string(at, 2, desk.shown(found)[0], styles("faint"))
        label = desk.label((labels or {}).get(key, found.label))
        desk.explain(sheet, at, key, label, printed.formula, (widths[0], room))
        desk.figure(sheet, name, at, 1, key)
        at += 1
    return at


def _order(key: str) -> tuple[int, str]:
    return line(key).order, key


BASIS_WORDS = {
    "degradable": "the fat and protein of the bones (their degradable dry matter)",
    "dry": "all dry matter of the bones (dry basis of the inventory table)",
    "wet": "the wet weight of the bones (wet basis of the inventory table, made for 60 % moisture)",
}


def notes(desk: Desk) -> list[str]:
    """How each block is counted, its horizon, and the limits of the claim."""
    plan, figures = desk.results.plan, desk.results.figures
    return [
        f"CO2 removal = organic carbon of the char on soil in scope × fraction remaining after "
        f"{HORIZON_YEARS} years × 44/12, counted when applied. In scope: mineral field, grassland, orchard. "
        "Beds, pots, blends without documents, other "
        "uses, unsold and stored char count nothing. Fire, erosion, burning or feeding the char undo it.",
        "No published method has a row for bone: each is used outside the chars it was fitted to. Low and high of "
        "a share are P10 and P90 of one char; the mean line of many is known to "
        f"± {factor('hc_mean_half').value:g}. Apatite holds 0.2 % hydrogen, which a lab reads as part of H/C_org: "
        f"on this char it adds {figures['hc_of_mineral']:.2f}. Both figures are shown. Text that leaves the plant "
        "quotes the lower of the class and H/C_org less that hydrogen.",
        f"Carbonate carbon ({figures['carbonate_c_kg'] / 1000:,.3f} t a year) was in the bone before and is never "
        "counted. CO2 of wood and bone gas is biogenic and stands apart; their methane and N2O count in full.",
        "Process emissions: fuel, stack, hauling, grinding and bags. Nothing avoided elsewhere is in them or in "
        "project net. Avoided emissions hang on what would have happened instead: they are reported beside a "
        "removal, never added to it, and belong to whoever handles the bones or buys the fertiliser.",
        f"Methane of composting acts on {BASIS_WORDS[plan.compost_basis]}, N2O on the nitrogen. Landfill: "
        "first-order decay; the "
        f"{figures['landfill_c_stays_kg'] / 1000:,.2f} t C a year that would stay buried can exceed that "
        "of the char: the difference to a landfill is methane, not storage.",
        "Rendering makes meal and tallow; their credits are weak figures and stand on both sides or on none. "
        "Fertiliser is displaced by available P2O5 only, and only where a soil test calls for it.",
        f"Low and high: P5 and P95 of the {desk.results.chances.sampling.samples:,} simulation runs of the page "
        "Chances; median: P50. They are values of the scenario as run.",
        f"Warming potentials: {plan.gwp_set}, {HORIZON_YEARS} years. Estimated, not verified; not a credit; "
        "no claim of carbon neutrality is made. Bones carry no upstream burden as long as they are waste without "
        "a price.",
    ]
