"""Ranges of numbers that came without one: by what they are, how they are known, and what replaces them."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from conftest import plant

from econ.errors import InputFaults
from econ.evidence.factors import RANGES, default_range, how_known
from econ.inputs.build import build
from econ.inputs.defaults import filled
from econ.inputs.examples import NAMES, example
from econ.inputs.records import Entry, Typed
from econ.inputs.schema import rows

# AACE 18R-97, Table 1, widest ends, as restated in a glossary copy: accuracy about cost with contingency
CLASSES = ((5, 0.5, 2.0), (4, 0.7, 1.5), (3, 0.8, 1.3), (2, 0.85, 1.2), (1, 0.9, 1.15))


@pytest.mark.parametrize(("number", "low", "high"), CLASSES)
def test_capital_by_estimate_class(number: int, low: float, high: float) -> None:
    found = default_range("kiln.price", "quoted", {"capital.estimate_class": f"class-{number}"})
    assert found.ends(1000.0) == pytest.approx((1000 * low, 1000 * high))


def test_a_range_fits_a_row_whose_first_word_stands_in_its_pattern() -> None:
    """Patterns without that word are passed over unread: none of them may fit."""
    for one in RANGES.all():
        for key in rows():
            fits = re.fullmatch(one.keys, key) is not None
            assert not fits or one.keys == ".*" or key.partition(".")[0] in one.keys, (one.id, key)


def test_contingency_is_not_counted_twice() -> None:
    """The classes' ranges are about cost with contingency: the contingency itself is held."""
    entry = plant(capital__contingency_share="10 %")["capital.contingency_share"]
    assert not entry.has_range
    assert entry.range_by == "part of the cost estimate"


# ratios over 12 months or a year, P10 and P90, of public price series (US EIA SEDS and weekly diesel, World Bank)
PRICES = (
    ("fuel.1.price", {"fuel.1.kind": "propane"}, 0.85, 1.22),
    ("fuel.1.price", {"fuel.1.kind": "diesel"}, 0.8, 1.54),
    ("fertiliser.p2o5_price", {}, 0.7, 1.9),
)


@pytest.mark.parametrize(("key", "choices", "low", "high"), PRICES)
def test_prices_a_year_ahead(key: str, choices: dict[str, str], low: float, high: float) -> None:
    assert default_range(key, "quoted", choices).ends(2.0) == pytest.approx((2 * low, 2 * high))


def test_the_table_is_wide_enough() -> None:
    assert len(RANGES.all()) >= 25
    assert all(one.locator and one.source for one in RANGES.all())
    assert default_range("no.such.row", "", {}).label == "other number, estimate"


@pytest.mark.parametrize(
    ("said", "known"),
    [
        ("measured, n = 4", "measured"),
        ("quoted", "quoted"),
        ("", "guessed"),
        ("set on the command line", "guessed"),
    ],
)
def test_what_is_not_said_counts_as_guessed(said: str, known: str) -> None:
    assert how_known(said) == known


def only(entry: Entry) -> tuple[float | None, float | None, str]:
    return entry.low, entry.high, entry.range_by


def test_own_ends_replace_the_default_and_a_single_one_leaves_the_other() -> None:
    rows = example("thistle-flat").rows
    load = {"kiln.batch_load": Typed(1000, None, None, "lb", "quoted")}
    low, high, by = only(build({**rows, **load}, "us")["kiln.batch_load"])
    kg = 453.59237
    assert (low, high, by) == (pytest.approx(0.8 * kg), pytest.approx(1.05 * kg), "load, maker's rating")
    one_end = {"kiln.batch_load": Typed(1000, 950, None, "lb", "quoted")}
    low, high, _ = only(build({**rows, **one_end}, "us")["kiln.batch_load"])
    assert (low, high) == (pytest.approx(0.95 * kg), pytest.approx(1.05 * kg))
    both = {"kiln.batch_load": Typed(1000, 950, 1010, "lb", "quoted")}
    low, high, by = only(build({**rows, **both}, "us")["kiln.batch_load"])
    assert (low, high, by) == (pytest.approx(0.95 * kg), pytest.approx(1.01 * kg), "")


def test_no_number_is_held_silently() -> None:
    """A number without a range is a whole number, a choice, zero, typed so, or named as held."""
    for name in NAMES:
        for entry in plant(name).entries.values():
            if entry.row.is_number and entry.value is not None and not entry.has_range:
                is_choice = entry.row.fixed or entry.row.kind == "whole"
                assert is_choice or entry.number == 0 or entry.range_by, (name, entry.row.key)


def test_default_ranges_stay_within_the_bounds_of_their_rows() -> None:
    for name in NAMES:
        for entry in plant(name).ranged():
            if entry.range_by:
                assert entry.row.lowest <= entry.low <= entry.number <= entry.high <= entry.row.highest


