"""The model's money held against functions that share no line with it: `econ.finance` and numpy-financial."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from econ.answer.results import Results
from econ.evidence.used import edition, in_words, shipped_edition
from econ.finance import present_value, returns

Check = tuple[str, bool, str]
"""What is held, whether it holds, and by what."""

CLOSE = 1e-9
OURS, THEIRS = "functions of econ.finance", "numpy-financial"


def second_look(results: Results) -> list[Check]:
    """Every check that this plant has the figures for."""
    # a table inside the installed copy that somebody edited gives other figures than the version's name says
    tables = "Data tables are those of this version", edition() == shipped_edition(), f"data edition {in_words()}"
    return [*_worth(results), *_ratios(results), *_written_off(results), tables]


def _close(one: float, other: float, size: float = 0.0) -> bool:
    return (math.isnan(one) and math.isnan(other)) or math.isclose(
        one, other, rel_tol=CLOSE, abs_tol=CLOSE * max(size, 1.0)
    )


def _row(results: Results, name: str) -> list[float]:
    """A yearly row from today to the end of the study; 0 where the year has none."""
    row = results.years.get(name, {})
    return [row.get(t, 0.0) for t in range(results.plan.years + 1)]


def _worth(results: Results) -> Iterator[Check]:
    """NPV three ways, spread over the years, and at the rates of return; paybacks."""
    import numpy_financial

    figures, rate = results.figures, results.scenario.numbers()["money.discount_rate"]
    flows = _row(results, "net_cash")
    gross = math.fsum(abs(flow) for flow in flows)
    npv = figures["npv"]
    yield "NPV from the yearly net cash", _close(npv, float(present_value.npv(rate, flows)), gross), OURS
    yield "NPV from the yearly net cash", _close(npv, float(numpy_financial.npv(rate, flows)), gross), THEIRS
    spread = npv * float(present_value.capital_recovery_factor(rate, results.plan.years))
    level = float(present_value.annual_equivalent(rate, flows))
    even = all(_close(figures["npv_per_year"], one, gross) for one in (spread, level))
    yield "NPV spread evenly over the years", even, OURS
    if results.returns.irr_reason not in (returns.NOT_REACHED, returns.NOT_A_NUMBER):
        zero = all(abs(float(present_value.npv(root, flows))) < 1e-6 * gross for root in returns.irr_roots(flows))
        yield "NPV is zero at every rate of return found", zero, OURS
    if not results.plan.is_real:
        prices = _row(results, "price_index")
        rise = results.scenario.numbers()["money.inflation"]
        real = [flow / price for flow, price in zip(flows, prices, strict=True)]
        again = float(present_value.npv(present_value.real_rate(rate, rise), real))
        yield "NPV in today's prices at the real rate", _close(npv, again, gross), OURS
    simple = returns.payback_years([*flows[:-1], figures["no_end_cash_last_year"]])
    discounted = returns.discounted_payback_years(rate, flows)
    yield "Payback", _close(figures["payback_years"], float(simple)), OURS
    yield "Discounted payback", _close(figures["discounted_payback_years"], float(discounted)), OURS


def _ratios(results: Results) -> Iterator[Check]:
    """Ratios from the rows of benefits, of operating cash and of what is bought."""
    figures, rate = results.figures, results.scenario.numbers()["money.discount_rate"]
    sales, saved, operating, net = (
        _row(results, name) for name in ("sale_income", "bill_saved", "operating_cash", "cost_only_cash")
    )
    benefits = [a + b for a, b in zip(sales, saved, strict=True)]
    paid = [cost + income for cost, income in zip(net, sales, strict=True)]
    invested = [a + b - c for a, b, c in zip(net, operating, saved, strict=True)]
    prices = _row(results, "price_index") if not results.plan.is_real else [1.0] * (results.plan.years + 1)
    char = [0.0, *[figures["char_kg"] * price for price in prices[1:]]]
    tests: tuple[tuple[str, str, Callable[..., object], list[float], list[float]], ...] = (
        ("Benefit-to-cost ratio", "benefit_cost_ratio", present_value.benefit_cost_ratio, benefits, paid),
        ("Savings-to-investment ratio", "savings_investment_ratio", present_value.savings_investment_ratio,
         operating, invested),
        ("Levelised cost of char", "levelised_cost_per_kg_char", present_value.levelised_cost, paid, char),
    )  # fmt: skip
    for label, name, function, over, under in tests:
        found = float(function(rate, over, under))  # type: ignore[arg-type]
        if math.isfinite(found):
            yield label, _close(figures[name], found), OURS
    above = float(present_value.adjusted_irr(rate, operating, invested))
    if math.isfinite(above):
        agrees = (above > rate) == (figures["savings_investment_ratio"] > 1)
        yield "Adjusted rate of return above the discount rate where that ratio is above 1", agrees, OURS


def _written_off(results: Results) -> Iterator[Check]:
    """Depreciation of the kiln until its first renewal, where its life is one that the tables know."""
    numbers = results.scenario.numbers()
    known = results.plan.kiln_method
    method, life = "macrs" if known.startswith("macrs") else known, numbers.get("tax.life", numbers["kiln.life"])
    if "written_off_at_once_share" in results.figures:
        return
    cost = results.years["asset_cost"][0]
    if method == "macrs":
        life = float(known.partition("-")[2])
    elif method != "straight-line" and life != int(life):
        return
    amounts = returns.depreciation(method, cost, 0.0, life)
    renewed = [t for t, due in results.years.get("renewal_due", {}).items() if due]
    last = min([*renewed, results.plan.years, len(amounts)])
    ours = [results.years["depreciation_nominal"][t] for t in range(1, last + 1)]
    held = all(_close(one, float(other), cost) for one, other in zip(ours, amounts, strict=False))
    yield "Depreciation of the kiln until its first renewal", held, OURS
