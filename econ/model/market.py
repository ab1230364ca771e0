"""Where the char goes: tiers with a limit each, the rest to the last tier, then to stock."""

from __future__ import annotations

import numpy as np

from econ.model.ledger import Book, Quantity, total
from econ.model.plan import Plan


def sales(b: Book, plan: Plan, char_kg: Quantity) -> Quantity:
    """Income from char in today's prices [currency a year], tier by tier.

    A tier sells the smaller of the char offered there and its limit. What the earlier tiers do not sell
    goes to the last tier at the last tier's price; what that cannot take is stock and earns nothing.
    """
    typed = [b[f"product.{n}.share"] for n in plan.tiers if n != plan.rest_tier]
    rest = b.line("share_of_rest", np.maximum(1 - total(typed), 0) if typed else 1.0)
    sold: list[Quantity] = []
    income: list[Quantity] = []
    for n in plan.tiers:
        share = rest if n == plan.rest_tier else b[f"product.{n}.share"]
        limit = b.get(f"product.{n}.market_limit", None)
        if n == plan.tiers[-1]:
            offered = b.line(f"tier_{n}_offered_kg", char_kg - total(sold) if sold else char_kg * 1.0)
        else:
            offered = b.line(f"tier_{n}_offered_kg", char_kg * share)
        sells = offered * 1.0 if limit is None else np.minimum(offered, limit)
        sold.append(b.line(f"tier_{n}_sold_kg", sells))
        income.append(b.line(f"tier_{n}_income", sold[-1] * b[f"product.{n}.price"]))
    sold_kg = b.line("char_sold_kg", total(sold))
    b.line("char_to_stock_kg", char_kg - sold_kg)
    per_customer = b.line("char_per_customer_kg", b["market.area_per_customer"] * b["market.label_rate"])
    b.line("customers_per_year", sold_kg / per_customer)
    return b.line("sale_income_today", total(income))
