"""The number that a blank row is the same as, if there is one: what a results workbook reads until it is filled.

A blank row is a part that this plant does not have, and the model leaves it out. Where a number leaves it out just
as well (a cost of 0, a limit that is never reached), the row can be tried in the results workbook.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

NO_LIMIT = 1e11
"""Kilograms a year that no plant makes: a market without limit."""

NUMBERS: dict[str, float] = {
    **dict.fromkeys(
        ("capital.working", "costs.assays", "costs.registration", "costs.grease", "costs.downtime_share",
         "costs.tonnage_fee", "current.price_rise", "money.decommissioning", "owner.hours", "owner.hour_worth",
         "kiln.downtime_share", "kiln.wear_per_firing", "own_use.mass", "product.n.channel_discount",
         "product.n.freight", "product.n.packaging", "product.n.selling_hours", "equipment.n.installation"),
        0.0,
    ),
    **dict.fromkeys(("kiln.number", "kiln.bones_share", "kiln.core_share", "market.sales_share",
                     "market.years_to_full", "task.n.people"), 1.0),
    "market.spring_share": 0.25,
    "product.n.market_limit": NO_LIMIT,
}  # fmt: skip
"""In canonical units; n stands for the number of a block."""

OTHERS: dict[str, Callable[[Mapping[str, Any]], Any]] = {
    "market.first_year_share": lambda values: 1 / values["market.years_to_full"],
}
"""Those that hang on another row."""


def absent(keys: Iterable[str], values: Mapping[str, Any]) -> dict[str, Any]:
    """What each blank row of `keys` is the same as, for those that are the same as a number.

    `values`: inputs and coefficients, numbers or cells; a coefficient `..._if_blank` stands for its row.
    """
    found: dict[str, Any] = {}
    for key in sorted(keys):
        stand_in = f"{key.replace('.', '_')}_if_blank"
        word = re.sub(r"\.\d+\.", ".n.", key)
        if stand_in in values:
            found[key] = values[stand_in]
        elif word in NUMBERS:
            found[key] = NUMBERS[word]
    return found | {key: rule({**values, **found}) for key, rule in OTHERS.items() if key in keys}
