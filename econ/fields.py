"""Records of named fields: `record` is `dataclasses.dataclass`, made in a third of the time.

A dataclass writes up to six methods as text and compiles each, and a frozen one sets its fields by
`object.__setattr__`: in a run, which makes 110 kinds and 24,000 records, the eighteenth part of all instructions.
Here only `__init__` is text, and it fills slots by their descriptors. To mypy, and to whoever asks at run time, a
record is a dataclass. It knows no more than econ uses (no order, `InitVar`, `init=False`, `hash=`, pickles before
protocol 2), and refuses every name if frozen, also in classes derived without `record`.
"""

from __future__ import annotations

from dataclasses import MISSING, FrozenInstanceError, asdict, dataclass, field, fields, is_dataclass, replace
from functools import partial
from operator import attrgetter
from reprlib import recursive_repr
from types import MemberDescriptorType
from typing import TYPE_CHECKING, Any

__all__ = ["asdict", "field", "fields", "is_dataclass", "record", "replace"]

if TYPE_CHECKING:
    from dataclasses import dataclass as record
else:

    def record(cls: type | None = None, **options: bool) -> Any:
        """The class as a record: a decorator, alone or with the options of a dataclass."""
        return _made(cls, **options) if cls else partial(_made, **options)


def _made(cls: type, frozen: bool = False, eq: bool = True, repr: bool = True, **options: bool) -> type:
    cls = dataclass(init=False, repr=False, eq=False, **options)(cls)
    values = attrgetter("__class__", *[one.name for one in fields(cls) if one.compare])
    methods = {"__init__": _init(cls, frozen)}
    if repr:
        methods["__repr__"] = recursive_repr()(_said)
    if eq:
        methods["__eq__"] = lambda a, b: values(a) == values(b) if type(a) is type(b) else NotImplemented
        methods["__hash__"] = (lambda self: hash(values(self))) if frozen else None
    if frozen:
        methods |= {"__setattr__": _refuse, "__delattr__": _refuse, "__setstate__": _restore}
    for name, method in methods.items():
        if cls.__dict__.get(name) is None:  # what the class wrote itself stays
            setattr(cls, name, method)
    return cls


def _init(cls: type, frozen: bool) -> Any:
    arguments, lines = ["self"], []
    known: dict[str, Any] = {"MISSING": MISSING, "put": object.__setattr__}
    for one in sorted(fields(cls), key=attrgetter("kw_only")):
        name = value = one.name
        known |= {f"default_{name}": one.default, f"make_{name}": one.default_factory}
        if one.default_factory is not MISSING:
            value = f"make_{name}() if {name} is MISSING else {name}"
        arguments += ["*"] if one.kw_only and "*" not in arguments else []
        arguments += [name if one.default is one.default_factory else f"{name}=default_{name}"]
        if frozen and isinstance(slot := getattr(cls, name, None), MemberDescriptorType):
            known[f"set_{name}"] = slot.__set__
            lines.append(f"set_{name}(self, {value})")
        else:
            lines.append(f"put(self, '{name}', {value})" if frozen else f"self.{name} = {value}")
    lines += ["self.__post_init__()"] if hasattr(cls, "__post_init__") else []
    exec(f"def __init__({', '.join(arguments)}): {'; '.join(lines) or 'pass'}", known)
    known["__init__"].__qualname__ = f"{cls.__qualname__}.__init__"  # as a wrong call is told
    return known["__init__"]


def _said(self: Any) -> str:
    shown = ", ".join(f"{one.name}={getattr(self, one.name)!r}" for one in fields(self) if one.repr)
    return f"{type(self).__qualname__}({shown})"


def _refuse(self: Any, name: str, *value: Any) -> None:
    raise FrozenInstanceError(f"cannot {'assign to' if value else 'delete'} field {name!r}")


def _restore(self: Any, state: Any) -> None:
    """Of a pickle or a copy: a dictionary, or two with slots."""
    for part in state if isinstance(state, tuple) else [state]:
        for name, value in (part or {}).items():
            object.__setattr__(self, name, value)
