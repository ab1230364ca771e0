"""The pages of inputs as the model read them, and of the sources behind the facts in use."""

from __future__ import annotations

import math
from typing import Any

from xlsxwriter.utility import xl_range_abs, xl_rowcol_to_cell

from econ.answer.kiln_work import own_measure
from econ.answer.weights import NET, NPV, heaviest
from econ.evidence.factors import factor
from econ.evidence.facts import ENDS
from econ.evidence.used import Used
from econ.inputs.absent import NO_LIMIT
from econ.inputs.records import Entry
from econ.inputs.schema import sheets
from econ.model.facts_read import facts_read
from econ.units import Unit, in_system, shown_label
from econ.workbook.desk import INPUTS, SOURCES, Desk
from econ.workbook.in_words import coefficient_words
from econ.workbook.live import defined_name
from econ.workbook.marks import AS_RUN, CHANGED, FIXED, FIXED_CHANGED, as_run_formula
from econ.workbook.style import number_format, row_height

SOURCE_COLUMNS = (
    "What", "Value", "Low", "High", "Unit", "How surely", "Source", "Place in the source", "Remark",
    "Low and high", "Read",
)  # fmt: skip
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
        text = f"Most of the range of {words}, each moved alone: {named}."
        sheet.merge_range(at, 0, at, len(SOURCE_WIDTHS) - 1, text, desk.styles("wrapmid"))
        sheet.set_row(at, row_height((text, math.fsum(SOURCE_WIDTHS))))
    for column, name in enumerate(SOURCE_COLUMNS):
        sheet.write_string(SOURCE_TOP, column, name, desk.styles(_look(column)))
    for at, fact in enumerate(facts, start=SOURCE_TOP + 1):
        _source_row(desk, sheet, at, fact)
    sheet.numbers, sheet.sentences = set(), {(4, 0), (5, 0)}  # facts are what they are, whatever is typed
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
    "In this file", "Key", "Changed", "Value as run", "Unit as run", "Low as run", "High as run",
)  # fmt: skip
WIDTHS = (50, 14, 27, 11, 11, 32, 44, 14, 18, 13, 32, 15, 60, 60, 14, 14)
MODEL, STATE, KEY, DIFFERS, AS_TYPED = 7, 9, 10, 11, 12
TOP = 5
CANONICAL = {
    "mass": "kg", "period": "year", "money": "$", "volume": "L", "energy": "MJ", "length": "m", "area": "m²",
    "temperature": "°C", "share": "fraction", "p2o5_share": "kg P2O5/kg", "years": "years", "hours": "hours",
    "days": "days", "weeks": "weeks", "weekly": "a week", "molar": "mol/mol",
    "count": "each", "acidity": "pH", "position": "-1 to 1",
}  # fmt: skip


def write_inputs(desk: Desk) -> None:
    """Every row that the model reads; cells marked live move the whole workbook when changed."""
    sheet = desk.sheet(INPUTS, "Which inputs were used, and where are they from?", WIDTHS)
    for column in range(AS_TYPED, AS_TYPED + 4):
        sheet.set_column(column, column, WIDTHS[column], None, {"level": 1, "hidden": True})
    sheet.write_string(3, 0, "Change a bordered value in column B and the whole file recalculates. Rows marked "
                       "'fixed here' act through tables or choices: change them in the scenario and run again.",
                       desk.styles("plain"))  # fmt: skip
    for column, name in enumerate(COLUMNS):
        right = column in {1, 3, 4, MODEL, AS_TYPED, AS_TYPED + 2, AS_TYPED + 3}
        look = "column" if column == 0 else "column_right" if right else "column_word"
        sheet.write_string(TOP, column, name, desk.styles(look))
    at, facts = TOP + 1, row_of_fact(desk)
    for plan in sheets():
        for section in plan.sections:
            entries = [desk.results.scenario.entries.get(row.key) for row in section.rows]
            filled = [entry for entry in entries if entry is not None
                      and (entry.value is not None or entry.row.key in desk.case.blank)]  # fmt: skip
            if filled:
                at = _section(desk, sheet, at, f"{plan.name}: {section.heading}", filled, facts)
    at = _coefficients(desk, sheet, at)
    _count(desk, sheet, at)
    if desk.results.scenario.system == "us":  # the model's own units
        for column in (7, 8):
            sheet.set_column(column, column, WIDTHS[column], None, {"hidden": True})
    sheet.freeze_panes(TOP + 1, 1)
    sheet.repeat_rows(TOP)


