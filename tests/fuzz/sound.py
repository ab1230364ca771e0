"""What must hold of any scenario that was accepted, from its figures to what is printed."""

from __future__ import annotations

import json
import math
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from reading import name_their_places

from econ.answer.appraisal import appraise
from econ.answer.results import Results
from econ.answer.screen import screen
from econ.errors import InputFaults
from econ.inputs.records import Scenario
from econ.model.ledger import line
from econ.questions.latin import LEAST, Sampling

SAMPLING = Sampling(LEAST, 1)
CLOSES = 1e-9
PAYBACKS = ("payback", "discounted_payback", "payback_for_good", "discounted_payback_for_good")


@contextmanager
def no_numpy_remarks() -> Iterator[None]:
    """Turn division by zero, overflow and invalid operations into errors, where the code does not expect them."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        yield


def appraised(scenario: Scenario) -> Results | InputFaults:
    """The results, or the faults that the model found; any other error passes through."""
    with no_numpy_remarks():
        try:
            return appraise(scenario, SAMPLING)
        except InputFaults as several:
            name_their_places(several)
            return several


def is_sound(results: Results) -> None:
    """Check results: nothing infinite, nothing missing without a reason, the balance closed, all printable."""
    _figures_exist(results)
    _mass_closes(results)
    with no_numpy_remarks():
        found = results.to_json()
        text = screen(results)
    json.dumps(found, allow_nan=False)
    for name, value in found.items():
        assert value is not None or found["details"]["reasons"].get(name), f"{name} is missing without a reason"
    for words in text.splitlines():
        assert len(words) <= 80, words
    assert not {"nan", "inf", "-inf", "None"} & set(text.replace("%", " ").split()), text


def _figures_exist(results: Results) -> None:
    """No figure is infinite; only figures that may not exist are nan, and those have a reason."""
    for name, value in results.figures.items():
        assert not math.isinf(value), f"{name} is {value}"
        if math.isnan(value):
            assert may_not_exist(name), f"{name} is nan"
            assert why_missing(results, name), f"{name} is nan without a reason"
    for kind in (results.years, results.months):
        for name, row in kind.items():
            assert all(math.isfinite(value) for value in row.values()), f"{name}: {dict(row)}"


def may_not_exist(name: str) -> bool:
    """Whether a figure may be missing: a return or a payback, a figure of carbon, emissions of another way."""
    if name in {"irr", "mirr"} | {f"{kind}_years" for kind in PAYBACKS}:
        return True
    return line(name).page == "carbon" or name.endswith("emissions_kg_co2e")


def why_missing(results: Results, name: str) -> str:
    """The reason that the JSON gives for a missing figure."""
    return results.reasons.get(name) or results.reasons.get(f"figures.{name}", "")


def _mass_closes(results: Results) -> None:
    """Bones received are fired, passed on or kept out; what is fired becomes char or leaves."""
    f = results.figures
    received = f["bones_received_kg"]
    parts = f["bones_fired_kg"] + f["bones_passed_on_kg"] + f["bones_excluded_kg"]
    assert abs(parts - received) <= CLOSES * received, (parts, received)
    assert abs(f["mass_residual_kg"]) <= CLOSES * received, f["mass_residual_kg"]
    assert f["bones_fired_kg"] <= f["kiln_capacity_kg"] * (1 + CLOSES) + CLOSES


def cells_are_sound(cells: dict[str, Any]) -> None:
    """No cell of a workbook holds an error or a number that is none."""
    for at, value in cells.items():
        if isinstance(value, float):
            assert math.isfinite(value), at
        assert not (isinstance(value, str) and value.startswith("#") and value.endswith(("!", "?", "/A"))), at
