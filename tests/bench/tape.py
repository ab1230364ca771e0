"""The floor under the model: the numpy operations it does, written out as one plain program.

The model is walked once over arrays that note every operation done on them. What was noted becomes straight
Python, one numpy call a line and each array let go after its last use: no names, no ledger, no stages. That
program gives the same figures; the ratio of the two times is what the model's book-keeping costs.

Only operations on arrays are noted. What depends on no sample is done in floats by the model and is a ready
number in the program, so all of that work counts against the model.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np


class Noted(np.ndarray):
    """An array that notes what is done with it; made by `Tape.input`."""

    tape: Tape
    slot: int

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *given: Any, **options: Any) -> Any:
        name = f"np.{ufunc.__name__}" + ("" if method == "__call__" else f".{method}")
        return tape_of(given).note(name, getattr(ufunc, method), given, options)

    def __array_function__(self, function: Any, types: Any, given: Any, options: Any) -> Any:
        name = f"np.{function.__name__}"
        if function in (np.shape, np.ndim, np.size):
            return function(*map(plain, given))
        return tape_of([*given, *options.values()]).note(name, function, given, options)

    def __getitem__(self, key: Any) -> Any:
        return self.tape.note("take", lambda a, at: a[at], (self, key), {})


def plain(value: Any) -> Any:
    """The ordinary array under a noted one, inside lists too."""
    if isinstance(value, Noted):
        return value.view(np.ndarray)
    if isinstance(value, list | tuple):
        return type(value)(plain(part) for part in value)
    return value


def tape_of(values: Any) -> Tape:
    """The tape of the first noted array among values, lists looked into."""
    for value in values:
        if isinstance(value, Noted):
            return value.tape
        if isinstance(value, list | tuple) and any(isinstance(part, Noted) for part in value):
            return tape_of(value)
    raise TypeError("nothing noted here")


class Tape:
    """The operations of one walk, in order."""

    def __init__(self) -> None:
        self.lines: list[tuple[str, int, list[Any], dict[str, Any]]] = []
        self.inputs: dict[str, int] = {}
        self._slots = 0

    def input(self, key: str, array: np.ndarray) -> Noted:
        """An input of the program."""
        found = self._wrap(array)
        self.inputs[key] = found.slot
        return found

    def _wrap(self, array: np.ndarray) -> Noted:
        found = np.ascontiguousarray(array).view(Noted)
        found.tape, found.slot = self, self._slots
        self._slots += 1
        return found

    def note(self, name: str, function: Callable[..., Any], given: Any, options: Any) -> Any:
        """Do the operation, write it down, and note its result in turn."""
        result = function(*map(plain, given), **{key: plain(value) for key, value in options.items()})
        if not isinstance(result, np.ndarray) or result.ndim == 0:
            return result
        out = self._wrap(result)
        self.lines.append((name, out.slot, list(given), dict(options)))
        return out

    def program(self, wanted: dict[str, Any]) -> Callable[[dict[str, np.ndarray]], dict[str, Any]]:
        """The noted operations as one function from input arrays to the wanted figures."""
        constants: list[Any] = []
        body = [f"v{slot} = given[{key!r}]" for key, slot in self.inputs.items()]
        uses = [_slots([given, list(options.values())]) for _, _, given, options in self.lines]
        results = {slot for value in wanted.values() for slot in _slots([value])}
        last = {slot: at for at, used in enumerate(uses) for slot in used}
        for at, (name, out, given, options) in enumerate(self.lines):
            words = [_word(value, constants) for value in given]
            words += [f"{key}={_word(value, constants)}" for key, value in options.items()]
            body.append(
                f"v{out} = " + (f"{words[0]}[{words[1]}]" if name == "take" else f"{name}({', '.join(words)})")
            )
            done = sorted(slot for slot in uses[at] | {out} if last.get(slot, at) == at and slot not in results)
            body += [f"del {', '.join(f'v{slot}' for slot in done)}"] if done else []
        body.append("return {" + ", ".join(f"{k!r}: {_word(v, constants)}" for k, v in wanted.items()) + "}")
        text = "def plain_numpy(given):\n" + "\n".join("    " + line for line in body)
        space: dict[str, Any] = {"np": np, "c": constants}
        exec(compile(text, "plain_numpy", "exec"), space)
        return space["plain_numpy"]


def _slots(values: Any) -> set[int]:
    found: set[int] = set()
    for value in values:
        if isinstance(value, Noted):
            found.add(value.slot)
        elif isinstance(value, list | tuple):
            found |= _slots(value)
    return found


def _word(value: Any, constants: list[Any]) -> str:
    if isinstance(value, Noted):
        return f"v{value.slot}"
    if isinstance(value, list | tuple) and _slots(value):
        inside = ", ".join(_word(part, constants) for part in value)
        return f"[{inside}]" if isinstance(value, list) else f"({inside},)"
    if type(value) in (float, int, bool) and np.isfinite(value):
        return repr(value)
    constants.append(plain(value))
    return f"c[{len(constants) - 1}]"


def noting(walk: Callable[[dict[str, Any]], dict[str, Any]], given: dict[str, np.ndarray]) -> tuple[Tape, Any]:
    """Walk once over noted inputs; the tape and the figures.

    np.asarray would take the noting off; on arrays of float64 it does nothing, so meanwhile it is told to. np.take
    asks the table alone whether it is noted, not the places.
    """
    tape, usual, taken = Tape(), np.asarray, np.take

    def lenient(value: Any, *more: Any, **options: Any) -> Any:
        return value if isinstance(value, Noted) else usual(value, *more, **options)

    def take(table: Any, places: Any) -> Any:
        return (
            tape.note("np.take", taken, (table, places), {}) if isinstance(places, Noted) else taken(table, places)
        )

    np.asarray, np.take = lenient, take
    try:
        figures = walk({key: tape.input(key, array) for key, array in given.items()})
    finally:
        np.asarray, np.take = usual, taken
    return tape, figures
