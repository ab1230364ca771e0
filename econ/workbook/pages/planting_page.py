"""The page of own planting, to print: a card for the field, the load on the soil, the work and the worth."""

from __future__ import annotations

from typing import Any

from econ.answer.planting_cautions import said_of
from econ.model.lines import line
from econ.model.plan_parts import Ground
from econ.units import Unit
from econ.workbook.desk import PLANTING, Desk
from econ.workbook.pages.lab_assay_page import heading, note, plain_unit
from econ.workbook.style import number_format, row_height

BLOCK = 22
STOPPED = "NO: see above"
WAYS = {"hole": "planting hole", "row": "row injection", "broadcast": "broadcast, worked in"}
BLENDS = {"none": "nothing", "tea": "compost tea", "compost": "finished compost"}
CARD = (
    ("Char for one tree", "char_g_per_tree", "char_per_tree", 0.001),
    ("Char by area", "char_kg_per_ha", "char_per_area", 1e-4),
    ("P2O5 by area, one dressing", "p2o5_kg_per_ha", "char_per_area", 1e-4),
)
"""Label, figure, the row whose unit it is shown in, and the factor from the figure to canonical units."""


def write_planting(desk: Desk) -> None:
    """Every block side by side; only where the workbook asks for planting."""
    grounds = desk.results.plan.planting.grounds
    if not grounds:
        return
    widths = (46.0, 14.0, *(float(BLOCK) for _ in range(max(3, len(grounds)))))
    sheet = desk.sheet(PLANTING, "Where does your own char go, and what does it bring?", widths)
    at = _stops(desk, sheet, 3, grounds, widths)
    at = _card(desk, sheet, at, grounds, widths)
    at = _figures(desk, sheet, at, grounds, widths)
    at = _together(desk, sheet, at, widths)
    at = _words(desk, sheet, at, grounds, widths)
    sheet.print_area(0, 0, at, len(widths) - 1)


def _name(desk: Desk, ground: Ground) -> str:
    return str(desk.results.scenario[f"planting.{ground.number}.name"].value or f"Planting {ground.number}")


def _stops(desk: Desk, sheet: Any, at: int, grounds: tuple[Ground, ...], widths: tuple[float, ...]) -> int:
    for ground in grounds:
        said = said_of(desk.results.scenario, desk.results.figures, ground)
        if said.stopped:
            at = note(desk, sheet, at, f"{_name(desk, ground)}: {said.stopped}", widths, "caution")
    return at + 1


def _columns(desk: Desk, sheet: Any, at: int, first: str, names: list[str]) -> int:
    for column, name in enumerate((first, "Unit", *names)):
        look = "column" if column == 0 else "column_word" if column == 1 else "column_right"
        sheet.write_string(at, column, name, desk.styles(look))
    sheet.set_row(at, row_height(*((name, BLOCK) for name in names), size=10.5))
    return at + 1


def _card(desk: Desk, sheet: Any, at: int, grounds: tuple[Ground, ...], widths: tuple[float, ...]) -> int:
    """What a person takes to the field, in the units of the workbook's own rows."""
    styles = desk.styles
    at = heading(desk, sheet, at, "To take to the field, as planned", len(widths))
    at = _columns(desk, sheet, at, "", [_name(desk, ground) for ground in grounds])
    for label, words in _plain(desk, grounds).items():
        sheet.write_string(at, 0, label, styles("label"))
        for column, word in enumerate(words, start=2):
            sheet.write_string(at, column, word, styles("right"))
        at += 1
    at = _allowed(desk, sheet, at, grounds)
    for label, figure, row, scale in CARD:
        at = _own_units(desk, sheet, at, grounds, label, (figure, row, scale))
    at = _own_units(desk, sheet, at, grounds, "CHAR NEEDED A YEAR", ("char_kg", "", 1.0), "own_use.mass")
    at = _own_units(desk, sheet, at, grounds, "Compost tea a year", ("tea_l", "", 1.0), "injector.tank")
    at = _own_units(
        desk, sheet, at, grounds, "Flow to set, a minute", ("litres_per_minute", "", 1.0), "injector.tank"
    )
    return at + 1


def _allowed(desk: Desk, sheet: Any, at: int, grounds: tuple[Ground, ...]) -> int:
    """Whether a block may be spread at all, live."""
    sheet.write_string(at, 0, "May it be spread?", desk.styles("bold"))
    for column, ground in enumerate(grounds, start=2):
        name = f"planting_{ground.number}_may_spread"
        value = "yes" if desk.results.figures[name] else STOPPED
        formula = f'=IF({name}=1,"yes","{STOPPED}")'
        sheet.write_formula(at, column, formula, desk.styles("total_right"), value)
    return at + 1


