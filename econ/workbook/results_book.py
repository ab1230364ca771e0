"""Writes the results workbook: a document to read and a model to play with."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZIP_STORED

from xlsxwriter import packager
from xlsxwriter import workbook as writer
from xlsxwriter.sharedstrings import SharedStrings
from xlsxwriter.utility import xl_rowcol_to_cell_fast

from econ.answer.results import Results
from econ.errors import FileRefused
from econ.model.ledger import line
from econ.units import shown_label
from econ.workbook import desk as pages
from econ.workbook.desk import FIRST_YEAR_COLUMN, PRINT_SET, Desk, lay_out, set_by_command
from econ.workbook.marks import Page, Sheet, Texts, count_strings
from econ.workbook.page_plan import Found
from econ.workbook.page_writer import write_page
from econ.workbook.pages.answer_pages import answer, before_batch, inputs, sources, to_settle
from econ.workbook.pages.bones_pages import flow, options
from econ.workbook.pages.char_pages import assay, label, log
from econ.workbook.pages.deep_pages import found_plans, variance, worth
from econ.workbook.pages.garden_pages import planting, trial_design, trials
from econ.workbook.pages.kiln_pages import carbon, carbon_figures, checks, kiln, year_months
from econ.workbook.pages.money_pages import by_month, cash, cash_flow, lender
from econ.workbook.pages.risk_pages import break_even, chances, effects
from econ.workbook.places import ALONE, check_goal, pdf_of
from econ.workbook.safe_write import FINGERPRINT_BLANK, FINGERPRINT_PROPERTY, write_results_file, write_sealed
from econ.workbook.style import CLAY, SLATE, Styles, new_book
from econ.workbook.trace import labels_of, within, words_of
from econ.workbook.what_if import absent_formulas, names_read, print_model, states, what_if

WRITTEN: tuple[tuple[str, Callable[[Desk], Found]], ...] = (
    (pages.INPUTS, inputs), (pages.BEFORE_BATCH, before_batch), (pages.SETTLE, to_settle),
    (pages.MATTER, lambda _: {}), (pages.FLOW, flow), (pages.KILN, kiln), (pages.MONTHS, year_months),
    (pages.CARBON, carbon), (pages.CARBON_FIGURES, carbon_figures), (pages.CASH, cash), (pages.MONTHLY, by_month),
    (pages.LENDER, lender), (pages.YEARS, cash_flow), (pages.OPTIONS, options),
    (pages.PLANS, found_plans),
    (pages.EFFECTS, effects), (pages.CHANCES, chances), (pages.BREAKEVEN, break_even), (pages.WORTH, worth),
    (pages.VARIANCE, variance), (pages.SOURCES, sources), (pages.CHECKS, checks),
    (pages.LOG, log), (pages.ASSAY, assay), (pages.TRIALS, trials), (pages.DESIGN, trial_design),
    (pages.PLANTING, planting), (pages.LABEL, label), (pages.ANSWER, answer),
)  # fmt: skip
"""The pages in the order in which they are written, so that what a click leads to is there before."""


def write_results(results: Results, path: str | Path, overwrite: bool = False) -> Path:
    """Write the results workbook, whole or not at all; returns its path.

    Raises FileRefused where a file stands there that is not exactly as kilncase wrote it, unless
    `overwrite`, or where the folder cannot be written.
    """
    target = Path(path)
    write_results_file(target, results_bytes(results), overwrite)
    return target


def write_pdf(results: Results, path: Path, overwrite: bool = False) -> Path:
    """Print the pages to hand over into one PDF, by LibreOffice; returns its path.

    Raises FileRefused where LibreOffice is missing or makes nothing, saying how to print by hand, and where a
    file stands there that is not as kilncase wrote it, unless `overwrite`.
    """
    check_goal(path, ".pdf")
    by_hand = (
        f"to print by hand, open the results workbook, click the tab {PRINT_SET[0]}, hold the shift key, "
        f"click the tab {PRINT_SET[-1]}, and print the selected sheets"
    )
    try:
        made = pdf_of(results_bytes(results, PRINT_SET))
    except OSError as odd:
        raise FileRefused(f"{path.name} was not written: {odd}; close the windows of LibreOffice and try again, "
                          f"or, {by_hand}") from odd  # fmt: skip
    if made is None:
        raise FileRefused(f"{path.name} was not written: LibreOffice is not installed; {by_hand}")
    write_sealed(path, made, "%{}", overwrite)
    return path


def results_bytes(results: Results, printed: Sequence[str] = ()) -> bytes:
    """The results workbook as bytes, every formula with its computed value.

    All pages but those `printed` are hidden, so that no other is printed; none is where none is named.
    """
    case = what_if(results)
    place, rows = lay_out(case.results)
    sheets = print_model(case, place)
    target = io.BytesIO()
    book = new_book(
        target, f"kilncase results: {results.scenario.name}", author="kilncase",
        subject="Bone char: mass, nutrients, carbon and money",
        keywords="bone char, kiln, payback, phosphorus, carbon",
        comments="Figures are live formulas over the sheet Inputs used; see the sheets Sources and Checks."
        + set_by_command(results)[:200],
    )  # fmt: skip
    book.set_custom_property(FINGERPRINT_PROPERTY, FINGERPRINT_BLANK)
    book.set_calc_mode("auto")
    labels = labels_of(case.results)
    for name, row in rows.items():
        said = within(line(name).label)
        labels |= {str(xl_rowcol_to_cell_fast(row, FIRST_YEAR_COLUMN + t)): f"{said} of year {t}"
                   for t in range(results.plan.years + 1)}  # fmt: skip
    labels = {name: shown_label(text, results.scenario.system) for name, text in labels.items()}
    in_words = partial(words_of, label=labels.__getitem__)
    unread = absent_formulas(case)
    desk = Desk(
        case, unread, frozenset(names_read(sheets) | set(unread.values())), book, Styles(book), sheets,
        states(case, sheets), labels, in_words, rows,
    )  # fmt: skip
    for name in desk.page_names():
        desk.pages[name] = Page(book.add_worksheet(name, Sheet), desk.styles)
        desk.pages[name].set_tab_color(CLAY if name in PRINT_SET else SLATE)
    for name, find in WRITTEN:
        if name in desk.pages:
            write_page(desk, name, find(desk))
    for name, page in desk.pages.items():  # every value of the run; the inputs are marked row by row
        if name != pages.INPUTS:
            page.mark(2, 0 if name == pages.ANSWER else 1)
    if printed:
        desk.pages[printed[0]].activate()
        for sheet in book.worksheets():
            if sheet.get_name() not in printed:
                sheet.hide()
                sheet.print_area_range = ""  # LibreOffice prints a hidden sheet that has one
    count_strings(book)
    with _unpacked():
        book.close()
    return target.getvalue()


@contextmanager
def _unpacked() -> Iterator[None]:
    """The parts of a workbook go into the file as they are, packed once, when it is stamped; texts in our way."""
    with ALONE:
        writer.ZIP_DEFLATED, packager.SharedStrings = ZIP_STORED, Texts
        try:
            yield
        finally:
            writer.ZIP_DEFLATED, packager.SharedStrings = ZIP_DEFLATED, SharedStrings
