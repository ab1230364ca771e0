"""A results workbook in other hands: inputs changed in the file, calculated by IronCalc, against the model itself.

The file is the printed model, so what is held here is that printing, the search for the rate by halving, and what
is marked live; the model has its own oracles. About 20 seconds of processor time, LibreOffice included.
"""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from books import places, put_in
from conftest import plant
from firings import FULL
from iron import Iron, defined, kept, plain
from office import recalculated
from remembered import appraise, results_bytes

from econ.finance import returns
from econ.inputs.schema import rows
from econ.model.evaluate import evaluate
from econ.units import Unit
from econ.workbook.what_if import WhatIf, what_if

RICH = {
    **FULL, "money__tax_rate": "24 %", "kiln__life": "4.5 years", "loan__principal": "25000 USD",
    "loan__years": "7 years", "loan__rate": "6.5 %", "money__grant": "9000 USD", "equipment__1__cost": "5200 USD",
    "wear__1__cost": "900 USD", "wear__1__life": "2 years", "capital__working": "2500 USD",
    "market__first_year_share": "40 %", "market__years_to_full": "3 years",
    "money__decommissioning": "3000 USD", "costs__downtime_share": "4 %",
}  # fmt: skip
PLANTS = {"thistle-flat": ("thistle-flat", {}), "low-sedge": ("low-sedge", {}), "rich": ("thistle-flat", RICH)}
FIGURES = ("npv", "payback_years", "discounted_payback_years", "char_kg", "removal_kg_co2e", "project_net_kg_co2e",
           "net_cost_per_kg_bones", "lowest_coverage")  # fmt: skip
UNSURE = "several or none: run again"
PAIRS = 60

Move = dict[str, float]


@dataclass(frozen=True)
class InHand:
    """A results workbook, the case behind it, and the state of every number in it."""

    path: Path
    case: WhatIf

    @cached_property
    def iron(self) -> Iron:
        return Iron(self.path, plain(self.path))

    @cached_property
    def sheets(self) -> openpyxl.Workbook:
        return openpyxl.load_workbook(self.path)

    @cached_property
    def numbers(self) -> dict[str, float]:
        return self.case.numbers

    @cached_property
    def states(self) -> dict[str, str]:
        """What the column 'In this file' says of every key."""
        return {key: str(self.iron.value(at.replace("!B", "!J"))) for key, at in self.places.items()}

    @cached_property
    def places(self) -> dict[str, str]:
        """The cell in which the value of each key is typed."""
        where = places(self.path.read_bytes())
        return {key: "!".join(at) for (key, column), at in where.items() if column == "Value"}

    @property
    def live(self) -> list[str]:
        return [key for key, state in self.states.items() if state == "live"]

    def cell(self, key: str) -> str:
        return self.places[key]

    def unit(self, key: str) -> Unit | None:
        text = self.iron.value(self.cell(key).replace("!B", "!C"))
        row, currency = rows()[key], self.case.results.scenario.currency
        return next((unit for unit in row.unit_choices(currency) if unit.name == text), None)

    def type(self, move: Move) -> None:
        for key, value in move.items():
            unit = self.unit(key)
            self.iron.put(self.cell(key), unit.from_canonical(value) if unit else value)

    def restore(self, move: Move) -> None:
        for key in move:
            entry = self.case.results.scenario[key]
            typed = entry.shown(entry.number) if entry.value is not None else None
            self.iron.put(self.cell(key), typed)


