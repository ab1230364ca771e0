"""The journal of finished plants: one line each, appended and forced to disk, whole again after any stop.

The first line says what the file is. A line cut short by a kill or a power cut is cut off when the journal
is opened again; every whole line before it counts. A journal may come from a stranger: each line is held
against what a record is, and one that is none is named, not believed, and its plant run again.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
from collections.abc import Collection, Iterable, Iterator
from itertools import accumulate, count, islice
from pathlib import Path
from types import TracebackType
from typing import Any

from econ.errors import FileRefused
from econ.fields import field, record
from econ.harmless import is_harmless
from econ.inputs.records import is_number
from econ.inputs.schema import rows
from econ.many.columns import WORDS, Columns, Record
from econ.workbook.places import check_goal, in_words, is_taken, lock, remove_and_close, still_there
from econ.workbook.safe_write import WRITTEN

LONGEST_LINE = 400_000  # bytes of a record; all inputs and figures of a plant take some 30,000
LONGEST_TEXT = 3_000
HEADER = {"journal": "kilncase folder", "edition": 1}
LARGEST: dict[type, float] = {int: 2**63, float: 1e100}  # beyond are none of ours, nor what columns can add up
NOTED = 1_000  # lines taken in at once
_ENCODE = json.JSONEncoder(allow_nan=False).encode
KEY, NAME = re.compile("[0-9A-Za-z]{1,64}"), re.compile(r"[0-9a-z_.\-]{1,80}")


@record(slots=True)
class Done:
    """What a run did: plants run now and found finished.

    `changed`: plants whose record was another than that found now (`recompute`). `odd_lines`: numbers of the
    journal's lines that were no records, their plants run again. `to_see`: plants to look at, by why.
    """

    run_now: int = 0
    found_finished: int = 0
    changed: list[str] = field(default_factory=list)
    odd_lines: list[int] = field(default_factory=list)
    to_see: dict[str, list[str]] = field(default_factory=dict)


class Journal(contextlib.AbstractContextManager["Journal"]):
    """Finished plants by key, in a file and, while it is open, as columns.

    One process at a time: a second one is refused.
    """

    def __init__(self, path: Path, needs: Collection[str] = ()) -> None:
        """Open or make the journal. Raises FileRefused for a file that is no journal, a link, or in use.

        `needs` are the figures that every record of a plant without a fault must hold.
        """
        self.path, self._needs = path, frozenset(needs)
        self.odd_lines: list[int] = []
        """Numbers of the lines that are no records; their plants are run again."""
        self.columns = Columns()
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

    def __exit__(self, kind: type[BaseException] | None, odd: object, trace: TracebackType | None) -> None:
        self.close()

    def __len__(self) -> int:
        return self.columns.count("record")

    def __getitem__(self, key: str) -> Record:
        self._handle.seek(self.columns.places([key])[key])
        found: Record = json.loads(self._handle.readline())
        return found

    def append(self, records: Iterable[Record]) -> list[str]:
        """Add finished plants and wait until the disk has them; returns the keys whose record was another.

        A record that stands there already is not written twice; another of the same key takes its place.
        """
        found = {record["key"]: record for record in records}
        was = {key: self[key] for key in self.columns.places(found)}
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
                with open(self.path, "ab", buffering=0) as end:  # no buffer: what is refused is not tried again
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
        return item if isinstance(item := json.loads(line), dict) else None
    return None


def fits(item: dict[str, Any], needs: Collection[str] = ()) -> bool:
    """Whether an item is the record of a plant, or says that a results file was written.

    Names, types, finite numbers, texts that steer nothing; words stand where words are asked and nowhere else.
    """
    if item.keys() == {"wrote", "sha256"}:
        return all(map(_is_text, item.values()))
    if item.keys() != {"key", "fault", "figures", "inputs"}:
        return False
    key, fault, figures, inputs = item["key"], item["fault"], item["figures"], item["inputs"]
    if not (isinstance(key, str) and KEY.fullmatch(key) and _is_text(fault)):
        return False
    if not (isinstance(figures, dict) and isinstance(inputs, dict) and (fault or figures.keys() >= set(needs))):
        return False
    words = {name: name in WORDS for name in figures.keys() & set(needs)}
    words |= {name: not rows()[name].is_number for name in inputs.keys() & rows().keys()}
    return all(
        NAME.fullmatch(name) and _is_value(value) and (name not in words or isinstance(value, str) == words[name])
        for name, value in (*figures.items(), *inputs.items())
    )


def _is_value(value: Any) -> bool:
    return abs(value) < LARGEST[type(value)] if is_number(value) else value is None or _is_text(value)


def _is_text(value: object) -> bool:
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        return False
    return value.isprintable() or all(map(is_harmless, value))  # the first is quicker, and never kinder
