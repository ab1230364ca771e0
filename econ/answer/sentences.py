"""Sentences as data: of the rows with one id, the first whose condition holds is said.

A table `sentences.csv` beside a room has three columns: id, when, text. `econ.inputs.check_rules` says what they
may name. Beside that: `r.plan.years`, a path of a record as in `contract.toml`; `each('a.path')` for one with a
star; `join('; ', found)`, `map(word, found)`; `say('id')`, another sentence.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from econ.answer.filled import at_path
from econ.evidence.facts import Row, read_rows
from econ.inputs.check_rules import Blank, Entries, Scope
from econ.inputs.expressions import Expression, Sentence, expression

TABLE = Path(__file__).parent / "sentences.csv"


def few(value: float) -> str:
    """A positive number in words: one decimal, or two figures that matter below 1."""
    return f"{value:,.1f}" if value >= 1 else f"{value:.2g}"


def amount(value: float) -> str:
    """A number with about three figures."""
    digits = 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2
    return f"{value:,.{digits}f}"


class Speech(Scope):
    """What the sentences of a table may name: rows and figures of a plant, and `names`; text for what is said."""

    def __init__(
        self, entries: Entries, figures: Mapping[str, float], names: Mapping[str, Any], table: Path = TABLE
    ) -> None:
        super().__init__(entries, figures, {})
        self.table, self.records = table, dict(names)
        self |= {
            "say": self.say, "join": lambda by, parts: by.join(filter(None, parts)), "map": map,
            "each": lambda path: at_path(path, self.records, {}), "lower": str.lower,
            "upper": lambda text: text[:1].upper() + text[1:], **names,
        }  # fmt: skip

    def row(self, key: str) -> Any:
        """The value of a row of the plant, or what stands at the path of a record; Blank for neither."""
        if key.partition(".")[0] not in self.records:
            return super().row(key)
        if (found := at_path(key, self.records, {})) is None:
            raise Blank(key)
        return found

    def say(self, name: str, **more: Any) -> str:
        """The first sentence of an id whose condition holds, `more` names given; empty where none does."""
        return next(self.lines(name, **more), "")

    def lines(self, name: str, **more: Any) -> Iterator[str]:
        """All sentences of an id whose conditions hold, in order."""
        self |= more
        self.records |= more
        for when, text in compiled(self.table, name):
            if self._holds(when):
                yield text.filled(self).replace("  ", " ").strip()

    def _holds(self, when: Expression | None) -> bool:
        try:
            return when is None or bool(when.code(self))
        except Blank:
            return False


@cache
def rows_by_id(table: Path) -> Mapping[str, list[Row]]:
    """The rows of a table of sentences by their id, in order."""
    found: dict[str, list[Row]] = defaultdict(list)
    for row in read_rows(table, ("id", "when", "text")):
        found[row.text("id")].append(row)
    return dict(found)


@cache
def compiled(table: Path, name: str) -> list[tuple[Expression | None, Sentence]]:
    """Conditions and sentences of an id; FactorError with file and line for one that cannot be read."""
    return [
        (expression(when, row.where) if (when := row.cells["when"]) else None,
         Sentence.of(row.cells["text"], row.where))
        for row in rows_by_id(table)[name]
    ]  # fmt: skip
