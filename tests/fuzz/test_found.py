"""What fuzzing found, each made small and kept: values that once ended in a crash, a hole or a torn line."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest
from conftest import plant
from small_books import small_book
from zip_mutator import packed, unpacked

from econ.answer.appraisal import appraise
from econ.answer.base_case import base_case
from econ.answer.screen import screen
from econ.answer.sentences import reasons_of
from econ.errors import FileRefused, InputFaults
from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.records import Typed, TypedLine, TypedTable
from econ.model.ledger import Arrays, Book, line, summed
from econ.questions.latin import LEAST, Sampling
from econ.workbook.read import read_scenario
from econ.workbook.results_book import results_bytes

QUICK = Sampling(LEAST, 1)
PLANT = example("low-sedge")


def faults_of(rows: Mapping[str, Typed], tables: Mapping[str, TypedTable] | None = None) -> dict[str, str]:
    """What was found where, over the plant low-sedge."""
    with pytest.raises(InputFaults) as several:
        build({**PLANT.rows, **rows}, tables=tables)
    return {fault.where: fault.wrong for fault in several.value.faults}


DIGITS = 10**400
"""A spreadsheet program may write a whole number of any length; a float ends at 1.8e308 (IEEE 754)."""


def test_a_number_of_401_digits_is_a_fault_in_a_row() -> None:
    found = faults_of({"kiln.price": Typed(DIGITS, unit=PLANT.currency, where="kiln.price")})
    assert found == {"kiln.price": "a number of 401 digits"}


def test_a_number_that_overflows_in_the_unit_of_the_model_is_a_fault() -> None:
    """Finite per pound, more than a float holds per kilogram."""
    price = Typed(1.7e308, unit=f"{PLANT.currency} per lb", where="product.1.price")
    assert faults_of({"product.1.price": price}) == {"product.1.price": "a number of 309 digits"}


def test_a_range_of_which_one_end_is_no_number_and_the_other_leaves_the_value_out_is_a_fault() -> None:
    fixed = Typed(500, "twelve", 0.0, f"{PLANT.currency} per month", where="contract.fixed")
    assert "twelve" in str(faults_of({"contract.fixed": fixed}))


@pytest.mark.parametrize("column", ["log.hours", "log.date"])
def test_a_number_of_401_digits_is_a_fault_in_a_table(column: str) -> None:
    line = TypedLine({column: -DIGITS}, {column: "Kiln log!C9"})
    found = faults_of({}, {"log": TypedTable({column: "hours"}, (line,))})
    assert found == {"Kiln log!C9": "a number of 401 digits"}


def test_a_number_of_401_digits_in_a_workbook_names_its_cell(tmp_path: Path) -> None:
    path = tmp_path / "p.xlsx"
    price = Typed(777_777, unit=PLANT.currency, where="kiln.price")
    parts = unpacked(small_book(replace(PLANT, rows={**PLANT.rows, "kiln.price": price}))) or {}
    path.write_bytes(packed({name: part.replace(b"777777", b"%d" % DIGITS) for name, part in parts.items()}))
    with pytest.raises(InputFaults, match=r" B\d+, [^:]+: a number of 401 digits"):
        read_scenario(path)


@pytest.mark.parametrize("key", ["rule.buy_at_loss_chance", "rule.least_measuring_share"])
def test_a_limit_of_the_rule_at_fault_is_one_fault_and_no_crash(key: str) -> None:
    assert faults_of({key: Typed("often", unit="%", where=key)}) == {key: "the text 'often'"}


@pytest.mark.parametrize("value", [5e-324, 1e-12, 9.9e-10])
def test_next_to_nothing_is_a_fault_where_nothing_is(value: float) -> None:
    """A bag of 5e-324 kg made more bags than a float can count."""
    key = "finish.bag_weight"
    assert list(faults_of({key: Typed(value, unit="kg per each", where=key)})) == [key]


def test_planting_of_no_trees_takes_no_char() -> None:
    found = base_case(plant(planting__1__kind="trees", planting__1__count="0 each")).figures
    assert (found["planting_1_char_kg"], found["planting_1_char_g_per_tree"]) == (0, 0)


CARBON = {
    "shipped": {},
    "no H/C_org": {"carbon__h_corg": ""},
    "cool": {"kiln__peak_temperature": "300 degC"},
    "burial": {"current__option": "burial"},
    "price without protocol": {"carbon__price": "50 USD per tonne"},
    "price of what is withheld": {
        "carbon__price": "50 USD per tonne", "carbon__protocol": "a name", "kiln__peak_temperature": "300 degC",
    },
    "not mineral soil": {"carbon__soil_kind": "peat"},
    "cold soil": {"carbon__soil_temperature": "-5 degC"},
    "other way without a factor": {"option__1__kind": "sell", "option__1__share_today": "100 %"},
    "mineral hydrogen": {"carbon__h_corg": "0.9 mol/mol", "carbon__use_corrected": "yes"},
}  # fmt: skip


@pytest.mark.parametrize("sets", CARBON.values(), ids=list(CARBON))
def test_every_missing_figure_has_a_reason(sets: dict[str, str]) -> None:
    base = base_case(plant(**sets))
    reasons = reasons_of(base.scenario, base.plan, base.figures, base.returns)
    missing = [name for name, value in base.figures.items() if not math.isfinite(value)]
    assert missing
    assert [name for name in missing if not (reasons.get(name) or reasons.get(f"figures.{name}"))] == []


def test_a_withheld_what_if_of_a_carbon_price_has_the_reason_of_the_removal() -> None:
    reasons = appraise(plant(**CARBON["price of what is withheld"]), QUICK).reasons
    assert reasons["carbon.price_what_if"] == reasons["removal_t_co2e_per_year"]


def test_the_lab_ratio_is_named_where_it_alone_is_above_the_limit() -> None:
    base = base_case(plant(**CARBON["mineral hydrogen"]))
    reasons = reasons_of(base.scenario, base.plan, base.figures, base.returns)
    assert base.figures["hc_less_mineral"] < 0.7
    assert "H/C_org is 0.90, above 0.7" in reasons["figures.removal_by_hc_lab_kg_co2e"]


def test_long_numbers_keep_the_screen_to_80_columns() -> None:
    told = screen(appraise(plant(running__permits_per_year="4000000 USD per month"), QUICK))
    assert "minimum DSCR -" in told
    assert max(map(len, told.splitlines())) <= 80


def test_a_style_that_is_not_there_prints_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """openpyxl prints a remark to standard output, where `--json` promises one object and nothing else."""
    parts = unpacked(small_book(PLANT)) or {}
    styles = parts["xl/styles.xml"].decode()
    assert styles.count('xfId="0"') > 0
    path = tmp_path / "p.xlsx"
    path.write_bytes(
        packed({**parts, "xl/styles.xml": re.sub("<cellStyleXfs.*</cellStyleXfs>", "", styles).encode()})
    )
    with pytest.raises(FileRefused, match="could not be read"):
        read_scenario(path)
    assert capsys.readouterr().out == ""


MANY = {
    "four streams of bones": {f"bones__{n}__mass": "300 kg per week" for n in (1, 2, 3, 4)}
    | {f"bones__{n}__kind": "beef-mixed" for n in (2, 3, 4)}
    | {f"bones__{n}__excluded_share": "0 %" for n in (2, 3, 4)},
    "fourteen tasks, all of them watching": {"labour__hours_per_batch": ""}
    | {f"task__{n}__hours": "0.25 hours" for n in range(1, 15)}
    | {f"task__{n}__watching": "yes" for n in range(1, 15)},
    "six pieces of equipment that are sold again": {f"equipment__{n}__cost": "1000 USD" for n in range(1, 7)}
    | {f"equipment__{n}__salvage_share": "10 %" for n in range(1, 7)},
    "eight ways in the mix of today": {f"option__{n}__kind": "landfill" for n in range(1, 9)}
    | {f"option__{n}__share_today": "12.5 %" for n in range(1, 9)},
}


@pytest.mark.parametrize("sets", MANY.values(), ids=list(MANY))
def test_as_many_parts_as_there_is_room_for_can_be_printed(sets: dict[str, str]) -> None:
    """A formula of 200 characters is refused: sums of many parts are written in steps."""
    results = appraise(plant(**sets), QUICK)
    assert len(results_bytes(results)) > 0


def test_a_sum_in_steps_is_the_plain_sum() -> None:
    parts = [0.1 * n for n in range(1, 15)]
    ledger = Arrays()
    assert summed(Book({}, ledger), "hours_per_firing", parts, most=8) == sum(parts)
    assert list(ledger.lines) == ["hours_per_firing_first_8", "hours_per_firing"]
    assert line("hours_per_firing_first_8").label.endswith("the first 8 of the sum")
