"""The grant block of the note: money per tonne, phosphorus, cost of a tonne of CO2e, budget with match."""

from __future__ import annotations

from econ.answer.results import Results
from econ.model.derived import budget, grant
from econ.note.parts import Heading, Part, Table, Text, number

NOT_DEFINED = "not defined: it is not a reduction on these inputs"


def quoted(results: Results) -> dict[str, float | None]:
    """The grant by the median tonnes of CO2e, with the ends that P95 and P5 of the tonnes give."""
    lines = {"removal": "removal_kg_co2e", "net": "project_net_kg_co2e", "difference": "difference_kg_co2e"}
    years = results.plan.years
    ends = [
        grant({**results.figures, **{line: results.carbon(line)[at] for line in lines.values()}}, years)
        for at in range(3)
    ]
    found = dict(ends[1])
    for name in lines:
        found[f"grant_per_t_{name}_low"] = ends[2][f"grant_per_t_{name}"] if found[f"grant_per_t_{name}"] else None
        found[f"grant_per_t_{name}_high"] = ends[0][f"grant_per_t_{name}"]
    return found


def grant_parts(results: Results) -> list[Part]:
    """Heading, sentences and budget table."""
    found, money = quoted(results), results.scenario.currency
    years = results.plan.years
    share = results.scenario["grant.match_share"]
    asked = (
        "no match is typed" if share.value is None else f"the match asked is {share.number:.0%} of the purchase"
    )
    costs = "; ".join(
        f"{words}: {_or(found[f'grant_per_t_{name}'], money)}{_ends(found, name)}"
        for words, name in (
            ("removal", "removal"), ("removal less process emissions", "net"),
            ("difference to current practice without displaced co-products", "difference"),
        )
    )  # fmt: skip
    return [
        Heading("For the grant"),
        Text(
            f"Grant of {number(found['grant'], 0)} {money} for "
            f"{number(results.figures['bones_fired_kg'] / 1000)} t of "
            f"bones a year over {years} years: {number(found['grant_per_t_bones'])} {money} of grant and "
            f"{number(found['capital_per_t_bones'])} {money} of purchase per tonne of bones diverted. "
            "Phosphorus in "
            f"char: {number(found['p_kg_per_year'])} kg P a year, or "
            f"{number(results.figures['p2o5_kg'])} kg P2O5, of "
            f"which {number(found['available_p2o5_kg_per_year'])} kg available. Grant per tonne of "
            "CO2e over the study, undiscounted, by the median tonnes and their range: "
            f"{costs}. Net cost to the plant before any grant (an NPV below zero): "
            f"{number(found['pv_net_cost'], 0)} {money}, per tonne of removal "
            f"{_or(found['net_cost_per_t_removal'], money)}."
        ),
        Text(
            "Additional: the bones are handled today in the way named above, and the kiln does not "
            "exist. Without a "
            f"grant the project's NPV is {number(results.figures['npv'], 0)} {money}"
            + (": it pays without one, so the grant's effect on the decision must be argued, not assumed."
               if results.figures["npv"] >= 0 else ": it would not be built for its money alone.")
        ),
        Text(
            "Monitored at each batch: mass of bones and char, peak temperature and fuel. A laboratory "
            "measures organic carbon and H/C of each lot of char. Records show where the char goes "
            "(buyer, field, soil). A stack test covers methane and N2O."
        ),
        _budget_table(results, asked),
    ]  # fmt: skip


def _ends(found: dict[str, float | None], name: str) -> str:
    """The range of a grant per tonne, by P95 and P5 of the tonnes; no upper end where P5 is not above zero."""
    low, high = found[f"grant_per_t_{name}_low"], found[f"grant_per_t_{name}_high"]
    if low is None:
        return ""
    return f" ({number(low, 0)} {'and more' if high is None else f'to {number(high, 0)}'})"


def _or(value: float | None, money: str) -> str:
    return NOT_DEFINED if value is None else f"{number(value, 0)} {money}/t"


def _budget_table(results: Results, asked: str) -> Table:
    found, money = budget(results.figures, results.scenario.numbers()), results.scenario.currency
    total = found["total"]
    grant, loan, own = _sources(results.figures["grant_today"], results.figures["loan_today"], total)
    labels = {
        "kiln": "Kiln", "installation": "Freight and installation", "other": "Other things to buy",
        "items": "Other equipment", "contingency": "Contingency", "total": "Total",
    }  # fmt: skip
    rows = tuple(
        (label, *(number(found[name] * share, 0) for share in (1.0, grant, loan, own)))
        for name, label in labels.items()
        if found[name] or name == "total"
    )
    return Table(
        f"Budget by category, grant and loan spread in proportion; {asked}",
        ("Category", f"Cost [{money}]", f"Grant [{money}]", f"Loan [{money}]", f"Own match [{money}]"),
        rows,
        (2.4, 1.0, 1.0, 1.0, 1.0),
    )


def _sources(grant: float, loan: float, total: float) -> tuple[float, float, float]:
    """Shares of the purchase that grant, loan and own money pay; a loan is no match."""
    covered = min(grant, total)
    borrowed = min(loan, total - covered)
    whole = total or 1.0
    return covered / whole, borrowed / whole, (total - covered - borrowed) / whole
