"""Workbooks of earlier editions: they are read for ever, and what their answer has changed by since is said."""

from __future__ import annotations

from econ.inputs.records import Caution
from econ.inputs.schema import EDITION

CHANGES: dict[int, dict[str, str]] = {
    2: {
        "matter": "Matter and heat: bone kinds, char, steel and lining were corrected against their sources",
        "carbon": "Carbon: emission factors, current practices and the fraction remaining after 100 years were"
        " corrected against their sources; emissions of making the fuel are counted",
        "money": "Money: net cost and bill are compared alike; payback, grant, debt coverage, worn parts, bags and"
        " salvage value are counted anew, so that one question has one answer",
        "planting": "Own planting: no application passes what crops remove, a soil test or a local plan allow;"
        " its char leaves what is for sale",
        "range": "Ranges: an uncertain number without a range takes one by how it is known",
    },
}
"""By the edition that brought it, and the subject of the figures that it moved: what changed, and why."""


def older(edition: int) -> Caution:
    """What a workbook of an earlier edition is told: which figures may differ from its own results, and why."""
    said = [words for at in range(edition + 1, EDITION + 1) for words in CHANGES.get(at, {}).values()]
    return Caution(
        "older-edition",
        f"Written for schema edition {edition}; this is {EDITION}. Its answer may differ from the one it had. "
        + " ".join(f"{words}." for words in said),
    )
