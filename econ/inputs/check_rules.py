"""Checks as rows of a csv table: when something is said, of which row, the sentence, and what to do.

A row of such a table (`checks.csv` here, `measured/cautions.csv` and `answer/cautions.csv` above) holds:

- `id`: the stable name of a caution; `error` for what stops a run; `@name` for a check written in Python.
- `about`: its subject.
- `each`: what it is asked of. Empty: once. Keys: each of these rows, called `this`. `product`: each filled
  instance of that block; `bones:mass heads`: each with one of these words filled; `wear:`: each that is there
  at all; `lines log`: each line of that table. Rows of the instance are `own.price`; its number is `n`.
- `when`: a condition. `kiln.life` is the value of that row in canonical units or the slug of a choice, and
  `plan.years` a choice of the plan; a name is a figure of the model. A condition that reads a blank row or a
  figure that is not there does not hold. Functions of a row take its key in quotes: `blank("kiln.life")`.
- `where`: the key of the row; a leading `@` gives its cell instead.
- `text`, `do`: the sentences; `{npv:,.0f}` is filled in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache, partial
from pathlib import Path
from typing import Any

from econ.errors import InputFault
from econ.evidence import factors, substances
from econ.evidence.factors import how_known
from econ.evidence.facts import Cell, Row, read_as
from econ.fields import record, replace
from econ.inputs.expressions import Expression, Sentence, expression
from econ.inputs.lanes import asked, plants_now, summed
from econ.inputs.records import Caution, Entry, Line, TableData, instances, system_of
from econ.inputs.schema import blocks, table_plans
from econ.units import counted, said

CELLS: Mapping[str, Cell] = {
    **dict.fromkeys(("about", "each", "where"), Row.any),
    **dict.fromkeys(("text", "do"), lambda row, column: Sentence(row.cells[column], row.where)),
    "when": lambda row, column: expression(row.cells[column], row.where) if row.cells[column] else None,
}
ERROR = "error"
Entries = Mapping[str, Entry]
Found = Caution | InputFault
Check = Callable[..., Iterable[Found]]

CONSTANTS = {name: value for name, value in vars(substances).items() if isinstance(value, float)}


class Blank(Exception):
    """A row without a value, or a figure that this plant does not have."""


@record(frozen=True, slots=True)
class Rule:
    """One row of a table, its expressions compiled; sentences are pairs of a text and what follows it."""

    id: str
    about: str
    each: str
    when: Expression | None
    where: str
    text: Sentence
    do: Sentence

    @property
    def is_error(self) -> bool:
        """Whether it stops a run, itself or by a check written in Python."""
        return self.id == ERROR or self.id.endswith("_errors")

    def caution(self, scope: Scope, where: str) -> Caution:
        """What it says, and what to do."""
        return Caution(self.id, " ".join(filter(None, (self.text.filled(scope), self.do.filled(scope)))), where)


@cache
def rules(path: Path) -> tuple[Rule, ...]:
    """The rows of a table; raises FactorError with file and line for a row that cannot be read."""
    return tuple(rule for _, rule in read_as(path, Rule, CELLS))


class Scope(dict[str, Any]):
    """What the expressions of a table may name: rows, functions of rows, and the figures given."""

    def __init__(self, entries: Entries, names: Mapping[str, Any], tables: Mapping[str, TableData]) -> None:
        super().__init__(CONSTANTS)
        self.entries, self.tables, system = entries, tables, system_of(entries)
        self.own = ""
        self.line: Line | None = None
        self |= {
            "abs": abs, "len": len, "max": max, "min": min, "repr": repr, "CLOSE": 1 + 1e-9,
            "C_PER_CACO3": substances.C_PER_CACO3_REPORTING, "row": self.row, "typed": self.typed,
            "get": lambda key, blank: blank if (one := self.found(key)) is None else one,
            "default": lambda key: self.entry(key).is_default, "every": self.every, "under": self.under,
            "blank": lambda key: self.found(key) is None, "filled": lambda key: self.found(key) is not None,
            "some": lambda *keys: len([key for key in keys if self.found(key) is not None]),
            "total": lambda *keys: summed(self.found(key) or 0.0 for key in keys),
            "label": lambda key: self.entry(key).row.label, "sheet": lambda key: self.entry(key).row.sheet,
            "short": lambda key: self.unit(key).short, "unit": lambda key: self.unit(key).name,
            "said": lambda key: self.entry(key).said, "how_known": lambda key: how_known(self.entry(key).known),
            "fact": lambda name: factors.factor(name).value, "gaps": lambda found: list(found).count(None),
            "whole": lambda found: summed(one for one in found if one is not None),
            "is_typed_under": lambda start: any(map(self.typed, self._starting(start))),
            "measured": self.measured, "columns": _columns, "mass": lambda kg: said(kg, "kg", system),
            "tons": lambda kg: said(kg / 1000, "t", system, 1), "amount": lambda x, unit: said(x, unit, system),
            "heat": lambda mj: said(mj, "MJ", system, 2 if system == "us" else 0),
            "as_typed": lambda key: self.entry(key).shown(self.row(key)), "counted": counted, **names,
        }  # fmt: skip

    def __getitem__(self, name: str) -> Any:
        if (found := self.get(name)) is None:
            raise Blank(name)
        return found

    def key(self, key: str) -> str:
        """The full key of `this`, of a row of the instance in hand, or of any row."""
        return self.own if key == "this" else key.replace("own.", self.own, 1) if key.startswith("own.") else key

    def entry(self, key: str) -> Entry:
        """The entry of a row; Blank where this plant has none."""
        if (found := self.entries.get(self.key(key))) is None:
            raise Blank(key)
        return found

    def found(self, key: str) -> Any:
        """The value of a row, or of a cell of the line in hand; None where it is blank."""
        full = self.key(key)
        if self.line is not None and key.startswith("own."):
            return self.line.values.get(full)
        return self.entries[full].value if full in self.entries else None

    def row(self, key: str) -> Any:
        """The value of a row; Blank where it has none. `plan.years` reads the plan."""
        if key.startswith("plan."):
            found: Any = self
            for word in key.split("."):
                found = found[word] if found is self else getattr(found, word)
            return found
        if (value := self.found(key)) is None:
            raise Blank(key)
        return value

    def unit(self, key: str) -> Any:
        """The unit in which a row was typed."""
        if (unit := self.entry(key).unit) is None:
            raise Blank(key)
        return unit

    def typed(self, key: str) -> bool:
        """Whether a row holds a value that the person gave."""
        return self.found(key) is not None and not self.entry(key).is_default

    def every(self, key: str, *filled: str) -> list[Any]:
        """Values of a row of a block, such as "product.share", over its filled instances."""
        name, _, word = key.rpartition(".")
        return [self.found(f"{name}.{n}.{word}") for n in self.instances(name, filled)]

    def instances(self, block: str, words: Iterable[str]) -> list[int]:
        """Numbers of the instances of a block of which one of the words, else its trigger, is filled."""
        return instances(self.entries, block, *(words or (blocks()[block].trigger,)))

    def measured(self, *keys: str) -> bool:
        """Whether one and the same line of a table holds all of these numbers."""
        name = keys[0].partition(".")[0]
        lines = self.tables[name].lines if name in self.tables else ()
        return any(all(line.number(key) is not None for key in keys) for line in lines)

    def under(self, start: str) -> list[Any]:
        """Values of all rows whose key begins so; None for a blank one."""
        return [self.entries[key].value for key in self._starting(start)]

    def _starting(self, start: str) -> list[str]:
        return [key for key in self.entries if key.startswith(self.key(start))]

    def first(self, start: str) -> str:
        """The first filled row whose key begins and ends so, as "supply. _share"."""
        begin, _, end = start.partition(" ")
        return next(key for key in self._starting(begin) if key.endswith(end) and self.found(key) is not None)


def holds(when: Expression | None, scope: Mapping[str, Any]) -> bool:
    """Whether a condition is true, or there is none; one that reads what is blank is not."""
    try:
        return when is None or bool(when.code(scope))
    except Blank:
        return False


def _columns(*keys: str) -> str:
    """Columns of a table in words, with its sheet."""
    plan = table_plans()[keys[0].partition(".")[0]]
    return " and ".join(f"'{plan.by_key[key].label}'" for key in keys) + f" on the sheet '{plan.sheet}'"


def _turns(rule: Rule, scope: Scope) -> Iterator[None]:
    """Set the scope to each thing that a rule is asked of, in turn."""
    scope.own, scope.line = "", None
    kind, _, rest = rule.each.partition(" ")
    if not rule.each:
        yield None
    elif kind == "lines":
        for line in scope.tables[rest].lines if rest in scope.tables else ():
            scope.own, scope.line = f"{rest}.", line
            yield None
    elif "." in kind and ":" not in kind:
        for scope.own in rule.each.split():
            scope["this"] = scope.found(scope.own)
            yield None
    else:
        block, _, words = rule.each.partition(":")
        numbers = scope.instances(block, words.split())
        if rule.each.endswith(":"):
            numbers = sorted({entry.row.number for entry in scope.entries.values() if entry.row.block == block})
        for n in numbers:
            scope.own = f"{block}.{n}."
            scope |= {"n": n, "last": numbers[-1], "count": len(numbers)}
            yield None


def _place(rule: Rule, scope: Scope) -> str:
    """The key of the row, or its cell; `first(...)` finds the row."""
    name = rule.where.removeprefix("@")
    key = scope.first(name[6:-1]) if name.startswith("first(") else scope.key(name)
    if scope.line is not None:
        return scope.line.at(key)
    return scope.entries[key].place if rule.where.startswith("@") else key


def walk(
    found: Iterable[Rule], checks: Mapping[str, Check], scope: Scope, *given: Any
) -> Iterator[tuple[Rule, Found]]:
    """What the rules of a table say, in its order, each with its rule; the same is not said twice.

    `checks` are those written in Python, called with `given`. Of many plants worked out together those with an
    error part for good, those with a caution for it alone.
    """
    told: set[tuple[str, str, str]] = set()
    for rule in found:
        ask: Callable[[], Iterable[Found]]
        if rule.id.startswith("@"):
            ask = partial(checks[rule.id[1:]], *given)
        else:
            ask = partial(_said, rule, scope, told if plants_now() is None else None)
        if rule.is_error:
            yield from ((rule, one) for one in ask())
        else:
            for one, plants in asked(ask):
                yield rule, replace(one, plants=plants) if isinstance(one, Caution) else one


def _said(rule: Rule, scope: Scope, told: set[tuple[str, str, str]] | None) -> Iterator[Found]:
    """What one rule says, in a scope, of each thing that it is asked of."""
    told = set() if told is None else told
    for _ in _turns(rule, scope):
        if not holds(rule.when, scope):
            continue
        where, text = _place(rule, scope), rule.text.filled(scope)
        if (rule.id, where, text) in told:
            continue
        told.add((rule.id, where, text))
        if rule.id == ERROR:
            yield InputFault(where, text, rule.do.filled(scope))
        else:
            yield rule.caution(scope, where)
