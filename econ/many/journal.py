"""The journal of finished plants: one line each, appended and forced to disk, whole again after any stop.

The first line says what the file is. A line cut short by a kill or a power cut is cut off when the journal
is opened again; every whole line before it counts. A journal may come from a stranger: each line is held
against what a record is, and one that is none is named, not believed, and its plant run again.
"""

from __future__ import annotations

import contextlib
import json
import math
import os
import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field, replace
from itertools import count
from pathlib import Path
from types import TracebackType
from typing import Any

from econ.errors import FileRefused
from econ.harmless import is_harmless
from econ.workbook.places import check_goal, in_words, is_taken
from econ.workbook.safe_write import WRITTEN
from econ.workbook.system import lock, remove_and_close, still_there

LONGEST_LINE = 400_000
"""Bytes of a record; all inputs and figures of a plant take some 30,000."""
LONGEST_TEXT = 3_000
HEADER = {"journal": "kilncase folder", "edition": 1}


FIGURES = (
    "currency", "npv", "irr", "mirr", "payback_years", "discounted_payback_years", "net_cost_per_t_bones",
    "current_cost_per_t_bones", "bones_t_per_year", "char_t_per_year", "p_t_per_year", "p2o5_t_per_year",
    "ca_t_per_year", "durable_c_t_per_year", "removal_t_co2e_per_year", "project_net_t_co2e_per_year",
    "process_t_co2e_per_year", "avoided_t_co2e_per_year", "credits_lost_t_co2e_per_year",
    "difference_t_co2e_per_year", "study_years", "project_net_study_t_co2e", "grant_needed", "grant_per_t_p",
    "grant_per_t_net_co2e", "warnings", "finding", "missing", "widest", "near_limit", "mean_npv", "loss_chance",
    "npv_p10", "npv_p50", "npv_p90", "npv_loss_chance", "npv_place", "best_share", "best_mean_npv",
    "best_loss_chance",
)  # fmt: skip
"""Figures of a record: those of `run --json` by the same names, the carbon blocks, and what the samples say."""
WORDS = frozenset({"currency", "warnings", "finding", "missing", "widest", "near_limit"})

KEY, NAME = re.compile("[0-9A-Za-z]{1,64}"), re.compile(r"[0-9a-z_.\-]{1,80}")

Record = dict[str, Any]
"""What is kept of a plant: key, fault (empty for none), figures by name, inputs by key."""


@dataclass(frozen=True, slots=True)
class Listed:
    """One plant of the source in its order, with the key under which the journal holds its record."""

    name: str
    place: str
    key: str
    carried: tuple[tuple[str, str | float], ...] = ()
    """Where it stands, such as its region, as the table has it."""
    hides: bool = False

    def unnamed(self, number: int) -> Listed:
        """The same under a number; of where it stands only the region is left."""
        carried = tuple(one for one in self.carried if one[0] == "region")
        return replace(self, name=f"plant {number}", place=f"row {number}", carried=carried, hides=True)

    def fault(self, text: str) -> str:
        """Why it could not be used: in full, or without what may name it."""
        return "not used; run without --hide-names to see why" if self.hides and text else text


@dataclass(slots=True)
class Done:
    """What a run did: the plants in order, how many it ran now and how many it found finished."""

    listed: list[Listed]
    run_now: int = 0
    found_finished: int = 0
    changed: list[str] = field(default_factory=list)
    """Plants whose record in the journal was another than the one found now (`recompute`)."""
    odd_lines: list[int] = field(default_factory=list)
    """Lines of the journal that were no records, so that their plants were run again."""


