"""The journal of finished plants: one line each, appended and forced to disk, whole again after any stop.

The first line says what the file is. A line cut short by a kill or a power cut is cut off when the journal
is opened again; every whole line before it counts.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any

from econ.errors import FileRefused
from econ.workbook.places import check_goal, in_words, is_taken
from econ.workbook.safe_write import WRITTEN
from econ.workbook.system import lock, remove_and_close, still_there

HEADER = {"journal": "kilncase folder", "edition": 1}


Record = dict[str, Any]
"""What is kept of a plant: key, fault (empty for none), figures by name, inputs by key."""


@dataclass(frozen=True, slots=True)
class Listed:
    """One plant of the source in its order, with the key under which the journal holds its record."""

    name: str
    place: str
    key: str


@dataclass(slots=True)
class Done:
    """What a run did: the plants in order, how many it ran now and how many it found finished."""

    listed: list[Listed]
    run_now: int = 0
    found_finished: int = 0


class Journal:
    """Finished plants by key; holds only where each line stands, and reads a line when it is asked for.

    One process at a time: a second one is refused.
    """

    def __init__(self, path: Path) -> None:
        """Open or make the journal. Raises FileRefused for a file that is no journal, or is in use."""
        self.path = path
        self._places: dict[str, int] = {}
        self._is_new = not is_taken(path)
        self.written: dict[str, str] = {}
        """Results files written from this journal, by name: the SHA-256 of their bytes."""
        check_goal(path)
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

    def append(self, records: Iterable[Record]) -> None:
        """Add finished plants and wait until the disk has them; a key that is there already is left out."""
        new = {record["key"]: record for record in records if record["key"] not in self._places}
        self._add([*new.values()])

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
        for line in self._handle:
            item = _parsed(line)
            if whole == 0:
                if item != HEADER and not first.startswith(line):
                    raise FileRefused(f"{self.path.name} is no journal of kilncase; name another place with --to")
            elif item is not None:
                self._note(item, whole)
            if item is None:
                break
            whole += len(line)
        self._handle.truncate(whole)
        if whole == 0:
            self._add([HEADER])


def _parsed(line: bytes) -> dict[str, Any] | None:
    """What a line holds; None where it was cut short."""
    if not line.endswith(b"\n"):
        return None
    with contextlib.suppress(ValueError):
        item = json.loads(line)
        if isinstance(item, dict):
            return item
    return None