def test_a_range_by_default_ends_where_its_row_ends() -> None:
    """A number typed close to its bound has no range beyond it; one at the bound is no fault."""
    entries = plant().entries
    choices = {key: entry.value for key, entry in entries.items() if isinstance(entry.value, str)}
    rows_ = [one for one in entries.values() if one.row.is_number and math.isfinite(one.row.highest)]
    cut = set()
    for entry in rows_:
        near = replace(entry, value=0.99 * entry.row.highest, low=None, high=None, is_default=False, known="")
        found = filled(near, choices)
        assert entry.row.lowest <= found.low <= near.number <= found.high <= entry.row.highest, entry.row.key
        cut |= {entry.row.key} if found.high == entry.row.highest else set()
    assert {"carbon.in_scope_share", "kiln.bones_share", "market.sales_share"} & cut


def test_a_what_if_keeps_how_the_value_was_known() -> None:
    """So it is as wide as what was typed: a price in writing stays one, a row that said nothing is a guess."""
    found = plant(kiln__price="45000 USD", kiln__core_share="90 %")
    was = plant()["kiln.price"].known
    assert was == "quoted"
    assert found["kiln.price"].known == "quoted, set on the command line"
    assert found["kiln.core_share"].known == "set on the command line"
    assert [how_known(found[key].known) for key in ("kiln.price", "kiln.core_share")] == ["quoted", "guessed"]


@pytest.mark.parametrize(("water", "is_fault"), [("60 %", True), ("61 %", True), ("59.9 %", False)])
def test_shares_given_alone_leave_room_for_the_others(water: str, is_fault: bool) -> None:
    """Water and mineral of 100 % leave nothing for fat and protein."""
    sets = {"bones__1__water_share": water, "bones__1__ash_share": "40 %"}
    if not is_fault:
        assert plant(**sets)["bones.1.fat_share"].number > 0
        return
    with pytest.raises(InputFaults, match="Enter less than 100 % together: the others need room"):
        plant(**sets)


WIDER_THAN_DEFAULT = {
    ("low-sedge", "fuel.1.per_batch"): "wet bones on wood: up to 2.7 times the dry figure",
    ("low-sedge", "fertiliser.p2o5_price"): "a few cents below the tenth percentile of a year's moves",
    ("low-sedge", "product.1.price"): "a retail price nobody has asked for yet",
    ("low-sedge", "product.1.market_limit"): "one customer more doubles it",
    ("low-sedge", "product.2.price"): "a low price beside small ones: cents are large shares",
    ("thistle-flat", "market.label_rate"): "beds differ more than one label's rate",
    ("thistle-flat", "product.3.price"): "a low price near that of fertiliser: cents are large shares",
}
"""Typed ranges of guesses wider than what kilncase would take, and why."""


def test_typed_ranges_of_guesses_lie_within_their_defaults() -> None:
    wider = set()
    for name in NAMES:
        shipped = example(name)
        scenario = build(shipped.rows, shipped.system)
        for key, row in shipped.rows.items():
            entry = scenario.entries[key]
            if row.known == "guessed" and row.low is not None and row.high is not None:
                blank = replace(row, low=None, high=None)
                free = build({**shipped.rows, key: blank}, shipped.system)[key]
                if entry.low < free.low - 1e-9 or entry.high > free.high + 1e-9:
                    wider.add((name, key))
    assert wider == set(WIDER_THAN_DEFAULT)


# value, low, high, what the sentence says
ODD = (
    ((5, None, 4), "with the value between them"),
    ((4, 5, None), "with the value between them"),
    ((4, 6, 3), "the lower of the two as low"),
)


@pytest.mark.parametrize(("numbers", "words"), ODD)
def test_an_odd_range_is_a_sentence_at_its_cell(numbers: tuple[float, float, float], words: str) -> None:
    value, low, high = numbers
    typed = Typed(value, low, high, "hours", "guessed", cells={"low": "Start here!C9", "high": "Start here!D9"})
    with pytest.raises(InputFaults) as refused:
        build({**example("thistle-flat").rows, "labour.hours_per_batch": typed}, "us")
    (fault,) = refused.value.faults
    assert fault.where.startswith("Start here!")
    assert words in str(fault)


def test_all_of_it_needs_a_price_with_evidence() -> None:
    rows = example("alder-ford").rows
    said = {"product.1.market_limit": Typed("all of it", known="quoted", cells={"value": "Start here!B30"})}
    assert build({**rows, **said}, "us")["product.1.market_limit"].said == "all of it"
    guess = {"product.1.price": replace(rows["product.1.price"], known="guessed")}
    with pytest.raises(InputFaults) as refused:
        build({**rows, **said, **guess}, "us")
    (fault,) = refused.value.faults
    assert fault.where == "Start here!B30"
    assert "written offers" in str(fault)


@pytest.mark.parametrize(("known", "low", "high"), [("guessed", 0, 2), ("", 0, 2), ("measured", 0.5, 2)])
def test_a_guess_of_stack_gas_is_as_wide_as_the_default(known: str, low: float, high: float) -> None:
    """N2O-N of the nitrogen lost: kilncase assumes 0 to 2 %; of what was measured half to double, as before."""
    rows = example("low-sedge").rows | {
        "carbon.stack_n2o_share": Typed(value=1, unit="%", known=known, where="here"),
    }
    entry = build(rows).entries["carbon.stack_n2o_share"]
    assert [100 * end for end in (entry.low, entry.high)] == pytest.approx([low, high], rel=1e-9)
