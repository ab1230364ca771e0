"""Writes the results workbook: a document to read and a model to play with."""

from __future__ import annotations

import io
from pathlib import Path

import xlsxwriter

from econ.answer.results import Results
from econ.workbook.desk import CASH, FLOW, KILN, LENDER, MATTER, PAGES, Desk, lay_out, print_model
from econ.workbook.pages import answer_page as answer
from econ.workbook.pages import breakeven_page as breakeven
from econ.workbook.pages import carbon_page as carbon
from econ.workbook.pages import cash_page as cash
from econ.workbook.pages import chances_page as chances
from econ.workbook.pages import checks_page as checks
from econ.workbook.pages import effects_page as effects
from econ.workbook.pages import figures_page as figures
from econ.workbook.pages import flow_page as flow
from econ.workbook.pages import garden_trials_page as trials
from econ.workbook.pages import inputs_page as inputs
from econ.workbook.pages import kiln_log_page as kiln_log
from econ.workbook.pages import kiln_page as kiln
from econ.workbook.pages import lab_assay_page as lab_assay
from econ.workbook.pages import label_page as label
from econ.workbook.pages import lender_page as lender
from econ.workbook.pages import options_page as options
from econ.workbook.pages import planting_page as planting
from econ.workbook.pages import sources_page as sources
from econ.workbook.pages import variance_page as variance
from econ.workbook.pages import worth_page as worth
from econ.workbook.safe_write import FINGERPRINT_BLANK, FINGERPRINT_PROPERTY, write_results_file
from econ.workbook.style import CLAY, SLATE, Styles
from econ.workbook.template import FIXED_TIME


def write_results(results: Results, path: str | Path, overwrite: bool = False) -> Path:
    """Write the results workbook, whole or not at all; returns its path.

    Raises FileRefused where a file stands there that is not exactly as kilncase wrote it, unless
    `overwrite`, or where the folder cannot be written.
    """
    target = Path(path)
    write_results_file(target, results_bytes(results), overwrite)
    return target


def results_bytes(results: Results) -> bytes:
    """The results workbook as bytes, every formula with its computed value."""
    place, rows = lay_out(results)
    sheets, live = print_model(results, place)
    target = io.BytesIO()
    book = xlsxwriter.Workbook(target, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties(
        {
            "title": f"kilncase results: {results.scenario.name}",
            "subject": "Bone char: mass, nutrients, carbon and money",
            "author": "kilncase",
            "keywords": "bone char, kiln, payback, phosphorus, carbon",
            "comments": "Figures are live formulas over the sheet Inputs used; see the sheets Sources and Checks.",
            "created": FIXED_TIME,
        }
    )
    book.set_custom_property(FINGERPRINT_PROPERTY, FINGERPRINT_BLANK)
    book.set_calc_mode("auto")
    desk = Desk(results, book, Styles(book), sheets, live)
    for name in desk.page_names():
        desk.pages[name] = book.add_worksheet(name)
        desk.pages[name].set_tab_color(CLAY if name == PAGES[0] else SLATE)
    inputs.write_inputs(desk)
    figures.write_matter(desk)
    flow.write_flow(desk)
    kiln.write_kiln(desk)
    kiln.write_months(desk)
    carbon.write_carbon(desk)
    cash.write_cash(desk, rows)
    lender.write_lender(desk, rows)
    options.write_options(desk)
    effects.write_effects(desk)
    chances.write_chances(desk)
    breakeven.write_breakeven(desk)
    worth.write_worth(desk)
    variance.write_variance(desk)
    sources.write_sources(desk)
    checks.write_checks(desk)
    kiln_log.write_log(desk)
    lab_assay.write_assay(desk)
    trials.write_trials(desk)
    planting.write_planting(desk)
    label.write_label(desk)
    answer.write_answer(desk, rows)
    desk.hide_noise(MATTER, FLOW, KILN, CASH, LENDER)
    book.close()
    return target.getvalue()
