"""The tables of a statement: rows of words and numbers that document, sheet and JSON print alike."""

from __future__ import annotations

from typing import Any

import numpy as np

from econ.answer.carbon_case import needs, plan
from econ.answer.quoted import digits
from econ.answer.year import Statement, samples_of
from econ.answer.year_promises import Block, Cell, kept, next_year, promised_and_found
from econ.measured.calibration import calibration
from econ.measured.record import lines_of
from econ.units import shown_unit


def blocks(found: Statement) -> tuple[Block, ...]:
    """Every table of the statement, in order."""
    promises = tuple(promised_and_found(found))
    made = (_weighed(found), _went(found), _carbon(found), _gaps(found), _money(found), kept(promises),
            next_year(promises), _monitored(found), _again(found))  # fmt: skip
    return tuple(block for block in made if block.rows)


def _mass(found: Statement, name: str) -> tuple[Cell, str]:
    unit, factor = shown_unit("kg", found.scenario.system)
    return found.figures[name] * factor, unit


def _weighed(found: Statement) -> Block:
    weighed = "weighed, gaps filled by the rule"
    rows: list[tuple[Cell, ...]] = [("Batches", found.figures["batches"], "", "Kiln log")]
    for label, name, how in (
        ("Bones processed", "bones_kg", weighed), ("Dry char made", "char_made_kg", "weighed less its water"),
        ("Char in store at the start", "stock_open_kg", "made before, less delivered before"),
        ("Dry char delivered", "char_delivered_kg", "delivery slips"),
        ("Of it in scope, with evidence", "char_in_scope_kg", "mineral field, grassland or orchard soil"),
        ("Char in store at the end", "stock_close_kg", "carried over to the next period"),
        ("Char sold", "sold_kg", "Char sales"), ("Bones taken by the hauler", "hauled_kg", "Hauler invoices"),
    ):  # fmt: skip
        rows.append((label, *_mass(found, name), how))
    return Block("What was weighed", ("Figure", "Amount", "Unit", "How known"), tuple(rows))


def _went(found: Statement) -> Block:
    sums: dict[tuple[str, str], list[float]] = {}
    columns = found.record.tables["delivery"].plan.by_key if "delivery" in found.record.tables else {}
    for one in found.record.deliveries:
        if found.period.holds(one.day):
            pair = sums.setdefault((one.buyer, one.use), [0.0, 0.0])
            pair[0] += one.taken_kg
            pair[1] += one.counted_kg
    unit, factor = shown_unit("kg", found.scenario.system)

    def words(key: str, slug: str) -> str:
        return columns[key].words(slug) if slug else "not said"

    rows = tuple(
        (words("delivery.buyer", buyer), words("delivery.use", use), gone * factor, counted * factor)
        for (buyer, use), (gone, counted) in sums.items()
    )
    return Block("Where the char went", ("Buyer", "End use", f"Dry char [{unit}]", f"In scope [{unit}]"), rows)


def _carbon(found: Statement) -> Block:
    modelled = "modelled per weight of bones, not measured"
    rows: list[tuple[Cell, ...]] = []
    for year, (carbon, lasting) in found.known.items():
        rows += [(f"Organic carbon of the dry char, {year} [%]", 100 * carbon.low, 100 * carbon.counted,
                  100 * carbon.high, carbon.how),
                 (f"Fraction remaining after 100 years, {year} [%]", 100 * lasting.low, 100 * lasting.counted,
                  100 * lasting.high, lasting.how)]  # fmt: skip
    for label, name, how in (
        ("CO2 removal (100-year)", "removal", "the rows above × char in scope × 44/12"),
        ("Fuel burnt", "fuel", "Kiln log or invoices, the larger"),
        ("Fuel, upstream", "upstream", "factor of the fuel"),
        ("Stack: CH4 and N2O", "stack", modelled), ("Hauling, grinding, bags", "rest", modelled),
        ("Process emissions", "process", "sum of the four above"),
        ("Removal less process emissions", "net", "a minus is a net source"),
    ):  # fmt: skip
        low, high = found.spans.get(f"{name}_kg_co2e", (None, None))
        value = found.figures[f"{name}_kg_co2e"] / 1000
        ends = ["no range" if end is None else end / 1000 for end in (low, high)]
        rows.append((f"{label} [t CO2e]", ends[0], value, ends[1], how))
    remark = (
        "The middle column counts. Weights are taken as exact. It takes the low end where the plan asked for more "
        "samples. No published method has a row for bone. Not a carbon credit, not verified."
    )
    return Block(
        "CO2 removal and process emissions", ("Figure", "P5", "Counts", "P95", "How known"), tuple(rows), remark
    )


def _gaps(found: Statement) -> Block:
    rows = tuple((gap.where, gap.what, gap.done) for gap in found.gaps)
    return Block("What is missing or contradicts, and what the rule did", ("Where", "What", "Done"), rows,
                 "Each gap takes the conservative end: it never raises a removal.")  # fmt: skip


def _money(found: Statement) -> Block:
    scenario, figures = found.scenario, found.figures
    hours = figures["batch_hours"] + figures["other_hours"]
    wage = scenario.number_or("labour.wage", 0.0) * (1 + scenario.number_or("labour.on_cost_share", 0.0))
    rows: list[tuple[Cell, ...]] = []
    for label, value, line in (
        ("Sales of char", figures["sales"], "sale_income_today"),
        ("Fuel bought", figures["fuel_cost"], "fuel_cost_today"),
        ("Labour, at the wage typed", hours * wage, "labour_cost_today"),
    ):  # fmt: skip
        low, middle, high = np.percentile(found.promised[line], (10, 50, 90)) * found.share_of_year
        rows.append((label, value, float(low), float(middle), float(high)))
    rows.append(("Hauler's invoices, still paid", figures["hauler_cost"], *["not in the plan"] * 3))
    heads = tuple(f"{head} [{scenario.currency}]" for head in ("Found", "Plan, P10", "Plan, P50", "Plan, P90"))
    remark = f"The plan is that of a full year in today's prices, times {found.share_of_year:.2f}."
    return Block("Money against plan", ("Item", *heads), tuple(rows), remark)


