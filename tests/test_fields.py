"""`econ.fields.record` beside `dataclasses.dataclass` of this Python: what is true of one is true of the other."""

from __future__ import annotations

import copy
import inspect
import pickle
import sys
import weakref
from collections.abc import Callable
from dataclasses import FrozenInstanceError, astuple, dataclass
from functools import cached_property
from types import ModuleType
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from econ.fields import asdict, field, fields, is_dataclass, record, replace


def kinds(make: Any, module: str) -> ModuleType:
    """The same classes by either maker, in a module where pickle finds them."""

    @make(frozen=True, slots=True)
    class Bone:
        kg: float
        name: str = "shin"
        cuts: list[int] = field(default_factory=list)
        note: str = field(default="", repr=False, compare=False)

    @make(frozen=True, slots=True)
    class Rib(Bone):
        bend: float = 0.0

    @make(frozen=True, slots=True)
    class Hoof:
        kg: float
        name: str = "shin"

    @make(frozen=True, kw_only=True)
    class Marked:
        mark: str
        rung: str = "primary"

        @cached_property
        def loud(self) -> list[str]:
            return [self.mark.upper()]

    @make(frozen=True)
    class Fact(Marked):
        value: float

    @make(frozen=True, slots=True)
    class Tight(Marked):
        value: float = 1.0

    @make
    class Load:
        kg: float
        of: dict[str, Any] = field(default_factory=dict)

    @make(slots=True)
    class Heap:
        kg: float
        of: list[Any] = field(default_factory=list)

        def __post_init__(self) -> None:
            self.kg = float(self.kg)

    @make(frozen=True, eq=False)
    class Single:
        kg: float

    @make(frozen=True, slots=True)
    class Empty:
        pass

    @make(frozen=True, slots=True)
    class Own:
        kg: float

        def __repr__(self) -> str:
            return "its own"

        def __eq__(self, other: object) -> bool:
            return True

        def __post_init__(self) -> None:
            if self.kg < 0:
                raise ValueError("kg")

    @make(frozen=True)
    class Hashed:
        kg: float

        def __hash__(self) -> int:
            return 7

    found = ModuleType(module)
    for one in (Bone, Rib, Hoof, Marked, Fact, Tight, Load, Heap, Single, Empty, Own, Hashed):
        one.__module__, one.__qualname__ = module, one.__name__
        setattr(found, one.__name__, one)
    sys.modules[module] = found
    return found


OURS, THEIRS = kinds(record, "by_record"), kinds(dataclass, "by_dataclass")


def cycle(m: Any) -> str:
    load = m.Load(1)
    load.of["itself"] = load
    return repr(load)


