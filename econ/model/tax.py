"""Income tax of a year, and the loss carried on; every view of the money reckons its own."""

from __future__ import annotations

import numpy as np

from econ.model.ledger import Book, Quantity
from econ.model.plan import Plan


def income_tax(
    b: Book, plan: Plan, t: int, profit: Quantity, carried: Quantity, view: str = ""
) -> tuple[Quantity, Quantity]:
    """Tax of year t on `profit`, and the loss carried on; a loss carried is nominal and worn in a real study.

    Where losses are set against other income a loss earns its tax at once. `view` names the rows of a view
    beside the headline ("owner").
    """
    prefix = f"{view}_" if view else ""
    rate = b["money.tax_rate"]
    if plan.losses_offset:
        return b.year(f"{prefix}income_tax", t, profit * rate), carried
    worn = carried / (b["money.inflation"] + 1) if plan.is_real else carried
    taxed = b.year(f"{prefix}taxed_profit", t, np.maximum(profit - worn, 0))
    carried = b.year(f"{prefix}loss_carried", t, np.maximum(worn - profit, 0))
    return b.year(f"{prefix}income_tax", t, taxed * rate), carried
