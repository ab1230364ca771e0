"""The plant of the bench: an invented one with tax on and a kiln renewed within the study."""

from __future__ import annotations

from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.put_over import put_over
from econ.inputs.records import Scenario
from econ.model.evaluate import evaluate
from econ.model.plan import Plan

NAME = "thistle-flat"
SETS = ("money.tax_rate=20 %", "kiln.life=6 years")
ASKED = ("npv", "net_cost_per_kg_bones", "project_net_kg_co2e", "durable_c_kg")
"""Money, cost by weight of bones, net CO2e and durable carbon: all four come out of a sample."""


def taxed() -> Scenario:
    """The plant; stops where tax, renewal or one of the figures is not there."""
    start = example(NAME)
    typed, cautions = put_over(start.rows, list(SETS))
    scenario = build(typed, start.system, cautions, tables=start.tables)
    found = evaluate(scenario.numbers(), Plan.of(scenario))
    assert any(tax > 0 for tax in found.years["income_tax"].values())
    assert any(cost > 0 for cost in found.years["renewal"].values())
    assert all(name in found.lines for name in ASKED)
    return scenario