def through(pack: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """All kinds of records packed and unpacked: what they say then, and whether another thing came back."""

    def asked(m: Any) -> Any:
        whole = [m.Bone(1, cuts=[2]), m.Rib(1, bend=3), m.Fact(2.0, mark="a"), m.Tight(mark="a"), m.Heap(4, [5]),
                 m.Load(1, {"a": []}), m.Empty(), m.Hashed(6), m.Single(7), m.Own(8)]  # fmt: skip
        whole[2].loud.append("kept")  # a cached property goes along, where there is a dictionary
        back = [pack(one) for one in whole]
        assert back[2].loud == ["A", "kept"]
        return [(repr(b), a == b, a is b, type(a) is type(b)) for a, b in zip(whole, back, strict=True)]

    return asked


def matched(m: Any) -> Any:
    match m.Rib(1, "floating", bend=2):
        case m.Rib(kg, name, _, _, bend):
            return kg, name, bend


FACTS: dict[str, Callable[[Any], Any]] = {
    "equal by its values": lambda m: (m.Bone(1) == m.Bone(1), m.Bone(1) == m.Bone(2), m.Bone(1) != m.Bone(1)),
    "not by what is not compared": lambda m: m.Bone(1, note="a") == m.Bone(1, note="b"),
    "equal in its class only": lambda m: (m.Bone(1) == m.Rib(1), m.Rib(1) == m.Bone(1), m.Hoof(1) == m.Bone(1)),
    "not equal to other things": lambda m: (m.Bone(1) == 1, m.Bone(1).__eq__(1), m.Bone(1) != (1, "shin", [], "")),
    "asks the other where it is of another class": lambda m: m.Bone(1) == m.Own(1),
    "equal by itself where eq is off": lambda m: (m.Single(1) == m.Single(1), len({m.Single(1), m.Single(1)})),
    "values of two are compared as tuples are": lambda m: m.Load(1, {"a": [2]}) == m.Load(1.0, {"a": [2]}),
    "hashed by its values": lambda m: len({m.Hoof(1), m.Hoof(1.0), m.Hoof(2), m.Hoof(1, "hind")}),
    "not by what is not compared, in a set": lambda m: len({m.Bone(1, cuts=(), note=a) for a in "ab"}),
    "one that holds a list has no hash": lambda m: hash(m.Bone(1)),
    "one that may change has no hash": lambda m: hash(m.Load(1)),
    "nor with slots": lambda m: hash(m.Heap(1)),
    "its own hash stays": lambda m: hash(m.Hashed(1)),
    "its own eq stays, and hash is made": lambda m: (m.Own(1) == 3, hash(m.Own(1)) == hash(m.Own(1))),
    "empty": lambda m: (m.Empty() == m.Empty(), len({m.Empty(), m.Empty()}), repr(m.Empty())),
    "said": lambda m: repr(m.Bone(1, "rib", [m.Load(2)])),
    "said without what is not to be said": lambda m: repr(m.Bone(1, note="unsaid")),
    "said in the class derived": lambda m: (repr(m.Rib(1)), repr(m.Fact(2, mark="x")), repr(m.Tight(mark="x"))),
    "its own repr stays": lambda m: repr(m.Own(1)),
    "one that holds itself is said": cycle,
    "a factory makes a new one each time": lambda m: m.Bone(1).cuts is not m.Bone(1).cuts,
    "defaults, and what is given": lambda m: (m.Bone(1).name, m.Bone(1, "a", None, "b").cuts),
    "by keyword": lambda m: repr(m.Fact(value=1, mark="a", rung="copy")),
    "by keyword only": lambda m: m.Marked("a"),
    "one too few": lambda m: m.Bone(),
    "one too many": lambda m: m.Hoof(1, "a", 2),
    "an unknown one": lambda m: m.Hoof(1, nom="a"),
    "a keyword too few": lambda m: m.Fact(1),
    "after it is made": lambda m: (m.Heap("3").kg, m.Own(1).kg),
    "a fault found after it is made": lambda m: m.Own(-1),
    "no value is assigned": lambda m: setattr(m.Bone(1), "kg", 2),
    "no value is deleted": lambda m: delattr(m.Bone(1), "kg"),
    "none without slots": lambda m: setattr(m.Fact(1, mark="a"), "value", 2),
    "none by another name": lambda m: setattr(m.Fact(1, mark="a"), "other", 2),
    "none in a class derived": lambda m: setattr(m.Rib(1), "kg", 2),
    "where it may change it does": lambda m: (setattr(load := m.Load(1), "kg", 2), load, setattr(load, "b", 3)),
    "with slots no name is added": lambda m: hasattr(m.Bone(1), "__dict__") or hasattr(m.Heap(1), "__dict__"),
    "replaced": lambda m: repr(replace(m.Rib(1, cuts=[2]), kg=3, bend=4)),
    "replaced by keyword only": lambda m: repr(replace(m.Fact(1, mark="a"), mark="b")),
    "replaced by what it has not": lambda m: replace(m.Hoof(1), bend=2),
    "its fields": lambda m: [[(a.name, a.type, a.repr, a.compare, a.kw_only, a.init) for a in fields(k)]
                             for k in (m.Bone, m.Rib, m.Fact, m.Tight, m.Load, m.Empty)],
    "as a dictionary": lambda m: (asdict(m.Bone(1, cuts=[m.Load(2)])), asdict(m.Fact(1, mark="a"))),
    "as a tuple": lambda m: astuple(m.Rib(1)),
    "is a dataclass": lambda m: [is_dataclass(one) for one in (m.Bone, m.Bone(1), m.Load, m.Empty())],
    "matched by place": matched,
    "matched names": lambda m: [k.__match_args__ for k in (m.Bone, m.Rib, m.Fact, m.Marked)],
    "slots": lambda m: [k.__slots__ for k in (m.Bone, m.Rib, m.Tight, m.Heap, m.Empty)],
    "a cached property": lambda m: (one := m.Fact(1, mark="a")).loud is one.loud,
    "a weak reference without slots": lambda m: weakref.ref(one := m.Load(1))() is one,
    "none with slots": lambda m: weakref.ref(m.Bone(1)),
    "copied": through(copy.copy),
    "copied to the bottom": through(copy.deepcopy),
    **{f"pickled by {n}": through(lambda one, n=n: pickle.loads(pickle.dumps(one, n))) for n in (2, 3, 4, 5)},
    "frozen when it comes back": lambda m: setattr(copy.copy(m.Bone(1)), "kg", 2),
    "arguments": lambda m: [
        [(a.name, a.kind, a.default is a.empty) for a in inspect.signature(kind).parameters.values()]
        for kind in (m.Bone, m.Rib, m.Fact, m.Tight, m.Load, m.Empty)
    ],
}  # fmt: skip


def told(ask: Callable[[Any], Any], of: Any) -> Any:
    """What comes out: a value, or the class and the words of what is raised."""
    try:
        return ask(of)
    except Exception as odd:
        return type(odd), str(odd)


def worded(value: Any) -> str:
    return str(value).replace("by_dataclass", "by_record")


@pytest.mark.parametrize("fact", FACTS)
def test_a_record_is_as_a_dataclass(fact: str) -> None:
    ours, theirs = (told(FACTS[fact], one) for one in (OURS, THEIRS))
    assert worded(ours) == worded(theirs)
    assert fact != "no value is assigned" or ours == (FrozenInstanceError, "cannot assign to field 'kg'")


def test_where_a_record_differs_a_class_derived_without_it_is_frozen_too() -> None:
    ours, theirs = (type("Derived", (one.Single,), {})(1.0) for one in (OURS, THEIRS))
    theirs.other = 2
    with pytest.raises(FrozenInstanceError):
        ours.other = 2


@st.composite
def classes(draw: st.DrawFn) -> tuple[dict[str, bool], list[tuple[str, dict[str, Any]]]]:
    """Options and fields of a class; what has a default stands behind what has none."""
    options = draw(
        st.fixed_dictionaries({one: st.booleans() for one in ("frozen", "slots", "eq", "repr", "kw_only")})
    )
    defaults = draw(st.lists(st.sampled_from([{}, {"default": 5}, {"default_factory": list}]), max_size=5))
    marks = st.fixed_dictionaries({"repr": st.booleans(), "compare": st.booleans()},
                                  optional={"kw_only": st.just(True)})  # fmt: skip
    return options, [(f"of_{n}", one | draw(marks)) for n, one in enumerate(sorted(defaults, key=bool))]


VALUES = st.lists(st.integers(0, 3), min_size=5, max_size=5)


@given(classes(), VALUES, VALUES)
def test_any_class_gives_the_same_answers(
    made: tuple[dict[str, bool], list[tuple[str, dict[str, Any]]]], one: list[int], other: list[int]
) -> None:
    options, named = made
    names = [name for name, _ in named]
    needed = [name for name, how in named if not how.keys() & {"default", "default_factory"}]

    def answers(make: Any) -> Any:
        base = {name: field(**how) for name, how in named}
        kind = make(**options)(type("Made", (), {"__annotations__": dict.fromkeys(names, int), **base}))
        a, b = (kind(**dict(zip(names, values, strict=False))) for values in (one, other))
        bare = told(lambda _: kind(**dict.fromkeys(needed, 1)), None)
        asks: list[Callable[[Any], Any]] = [
            lambda _: repr(a) if options["repr"] else "",
            lambda _: (a == b, a != b, a == copy.copy(a), a == copy.deepcopy(a)),
            lambda _: hash(a) == hash(copy.copy(a)),
            lambda _: [setattr(a, name, 9) for name in names],
            lambda _: [getattr(bare, name) for name in names],
            lambda _: [getattr(replace(a, **{name: 7}), name) for name in names],
            lambda _: kind(*one[: len(names)]) == kind(*one[: len(names)]),
            lambda _: asdict(b),
            lambda _: kind.__match_args__,
        ]  # fmt: skip
        return [told(ask, None) for ask in asks]

    assert answers(record) == answers(dataclass)
