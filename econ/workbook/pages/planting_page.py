"""The page of own planting, to print: a card for the field, the load on the soil, the work and the worth."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from econ import evidence
from econ.answer.planting_cautions import ONCE, name_of, said_of
from econ.evidence import curves
from econ.model.lines import line
from econ.model.plan_parts import Ground
from econ.workbook.desk import PLANTING, Desk
from econ.workbook.live import Printed
from econ.workbook.page_plan import Figure, Found, Row, Slot, plans
from econ.workbook.pages.measured_page import plain_unit

BLOCK, LEAST_BLOCKS = 22.0, 3
Grounds = Sequence[Ground]


def planting(desk: Desk) -> Found:
    """Every block side by side."""
    grounds, scenario, figures = desk.results.plan.planting.grounds, desk.results.scenario, desk.results.figures
    said = [(name_of(scenario, ground), said_of(scenario, figures, ground)) for ground in grounds]
    mind = {text: "" if word in ONCE else f"{name}: "
            for name, one in reversed(said) for word, text in reversed(one.words)}  # fmt: skip
    return {
        "widths": (*plans()[PLANTING].widths, *[BLOCK] * max(LEAST_BLOCKS, len(grounds))),
        "stops": [f"{name}: {one.stopped}" for name, one in said if one.stopped],
        "card": [*_plain(desk, grounds), *_card(desk, grounds)],
        "card_heads": ["", "Unit", *(name for name, _ in said)],
        "blocks": list(_blocks(desk, grounds)),
        "all": list(_together(desk)),
        "mind": [f"{lead}{text}" for text, lead in reversed(mind.items())],
        "availability": list(_availability()),
        "once": evidence.factor("mbm_p_year1").value,
        "later": evidence.factor("mbm_p_year3").value,
    }


def _plain(desk: Desk, grounds: Grounds) -> Iterator[tuple[Any, ...]]:
    """What a person takes to the field: words of each block, and whether it may be spread at all, live."""
    words, scenario, figures = plans()[PLANTING].words, desk.results.scenario, desk.results.figures
    said = [
        (
            f"{scenario[f'planting.{g.number}.count'].number:,.0f} {g.kind}",
            words["way"][g.way],
            _depth(desk, g),
            words["blend"][g.blend],
            said_of(scenario, figures, g).soil_class or words["no_test"],
        )
        for g in grounds
    ]
    for label, *texts in zip(words["lines"], *said, strict=True):
        yield label, None, *texts
    names = [f"planting_{g.number}_may_spread" for g in grounds]
    stopped = words["stopped"]
    may = (Printed(f'IF({name}=1,"yes","{stopped}")', "yes" if figures[name] else stopped) for name in names)
    yield Slot(words["may"], "bold"), None, *(Slot(one, "total_right") for one in may)


def _depth(desk: Desk, ground: Ground) -> str:
    entry = desk.results.scenario[f"planting.{ground.number}.depth"]
    if entry.value is None:
        return str(plans()[PLANTING].words["no_depth"])
    return f"{entry.shown(entry.number):.3g} {plain_unit(entry.unit)}"


def _card(desk: Desk, grounds: Grounds) -> Iterator[Row]:
    """Figures of each block in the units of the workbook, where any block has them."""
    for label, figure in plans()[PLANTING].words["card"]:
        names = [f"planting_{g.number}_{figure}" for g in grounds]
        if not any(name in desk.sheets.lines for name in names):
            continue
        unit, factor = desk.shown(line(names[0]))
        values = (
            Printed(f"{name}*{factor!r}", desk.results.figures[name] * factor)
            if name in desk.sheets.lines
            else None
            for name in names
        )
        yield Row((label, unit, *values), "bold" if label.isupper() else "")


def _blocks(desk: Desk, grounds: Grounds) -> Iterator[Row]:
    """Every figure of the blocks, live."""
    lines, section = desk.sheets.lines, ""
    words: dict[str, str] = {}
    for ground in grounds:
        start = f"planting_{ground.number}_"
        words |= {name.removeprefix(start): name for name in lines if name.startswith(start)}
    for word, name in sorted(words.items(), key=lambda pair: line(pair[1]).order):
        found = line(name)
        if found.section != section:
            section = found.section
            yield Row((section,), "heading")
        keys = (f"planting_{ground.number}_{word}" for ground in grounds)
        unit = "" if found.unit == "flag" else desk.shown(found)[0]
        cells = (Figure(key) if key in lines else None for key in keys)
        yield Row((found.label, unit, *cells), "bold" if found.label.isupper() else "")


def _together(desk: Desk) -> Iterator[Row]:
    """Figures of all blocks together."""
    lines = (name for name in desk.sheets.lines if line(name).page == "planting")
    names = [name for name in lines if not re.match(r"planting_\d", name)]
    for name in sorted(names, key=lambda name: line(name).order):
        found = line(name)
        unit = "" if found.unit == "share" else desk.shown(found)[0]
        yield Row((found.label, unit, Figure(name)), "bold" if found.label.startswith("CHAR") else "")


def _availability() -> Iterator[tuple[Any, ...]]:
    """Relative agronomic effectiveness by soil pH, with its range."""
    words, table = plans()[PLANTING].words["ph"], curves.soil_factors()
    for text, *row in zip(words, table.soil_factor, table.low, table.high, strict=True):
        yield text, None, *map(float, row)