class Journal:
    """Finished plants by key; holds only where each line stands, and reads a line when it is asked for.

    One process at a time: a second one is refused.
    """

    def __init__(self, path: Path, needs: Collection[str] = ()) -> None:
        """Open or make the journal. Raises FileRefused for a file that is no journal, a link, or in use.

        `needs` are the figures that every record of a plant without a fault must hold.
        """
        self.path = path
        self.odd_lines: list[int] = []
        """Numbers of the lines that are no records; their plants are run again."""
        self._needs = frozenset(needs)
        self._places: dict[str, int] = {}
        self._is_new = not is_taken(path)
        self.written: dict[str, str] = {}
        """Results files written from this journal, by name: the SHA-256 of their bytes."""
        check_goal(path)
        if path.is_symlink():
            raise FileRefused(f"{path.name} is a link, and a journal must be a file; name another place with --to")
        with in_words(path):
            self._handle = open(path, "a+b")  # noqa: SIM115 (closed by close)
        try:
            if not (lock(self._handle) and still_there(self._handle, path)):  # or taken away by another as empty
                raise FileRefused(f"{path.name} is in use: another 'kilncase folder' is writing it")
            self._recover()
        except BaseException:
            self._handle.close()
            raise

    def __enter__(self) -> Journal:
        return self

    def __exit__(self, kind: type[BaseException] | None, odd: object, trace: TracebackType | None) -> None:
        self.close()

    def __contains__(self, key: str) -> bool:
        return key in self._places

    def __len__(self) -> int:
        return len(self._places)

    def __getitem__(self, key: str) -> Record:
        self._handle.seek(self._places[key])
        found: Record = json.loads(self._handle.readline())
        return found

    def append(self, records: Iterable[Record]) -> list[str]:
        """Add finished plants and wait until the disk has them; returns the keys whose record was another.

        A record that stands there already is not written twice; another of the same key takes its place.
        """
        found = {record["key"]: record for record in records}
        was = {key: self[key] for key in found if key in self._places}
        self._add([record for key, record in found.items() if was.get(key) != record])
        return [key for key, record in was.items() if record != found[key]]

    def wrote(self, name: str, sha256: str) -> None:
        """Remember that a results file was written."""
        if self.written.get(name) != sha256:
            self._add([{"wrote": name, "sha256": sha256}])

    def close(self) -> None:
        """Close the file, which also unlocks it; a new one that holds nothing goes again."""
        if self._is_new and not self._places and not self.written:
            remove_and_close(self._handle, self.path)
        self._handle.close()

    def _add(self, items: list[dict[str, Any]]) -> None:
        at = self._handle.seek(0, os.SEEK_END)
        lines = [json.dumps(item, allow_nan=False).encode() + b"\n" for item in items]
        with in_words(self.path):
            try:
                self._append(b"".join(lines))
            except OSError:
                with contextlib.suppress(OSError):
                    self._handle.truncate(at)
                raise
        if self._places and self.path not in WRITTEN:
            WRITTEN.append(self.path)
        for item, line in zip(items, lines, strict=True):
            self._note(item, at)
            at += len(line)

    def _append(self, data: bytes) -> None:
        """Write past any buffer, so that what the disk refused is not tried again on closing."""
        with open(self.path, "ab", buffering=0) as end:
            left = memoryview(data)
            while left:
                left = left[end.write(left) :]
            os.fsync(end.fileno())

    def _note(self, item: dict[str, Any], at: int) -> None:
        if "key" in item:
            self._places[item["key"]] = at
        elif "wrote" in item:
            self.written[item["wrote"]] = item["sha256"]

    def _recover(self) -> None:
        """Find every whole line, cut off a torn end, write the header of a new file."""
        self._handle.seek(0)
        whole = 0
        first = json.dumps(HEADER).encode() + b"\n"
        for number in count(1):
            line = self._handle.readline(LONGEST_LINE + 1)
            size = len(line)
            while line and len(line) > LONGEST_LINE and not line.endswith(b"\n"):  # on to the end of this line
                line = self._handle.readline(LONGEST_LINE + 1)
                size += len(line)
            is_long = size > LONGEST_LINE
            if number == 1:
                if line and _parsed(line) != HEADER and not first.startswith(line):
                    raise FileRefused(f"{self.path.name} is no journal of kilncase; name another place with --to")
            elif line.endswith(b"\n"):
                item = None if is_long else _parsed(line)
                if item is None or not (_is_written(item) or fits(item, self._needs)):
                    self.odd_lines.append(number)
                else:
                    self._note(item, whole)
            if not line.endswith(b"\n"):
                break
            whole += size
        self._handle.truncate(whole)
        if whole == 0:
            self._add([HEADER])


def _parsed(line: bytes) -> dict[str, Any] | None:
    """The object that a line holds; None where it holds none."""
    with contextlib.suppress(ValueError, RecursionError):
        item = json.loads(line)
        if isinstance(item, dict):
            return item
    return None


def _is_written(item: dict[str, Any]) -> bool:
    """Whether an item says that a results file was written."""
    return item.keys() == {"wrote", "sha256"} and _is_text(item["wrote"]) and _is_text(item["sha256"])


def fits(item: dict[str, Any], needs: Collection[str] = ()) -> bool:
    """Whether an item is the record of a plant: names, types, finite numbers, texts that steer nothing."""
    if item.keys() != {"key", "fault", "figures", "inputs"}:
        return False
    if not (isinstance(item["key"], str) and KEY.fullmatch(item["key"]) and _is_text(item["fault"])):
        return False
    figures, inputs = item["figures"], item["inputs"]
    if not (isinstance(figures, dict) and isinstance(inputs, dict)):
        return False
    if not item["fault"] and not figures.keys() >= set(needs):
        return False
    values = [*figures.items(), *inputs.items()]
    are_figures = all(_fits(name, figures[name]) for name in set(needs) & figures.keys())
    return are_figures and all(NAME.fullmatch(name) and _is_value(value) for name, value in values)


def _fits(name: str, value: object) -> bool:
    """Whether a figure that is needed is of its kind: a word where words stand, otherwise a number or none."""
    return isinstance(value, str) == (name in WORDS)


def _is_value(value: object) -> bool:
    if value is None or _is_text(value):
        return True
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _is_text(value: object) -> bool:
    return isinstance(value, str) and len(value) <= LONGEST_TEXT and all(map(is_harmless, value))
