"""The workbooks whose looks are tested: the results of both invented plants and every scenario workbook."""

from __future__ import annotations

import io
from functools import cache

import openpyxl

from econ.appraisal import appraise
from econ.scenario.build import build
from econ.scenario.examples import NAMES, example
from econ.workbook.blank import shipped
from econ.workbook.results import results_bytes

RESULTS = tuple(NAMES)
SCENARIOS = tuple(sorted(shipped()))
ALL = (*RESULTS, *SCENARIOS)


@cache
def content(name: str) -> bytes:
    """The bytes of a results workbook (by plant) or of a scenario workbook (by file)."""
    if name in SCENARIOS:
        return shipped()[name]
    plant = example(name)
    return results_bytes(appraise(build(plant.rows, plant.system, tables=plant.tables)))


@cache
def shown(name: str) -> openpyxl.Workbook:
    """With cached values, as a viewer that never calculates shows it."""
    return openpyxl.load_workbook(io.BytesIO(content(name)), data_only=True)


@cache
def live(name: str) -> openpyxl.Workbook:
    """With formulas."""
    return openpyxl.load_workbook(io.BytesIO(content(name)))
