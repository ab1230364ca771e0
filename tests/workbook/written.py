"""The workbooks whose looks are tested: the results of both invented plants and every scenario workbook."""

from __future__ import annotations

import io
from functools import cache

import openpyxl
from shipping import SHIPPED, now

from econ.answer.appraisal import appraise
from econ.inputs.build import build
from econ.inputs.examples import NAMES, example
from econ.questions.latin import Sampling
from econ.workbook.results_book import results_bytes

DEEP = "thistle-flat, deep"
"""With the two pages of a deep run, from few samples."""
RESULTS = (*NAMES, DEEP)
SCENARIOS = SHIPPED
ALL = (*RESULTS, *SCENARIOS)


@cache
def content(name: str) -> bytes:
    """The bytes of a results workbook (by plant) or of a scenario workbook (by file)."""
    if name in SCENARIOS:
        return now(name)
    plant = example(name.split(",")[0])
    scenario = build(plant.rows, plant.system, tables=plant.tables)
    if name == DEEP:
        return results_bytes(appraise(scenario, Sampling(512), deep=True))
    return results_bytes(appraise(scenario))


@cache
def shown(name: str) -> openpyxl.Workbook:
    """With cached values, as a viewer that never calculates shows it."""
    return openpyxl.load_workbook(io.BytesIO(content(name)), data_only=True)


@cache
def live(name: str) -> openpyxl.Workbook:
    """With formulas."""
    return openpyxl.load_workbook(io.BytesIO(content(name)))
