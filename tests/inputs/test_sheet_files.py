"""Bad rows in the data files of the inputs: each is refused, by file and line."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from econ.errors import FactorError
from econ.inputs import schema

PRICE = '[[section.row]]\nkey = "kiln.price"\n'

BAD = [
    ("start-here", PRICE, PRICE + 'colour = "red"\n', "kiln.price", "colour"),
    ("start-here", PRICE, PRICE + 'fixed = "no"\n', "kiln.price", "fixed"),
    ("start-here", PRICE, PRICE.replace("kiln.price", "plant.name"), "plant.name", "stands twice"),
    ("start-here", PRICE, PRICE + 'us = "lb"\n', "kiln.price", "not one of its units"),
    ("start-here", PRICE, PRICE + 'default = "cheap"\n', "kiln.price", "does not fit a row of kind number"),
    ("start-here", PRICE, PRICE + 'choices = ["yes | yes"]\n', "kiln.price", "choices belong"),
    ("bones", 'only = ["older_share"', 'only = ["odd_share"', "bones", "no row odd_share"),
    ("start-here", 'units = ["$"]\nlowest', 'units = ["stone"]\nlowest', "stone", "no unit"),
    ("start-here", PRICE + 'label = "Price of the kiln"\n', PRICE, "kiln.price", "no key or label"),
    ("bones", 'repeat = "bones.2-4"', 'repeat = "stones.2-4"', "stones", "no"),
    ("bones", 'repeat = "bones.2-4"', 'repeat = "bones"', "bones", "block.first-last"),
    ("bones", 'repeat = "bones.2-4"', 'repeat = "bones.2-21"', "bones", "more than 20 times"),
    ("bones", "lowest = 1.0\nhighest = 365.0", "lowest = 400.0\nhighest = 365.0", "bones.storage_days", "above"),
    ("bones", "default = 7.0", "default = 400.0", "bones.storage_days", "outside the bounds"),
    ("bones", 'default = "no"', 'default = "perhaps"', "bones.assay_of_weighed_load", "not one of its choices"),
    ("kiln-and-crew", "low = 5.0\nhigh = 15.0", "low = 11.0\nhigh = 15.0", "kiln.life", "outside its range"),
    ("money", 'choices = "depreciation"', 'choices = "writing-off"', "kiln.depreciation", "there are"),
    ("money", 'kind = "whole"', 'kind = "sum"', "grant", "not one of number"),
    ("kiln-log", 'units = ["kg", "lb", "tonne", "short_ton"]', 'units = ["lb", "stone"]', "log.bones_in", "stone"),
    ("kiln-and-crew", 'factor = "', 'factor = "no_', "kiln", "no factor"),
    ("options", 'trigger = "kind"', 'trigger = kind"', "options.toml", "line"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "was", "now", "key", "said"), BAD, ids=[f"{b[0]}-{b[4]}" for b in BAD])
def test_a_bad_row_names_file_and_line(name: str, was: str, now: str, key: str, said: str, tmp_path: Path) -> None:
    folder = tmp_path / "sheets"
    shutil.copytree(schema.FOLDER, folder)
    path = folder / f"{name}.toml"
    text = path.read_text(encoding="utf-8")
    assert was in text
    path.write_text(text.replace(was, now, 1), encoding="utf-8")
    with pytest.raises(FactorError) as refused:
        schema.load(folder)
    words = str(refused.value)
    assert words.startswith(f"{name}.toml")
    assert "line " in words
    assert key in words
    assert said in words


def test_the_line_is_that_of_the_row(tmp_path: Path) -> None:
    folder = tmp_path / "sheets"
    shutil.copytree(schema.FOLDER, folder)
    path = folder / "products.toml"
    lines = path.read_text(encoding="utf-8").splitlines()
    at = lines.index('key = "market.spring_share"')
    lines.insert(at + 1, 'colour = "red"')
    path.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(FactorError, match=f"products.toml line {at}: market.spring_share"):
        schema.load(folder)
