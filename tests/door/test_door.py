"""The Python door: plants without a file, the reader's own sentences, every table a frame, the README run."""

from __future__ import annotations

import contextlib
import io
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from books import book

import econ
from econ.answer.base_case import base_case
from econ.errors import InputFault, InputFaults


@pytest.fixture(scope="module")
def plant() -> econ.Plant:
    return econ.scenario({"bones.1.mass": "1900 lb per week"}, base="thistle-flat")


@pytest.fixture(scope="module")
def answer(plant: econ.Plant) -> econ.Answer:
    return econ.appraise(plant)


def run(code: str) -> str:
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        exec(compile(code, "example", "exec"), {})
    return said.getvalue()


def test_the_lines_of_the_readme_run(root: Path) -> None:
    text = (root / "README.md").read_text(encoding="utf-8")
    (code,) = re.findall(r"<!-- python -->\n```python\n(.*?)```", text, re.S)
    assert len(code.splitlines()) <= 10
    assert "npv_at_low" in run(code)


def test_the_notebook_example_runs(root: Path) -> None:
    said = run((root / "scenarios" / "notebook.txt").read_text(encoding="utf-8"))
    assert "Enter a number of at least 0" in said
    assert "client 19" in said


def test_a_plant_in_python_is_the_plant_of_the_workbook(plant: econ.Plant, tmp_path: Path) -> None:
    path = book(tmp_path / "p.xlsx", {("kiln.price", "Value"): 42000})
    typed = base_case(econ.read_scenario(path)).figures
    found = base_case(plant.with_values({"kiln.price": 42000})).figures
    assert found == pytest.approx(typed, rel=1e-12, nan_ok=True)


def test_every_value_that_is_not_allowed_is_named_at_once(plant: econ.Plant) -> None:
    with pytest.raises(InputFaults) as refused:
        plant.with_values({"kiln.price": -1, "money.discount_rate": "900 %"})
    assert [fault.where for fault in refused.value.faults] == ["kiln.price", "money.discount_rate"]
    with pytest.raises(InputFaults, match=r"such as kiln\.price"):
        plant.with_values({"kiln.prise": 3})
    with pytest.raises(InputFaults, match=r"blank\. Enter"):
        econ.scenario({"bones.1.mass": "1900 lb per week"})


def test_none_is_a_blank_and_never_zero(plant: econ.Plant) -> None:
    """The word "none" in a cell means zero; a missing value of a frame or a dictionary must not."""
    with pytest.raises(InputFaults, match=r"kiln\.price.*blank\. Enter"):
        plant.with_values({"kiln.price": None})
    assert plant.with_values({"kiln.life": None})["kiln.life"].is_default


def test_a_key_or_unit_system_that_is_none_is_named_in_words_of_python(plant: econ.Plant) -> None:
    import pandas

    for wrong in ({"kiln.prise": [3.0]}, {"kiln.price": [3.0], "nonsense": [1.0]}):
        with pytest.raises(InputFaults, match="Give a key, such as kiln") as refused:
            econ.appraise_many(pandas.DataFrame(wrong), base=plant)
        assert "--set" not in str(refused.value)
    with pytest.raises(InputFaults, match=r"columns: kiln\.price stands there twice"):
        econ.appraise_many(pandas.DataFrame([[1, 2]], columns=["kiln.price"] * 2), base=plant)
    with pytest.raises(InputFaults, match="Choose us or metric"):
        econ.scenario({}, units="imperial")


def test_a_value_put_outside_its_range_is_refused(plant: econ.Plant) -> None:
    """Where it is put, also one level below the door: an entry replaced by hand keeps its old low and high."""
    price = plant["kiln.price"]
    with pytest.raises(InputFault, match=r"Price of the kiln: 10 outside its range of .* between them"):
        replace(price, value=10)
    assert replace(price, value=10, low=None, high=None).number == 10
    with pytest.raises(InputFaults, match=r"kiln\.price, .*'9 \(10-12\)'\. Give a number"):
        plant.with_values({"kiln.price": "9 (10-12)"})


def test_every_table_is_a_frame(answer: econ.Answer) -> None:
    assert list(answer.years_frame().index) == list(range(answer.plan.years + 1))
    assert "net_cash [USD]" in answer.years_frame(), "in the currency of the plant"
    assert len(answer.samples_frame()) == 10_000
    effects = answer.effects_frame().set_index("key")
    assert effects.loc["kiln.price", "npv_at_low"] > effects.loc["kiln.price", "npv_at_high"]
    assert {"char_price", "label", "words"} & {*answer.breakeven_frame().columns}
    assert answer.sources_frame()["source"].str.len().min() > 0


def test_it_shows_itself_in_ten_lines_and_in_a_notebook(plant: econ.Plant, answer: econ.Answer) -> None:
    assert len(repr(answer).splitlines()) <= 10
    assert "Finding" in repr(answer)
    assert answer._repr_html_().startswith("<pre>Thistle Flat")
    assert len(repr(plant)) < 200


def test_many_plants_are_those_one_by_one(plant: econ.Plant) -> None:
    import pandas

    frame = pandas.DataFrame(
        {"kiln.price": [30000, -5, None], "bones.1.mass": ["900", "1000", "1100"]}, index=list("abc")
    )
    found = econ.appraise_many(frame, base=plant)
    alone = base_case(plant.with_values({"kiln.price": 30000, "bones.1.mass": "900"})).figures
    assert found.loc["a", "npv"] == alone["npv"]
    assert "kiln.price, Price of the kiln: -5" in found.loc["b", "error"]
    assert found.loc["c", "error"] == ""


def test_import_loads_neither_numpy_nor_pandas_and_knows_its_version() -> None:
    code = "import econ, sys; print(sorted({'numpy', 'pandas', 'openpyxl'} & set(sys.modules)), econ.__version__)"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert out.startswith("[] 0.")


def test_the_name_of_an_example_is_no_plant_yet() -> None:
    with pytest.raises(TypeError, match=r"'thistle-flat' is no plant: make one by econ.scenario"):
        econ.appraise("thistle-flat")  # type: ignore[arg-type]
