"""The page of the material flow: a picture whose band widths are the numbers, and the balances under it."""

from __future__ import annotations

from typing import Any

from econ.evidence.agronomy import sieve_for
from econ.workbook.desk import FLOW, Desk
from econ.workbook.live import Printed
from econ.workbook.page_plan import Found, Row, Slot, plans
from econ.workbook.pages.flow_picture import BAND_ROWS, draw
from econ.workbook.style import number_format

PER_TONNE = "{0}/MAX(bones_fired_kg,0.000001)*1000"


def flow(desk: Desk) -> Found:
    """Picture, balance, elements, product and analysis on one printed sheet."""
    words, figures = plans()[FLOW].words, desk.results.figures
    size = desk.results.scenario["finish.particle_size"]
    ground = []
    if size.value is not None:
        sieve = sieve_for(size.number * 1000)
        ground = [(Slot(words["sieve" if sieve else "no_sieve"].format(size.number * 1000, sieve), "plain", 5),)]
    return {
        "per_t": desk.shown_unit("kg/t")[0],
        "per_year": desk.shown_unit("kg/year")[0],
        "balance": [
            Row((label, _mass(desk, formula, True), _mass(desk, formula, False)), *loud)
            for label, formula, *loud in words["balance"]
        ],
        "product": [
            *(
                (label, _mass(desk, formula, True), _mass(desk, formula, False))
                for label, formula in words["product"]
            ),
            *ground,
        ],
        "elements": [
            (label, *(_mass(desk, formula, True) for formula in formulas))
            for label, *formulas in words["elements"]
        ],
        "analysis": [
            (label, *(Printed(name, figures[name]) if name else None for name in names))
            for label, *names in words["analysis"]
        ],
        "after": lambda sheet: _picture(desk, sheet),
    }


def _mass(desk: Desk, formula: str, per_tonne: bool) -> Slot:
    """A sum or difference of figures, of a tonne of bones or of the year, in the units of the workbook."""
    fired = max(desk.results.figures["bones_fired_kg"], 1e-6)
    factor = desk.shown_unit("kg/t" if per_tonne else "kg")[1]
    value = _value(desk, formula, factor * (1000 / fired if per_tonne else 1.0))
    text = f"({formula})" if "+" in formula or "-" in formula else formula
    shown = PER_TONNE.format(text) if per_tonne else text
    shown += f"*{factor!r}" if factor != 1.0 else ""
    return Slot(Printed(shown, value), number_format(0.0 if abs(value) < 1e-6 else value, ""))


def _value(desk: Desk, formula: str, scale: float) -> float:
    """The value of a sum or difference of figures."""
    total, sign = 0.0, 1.0
    for piece in formula.replace("+", " + ").replace("-", " - ").split():
        if piece in "+-":
            sign = 1.0 if piece == "+" else -1.0
        else:
            total += sign * desk.results.figures[piece]
    return total * scale


def _picture(desk: Desk, sheet: Any) -> None:
    """The picture over the balances, and folded below the page the cells that it shows."""
    bands = max(desk.places[FLOW, name][1] for name in ("elements", "analysis")) + 4
    draw(desk, sheet, bands, 4, desk.results.figures["bones_fired_kg"])
    for row in range(bands, bands + BAND_ROWS):
        sheet.set_row(row, None, None, {"level": 1, "hidden": False})