@pytest.fixture(scope="module", params=PLANTS)
def book(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> InHand:
    name, sets = PLANTS[request.param]
    results = appraise(plant(name, **sets))
    path = tmp_path_factory.mktemp("hands") / f"{request.param}.results.xlsx"
    path.write_bytes(results_bytes(results))
    return InHand(path, what_if(results))


def test_formulas_that_read_names_and_those_that_read_their_cells_show_the_same(book: InHand) -> None:
    """The file as written, and the copy of it in which the edits below are made."""
    assert book.iron.all() == Iron(book.path).all()


def moves_of(book: InHand, key: str) -> list[float]:
    """Low, high and a third of the value; where nothing is typed, a small and a larger number."""
    entry, value = book.case.results.scenario[key], book.numbers[key]
    if entry.value is None or value == 0:
        share = rows()[key].units[:1] == ("%",)
        return [0.1, 0.4] if share else [900.0, 30.0] if value >= 1e11 else [3.0, 25.0]
    ends = (entry.low, entry.high) if entry.has_range else ()
    whole = rows()[key].kind == "whole"
    return [end for end in (*ends, max(round(value / 3), 1) if whole else value / 3) if end is not None]


def expected(book: InHand, moves: list[Move]) -> dict[str, np.ndarray]:
    """The model's figures of every move, from one call over arrays."""
    numbers: dict[str, object] = dict(book.numbers)
    for key in {key for move in moves for key in move}:
        numbers[key] = np.array([move.get(key, book.numbers[key]) for move in moves])
    plan = book.case.results.plan
    found = evaluate(numbers, plan)
    flows = np.array([np.broadcast_to(found.years["net_cash"][t], len(moves)) for t in range(plan.years + 1)])
    rate = np.broadcast_to(np.asarray(numbers["money.discount_rate"], float), len(moves))
    lines = {name: np.broadcast_to(found.lines[name], len(moves)) for name in FIGURES if name in found.lines}
    return {**lines, "irr": returns.irr(flows).value, "mirr": returns.mirr(flows, rate, rate), "flows": flows}  # type: ignore[dict-item]


@dataclass
class Walked:
    """Seen while moves were typed into the file: faults, rates given up in vain, keys that moved nothing."""

    wrong: list[str] = field(default_factory=list)
    gave_up: list[Move] = field(default_factory=list)
    still: set[str] = field(default_factory=set)


def walked(book: InHand, moves: list[Move]) -> Walked:
    """Type each move into the file, calculate, and hold what it shows against the model."""
    asked, found = expected(book, moves), Walked()
    flows = asked.pop("flows")
    where = {name: defined(book.path)[f"the_{name}" if name in ("npv", "irr", "mirr") else name] for name in asked}
    watched = [at for at, (_, value) in kept(book.path).items()
               if isinstance(value, float) and not at.startswith("Inputs used!")]  # fmt: skip
    before = [book.iron.value(at) for at in watched]
    moved: set[str] = set()
    for at, move in enumerate(moves):
        book.type(move)
        book.iron.calculate()
        for name, values in asked.items():
            shown, value = book.iron.value(where[name]), float(values[at])
            same = isinstance(shown, float) and math.isclose(shown, value, rel_tol=1e-7, abs_tol=1e-7)
            missing = math.isnan(value) and isinstance(shown, str) and not shown.startswith("#")
            if name == "irr" and shown == UNSURE and not math.isnan(value):
                found.gave_up += [move] if sign_changes(flows[:, at]) == 1 else []
            elif not (same or missing):
                found.wrong.append(f"{move} {name}: {shown} | {value}")
        if not move.keys() <= moved and [book.iron.value(at) for at in watched] != before:
            moved |= move.keys()
        book.restore(move)
    book.iron.calculate()
    assert [book.iron.value(at) for at in watched] == pytest.approx(before, nan_ok=True), (
        "typed back, all is as before"
    )
    found.still = {key for move in moves for key in move} - moved
    return found


def sign_changes(flows: np.ndarray) -> int:
    signs = [sign for sign in np.sign(flows) if sign]
    return sum(one != other for one, other in itertools.pairwise(signs))


@pytest.fixture(scope="module")
def alone(book: InHand) -> Walked:
    """Every live row moved alone: in one plant to each of its values, in others to one, or all if that is idle."""
    assert len(book.live) > 45
    if "thistle-flat" in book.path.name:
        return walked(book, [{key: value} for key in book.live for value in moves_of(book, key)])
    each = ((key, moves_of(book, key)) for key in book.live)
    found = walked(book, [{key: values[at % len(values)]} for at, (key, values) in enumerate(each)])
    more = walked(book, [{key: value} for key in sorted(found.still) for value in moves_of(book, key)])
    return Walked(found.wrong + more.wrong, found.gave_up + more.gave_up, more.still)


def test_every_live_row_moved_in_the_file_is_the_model_moved(alone: Walked) -> None:
    assert not alone.wrong, f"{len(alone.wrong)}\n" + "\n".join(alone.wrong[:20])


def test_every_live_row_moves_something(alone: Walked) -> None:
    assert not alone.still


def test_the_rate_is_found_in_cells_wherever_flows_change_sign_once(alone: Walked) -> None:
    """There is one rate and one only (Descartes' rule of signs): the cell may not give up."""
    assert not alone.gave_up


def test_pairs_of_live_rows_moved_together(book: InHand) -> None:
    chance = random.Random(7)
    pairs = chance.sample(list(itertools.combinations(book.live, 2)), PAIRS)
    moves = [{key: chance.choice(moves_of(book, key)) for key in pair} for pair in pairs]
    found = walked(book, moves)
    assert not found.wrong, "\n".join(found.wrong[:20])


def test_what_the_model_reads_stands_in_the_file_blank_or_not(book: InHand) -> None:
    assert set(book.case.blank) <= book.states.keys()
    assert set(book.numbers) <= book.states.keys()
    for key in book.case.absent:
        assert book.iron.value(book.cell(key)) is None
        assert str(book.iron.value(book.cell(key).replace("!B", "!G"))).startswith("if left blank: ")


@pytest.mark.office
def test_libreoffice_gives_the_model_after_ten_edits_that_turn_the_sign_of_the_npv(
    book: InHand, tmp_path: Path
) -> None:
    """It once found a rate of -177 % where its own IRR() started from an old guess."""
    if "thistle-flat" not in book.path.name:
        pytest.skip("one plant, ten edits")
    alone = [{key: value} for key in book.live for value in moves_of(book, key)]
    chance, pays = random.Random(3), book.case.results.figures["npv"] > 0
    moves = [*alone, *({**one, **other} for one, other in (chance.sample(alone, 2) for _ in range(60)))]
    turned = [move for move, npv in zip(moves, expected(book, moves)["npv"], strict=True) if (npv > 0) != pays]
    moves = chance.sample(turned, 10)
    asked = expected(book, moves)
    written = []
    for at, move in enumerate(moves):
        typed = {
            key: (unit.from_canonical(value) if (unit := book.unit(key)) else value) for key, value in move.items()
        }
        cells = {tuple(book.cell(key).split("!")): value for key, value in typed.items()}
        written.append(tmp_path / f"edit-{at}.xlsx")
        written[-1].write_bytes(put_in(book.path.read_bytes(), cells))  # type: ignore[arg-type]
    names = {"the_npv": "npv", "the_irr": "irr", "the_mirr": "mirr", "payback_years": "payback_years",
             "discounted_payback_years": "discounted_payback_years"}  # fmt: skip
    for at, sheet in enumerate(recalculated(written, "Cash by year", tmp_path)):
        for name, figure in names.items():
            shown, value = sheet[defined(book.path)[name].split("!")[1]], float(asked[figure][at])
            is_word = isinstance(shown, str) and shown and not shown.startswith(("#", "Err:"))
            word = (is_word and math.isnan(value)) or shown == UNSURE
            assert word or shown == pytest.approx(value, rel=1e-7, abs=1e-7), f"{moves[at]} {name}"


# --- marks ---------------------------------------------------------------------------------------------------

KEPT = {"Inputs used", "Sources"}
"""Pages of inputs and facts, which are what they are."""


def marks(book: InHand) -> dict[str, object]:
    """What every cell shows that is a mark, or ends in one."""
    return {at: book.iron.value(at) for at, (text, _) in kept(book.path).items()
            if ("as_run" in text or "inputs_changed" in text) and "IRR" not in text}  # fmt: skip


def shows(value: object) -> bool:
    return "changed since" in str(value)


@pytest.mark.parametrize(
    "what", ["a live row", "a blank row", "a row fixed here", "a range", "a unit", "a choice"]
)
def test_any_input_changed_brings_every_mark_and_changed_back_none(what: str, book: InHand) -> None:
    fixed = next(key for key, state in book.states.items() if state == "fixed here" and rows()[key].is_number)
    cell, value = {
        "a live row": (book.cell("product.1.price"), 0.4),
        "a blank row": (book.cell("kiln.downtime_share"), 0.0),
        "a row fixed here": (book.cell(fixed), 3.0),
        "a range": (book.cell("kiln.price").replace("!B", "!D"), 1.0),
        "a unit": (book.cell("kiln.price").replace("!B", "!C"), "bushel"),
        "a choice": (book.cell("current.option"), "composting"),
    }[what]
    before, was = marks(book), book.iron.value(cell)
    assert len(before) > 12
    assert not any(map(shows, before.values()))
    book.iron.put(cell, value)
    book.iron.calculate()
    assert [at for at, mark in marks(book).items() if at[:11] != "Inputs used" and not shows(mark)] == []
    said = book.iron.value(defined(book.path)["as_run"])
    fixed_too = " (1 fixed here)" if what in ("a row fixed here", "a choice") else ""
    assert said == f"of the inputs as run; 1 changed since{fixed_too}: run again"
    book.iron.put(cell, was)
    book.iron.calculate()
    assert marks(book) == before


def test_every_value_of_the_run_has_the_look_of_one_while_inputs_differ_and_its_page_says_so(book: InHand) -> None:
    """Numbers that are no formula: all but headings, year numbers, and constants printed by the model itself."""
    for sheet in book.sheets.worksheets:
        if sheet.title in KEPT:
            continue
        marked = {(row, column) for cells in _stale(sheet) for row in range(cells.min_row, cells.max_row + 1)
                  for column in range(cells.min_col, cells.max_col + 1)}  # fmt: skip
        bare = [cell for row in sheet.iter_rows(min_col=2) for cell in row
                if isinstance(cell.value, int | float) and (cell.row, cell.column) not in marked]  # fmt: skip
        heads = [cell for cell in bare if cell.font.bold or sheet.title in MODELLED]
        assert [cell.coordinate for cell in bare if cell not in heads] == [], sheet.title
        if marked:
            assert "=as_run" in {sheet["A3"].value, sheet["B3"].value}, sheet.title


MODELLED = {"What comes out", "Options", "Cash by year", "Cash by month", "Kiln and hours"}
"""Pages whose figures the model prints itself: a constant there is one that no input moves."""


def _stale(sheet: Any) -> list[Any]:
    return [cells for found in sheet.conditional_formatting for rule in found.rules
            if rule.formula and "inputs_changed>0" in rule.formula[0] for cells in found.sqref.ranges]  # fmt: skip


def test_finding_cautions_chances_and_carbon_ranges_are_marked(book: InHand) -> None:
    sheet = book.sheets["Answer"]
    ranges = _stale(sheet)
    texts = [cell for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str)]
    wanted = [
        cell for cell in texts if "chance of losing money" in cell.value or cell.border.left.style == "thick"
    ]
    assert len(wanted) == 3, "as many cautions as the first page prints"
    assert all(
        any(cell.coordinate in found for found in ranges) for cell in wanted if not cell.value.startswith("=")
    )
    assert {"Sensitivity", "Risk", "Break-even", "Carbon", "Options", "Answer"} <= {
        at.split("!")[0] for at in marks(book)
    }