def _plain(desk: Desk, grounds: tuple[Ground, ...]) -> dict[str, list[str]]:
    """The words of the card by label, one for each block."""
    scenario, figures = desk.results.scenario, desk.results.figures
    return {
        "What, and how many": [f"{scenario[f'planting.{g.number}.count'].number:,.0f} {g.kind}" for g in grounds],
        "Way": [WAYS[g.way] for g in grounds],
        "Depth": [_depth(desk, g) for g in grounds],
        "Blended with": [BLENDS[g.blend] for g in grounds],
        "Soil test": [said_of(scenario, figures, g).soil_class or "none: test first" for g in grounds],
    }


def _depth(desk: Desk, ground: Ground) -> str:
    entry = desk.results.scenario[f"planting.{ground.number}.depth"]
    if entry.value is None:
        return "not said"
    return f"{entry.shown(entry.number):.3g} {plain_unit(entry.unit)}"


def _own_units(
    desk: Desk,
    sheet: Any,
    at: int,
    grounds: tuple[Ground, ...],
    label: str,
    what: tuple[str, str, float],
    row: str = "",
) -> int:
    """One figure of each block in the unit of a row; the next row, or the same if no block has it."""
    figure, word, scale = what
    shown = [g for g in grounds if f"planting_{g.number}_{figure}" in desk.sheets.lines]
    if not shown:
        return at
    entry = desk.results.scenario[row or f"planting.{shown[0].number}.{word}"]
    own = entry.unit
    assert isinstance(own, Unit)
    factor = own.factor / scale
    look = "bold" if label.isupper() else "plain"
    sheet.write_string(at, 0, label, desk.styles("bold" if label.isupper() else "label"))
    sheet.write_string(at, 1, own.symbol.removesuffix(" each"), desk.styles("faint"))
    for ground in shown:
        name = f"planting_{ground.number}_{figure}"
        value = desk.results.figures[name] / factor
        shape = desk.styles(look, number_format(value, ""))
        sheet.write_formula(at, 2 + grounds.index(ground), f"={name}/{factor!r}", shape, value)
    return at + 1


def _figures(desk: Desk, sheet: Any, at: int, grounds: tuple[Ground, ...], widths: tuple[float, ...]) -> int:
    """Every figure of the blocks, live."""
    styles, lines = desk.styles, desk.sheets.lines
    words: dict[str, str] = {}
    for ground in grounds:
        start = f"planting_{ground.number}_"
        words |= {name.removeprefix(start): name for name in lines if name.startswith(start)}
    section = ""
    for word, name in sorted(words.items(), key=lambda pair: line(pair[1]).order):
        found = line(name)
        if found.section != section:
            section = found.section
            at = heading(desk, sheet, at, section, len(widths))
        loud = found.label.isupper()
        sheet.write_string(at, 0, found.label, styles("bold" if loud else "label"))
        sheet.write_string(at, 1, "" if found.unit == "flag" else desk.shown(found)[0], styles("faint"))
        for column, ground in enumerate(grounds, start=2):
            key = f"planting_{ground.number}_{word}"
            if key in lines:
                desk.figure(sheet, PLANTING, at, column, key, "bold" if loud else "plain")
        at += 1
    return at + 1


def _together(desk: Desk, sheet: Any, at: int, widths: tuple[float, ...]) -> int:
    at = heading(desk, sheet, at, "All blocks", len(widths))
    names = [name for name in desk.sheets.lines if name.startswith("planting_") and not name[9].isdigit()]
    for name in sorted(names, key=lambda name: line(name).order):
        found = line(name)
        look = "bold" if found.label.startswith("CHAR") else "plain"
        sheet.write_string(at, 0, found.label, desk.styles("bold" if look == "bold" else "label"))
        unit = "" if found.unit == "share" else desk.shown(found)[0]
        sheet.write_string(at, 1, unit, desk.styles("faint"))
        desk.figure(sheet, PLANTING, at, 2, name, look)
        at += 1
    return at + 1


def _words(desk: Desk, sheet: Any, at: int, grounds: tuple[Ground, ...], widths: tuple[float, ...]) -> int:
    at = heading(desk, sheet, at, "To mind", len(widths))
    told: set[str] = set()
    for ground in grounds:
        for word, text in said_of(desk.results.scenario, desk.results.figures, ground).words:
            if text not in told:
                lead = "" if word == "planting-untested-tea" else f"{_name(desk, ground)}: "
                at = note(desk, sheet, at, lead + text, widths, "caution")
                told.add(text)
    general = (
        "Total P2O5 loads the soil; only the available part feeds a crop. Compost brings phosphorus of its own, "
        "which is not counted here. Fertiliser value = available P2O5 × its agronomic effectiveness × its "
        "price. It is zero unless a soil test shows phosphorus below optimum. "
        "Soil-test classes are Mehlich-3; your state's own "
        "guide goes before them. Keep char and tea away from water."
    )
    return note(desk, sheet, at, general, widths)
