"""The pages of inputs as the model read them, and of the sources behind the facts in use."""

from __future__ import annotations

from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell

from econ.answer.kiln_work import own_measure
from econ.answer.weights import NET, NPV, heaviest
from econ.evidence.factors import factor
from econ.evidence.facts import ENDS
from econ.evidence.used import Used
from econ.inputs.records import Entry
from econ.inputs.schema import sheets
from econ.model.facts_read import facts_read
from econ.units import Unit
from econ.workbook.desk import INPUTS, SOURCES, Desk
from econ.workbook.in_words import coefficient_words
from econ.workbook.style import number_format, row_height

SOURCE_COLUMNS = (
    "What",
    "Value",
    "Low",
    "High",
    "Unit",
    "How surely",
    "Source",
    "Place in the source",
    "Remark",
    "Low and high",
    "Read",
)
SOURCE_WIDTHS = (46, 10, 9, 9, 17, 26, 48, 34, 48, 24, 11)
SOURCE_TOP = 7


def facts_of(desk: Desk) -> tuple[Used, ...]:
    """Every fact in use, in the order of the page."""
    return facts_read(desk.results.scenario, desk.results.plan)


def row_of_fact(desk: Desk) -> dict[str, int]:
    """The row on which a fact stands, by its label."""
    return {fact.label: at for at, fact in enumerate(facts_of(desk), start=SOURCE_TOP + 1)}


def write_sources(desk: Desk) -> None:
    """How many facts were read, what moves the answers most, then one row a fact."""
    facts = facts_of(desk)
    sheet = desk.sheet(SOURCES, "Where do the factors come from?", SOURCE_WIDTHS)
    read = len([fact for fact in facts if fact.is_read])
    sheet.write_string(3, 0, f"{len(facts)} facts are in use: {read} were read in a source or in a copy of it, "
                       f"{len(facts) - read} are not checked or assumed. A curve counts as one fact.",
                       desk.styles("plain"))  # fmt: skip
    for at, (measure, words) in enumerate(((NPV, "NPV"), (NET, "net CO2e")), start=4):
        named = "; ".join(f"{one.label} ({share:.0%}, {one.known or 'yours'})"
                          for one, share in heaviest(desk.results, measure))  # fmt: skip
        sheet.write_string(
            at, 0, f"Most of the range of {words}, each moved alone: {named}.", desk.styles("plain")
        )
    for column, name in enumerate(SOURCE_COLUMNS):
        sheet.write_string(SOURCE_TOP, column, name, desk.styles(_look(column)))
    for at, fact in enumerate(facts, start=SOURCE_TOP + 1):
        _source_row(desk, sheet, at, fact)
    sheet.freeze_panes(SOURCE_TOP + 1, 1)
    sheet.repeat_rows(SOURCE_TOP)
    sheet.autofilter(SOURCE_TOP, 0, SOURCE_TOP + len(facts), len(SOURCE_COLUMNS) - 1)


def _look(column: int) -> str:
    return "column" if column == 0 else "column_right" if column <= 3 else "column_word"


def _source_row(desk: Desk, sheet: Any, at: int, fact: Used) -> None:
    styles = desk.styles
    sheet.write_string(at, 0, fact.label, styles("wrap"))
    for column, number in ((1, fact.value), (2, fact.low), (3, fact.high)):
        if number is not None:
            sheet.write_number(at, column, number, styles("wrap", number_format(number, "")))
    unit = "" if fact.unit == "-" else fact.unit.replace("m3", "m³")
    words = (unit, fact.mark, fact.source, fact.locator, fact.note, ENDS[fact.ends], fact.read)
    small = row_height(*((text, SOURCE_WIDTHS[column]) for column, text in enumerate(words, start=4)), size=9)
    sheet.set_row(at, max(small, row_height((fact.label, SOURCE_WIDTHS[0]), (fact.mark, SOURCE_WIDTHS[5]))))
    for column, text in enumerate(words, start=4):
        bold = column == 5 and not fact.is_read
        sheet.write_string(at, column, text, styles("mark" if bold else "faint_wrap"))


COLUMNS = (
    "What", "Value", "Unit", "Low", "High", "How known", "Where from", "In the model", "Model unit",
    "In this file", "Key",
)  # fmt: skip
WIDTHS = (50, 14, 27, 11, 11, 30, 44, 14, 18, 13, 32)
TOP = 5
CANONICAL = {
    "mass": "kg", "period": "year", "money": "$", "volume": "L", "energy": "MJ", "length": "m", "area": "m²",
    "temperature": "°C", "share": "fraction", "p2o5_share": "kg P2O5/kg", "years": "years", "hours": "hours",
    "days": "days", "weeks": "weeks", "weekly": "a week", "molar": "mol/mol",
    "count": "each", "acidity": "pH", "position": "-1 to 1",
}  # fmt: skip


