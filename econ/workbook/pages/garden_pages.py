"""Char in the ground, to print: where one's own goes, what garden trials show, and how to plan the next trial."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from econ.answer.label_statement import LABELS, many, title, trial_said
from econ.answer.practice import ONCE, name_of, said_of
from econ.evidence import curves, factors
from econ.inputs.as_typed import signed_figure
from econ.inputs.records import Line as Typed
from econ.inputs.records import TableData
from econ.measured.garden_trials import SHOWN, Comparison, Germination, Means, design_of, mean
from econ.model.ledger import Line, line
from econ.model.plan import Ground
from econ.units import Unit
from econ.workbook.desk import DESIGN, PLANTING, TRIALS, Desk
from econ.workbook.live import Printed, times
from econ.workbook.page_plan import Figure, Found, Row, Slot, plans, sectioned
from econ.workbook.pages.char_pages import plain_unit

BLOCK, LEAST_BLOCKS = 22.0, 3
LEAST_P = 0.0001
Grounds = Sequence[Ground]


def planting(desk: Desk) -> Found:
    """A card for the field, the load on the soil, the work and the value; every block side by side."""
    grounds, scenario, figures = desk.results.plan.planting.grounds, desk.results.scenario, desk.results.figures
    said = [(name_of(scenario, ground), said_of(scenario, figures, ground)) for ground in grounds]
    mind = {text: "" if word in ONCE else f"{name}: "
            for name, one in reversed(said) for word, text in reversed(one.words)}  # fmt: skip
    table = curves.soil_factors()
    by_ph = zip(plans()[PLANTING].words["ph"], table.soil_factor, table.low, table.high, strict=True)
    count = max(LEAST_BLOCKS, len(grounds))
    return {
        "widths": (*plans()[PLANTING].widths, *[BLOCK] * count),
        "has_keys": True,
        "stops": [f"{name}: {one.stopped}" for name, one in said if one.stopped],
        "card": [*_plain(desk, grounds), *_card(desk, grounds, count)],
        "card_heads": ["", "Unit", *(name for name, _ in said), *[""] * (count - len(said)),
                       Slot("Key", "column_beside")],
        "blocks": list(_blocks(desk, grounds, count)),
        "all": list(_together(desk, count)),
        "mind": [f"{lead}{text}" for text, lead in reversed(mind.items())],
        "availability": [(text, None, *map(float, row)) for text, *row in by_ph],
        "once": factors.factor("mbm_p_year1").value,
        "later": factors.factor("mbm_p_year3").value,
    }  # fmt: skip


def _keyed(label: str, unit: str, cells: Sequence[Any], count: int, key: str, loud: bool) -> Row:
    """A row of blocks with its key behind them; n in a key is the number of a block."""
    return Row((label, unit, *cells, *[None] * (count - len(cells)), Slot(key, "beside")), "bold" if loud else "")


def _plain(desk: Desk, grounds: Grounds) -> Iterator[tuple[Any, ...]]:
    """What a person takes to the field: words of each block, and whether it may be spread at all, live."""
    words, scenario, figures = plans()[PLANTING].words, desk.results.scenario, desk.results.figures
    said = []
    for g in grounds:
        deep = scenario[f"planting.{g.number}.depth"]
        depth = (
            words["no_depth"] if deep.value is None else f"{deep.shown(deep.number):.3g} {plain_unit(deep.unit)}"
        )
        count = f"{scenario[f'planting.{g.number}.count'].number:,.0f} {g.kind}"
        soil = said_of(scenario, figures, g).soil_class or words["no_test"]
        said.append((count, words["way"][g.way], depth, words["blend"][g.blend], soil))
    for label, *texts in zip(words["lines"], *said, strict=True):
        yield label, None, *texts
    names = [f"planting_{g.number}_may_spread" for g in grounds]
    stopped = words["stopped"]
    may = (Printed(f'IF({name}=1,"yes","{stopped}")', "yes" if figures[name] else stopped) for name in names)
    yield Slot(words["may"], "bold"), None, *(Slot(one, "total_right") for one in may)


def _card(desk: Desk, grounds: Grounds, count: int) -> Iterator[Row]:
    """Figures of each block in the units of the workbook, where any block has them."""
    for label, figure in plans()[PLANTING].words["card"]:
        names = [f"planting_{g.number}_{figure}" for g in grounds]
        if any(name in desk.sheets.lines for name in names):
            unit, factor = desk.shown(line(names[0]))
            values = [Printed(times(name, factor), desk.results.figures[name] * factor)
                      if name in desk.sheets.lines else None for name in names]  # fmt: skip
            yield _keyed(label, unit, values, count, f"planting_n_{figure}", label.isupper())


def _blocks(desk: Desk, grounds: Grounds, count: int) -> Iterator[Row]:
    """Every figure of the blocks, live."""
    lines = desk.sheets.lines
    names = {re.sub(r"planting_\d+_", "", name): name for ground in reversed(grounds) for name in lines
             if name.startswith(f"planting_{ground.number}_")}  # fmt: skip

    def row(name: str, found: Line) -> Row:
        word = re.sub(r"planting_\d+_", "", name)
        keys = [f"planting_{ground.number}_{word}" for ground in grounds]
        unit = "" if found.unit == "flag" else desk.shown(found)[0]
        cells = [Figure(key) if key in lines else None for key in keys]
        return _keyed(found.label, unit, cells, count, f"planting_n_{word}", found.label.isupper())

    return sectioned(names.values(), row)


def _together(desk: Desk, count: int) -> Iterator[Row]:
    """Figures of all blocks together."""
    lines = (line(name) for name in desk.sheets.lines if not re.match(r"planting_\d", name))
    for found in sorted((one for one in lines if one.page == "planting"), key=lambda one: one.order):
        unit = "" if found.unit == "share" else desk.shown(found)[0]
        yield _keyed(found.label, unit, [Figure(found.name)], count, found.name, found.label.startswith("CHAR"))


def trials(desk: Desk) -> Found:
    """Every comparison with its verdict and sentences, then every tray and bed as typed."""
    reading, words = desk.results.measured.readings.trials, plans()[TRIALS].words
    assert reading is not None
    labels = {column.key: column.label for column in reading.data.plan.columns}
    units = {key: plain_unit(reading.data.units.get(f"trials.{key}")) for key in ("trial", *words["columns"])}
    heads = [labels[f"trials.{key}"] + (f" [{unit}]" if unit else "") for key, unit in units.items()]
    return {
        "many": [text] if (text := many(reading)) else (),
        "comparisons": [row for one in reading.comparisons for row in _comparison(one, reading.data)],
        "lonely": [words["lonely"].format(trial or words["unnamed"]) for trial in reading.lonely],
        "trays": [_tray(reading.data, line) for line in reading.data.lines],
        "trays_heads": heads,
    }


def _comparison(one: Comparison, data: TableData) -> Iterator[Any]:
    """Each measure with its verdict, and below it what may be said of it."""
    words = plans()[TRIALS].words
    yield Row((title(one),), "heading")
    looks = ("column", "column_word", *["column_right"] * 5, "column_word")
    yield [Slot(text, look) for text, look in zip(words["heads"], looks, strict=True)]
    for found in one.found:
        own = None if isinstance(found, Germination) else data.units.get(f"trials.{found.of}")
        unit, scale = plain_unit(own), 1.0 / own.factor if isinstance(own, Unit) else 1.0
        verdict = Slot(found.verdict.upper(), "word_bold" if found.verdict == SHOWN else "")
        p = words["least_p"].format(LEAST_P) if found.p_holm < LEAST_P else found.p_holm
        cells = _seeds(found) if isinstance(found, Germination) else _means(found, unit, scale)
        yield *cells, Slot(p, "" if isinstance(p, str) or p >= 0.001 else "sig"), verdict
        said = (trial_said(found, "may", one.detail, unit, scale), trial_said(found, "may-not"),
                trial_said(found, "needed", one.detail, unit, scale), trial_said(found, "doubts"))  # fmt: skip
        yield from ((Slot(text, "wrap", len(looks)),) for text in said if text)
    yield ()


def _seeds(found: Germination) -> tuple[Any, ...]:
    words, (low, high) = plans()[TRIALS].words, found.difference
    sides = (words["sprouted"].format(side) for side in (found.with_char, found.without))
    return words["seeds"], words["sown"], *sides, f"{found.gap:+.0%}", f"{low:+.0%} to {high:+.0%}"


def _means(found: Means, unit: str, scale: float) -> tuple[Any, ...]:
    words, name = plans()[TRIALS].words, LABELS[found.of]
    label = words["means"].format(f"{name[0].upper()}{name[1:]}", len(found.with_char), len(found.without))
    values = (value * scale for value in (mean(found.with_char), mean(found.without), found.gap))
    if found.difference is None:
        return label, unit, *values, words["few_beds"]
    low, high = (end * scale for end in found.difference)
    return label, unit, *values, words["ends"].format(signed_figure(low, 3), signed_figure(high, 3))


def _tray(data: TableData, line: Typed) -> tuple[Any, ...]:
    """One tray or bed as typed."""
    treatment = line.text("trials.detail") or line.text("trials.treatment").replace("-", " ")
    keys = [f"trials.{key}" for key in plans()[TRIALS].words["columns"]]
    cells = (
        line.text(key) or None if (value := line.number(key)) is None else data.shown(key, value) for key in keys
    )
    return f"{line.text('trials.trial')}: {treatment}", *cells


def trial_design(desk: Desk) -> Found:
    """Sizes a side for the differences worth selling, and the order within each block of two."""
    results, said = desk.results, plans()[DESIGN].words
    found = design_of(results.scenario, results.measured.readings.trials)
    assert found is not None
    trays = "" if found.seeds is None else said["trays_of"].format(found.seeds, found.seeds_per_tray)
    return {
        "comparisons": found.comparisons,
        "scatter": found.scatter,
        "seed": found.seed,
        "sizes": [
            (said["seeds"], f"{found.germination:.0%}", said["of_seeds"].format(found.asked_germination),
             found.alpha, _size(found.trays, said["too_many"]), trays),
            (said["beds"], said["mean"], said["of_mean"].format(found.asked_mean), found.alpha,
             _size(found.beds, said["too_many"]), ""),
        ],
        "layout": [(said["one"].format(at), *order.split(", "), "", "", "")
                   for at, order in enumerate(found.order, start=1)],
    }  # fmt: skip


def _size(count: int | None, too_many: str) -> Slot:
    return Slot(too_many if count is None else count, "bold_right" if count is None else "bold n0")