def _count(desk: Desk, sheet: Any, end: int) -> None:
    """How many inputs differ from the run, those fixed here among them, and the words of every mark."""
    changed = xl_range_abs(TOP + 1, DIFFERS, end - 1, DIFFERS)
    state = xl_range_abs(TOP + 1, STATE, end - 1, STATE)
    sheet.write_string(4, 0, "Inputs that differ from the run", desk.styles("bold"))
    sheet.write_formula(4, 1, f"=SUM({changed})", desk.styles("bold", "n0"), 0)
    sheet.write_formula(4, 2, as_run_formula(CHANGED, FIXED_CHANGED), desk.styles("as_run"), " ")
    sheet.write_formula(4, DIFFERS, f'=SUMIF({state},"{FIXED}",{changed})', desk.styles("faint", "n0"), 0)
    for name, column in ((CHANGED, 1), (AS_RUN, 2), (FIXED_CHANGED, DIFFERS)):
        desk.define(name, INPUTS, 4, column)


def _heading(desk: Desk, sheet: Any, at: int, text: str) -> int:
    for column in range(len(COLUMNS)):
        sheet.write_string(at, column, text if column == 0 else "", desk.styles("heading"))
    return at + 1


def _section(desk: Desk, sheet: Any, at: int, heading: str, entries: list[Entry], facts: dict[str, int]) -> int:
    at = _heading(desk, sheet, at, heading)
    for entry in entries:
        _origin(desk, sheet, at, entry, facts)
        if entry.row.is_number:
            _number(desk, sheet, at, entry)
        else:
            _choice(desk, sheet, at, entry)
        at += 1
    return at


def _origin(desk: Desk, sheet: Any, at: int, entry: Entry, facts: dict[str, int]) -> None:
    """Label, how known, where from and key of a row; of a blank one what blank means."""
    styles, row = desk.styles, entry.row
    sheet.write_string(at, 0, row.label, styles("label"))
    fact = facts.get(factor(entry.factor).label) if entry.factor else None
    known = _known(entry)
    if fact is None:
        sheet.write_string(at, 5, known, styles("faint_wrap"))
    else:
        where = f"'{SOURCES}'!A{fact + 1}"
        sheet.write_url(at, 5, f"internal:{where}", styles("faint"), known, "to its source")
    blank = f"if left blank: {row.if_blank or 'this plant has none'}" if entry.value is None else ""
    told = "; ".join(t for t in (blank, entry.source, entry.remark) if t)
    origin = in_system(told, desk.results.scenario.system)
    sheet.write_string(at, 6, origin, styles("faint_wrap"))
    unit_name = unit.name if (unit := _unit(desk, entry)) else ""
    small = max(row_height((text, WIDTHS[column]), size=9) for column, text in
                ((2, unit_name), (5, known), (6, origin)))  # fmt: skip
    sheet.set_row(at, max(small, row_height((row.label, WIDTHS[0]))))
    sheet.write_string(at, KEY, row.key, styles("faint"))


def _known(entry: Entry) -> str:
    """How a value is known, and what its range is where the user gave none."""
    if entry.value is None:
        return entry.said or "blank"
    words = "range by default" if entry.has_range else "held"
    return f"{entry.known or 'not said'}; {words}: {entry.range_by}" if entry.range_by else entry.known


def _unit(desk: Desk, entry: Entry) -> Unit | None:
    """The unit of a row; a blank one takes that of its own kind of workbook."""
    if entry.unit is not None or entry.value is not None:
        return entry.unit
    first = desk.results.scenario["bones.1.mass"]
    is_us = first.unit == first.row.start_unit("us", desk.currency)
    return entry.row.start_unit("us" if is_us else "metric", desk.currency)


def _choice(desk: Desk, sheet: Any, at: int, entry: Entry) -> None:
    option = entry.row.option(str(entry.value)) if entry.row.kind == "choice" else None
    text = option.label if option else str(entry.value)
    sheet.write_string(at, 1, text, desk.styles())
    if entry.row.kind == "choice":
        sheet.write_string(at, STATE, FIXED, desk.styles("faint"))
        sheet.write_string(at, AS_TYPED, text, desk.styles("faint"))
        _differs(desk, sheet, at)