def write_inputs(desk: Desk) -> None:
    """Every row that holds a value; cells marked live move the whole workbook when changed."""
    sheet = desk.sheet(INPUTS, "Which inputs were used, and where are they from?", WIDTHS)
    sheet.write_string(3, 0, "Change a bordered value in column B and the whole file recalculates. Rows marked "
                       "'fixed here' act through tables or choices: change them in the scenario and run again.",
                       desk.styles("plain"))  # fmt: skip
    for column, name in enumerate(COLUMNS):
        look = "column" if column == 0 else "column_right" if column in {1, 3, 4, 7} else "column_word"
        sheet.write_string(TOP, column, name, desk.styles(look))
    at, facts = TOP + 1, row_of_fact(desk)
    for plan in sheets():
        for section in plan.sections:
            entries = [desk.results.scenario.entries.get(row.key) for row in section.rows]
            filled = [entry for entry in entries if entry is not None and entry.value is not None]
            if filled:
                at = _section(desk, sheet, at, f"{plan.name}: {section.heading}", filled, facts)
    at = _coefficients(desk, sheet, at)
    sheet.freeze_panes(TOP + 1, 1)
    sheet.repeat_rows(TOP)


def _heading(desk: Desk, sheet: Any, at: int, text: str) -> int:
    for column in range(len(COLUMNS)):
        sheet.write_string(at, column, text if column == 0 else "", desk.styles("heading"))
    return at + 1


def _section(desk: Desk, sheet: Any, at: int, heading: str, entries: list[Entry], facts: dict[str, int]) -> int:
    at = _heading(desk, sheet, at, heading)
    for entry in entries:
        _row(desk, sheet, at, entry, facts)
        at += 1
    return at


def _row(desk: Desk, sheet: Any, at: int, entry: Entry, facts: dict[str, int]) -> None:
    styles, row = desk.styles, entry.row
    sheet.write_string(at, 0, row.label, styles("label"))
    fact = facts.get(factor(entry.factor).label) if entry.factor else None
    if fact is None:
        sheet.write_string(at, 5, entry.known, styles("faint_wrap"))
    else:
        where = f"'{SOURCES}'!A{fact + 1}"
        sheet.write_url(at, 5, f"internal:{where}", styles("faint"), entry.known, "to its source")
    origin = "; ".join(t for t in (entry.source, entry.remark) if t)
    sheet.write_string(at, 6, origin, styles("faint_wrap"))
    unit_name = entry.unit.name if entry.unit else ""
    small = max(row_height((text, WIDTHS[column]), size=9) for column, text in
                ((2, unit_name), (5, entry.known), (6, origin)))  # fmt: skip
    sheet.set_row(at, max(small, row_height((row.label, WIDTHS[0]))))
    sheet.write_string(at, 10, row.key, styles("faint"))
    if not row.is_number:
        option = row.option(str(entry.value)) if row.kind == "choice" else None
        sheet.write_string(at, 1, option.label if option else str(entry.value), styles())
        sheet.write_string(at, 9, "fixed here" if row.kind == "choice" else "", styles("faint"))
        return
    shown = entry.shown(entry.number)
    assert shown is not None
    is_live = row.key in desk.live and not row.fixed
    sheet.write_number(at, 1, shown, styles("input" if is_live else "plain", "typed"))
    sheet.write_string(at, 2, unit_name, styles("faint_wrap"))
    for column, end in ((3, entry.low), (4, entry.high)):
        if entry.has_range and (number := entry.shown(end)) is not None:
            sheet.write_number(at, column, number, styles("plain", number_format(number, "")))
    size = number_format(entry.number, "")
    sheet.write_formula(at, 7, canonical_formula(at, entry.unit), styles("faint", size), entry.number)
    sheet.write_string(at, 8, model_unit(entry.unit, desk.currency), styles("faint"))
    sheet.write_string(at, 9, "live" if is_live else "fixed here", styles("faint"))
    desk.define(row.key, INPUTS, at, 7)


def canonical_formula(at: int, unit: Unit | None) -> str:
    """The formula that carries the typed value in column B to the model's unit."""
    cell = xl_rowcol_to_cell(at, 1)
    if unit is None:
        return f"={cell}"
    shifted = f"({cell}+{unit.offset!r})" if unit.offset else cell
    return f"={shifted}*{unit.factor!r}" if unit.factor != 1.0 else f"={shifted}"


def model_unit(unit: Unit | None, currency: str) -> str:
    """The canonical unit of a dimension in words."""
    if unit is None:
        return ""
    parts = [CANONICAL.get(part, part).replace("$", currency) for part in unit.dimension.split("/")]
    return "/".join(parts)


def _own(desk: Desk, name: str, unit_name: str) -> str:
    """The unit of a coefficient, that of a fuel in the measure of its kind."""
    if "measure" not in unit_name:
        return unit_name
    return unit_name.replace(
        "measure", own_measure(desk.results.scenario.choice(f"fuel.{name.split('_')[1]}.kind"))
    )


def _coefficients(desk: Desk, sheet: Any, at: int) -> int:
    """Coefficients per kg and per unit, marked as values."""
    at = _heading(desk, sheet, at, "Coefficients computed by kilncase from the fixed rows above (values)")
    for name, value in desk.results.coefficients.items():
        if name not in desk.live:
            continue
        label, unit_name = coefficient_words(name)
        sheet.write_string(at, 0, label, desk.styles("label"))
        sheet.write_string(at, 8, _own(desk, name, unit_name), desk.styles("faint"))
        sheet.set_row(at, row_height((label, WIDTHS[0])))
        if value != value:
            sheet.write_string(at, 7, "not reported", desk.styles("plain"))
        else:
            sheet.write_number(at, 7, value, desk.styles("plain", number_format(value, "")))
        sheet.write_string(at, 9, "value", desk.styles("faint"))
        sheet.write_string(at, 10, name, desk.styles("faint"))
        desk.define(name, INPUTS, at, 7)
        at += 1
    return at
