"""Every factor is read by something, or is named as one to look up: a row that nothing reads moves no figure."""

from __future__ import annotations

import ast
import csv
import re
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from conftest import ROOT

from econ.evidence import factors

HOME = ROOT / "econ"
LOOKED_UP = Path(__file__).with_name("looked_up.txt")


def texts(tree: ast.Module) -> Iterator[str]:
    """Strings of a module that are no docstring; those that ask for a factor by a made-up name as a pattern."""
    of = [node for node in ast.walk(tree) if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)]
    said = {id(node.body[0].value) for node in of if node.body and isinstance(node.body[0], ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in said:
            yield from re.findall(r"\w+", node.value)
        is_asked = (
            isinstance(node, ast.Call) and getattr(node.func, "attr", getattr(node.func, "id", "")) == "factor"
        )
        if is_asked and node.args and isinstance(made := node.args[0], ast.JoinedStr):
            yield "".join(one.value if isinstance(one, ast.Constant) else r"\w*" for one in made.values)


def within(found: Any) -> Iterator[str]:
    """Words of all texts of a table."""
    if isinstance(found, dict | list):
        for one in found.values() if isinstance(found, dict) else found:
            yield from within(one)
    elif isinstance(found, str):
        yield from re.findall(r"\w+", found)


def of_table(path: Path) -> Iterator[str]:
    """Words of a csv table; of the factors themselves only what others are computed from."""
    with path.open(encoding="utf-8", newline="") as handle:
        for row in csv.DictReader(handle):
            yield from within({"": row["parts"]} if path.name == "factors.csv" else row)


@cache
def read() -> frozenset[str]:
    """The factors whose name stands in code or tables other than as their own row."""
    words = {word for path in HOME.rglob("*.py") for word in texts(ast.parse(path.read_text(encoding="utf-8")))}
    words |= {word for path in HOME.rglob("*.toml") for word in within(tomllib.loads(path.read_text("utf-8")))}
    words |= {word for path in HOME.rglob("*.csv") for word in of_table(path)}
    made = [re.compile(word) for word in words if r"\w*" in word]
    ids = [one.id for one in factors.factors()]
    return frozenset(one for one in ids if one in words or any(pattern.fullmatch(one) for pattern in made))


def test_a_factor_that_nothing_reads_is_named_as_one_to_look_up() -> None:
    listed = [line for line in LOOKED_UP.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    unread = [one.id for one in factors.factors() if one.id not in read()]
    assert unread == listed, "a new factor is to be read, or named in looked_up.txt; one read now is none of these"


def test_what_the_model_asks_for_is_seen_as_read() -> None:
    """By its name, by a name put together, and as a part of another."""
    assert {"eff_kiln", "eff_kiln_electric", "gwp20_ch4_ar5", "hub_propane_heat"} <= read()
    assert "wage_packer" not in read()
