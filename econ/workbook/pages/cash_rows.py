"""Rows of money, live: those that pages to hand over share, and the internal rate of return, by halving.

No program's own IRR, which guesses, is asked.

With u from 0 to 1 the rate is 1/u - 1 (above zero) or u - 1 (below). The NPV as a power series in u, divided by
(1 - u) again and again, has the running sums of the flows as coefficients, then sums of those sums: their changes
of sign bound the rates on that side (Descartes' rule) the closer, the more often it is done. Where front and back
together change sign once, there is one rate and no other, and 52 steps of halving find it. Otherwise the cell says
so. The helper rows stand folded.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import accumulate, pairwise
from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell

from econ.model.ledger import line
from econ.workbook.desk import CASH, FIRST_YEAR_COLUMN, Desk, figure_format
from econ.workbook.live import Printed, defined_name
from econ.workbook.marks import CHANGED
from econ.workbook.page_plan import Found, Row, Slot, plans

STEPS, TIMES = 52, 4
UNSURE = "several or none: run again"
FOLDED = {"level": 1, "hidden": True}
SHOWN_AS = {"debt_coverage": "n2", "discount_factor": "n3"}
SUMS = frozenset({"operating_cash", "available_for_debt", "net_cash", "debt_coverage"})
SIDES = ("from today on", "from the last year back")

Rows = list[list[float]]


def write_rate(desk: Desk, sheet: Any, flows_row: int, top: int) -> Printed:
    """Write the helper rows from row `top` on; returns the IRR as a formula over them."""
    flows = [desk.results.years["net_cash"][t] for t in range(desk.results.plan.years + 1)]
    both = [_side_values(flows), _side_values(flows[::-1])]
    for side, rows in enumerate(both):
        _write_side(desk, sheet, flows_row, top + side * len(rows), side, rows)
    at = top + 2 * len(both[0])
    last = _steps(desk, sheet, flows_row, (top, at), flows, math.fsum(both[0][-1]) > 0)
    return _printed(desk, top, both, last)


def _side_values(flows: list[float]) -> Rows:
    """Flows, their sums 1 to 4 times over, signs carried over zeros, changes of sign; ends of the sums last."""
    sums = [flows]
    for _ in range(TIMES):
        sums.append(list(accumulate(sums[-1])))
    whole = sums[-1] + [row[-1] for row in sums[-2:0:-1]]
    signs = [0.0]
    for item in whole:
        signs.append(float((round(item, 6) > 0) - (round(item, 6) < 0)) or signs[-1])
    signs = signs[1:]
    turns = [float(one * other < 0) for one, other in pairwise(signs)]
    return [*sums[:-1], whole, signs, [0.0, *turns]]


def _write_side(desk: Desk, sheet: Any, flows_row: int, top: int, side: int, rows: Rows) -> None:
    words = ("Net cash", *(f"Summed {n} times" for n in range(1, TIMES + 1)), "Sign", "Change of sign")
    last, shape = len(rows[0]) - 1, desk.styles("plain", "money0")
    for kind, (word, row) in enumerate(zip(words, rows, strict=True)):
        sheet.write_string(top + kind, 0, f"{word}, {SIDES[side]}", desk.styles("label"))
        sheet.set_row(top + kind, None, None, FOLDED)
        for t, value in enumerate(row):
            formula = _formula(kind, t, top, (flows_row, last - t if side else t), last)
            sheet.write_formula(top + kind, FIRST_YEAR_COLUMN + t, formula, shape, value)


def _address(row: int, t: int, fixed: bool = False) -> str:
    """The cell of year t in a row."""
    return str(xl_rowcol_to_cell(row, FIRST_YEAR_COLUMN + t, fixed, fixed))


def _formula(kind: int, t: int, top: int, source: tuple[int, int], last: int) -> str:
    cell = _address
    if kind == 0:
        return f"={cell(*source)}"
    if kind <= TIMES:
        if t > last:  # beyond the last year: ends of the sums taken less often
            return f"={cell(top + TIMES - (t - last), last)}"
        before = f"{cell(top + kind, t - 1)}+" if t else ""
        return f"={before}{cell(top + kind - 1, t)}"
    if kind == TIMES + 1:
        own = f"SIGN(ROUND({cell(top + TIMES, t)},6))"
        return f"=IF({own}=0,{cell(top + kind, t - 1) if t else 0},{own})"
    return f"=IF({cell(top + TIMES + 1, t - 1)}*{cell(top + TIMES + 1, t)}<0,1,0)" if t else "=0"


def _range(row: int, length: int) -> str:
    return f"{_address(row, 0)}:{_address(row, length - 1)}"


def _steps(
    desk: Desk, sheet: Any, flows_row: int, tops: tuple[int, int], flows: list[float], is_above: bool
) -> tuple[str, float]:
    """Write the halving steps; returns address and value of the last rate."""
    (top, at), length = tops, len(flows) + TIMES - 1
    later = f"{_address(flows_row, 1, True)}:{_address(flows_row, len(flows) - 1, True)}"
    above, end = _address(at, 2, True), _address(top + TIMES + 1, length - 1, True)
    turns = f"=SUM({_range(top + TIMES + 2, length)})"
    sheet.write_formula(at, FIRST_YEAR_COLUMN + 2, turns, desk.styles("plain", "n0"), float(is_above))
    sign = (math.fsum(flows) > 0) - (math.fsum(flows) < 0)
    place, rate, shape = 0.5, 0.0, desk.styles("plain", "rate")
    for step, row in enumerate(range(at, at + STEPS), start=1):
        sheet.write_string(row, 0, f"Halving {step}: place, and the rate there", desk.styles("label"))
        sheet.set_row(row, None, None, FOLDED)
        if step > 1:
            place += (-1 if _worth(rate, flows) * sign > 0 else 1) * 0.5**step
            value = f"({_address(flows_row, 0, True)}+NPV({_address(row - 1, 1)},{later}))"
            move = f"IF({value}*{end}>0,-1,1)*{0.5**step!r}"
            sheet.write_formula(row, FIRST_YEAR_COLUMN, f"={_address(row - 1, 0)}+{move}", shape, place)
        else:
            sheet.write_live(row, FIRST_YEAR_COLUMN, place, shape)
        rate, here = 1 / place - 1 if is_above else place - 1, _address(row, 0)
        sheet.write_formula(row, FIRST_YEAR_COLUMN + 1, f"=IF({above}>0,1/{here}-1,{here}-1)", shape, rate)
    return _address(at + STEPS - 1, 1), rate


def _worth(rate: float, flows: list[float]) -> float:
    total, growth = 0.0, 1.0
    for flow in flows:
        total += flow / growth
        growth *= 1 + rate
        if growth in (0.0, math.inf):
            break
    return total


def _printed(desk: Desk, top: int, both: list[Rows], last: tuple[str, float]) -> Printed:
    """The rate where it is sure; else what the run found, as long as nothing differs from the run."""
    high, length = len(both[0]), len(both[0][-1])
    turns = f"SUM({_range(top + high - 1, length)},{_range(top + 2 * high - 1, length)})"
    total, start = _address(top + 1, len(both[0][0]) - 1), _address(top + TIMES + 1, 0)
    level = f'IF(AND({turns}=0,ROUND({total},6)=0,{start}<>0),0,"{UNSURE}")'
    formula = f'IFERROR(IF({turns}=1,{last[0]},{level}),"{UNSURE}")'
    found = desk.results.figures["irr"]
    if math.fsum(both[0][-1] + both[1][-1]) == 1 and math.isclose(found, last[1], rel_tol=1e-9, abs_tol=1e-9):
        return Printed(formula, last[1])
    is_several = desk.results.reasons.get("irr", "").startswith("several")
    said = ("several" if is_several else "none") if math.isnan(found) else found
    kept = repr(said) if isinstance(said, float) else f'"{said}"'
    return Printed(f"IF({CHANGED}=0,{kept},{formula})", said)


def chart_ranges(desk: Desk) -> Found:
    """What the chart of cash by year says, and where it finds the years, the net cash and its running sum."""
    at, payback, years = desk.year_rows, desk.results.figures["payback_years"], desk.results.plan.years
    says = plans()[CASH].words["never" if payback != payback else "paid"].format(payback, years)
    rows = {"cash_years": min(at.values()) - 2, "cash_net": at["net_cash"], "cash_sum": at["payback_running_sum"]}
    first, last = FIRST_YEAR_COLUMN, FIRST_YEAR_COLUMN + years
    return {"cash_says": says} | {name: [CASH, row, first, row, last] for name, row in rows.items()}


def fact(desk: Desk, name: str, label: str) -> tuple[str, Slot]:
    """A figure as a live formula, and its label with the unit; a label that ends in "[$/t]" is per that unit."""
    label, _, metric = label.removesuffix("]").partition(" [")
    if metric:
        formula, value, unit = desk.amount(name, metric, 1000.0)
        return f"{label} [{unit}]", Slot(Printed(formula, value), "money0")
    value, unit = desk.results.figures[name], desk.shown(line(name))[0]
    number = "n0" if line(name).unit == "month" else figure_format(line(name), value)
    named = label if unit in {"share", "%", "month", "index", ""} else f"{label} [{unit}]"
    word = "never" if "payback" in name else "none"
    return named, Slot(Printed(defined_name(name), word if value != value else value), number)


def yearly(desk: Desk, labels: Mapping[str, str], years: Sequence[int], rest: Sequence[int] = ()) -> Iterator[Row]:
    """Yearly rows as live formulas over the page of all rows; one that is zero in every year is left out.

    A label may stand for the first there is of several rows, as "financed_income_tax|owner_income_tax". The years
    of `rest` stand in one column: their sum, or of a running sum its last.
    """
    for names, label in labels.items():
        name = next((name for name in names.split("|") if name in desk.results.years), "")
        row = desk.results.years.get(name, {})
        if any(row.values()):
            look = SHOWN_AS.get(name, "tight")
            cells = [Slot(Printed(_cell(desk, name, t), row[t]), look) if t in row else None for t in years]
            there = [t for t in rest if t in row]
            if there and name.endswith("so_far"):
                cells.append(Slot(Printed(_cell(desk, name, there[-1]), row[there[-1]]), look))
            elif there:
                area = f"{_cell(desk, name, there[0])}:{_cell(desk, name, there[-1]).partition('!')[2]}"
                cells.append(Slot(Printed(f"SUM({area})", math.fsum(row[t] for t in there)), look))
            yield Row((label, *cells), "total" if name in SUMS else "")


def _cell(desk: Desk, name: str, year: int) -> str:
    """Where a yearly figure stands."""
    return f"'{CASH}'!{_address(desk.year_rows[name], year)}"
