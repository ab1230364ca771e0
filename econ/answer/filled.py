"""Records as plain JSON values, by a table of names and paths (`contract.toml` says how it is read)."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

Functions = Mapping[str, Callable[..., Any]]


@cache
def described(name: str, room: str = "econ.answer") -> Mapping[str, Any]:
    """A table of names and words beside a room, by its name without the ending."""
    return tomllib.loads((files(room) / f"{name}.toml").read_text(encoding="utf-8"))


def contract() -> Mapping[str, Any]:
    """The names of the details and where they are found."""
    return described("contract")


def filled(plan: Any, record: Any, functions: Functions) -> Any:
    """What a plan makes of a record, plain: numbers that do not exist are None."""
    if not isinstance(plan, Mapping):
        return plain(at_path(plan, record, functions)) if isinstance(plan, str) else plan
    inner = {key: value for key, value in plan.items() if key not in {"@of", "@each", "@by"}}
    if "@each" in plan:
        items = at_path(plan["@each"], record, functions)
        return None if items is None else [filled(inner, one, functions) for one in items]
    if "@by" in plan:
        return {key: filled(inner, one, functions) for key, one in at_path(plan["@by"], record, functions).items()}
    if "@of" in plan:
        record = at_path(plan["@of"], record, functions)
        return None if record is None else filled(inner, record, functions)
    if record is None:
        return None
    made: dict[str, Any] = {}
    for key, value in plan.items():
        if key == "@as":
            made |= filled(contract()[value], record, functions)
        elif key == "@figures":
            made |= {name: plain(record.figures[name]) for name in value}
        elif key == "+":
            made |= filled(value, record, functions)
        else:
            made[key] = filled(value, record, functions)
    return made


def at_path(path: str, record: Any, functions: Functions) -> Any:
    """What stands at a path of a record; None where the way ends before."""
    if path.startswith("="):
        return path[1:]
    if path.startswith(":"):
        name, *asked = path[1:].split(" ")
        return functions[name](record, *asked)
    first, _, rest = path.partition(".")
    if first == "*":
        return [at_path(rest, one, functions) for one in record]
    if first == "#":
        return len(record)
    if isinstance(record, Mapping):
        record = record.get(first)
    else:
        record = record[int(first)] if first.isdigit() else getattr(record, first)
    record = record() if callable(record) else record
    return at_path(rest, record, functions) if rest and record is not None else record


def plain(value: Any) -> Any:
    """A value as JSON holds it: records and mappings as objects, rows as lists, None for what does not exist."""
    if isinstance(value, np.ndarray | np.generic):
        return plain(value.tolist())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if is_dataclass(value):
        return {one.name: plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    return [plain(one) for one in value] if isinstance(value, tuple | list) else value
