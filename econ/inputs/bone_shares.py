"""Water, fat, protein and ash of a stream make one whole: a share given alone leaves the others in proportion."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from econ.errors import InputFault
from econ.inputs.lanes import summed
from econ.inputs.records import Caution, Entry

Entries = Mapping[str, Entry]

CONSTITUENTS = ("water", "fat", "protein", "ash")
WHOLE = (0.98, 1.02)
"""What an assay of all four may add up to; the model scales it to 1."""
SET = "--set"
"""How the place of a row begins that was set on the command line."""


def given_alone(entries: Entries, stream: str) -> tuple[list[Entry], list[Entry]]:
    """The shares of a stream that stand as given, and those that follow in proportion; none where none do.

    Shares set on the command line go before those typed, typed ones before defaults.
    """
    parts = [entries[f"{stream}.{name}_share"] for name in CONSTITUENTS]
    for stands in (lambda part: part.where.startswith(SET), lambda part: not part.is_default):
        given = [part for part in parts if stands(part)]
        if given:
            return given, [part for part in parts if part not in given]
    return [], []


def keep_in_proportion(entries: dict[str, Entry]) -> None:
    """Scale the shares that were not given so that the four of each stream make 1."""
    for stream in _streams(entries):
        given, others = given_alone(entries, stream)
        left, whole = 1 - _total(given), _total(others)
        if others and left > 0 and whole > 0:
            for part in others:
                entries[part.row.key] = _scaled(part, left / whole)


def _scaled(part: Entry, scale: float) -> Entry:
    value, low, high = (None if end is None else end * scale for end in (part.value, part.low, part.high))  # type: ignore[operator]
    return replace(part, value=value, low=low, high=None if high is None else min(high, 1.0))


def _total(parts: list[Entry]) -> float:
    return summed(part.number for part in parts if part.value is not None)


def _streams(entries: Entries) -> list[str]:
    return [key.removesuffix(".kind") for key in entries if key.startswith("bones.") and key.endswith(".kind")]


def faults(entries: Entries) -> Iterator[InputFault]:
    """Shares that cannot make one whole."""
    for stream in _streams(entries):
        given, others = given_alone(entries, stream)
        total = _total(given)
        if others and total >= 1:
            asked = "Enter less than 100 % together: the others need room"
            yield InputFault(given[0].where, f"{total:.1%} with what is given beside it", asked)
        elif given and not others and not WHOLE[0] <= total <= WHOLE[1]:
            asked = "Enter shares that make 98 to 102 %"
            yield InputFault(given[0].where, f"the components add up to {total:.1%}", asked)


def cautions(entries: Entries) -> Iterator[Caution]:
    """Says which shares follow from one that was given alone."""
    for stream in _streams(entries):
        given, others = given_alone(entries, stream)
        if given and others:
            labels, rest = (", ".join(part.row.label for part in parts) for parts in (given, others))
            text = f"{labels}: given alone. The others keep their proportion and fill the rest: {rest}."
            yield Caution("others-in-proportion", text, given[0].where)