def _number(desk: Desk, sheet: Any, at: int, entry: Entry) -> None:
    """Value, unit and range as typed and once more as run; in the model's unit, which the formulas read."""
    styles, row = desk.styles, entry.row
    state = desk.states.get(row.key, FIXED)
    look = "plain" if state == FIXED else "input"
    unit = _unit(desk, entry)
    unit_name = unit.name if unit else ""
    if entry.value is None:
        sheet.write_blank(at, 1, None, styles(look, "typed"))
    ends = (entry.low, entry.high) if entry.has_range else (None, None)
    for column, value in ((1, entry.value), (3, ends[0]), (4, ends[1])):
        number = entry.shown(value) if isinstance(value, float) else None
        if number is not None:
            shape = styles(look, "typed") if column == 1 else styles("plain", number_format(number, ""))
            sheet.write_number(at, column, number, shape)
            sheet.write_number(at, AS_TYPED + column - 1, number, styles("faint", "typed"))
    sheet.write_string(at, 2, unit_name, styles("faint_wrap"))
    sheet.write_string(at, AS_TYPED + 1, unit_name, styles("faint"))
    sheet.write_string(at, 8, model_unit(unit, desk.currency), styles("faint"))
    sheet.write_string(at, STATE, state, styles("faint"))
    _differs(desk, sheet, at)
    if row.key in desk.case.numbers:
        value = desk.case.numbers[row.key]
        formula = canonical_formula(at, unit, desk.unread.get(row.key, ""))
        size = "unlimited" if value >= NO_LIMIT else number_format(value, "")
        sheet.write_formula(at, MODEL, formula, styles("faint", size), value)
        desk.define(row.key, INPUTS, at, MODEL)


def _differs(desk: Desk, sheet: Any, at: int) -> None:
    """1 where value, unit, low or high is not that of the run; a zero typed into a blank cell counts."""
    typed, kept = (1, 2, 3, 4), range(AS_TYPED, AS_TYPED + 4)
    pairs = [f"{xl_rowcol_to_cell(at, one)}={xl_rowcol_to_cell(at, other)}"
             for one, other in zip(typed, kept, strict=True)]  # fmt: skip
    blank = f"ISBLANK({xl_rowcol_to_cell(at, 1)})=ISBLANK({xl_rowcol_to_cell(at, AS_TYPED)})"
    formula = f"=IF(AND({','.join((*pairs, blank))}),0,1)"
    sheet.write_formula(at, DIFFERS, formula, desk.styles("as_run", "changed"), 0)


def canonical_formula(at: int, unit: Unit | None, unread: str = "") -> str:
    """The formula that carries the typed value in column B to the model's unit; `unread`: while it is blank."""
    cell = xl_rowcol_to_cell(at, 1)
    found = cell
    if unit is not None:
        shifted = f"({cell}+{unit.offset!r})" if unit.offset else cell
        found = f"{shifted}*{unit.factor!r}" if unit.factor != 1.0 else shifted
    return f'=IF({cell}="",{unread},{found})' if unread else f"={found}"


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
        if defined_name(name) not in desk.read:
            continue
        label, unit_name = coefficient_words(name)
        sheet.write_string(at, 0, shown_label(label, desk.results.scenario.system), desk.styles("label"))
        own = _own(desk, name, unit_name)
        unit, factor = desk.shown_unit(own)
        sheet.write_string(at, 8, own, desk.styles("faint"))
        if desk.results.scenario.system == "us" and value == value:
            sheet.write_string(at, 2, unit, desk.styles("faint_wrap"))
            formula, shown = f"={xl_rowcol_to_cell(at, 7)}*{factor!r}", value * factor
            sheet.write_formula(at, 1, formula, desk.styles("plain", number_format(shown, "")), shown)
        sheet.set_row(at, row_height((label, WIDTHS[0])))
        if value != value:
            sheet.write_string(at, 7, "not reported", desk.styles("plain"))
        else:
            sheet.write_number(at, 7, value, desk.styles("plain", number_format(value, "")))
        sheet.write_string(at, STATE, "value", desk.styles("faint"))
        sheet.write_string(at, KEY, name, desk.styles("faint"))
        desk.define(name, INPUTS, at, 7)
        at += 1
    return at
