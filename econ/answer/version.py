"""The version code of a scenario: a short hash of every input as the model reads it."""

from __future__ import annotations

import hashlib
import json

from econ.inputs.records import Scenario

LENGTH = 12


def inputs_code(scenario: Scenario) -> str:
    """Twelve hexadecimal digits that change with any value, low or high; names and remarks do not count."""
    rows = {
        key: [entry.value, entry.low, entry.high]
        for key, entry in scenario.entries.items()
        if entry.value is not None and key != "plant.name"
    }
    text = json.dumps(rows, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:LENGTH]
