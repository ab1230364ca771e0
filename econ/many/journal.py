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
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import accumulate, count, islice
from pathlib import Path
from types import TracebackType
from typing import Any

from econ.errors import FileRefused
from econ.harmless import is_harmless
from econ.many.columns import WORDS, Columns, Record
from econ.workbook.places import check_goal, in_words, is_taken, lock, remove_and_close, still_there
from econ.workbook.safe_write import WRITTEN

LONGEST_LINE = 400_000
"""Bytes of a record; all inputs and figures of a plant take some 30,000."""
LONGEST_TEXT = 3_000
HEADER = {"journal": "kilncase folder", "edition": 1}

LONGEST_WHOLE = 2**63
"""A whole number beyond is none of ours, and none that the columns hold."""
NOTED = 1_000
"""Lines taken in at once."""
_ENCODE = json.JSONEncoder(allow_nan=False).encode

KEY, NAME = re.compile("[0-9A-Za-z]{1,64}"), re.compile(r"[0-9a-z_.\-]{1,80}")


@dataclass(slots=True)
class Done:
    """What a run did: how many plants it ran now and how many it found finished."""

    run_now: int = 0
    found_finished: int = 0
    changed: list[str] = field(default_factory=list)
    """Plants whose record in the journal was another than the one found now (`recompute`)."""
    odd_lines: list[int] = field(default_factory=list)
    """Lines of the journal that were no records, so that their plants were run again."""
    same_names: list[str] = field(default_factory=list)
    """Names that stand for several plants."""


class Journal:
    """Finished plants by key, in a file and, while it is open, as columns.

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
        self.columns = Columns()
        """The records, and the plants as they are listed."""
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

    def __len__(self) -> int:
        return self.columns.count("record")

    def __getitem__(self, key: str) -> Record:
        return self._read(self.columns.places([key])[key])

    def _read(self, at: int) -> Record:
        self._handle.seek(at)
        found: Record = json.loads(self._handle.readline())
        return found

    def append(self, records: Iterable[Record]) -> list[str]:
        """Add finished plants and wait until the disk has them; returns the keys whose record was another.

        A record that stands there already is not written twice; another of the same key takes its place.
        """
        found = {record["key"]: record for record in records}
        was = {key: self._read(at) for key, at in self.columns.places(found).items()}
        self._add([record for key, record in found.items() if was.get(key) != record])
        return [key for key, record in was.items() if record != found[key]]

    def wrote(self, name: str, sha256: str) -> None:
        """Remember that a results file was written."""
        if self.written.get(name) != sha256:
            self._add([{"wrote": name, "sha256": sha256}])

    def close(self) -> None:
        """Close the file, which also unlocks it; a new one that holds nothing goes again."""
        if self._is_new and not self.written and not len(self):
            remove_and_close(self._handle, self.path)
        self._handle.close()

    def _add(self, items: list[dict[str, Any]]) -> None:
        at = self._handle.seek(0, os.SEEK_END)
        lines = [_ENCODE(item).encode() + b"\n" for item in items]
        with in_words(self.path):
            try:
                with open(
                    self.path, "ab", buffering=0
                ) as end:  # past any buffer: what is refused is not tried again
                    left = memoryview(b"".join(lines))
                    while left:
                        left = left[end.write(left) :]
                    os.fsync(end.fileno())
            except OSError:
                with contextlib.suppress(OSError):
                    self._handle.truncate(at)
                raise
        self._note(zip(items, accumulate(map(len, lines), initial=at), strict=False))
        if self.path not in WRITTEN and len(self):
            WRITTEN.append(self.path)

    def _note(self, items: Iterable[tuple[dict[str, Any], int]]) -> None:
        """Take in what lines hold, each with the place where it begins."""
        left = iter(items)
        while some := list(islice(left, NOTED)):
            self.columns.put([(item, at) for item, at in some if "key" in item])
            self.written |= {item["wrote"]: item["sha256"] for item, _ in some if "wrote" in item}

    def _recover(self) -> None:
        """Find every whole line, cut off a torn end, write the header of a new file."""
        self._handle.seek(0)
        self._whole = 0
        self._note(self._lines())
        self._handle.truncate(self._whole)
        if self._whole == 0:
            self._add([HEADER])

    def _lines(self) -> Iterator[tuple[dict[str, Any], int]]:
        """The items of whole lines with the places where they begin; lines that hold none are kept by number."""
        first = json.dumps(HEADER).encode() + b"\n"
        for number in count(1):
            line = self._handle.readline(LONGEST_LINE + 1)
            size = len(line)
            while line and len(line) > LONGEST_LINE and not line.endswith(b"\n"):  # on to the end of this line
                line = self._handle.readline(LONGEST_LINE + 1)
                size += len(line)
            item = _parsed(line) if line and size <= LONGEST_LINE else None
            if number == 1:
                if line and item != HEADER and not first.startswith(line):
                    raise FileRefused(f"{self.path.name} is no journal of kilncase; name another place with --to")
            elif line.endswith(b"\n"):
                if item is not None and fits(item, self._needs):
                    yield item, self._whole
                else:
                    self.odd_lines.append(number)
            if not line.endswith(b"\n"):
                return
            self._whole += size


def _parsed(line: bytes) -> dict[str, Any] | None:
    """The object that a line holds; None where it holds none."""
    with contextlib.suppress(ValueError, RecursionError):
        item = json.loads(line)
        if isinstance(item, dict):
            return item
    return None


def fits(item: dict[str, Any], needs: Collection[str] = ()) -> bool:
    """Whether an item is the record of a plant, or says that a results file was written.

    Names, types, finite numbers, texts that steer nothing; a figure that is needed is a word where words stand.
    """
    if item.keys() == {"wrote", "sha256"}:
        return _is_text(item["wrote"]) and _is_text(item["sha256"])
    if item.keys() != {"key", "fault", "figures", "inputs"}:
        return False
    if not (isinstance(item["key"], str) and KEY.fullmatch(item["key"]) and _is_text(item["fault"])):
        return False
    figures, inputs, needed = item["figures"], item["inputs"], frozenset(needs)
    if not (isinstance(figures, dict) and isinstance(inputs, dict)):
        return False
    if not item["fault"] and not figures.keys() >= needed:
        return False
    values = [*figures.items(), *inputs.items()]
    are_figures = all(isinstance(figures[name], str) == (name in WORDS) for name in needed & figures.keys())
    return are_figures and all(NAME.fullmatch(name) and _is_value(value) for name, value in values)


def _is_value(value: object) -> bool:
    if value is None or _is_text(value):
        return True
    if isinstance(value, int):
        return not isinstance(value, bool) and abs(value) < LONGEST_WHOLE
    return isinstance(value, float) and math.isfinite(value)


def _is_text(value: object) -> bool:
    return isinstance(value, str) and len(value) <= LONGEST_TEXT and all(map(is_harmless, value))
