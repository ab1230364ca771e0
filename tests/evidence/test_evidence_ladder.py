"""The ladder of rungs: every row says where, when and how surely it was read; what a plant leans on, counted."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

import econ.evidence
from econ.evidence import factors
from econ.evidence.factors import lowest
from econ.evidence.facts import READ, RUNGS, shipped_sources
from econ.model.evaluate import facts_read
from econ.model.plan import Plan
from econ.workbook.read import read_scenario

FOLDER = Path(econ.evidence.__file__).parent
SHIPPED = ("thistle-flat", "low-sedge")
SOURCES = set(shipped_sources())
TABLES = sorted(path for path in FOLDER.glob("*.csv") if path.name != "sources.csv")


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.stem)
def test_every_row_that_was_read_names_source_place_and_date(path):
    for row in csv.DictReader(path.open(encoding="utf-8", newline="")):
        assert row["rung"] in RUNGS, row
        assert row["source"] in SOURCES, row
        assert row["locator"], row
        if row["rung"] in READ:
            assert re.fullmatch(r"20\d\d-\d\d(-\d\d)?", row["read"]), row
        else:
            assert row["read"] == "", row


def test_what_is_computed_stands_on_the_lowest_rung_of_its_parts():
    computed = [one for one in factors.factors() if one.parts]
    assert len(computed) > 20
    for one in computed:
        parts = [factors.factor(name).rung for name in one.parts if name != "retention"]
        assert list(RUNGS).index(one.rung) >= list(RUNGS).index(lowest(parts)), one.id


@pytest.mark.parametrize(
    ("rungs", "found"),
    [
        ([], "primary"),
        (["copy", "primary"], "copy"),
        (["memory", "copy"], "memory"),
        (["assumed", "memory"], "assumed"),
    ],
)
def test_lowest_of_some_rungs(rungs, found):
    assert lowest(rungs) == found


@pytest.fixture(scope="module", params=SHIPPED)
def facts(request):
    scenario = read_scenario(Path(__file__).parents[2] / "scenarios" / f"{request.param}.xlsx")
    return facts_read(scenario, Plan.of(scenario))


def test_at_most_35_facts_in_use_stand_on_the_two_lower_rungs(facts):
    """Before, counted alike (a curve once): 63 of 73 and 59 of 67; by row 94 of 105 and 90 of 99."""
    lower = [fact.id for fact in facts if not fact.is_read]
    assert len(lower) <= 35, lower
    assert len(facts) > 50


def test_each_fact_and_each_curve_counts_once(facts):
    assert len({fact.id for fact in facts}) == len(facts)
    assert len({fact.label for fact in facts}) == len(facts)
    assert [fact.id for fact in facts].count("retention") == 1


def test_a_range_that_was_not_given_counts_as_a_fact(facts):
    rules = [fact for fact in facts if fact.id.startswith("range:")]
    assert rules
    assert all(fact.value is None and fact.low < fact.high for fact in rules)


def test_a_typed_row_puts_its_fact_out_of_use():
    path = Path(__file__).parents[2] / "scenarios" / "thistle-flat.xlsx"
    bare, typed = (read_scenario(path, sets) for sets in ((), ("handling.lf_capture=0.65 fraction",)))
    ids = [{fact.id for fact in facts_read(one, Plan.of(one))} for one in (bare, typed)]
    assert ids[0] - ids[1] == {"lf_capture"}
