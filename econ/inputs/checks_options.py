"""Faults in the blocks of other ways: a block without its kind, a present mix that is not whole."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from econ.errors import InputFault
from econ.inputs.records import Entry
from econ.inputs.schema import blocks

Entries = Mapping[str, Entry]


def faults(entries: Entries) -> Iterator[InputFault]:
    """Blocks filled without a kind; shares of the present mix that do not make 100 %."""
    filled = [n for n in range(1, blocks()["option"].count + 1) if f"option.{n}.kind" in entries]
    for n in filled:
        kind = entries[f"option.{n}.kind"]
        others = (entries[f"option.{n}.{row.key}"] for row in blocks()["option"].rows if row.key != "kind")
        if kind.value is None and any(entry.value is not None for entry in others):
            yield InputFault(
                kind.where, f"option {n} filled without saying which way it is", "a choice of the list"
            )
    shares = [entries[f"option.{n}.share_today"] for n in filled]
    typed = [share for share in shares if share.value is not None]
    total = math.fsum(share.number for share in typed)
    if typed and not math.isclose(total, 1.0, abs_tol=1e-6):
        yield InputFault(typed[0].where, f"a present mix that adds up to {total:.2%}", "parts that make 100 %")
    for n in filled:
        if (
            entries[f"option.{n}.kind"].value == "gate-fee"
            and entries[f"option.{n}.share_today"].value is not None
        ):
            yield InputFault(
                entries[f"option.{n}.share_today"].where, "bones of others as part of today's mix", "an empty cell"
            )
