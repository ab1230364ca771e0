"""The grant block of the note: money per tonne, phosphorus, cost of a tonne of CO2e, budget with match."""

from __future__ import annotations

from econ.answer.results import Results
from econ.model.derived import budget, grant
from econ.note.parts import Part, Table, Text, number
from econ.units import said, shown_unit

NOT_DEFINED = "none: a net source"
LINES = {
    "removal": ("CO2 removal (100-year) alone, as quoted", "removal_outward_kg_co2e"),
    "net": ("project net, as quoted", "project_net_outward_kg_co2e"),
    "difference": ("difference to current practice without displaced co-products", "difference_kg_co2e"),
}


def quoted(results: Results) -> dict[str, float | None]:
    """The grant by the median tonnes of CO2e, with the ends that P95 and P5 of the tonnes give."""
    years = results.plan.years
    ends = [
        grant(
            {
                **results.figures,
                **{line.replace("_outward", ""): results.carbon(line)[at] for _, line in LINES.values()},
            },
            years,
        )
        for at in range(3)
    ]
    found = dict(ends[1])
    for name in LINES:
        found[f"grant_per_t_{name}_low"] = ends[2][f"grant_per_t_{name}"] if found[f"grant_per_t_{name}"] else None
        found[f"grant_per_t_{name}_high"] = ends[0][f"grant_per_t_{name}"]
    return found


def grant_parts(results: Results) -> list[Part]:
    """Sentences, the grant per tonne of CO2e, and the budget table."""
    found, money = quoted(results), results.scenario.currency
    years, share = results.plan.years, results.scenario["grant.match_share"]
    asked = (
        "no match is typed" if share.value is None else f"the match asked is {share.number:.0%} of the purchase"
    )
    unit, factor = shown_unit("t", system := results.scenario.system)
    per_bones = {name: (found[f"{name}_per_t_bones"] or 0.0) / factor for name in ("grant", "capital")}

    def mass(name: str, metric: str) -> str:
        value = results.figures[name]
        return said(value / 1000, "t", system, 1) if metric == "t" else said(value, "kg", system)

    is_source = found["grant_per_t_net"] is None
    rows = tuple((words, NOT_DEFINED if is_source else _range(found, name)) for name, (words, _) in LINES.items())
    return [
        Text(
            f"Grant of {number(found['grant'], 0)} {money} for {mass('bones_fired_kg', 't')} of bones a year over "
            f"{years} years: {number(per_bones['grant'])} {money} of grant and {number(per_bones['capital'])} "
            f"{money} of purchase per {unit} of bones diverted. Phosphorus in char: {mass('p_kg', 'kg')} P a year "
            f"or {mass('p2o5_kg', 'kg')} P2O5, of which {mass('available_p2o5_kg', 'kg')} available."
        ),
        Table(f"Grant per t CO2e over the study, undiscounted, by the median, P95 to P5 [{money}/t CO2e]",
              ("For each t CO2e of", f"[{money}/t CO2e]"), rows, (4.0, 2.4)),
        _budget_table(results, asked),
    ]  # fmt: skip


def _range(found: dict[str, float | None], name: str) -> str:
    """The grant per tonne with the range that the tonnes give; no upper end where P5 is not above zero."""
    middle, low, high = (found[f"grant_per_t_{name}{end}"] for end in ("", "_low", "_high"))
    if middle is None:
        return "none: no reduction"
    return f"{number(middle, 0)} ({number(low, 0)} {'and more' if high is None else f'to {number(high, 0)}'})"


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
