"""Two pages that are the same for every plant: what to know before the first batch, and what to settle."""

from __future__ import annotations

from econ.answer.safety import advice
from econ.workbook.desk import BEFORE_BATCH, SETTLE, Desk
from econ.workbook.style import row_height

KNOWN_WIDTHS = (26, 86)
SETTLE_WIDTHS = (7, 26, 62, 22, 18, 24)
OPEN, DONE = "☐", "☑"


def write_before_batch(desk: Desk) -> None:
    """Hazards and rules, whatever was filled."""
    sheet = desk.sheet(BEFORE_BATCH, "What must be known before the first batch?", KNOWN_WIDTHS, landscape=False)
    for column, name in enumerate(("About", "What to do")):
        sheet.write_string(3, column, name, desk.styles("column"))
    for at, known in enumerate(advice("before"), start=4):
        sheet.write_string(at, 0, known.about, desk.styles("bold_wrap"))
        sheet.write_string(at, 1, known.text, desk.styles("caution"))
        sheet.set_row(at, row_height((known.text, KNOWN_WIDTHS[1] - 2)) + 4)
    sheet.print_area(0, 0, 3 + len(advice("before")), 1)


def write_to_settle(desk: Desk) -> None:
    """Whom to ask for what by when, with a box to tick."""
    sheet = desk.sheet(SETTLE, "What must be settled, with whom and by when?", SETTLE_WIDTHS)
    heads = ("Done", "Who", "What", "By when", "Settled on", "Remark")
    for column, name in enumerate(heads):
        sheet.write_string(3, column, name, desk.styles("column"))
    for at, asked in enumerate(advice("settle"), start=4):
        sheet.write_string(at, 0, OPEN, desk.styles("choice"))
        sheet.data_validation(at, 0, at, 0, {"validate": "list", "source": [OPEN, DONE]})
        for column, text in enumerate(asked, start=1):
            sheet.write_string(at, column, text, desk.styles("bold_wrap" if column == 1 else "wrap"))
        for column in (4, 5):
            sheet.write_blank(at, column, None, desk.styles("input_text"))
        sheet.set_row(at, row_height((asked.text, SETTLE_WIDTHS[2])) + 4)
    sheet.print_area(0, 0, 3 + len(advice("settle")), len(heads) - 1)
    sheet.freeze_panes(4, 0)
