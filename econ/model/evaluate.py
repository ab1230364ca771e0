"""The whole model in the order in which the matter flows: bones, char, market, running, carbon, money."""

from __future__ import annotations

from collections.abc import Mapping

from econ.model import (
    capacity,
    carbon,
    ceiling,
    finishing,
    heat,
    lender,
    market,
    matter,
    money,
    options,
    persistence,
    planting,
    process,
    profitability,
    running,
    views,
)
from econ.model.coefficients import coefficients
from econ.model.ledger import Arrays, Book, Ledger, Quantity
from econ.model.plan import Plan


def walk(values: Mapping[str, Quantity], plan: Plan, ledger: Ledger) -> Book:
    """Every stage, over inputs and coefficients in `values`; the figures go to the ledger."""
    b = Book(values, ledger)
    fired = capacity.bones(b, plan)
    matter.char(b, plan, fired)
    heat.firing(b, plan, fired)
    product = finishing.finish(b, plan)
    matter.phosphate(b, plan)
    finishing.analysis(b, plan)
    ceiling.ground_of_customers(b)
    planting.doses(b, plan)
    market.sales(b, plan, product)
    market.extra_costs(b)
    finishing.costs(b, plan)
    finishing.side_income(b, plan)
    unused = finishing.unused(b)
    running.fuel(b, plan, b["firings_per_year"])
    running.labour(b, plan, b["firings_per_year"])
    running.clock(b, plan, b["firings_per_year"])
    running.upkeep(b)
    running.disposal(b, plan, b["bones_fired_share"], b["bones_excluded_kg"])
    scope = carbon.uses(b, plan, b["char_kg"], unused)
    persistence.corrected(b, plan)
    carbon.removal(b, plan, b["organic_c_kg"], scope)
    process.process(b, plan)
    carbon.net(b, b["removal_kg_co2e"], b["process_kg_co2e"])
    carbon.cancelling(b, b["removal_kg_co2e"], b["bones_fired_kg"], b["char_kg"])
    carbon.against_current_practice(b, plan)
    carbon.price_what_if(b, plan)
    project = money.cash(b, plan)
    profitability.profitability(b, plan, project)
    if (owner := views.views(b, plan, project)) is not None:
        lender.lender(b, plan, project, owner)
    carbon.over_study(b, plan)
    options.compare(b, plan, project)
    planting.plant(b, plan)
    return b


def evaluate(numbers: Mapping[str, Quantity], plan: Plan, wanted: frozenset[str] | None = None) -> Arrays:
    """The model over numbers, each a float or an array of shape (cases,); pure.

    Returns the kept figures: all of them, or those named in `wanted`. Figures that do not depend on an
    array stay scalars.
    """
    ledger = Arrays(wanted)
    walk({**numbers, **coefficients(numbers, plan)}, plan, ledger)
    return ledger
