"""What a lender tries: a lower price, less sold, a dearer kiln, a late start, one by one and all together."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from econ.inputs.records import Scenario
from econ.model.evaluate import evaluate
from econ.model.ledger import Quantity
from econ.model.plan import Plan
from econ.questions.found_rule import Stress

PRICE, VOLUME, CAPITAL = 0.8, 0.7, 1.2
"""Share of the price got, of the char sold, and of the cost of the kiln; a lender's usual trial (common practice,
no source)."""
MONTHS_LATE, YEAR = 6.0, 12.0
CASES = (
    ("base", "As typed"),
    ("price", "Char price 20 % lower"),
    ("volume", "30 % less char sold"),
    ("capital", "Kiln and installation 20 % dearer"),
    ("late", "First batch 6 months later"),
    ("all", "All of these together"),
)
WANTED = frozenset({"npv", "lowest_coverage", "lowest_balance"})


def stress(scenario: Scenario, plan: Plan) -> tuple[Stress, ...]:
    """NPV, lowest debt service coverage and lowest balance in every case; coverage nan without a loan."""
    lines = evaluate(_cases(scenario.numbers(), plan), plan, WANTED).lines
    found = {name: np.broadcast_to(lines.get(name, np.nan), len(CASES)) for name in WANTED}
    return tuple(
        Stress(name, label, *(float(found[one][i]) for one in ("npv", "lowest_coverage", "lowest_balance")))
        for i, (name, label) in enumerate(CASES)
    )


def _cases(numbers: Mapping[str, float], plan: Plan) -> dict[str, Quantity]:
    """The numbers with an array of all cases wherever one of them moves a row."""

    def moved(name: str, share: float) -> Quantity:
        return np.array([share if case in (name, "all") else 1.0 for case, _ in CASES])

    found: dict[str, Quantity] = dict(numbers)
    for n in plan.tiers:
        found[f"product.{n}.price"] = numbers[f"product.{n}.price"] * moved("price", PRICE)
    found["market.sales_share"] = numbers.get("market.sales_share", 1.0) * moved("volume", VOLUME)
    for key in ("kiln.price", "kiln.installation"):
        found[key] = numbers[key] * moved("capital", CAPITAL)
    late = np.array([MONTHS_LATE if case in ("late", "all") else 0.0 for case, _ in CASES])
    found["money.months_to_start"] = np.minimum(numbers.get("money.months_to_start", 0.0) + late, YEAR)
    return found
