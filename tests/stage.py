"""One stage of the model at a time, over round numbers that a person can follow on paper.

A stage reads its rows and earlier figures from `rows` and nothing else, so a test of this kind takes no time and
says at once which line is wrong.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from conftest import plant

from econ.model.ledger import Arrays, Book
from econ.model.plan import Plan


@cache
def shipped_plan() -> Plan:
    """The plan of a shipped plant."""
    return Plan.of(plant())


def plan_with(matter: dict[str, Any] | None = None, planting: dict[str, Any] | None = None, **more: Any) -> Plan:
    """The plan of a shipped plant with these choices in place of its own."""
    base = shipped_plan()
    return replace(
        base,
        matter=replace(base.matter, **(matter or {})),
        planting=replace(base.planting, **(planting or {})),
        **more,
    )


def told(stage: Callable[..., Any], rows: Mapping[str, Any], *more: Any) -> Arrays:
    """What a stage writes over these rows."""
    ledger = Arrays()
    stage(Book(rows, ledger), *more)
    return ledger


def check(found: Mapping[str, Any], facts: Mapping[str, Any]) -> None:
    """Every fact: a name with its value, a sequence for the years from 0, or None for what must not be there."""
    wrong = {}
    for name, value in facts.items():
        ours = found.get(name)
        if isinstance(ours, dict):
            ours = [ours.get(t, np.nan) for t in range(max(ours) + 1)]
        if ours is None or value is None:
            same = ours is None and value is None
        else:
            same = np.asarray(ours, float) == pytest.approx(
                np.asarray(value, float), rel=1e-9, abs=1e-9, nan_ok=True
            )
        if not same:
            wrong[name] = f"{ours} and not {value}"
    assert not wrong, wrong