def _monitored(found: Statement) -> Block:
    """Rows of the monitoring plan: what was planned, what was done, what is open."""
    batches = [one for one in found.record.batches if found.period.holds(one.day)]
    slips = found.record.lines("delivery", found.period)
    years = len(found.period.years)
    wanted = {need.what: need.n * years for need in needs(found.results)}

    def with_own(column: str) -> tuple[int, int]:
        return len([one for one in batches if column in one.own]), len(batches)

    def sampled(what: str, name: str) -> tuple[int, int]:
        return sum(len(samples_of(found.record, name, year)) for year in found.period.years), wanted[what]

    tested = int(found.results.plan.tested_ch4) + int(found.results.plan.tested_n2o)
    done = {
        "bones": with_own("bones_in"), "fuel": with_own("fuel_1"), "peak": with_own("peak"),
        "char": with_own("char_out"),
        "carbon": sampled("Organic carbon", "c_org"), "hydrogen": sampled("H/C_org", "h_corg"),
        "stack": (tested, 2),
        "deliveries": (len([line for line in slips if line.text("delivery.evidence")]), len(slips)),
    }  # fmt: skip
    rows = []
    for watch in plan(found.results):
        made, asked = done[watch.record]
        state = "done" if made >= asked and asked else "nothing to do" if not asked else f"{asked - made} not done"
        rows.append((watch.what, watch.often, float(asked), float(made), state))
    without = len(lines_of(found.record.tables, "bought")) == 0
    remark = "Fuel was not checked against invoices: the sheet Fuel bought is blank." if without else ""
    heads = ("Monitoring plan", "How often", "Planned", "Done", "State")
    return Block("Monitoring: planned and done", heads, tuple(rows), remark)


def _again(found: Statement) -> Block:
    """From today on: sunk cost left out, resale now, debt left, measured values in place."""
    again = found.again
    if again is None:
        return Block("Decide again: go on, change or stop", ("Figure", "Amount"), (
            ("Decision", "not reported: enter what the kiln would fetch today (sheet Money)"),))  # fmt: skip
    low, middle, high = again.results.chances.spreads["npv"].pair((10, 90))
    money = found.scenario.currency
    turns = ", ".join(one.fact.label for one in again.results.finding.missing) or "nothing that is open"
    rows: tuple[tuple[Cell, ...], ...] = (
        ("Decision", again.decision),
        (f"NPV of going on against stopping, P10 [{money}]", low), (f"NPV, P50 [{money}]", middle),
        (f"NPV, P90 [{money}]", high),
        ("Probability that NPV is below zero [%]", 100 * again.results.chances.loss),
        ("Years left", again.years), (f"Stop: what the kiln would fetch [{money}]", again.resale),
        (f"Stop: debt left, owed either way [{money}]", again.debt),
        (f"Stop: cash left [{money}]", again.cash_if_stopped),
        ("What can turn the decision", turns), ("Change plan", again.change),
    )  # fmt: skip
    remark = (
        "What was paid is sunk and left out. A grant may have to be paid back if the kiln stops: ask its giver. "
        "Measured values stand in for typed ones."
    )
    return Block("Decide again: go on, change or stop", ("Figure", "Amount"), rows, remark)


def summary(found: Statement) -> tuple[str, ...]:
    """Five lines that open the statement and are printed on the screen."""
    figures, (low, high) = found.figures, found.spans["net_kg_co2e"]

    def mass(name: str) -> str:
        value, unit = _mass(found, name)
        return f"{digits(float(value or 0.0))} {unit}"

    net = figures["net_kg_co2e"]
    kind = "a net store" if net > 0 else "a net source" if net < 0 else "neither source nor store"
    gaps = "1 gap is" if len(found.gaps) == 1 else f"{len(found.gaps)} gaps are"
    counted = calibration([one.kept for one in promised_and_found(found)])
    return (
        f"{figures['batches']:.0f} batches: {mass('bones_kg')} of bones made {mass('char_made_kg')} of dry char.",
        f"{mass('char_delivered_kg')} were delivered, {mass('char_in_scope_kg')} of it in scope with evidence. "
        f"{mass('stock_close_kg')} are in store.",
        f"CO2 removal (100-year): {figures['removal_kg_co2e'] / 1000:.2f} t CO2e. Process emissions: "
        f"{figures['process_kg_co2e'] / 1000:.2f} t CO2e.",
        f"Removal less process emissions: {figures['net_kg_co2e'] / 1000:.2f} t CO2e ({low / 1000:.2f} to "
        f"{high / 1000:.2f}): {kind}.".replace("-", "−"),
        f"{counted.inside} of {counted.n} measured figures fell inside their promised range. {gaps} named below.",
    )


def as_json(found: Statement) -> dict[str, Any]:
    """The statement as plain values: sums in kg and currency, spans P5 to P95, gaps, and every table."""
    return {
        "from": found.period.first, "to": found.period.last, "figures": dict(found.figures),
        "spans": {name: list(span) for name, span in found.spans.items()},
        "gaps": [{"where": one.where, "what": one.what, "done": one.done} for one in found.gaps],
        "tables": [
            {"title": block.title, "columns": list(block.heads), "rows": [list(row) for row in block.rows],
             "remark": block.remark}
            for block in blocks(found)
        ],
    }  # fmt: skip
