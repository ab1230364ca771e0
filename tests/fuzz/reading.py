"""Reads a workbook of unknown make, and says what must hold whatever its bytes are."""

from __future__ import annotations

import io
import math
from contextlib import redirect_stdout
from pathlib import Path

from econ.errors import FileRefused, InputFault, InputFaults
from econ.inputs.records import Caution, Entry, Scenario
from econ.workbook.read import read_scenario

LONGEST_SENTENCE = 2_000
"""Characters: no file may make a sentence that fills a screen."""


def outcome(path: Path) -> str:
    """What reading the file comes to: refused, faults or read, each checked; any other error passes through."""
    printed = io.StringIO()
    with redirect_stdout(printed):
        found = _outcome(path)
    assert not printed.getvalue(), "only the command line prints"
    return found


def _outcome(path: Path) -> str:
    try:
        scenario = read_scenario(path)
    except FileRefused as refusal:
        is_sentence(str(refusal))
        return f"refused: {refusal}"
    except InputFaults as several:
        name_their_places(several)
        return f"faults: {len(several.faults)}"
    is_usable(scenario)
    return f"read: {len(scenario.entries)} rows"


def is_sentence(text: str) -> None:
    assert 0 < len(text) <= LONGEST_SENTENCE, f"a sentence of {len(text)} characters: {text[:80]!r}..."
    assert text.isprintable(), f"no sentence to print: {text!r}"


def name_their_places(several: InputFaults) -> None:
    """There is a fault, each says where, what and why, and the cautions beside are sentences."""
    assert several.faults
    for fault in several.faults:
        names_its_place(fault)
    for caution in several.cautions:
        is_sentence(caution)


def names_its_place(fault: InputFault) -> None:
    """Every fault says where, what is wrong there, and what to do."""
    for part in (fault.where, fault.wrong, fault.do):
        is_sentence(part)


def is_usable(scenario: Scenario) -> None:
    """Every number finite and inside the bounds of its row, every choice one of those offered."""
    for entry in scenario.entries.values():
        _entry_is_usable(entry)
    for caution in scenario.warnings:
        assert isinstance(caution, Caution)
        is_sentence(caution.text)
    for table in scenario.tables.values():
        for line in table.lines:
            for value in line.values.values():
                assert not isinstance(value, float) or math.isfinite(value), line.where


def _entry_is_usable(entry: Entry) -> None:
    row, value = entry.row, entry.value
    if value is None:
        return
    if row.is_number:
        assert isinstance(value, float | int), row.key
        assert math.isfinite(value), row.key
        slack = 1e-9 * max(abs(value), 1.0)
        assert row.lowest - slack <= value <= row.highest + slack, f"{row.key}: {value}"
        if entry.low is not None and entry.high is not None:
            assert entry.low <= value <= entry.high, f"{row.key}: {entry.low} {value} {entry.high}"
    elif row.kind == "choice":
        assert value in {option.slug for option in row.choices}, row.key
    else:
        assert isinstance(value, str), row.key
        assert value.isprintable(), row.key
    for said in (entry.known, entry.source, entry.remark):
        assert said.isprintable(), row.key
