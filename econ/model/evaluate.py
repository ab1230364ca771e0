"""The whole model in the order in which the matter flows: bones, char, market, running, carbon, money."""

from __future__ import annotations

from collections.abc import Mapping

from econ.model import (
    capacity,
    carbon,
    cashflow,
    lender,
    matter,
    money,
    operating,
    options,
    persistence,
    planting,
    process,
)
from econ.model.coefficients import coefficients
from econ.model.ledger import Arrays, Book, Ledger, Quantity
from econ.model.plan import Plan


def walk(values: Mapping[str, Quantity], plan: Plan, ledger: Ledger) -> Book:
    """Every stage, over inputs and coefficients in `values`; the figures go to the ledger."""
    b = Book(values, ledger)
    fired = capacity.bones(b, plan)
    matter.char(b, plan, fired)
    process.batch(b, plan, fired)
    product = matter.finish(b, plan)
    matter.phosphate(b, plan)
    matter.analysis(b, plan)
    planting.ground_of_customers(b)
    planting.doses(b, plan)
    operating.sales(b, plan, product)
    operating.extra_costs(b)
    matter.costs(b, plan)
    unused = matter.unused(b)
    operating.fuel(b, plan, b["firings_per_year"])
    operating.labour(b, plan, b["firings_per_year"])
    operating.upkeep(b)
    operating.disposal(b, plan, b["bones_fired_share"], b["bones_excluded_kg"])
    scope = carbon.uses(b, plan, b["char_kg"], unused)
    persistence.corrected(b, plan)
    carbon.removal(b, plan, b["organic_c_kg"], scope)
    process.process(b, plan)
    carbon.net(b, b["removal_kg_co2e"], b["process_kg_co2e"])
    carbon.against_current_practice(b, plan)
    project = money.cash(b, plan)
    cashflow.profitability(b, plan, project)
    lender.views(b, plan, project)
    carbon.over_study(b, plan)
    options.compare(b, plan, project)
    planting.plant(b, plan)
    return b


def evaluate(numbers: Mapping[str, Quantity], plan: Plan, wanted: frozenset[str] | None = None) -> Arrays:
    """The kept figures (`wanted`, or all) over numbers, each a float or an array (cases,); pure.

    Units stand in words/*.csv, sources in the docstring of each stage; what rests on no array stays a scalar.
    """
    ledger = Arrays(wanted)
    walk({**numbers, **coefficients(numbers, plan)}, plan, ledger)
    return ledger
