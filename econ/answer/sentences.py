"""Tables of words beside a room: sentences filled, records as JSON, and why a figure is not reported.

Of the rows with one id (id, when, text) the first whose condition holds is said. `econ.inputs.check_rules` says
what they may name. Beside that: `r.plan.years`, a path of a record as in `contract.toml`; `each('a.path')` for one
with a star; `join('; ', found)`, `map(word, found)`; `say('id')`, another sentence. `reasons.csv` has the reasons
of the JSON by their names there; other figures take theirs by how their name begins.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from econ.evidence import curves
from econ.evidence.facts import Row, read_rows
from econ.fields import fields, is_dataclass
from econ.inputs.as_typed import plain_figure
from econ.inputs.check_rules import Blank, Entries, Scope, holds
from econ.inputs.expressions import Expression, Sentence, expression
from econ.inputs.lanes import exists
from econ.inputs.records import Scenario
from econ.model.plan import Plan
from econ.shipped import described

if TYPE_CHECKING:
    from econ.model.derived import Returns

Functions = Mapping[str, Callable[..., Any]]
Figures = Mapping[str, float]
TABLE = Path(__file__).parent / "sentences.csv"
REASONS = Path(__file__).parent / "reasons.csv"


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
            made |= filled(described("contract")[value], record, functions)
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
    value = value._asdict() if hasattr(value, "_asdict") else value
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    return [plain(one) for one in value] if isinstance(value, tuple | list) else value


def chance(share: float, samples: int) -> str:
    """A probability in words; never certain: none of n means less than 3/n at 95 % (rule of three)."""
    least = max(3 / samples, 0.01)
    if share < 0.01:
        return f"less than {least if share <= 0 else 0.01:.0%}"
    if share > 0.99:
        return f"more than {1 - least if share >= 1 else 0.99:.0%}"
    return f"{share:.0%}"


def few(value: float) -> str:
    """A number in words: one decimal, or two figures that matter below 1."""
    return f"{value:,.1f}" if abs(value) >= 1 else f"{value:.2g}"


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
            "each": lambda path: at_path(path, self.records, {}),
            "lower": lambda text: text[:1].lower() + text[1:] if text[1:2].islower() else text,
            "upper": lambda text: text[:1].upper() + text[1:], "figure": partial(plain_figure, figures=3), **names,
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
            if holds(when, self):
                yield text.filled(self).replace("  ", " ").strip()


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
         Sentence(row.cells["text"], row.where))
        for row in rows_by_id(table)[name]
    ]  # fmt: skip


def reasons_of(scenario: Scenario, plan: Plan, figures: Figures, found_returns: Returns) -> dict[str, str]:
    """Why each missing figure is missing, by its name in the JSON."""
    speech = Speech(scenario.entries, figures, {
        "plan": plan, "returns": found_returns, "exists": exists,
        "general": Speech({}, {}, {}).say, "why": partial(persistence_reason, scenario, plan, figures),
    }, REASONS)  # fmt: skip
    found = {name: text for name in rows_by_id(REASONS) if (text := speech.say(name))}
    missing = [name for name, value in figures.items() if not math.isfinite(value) and name not in found]
    return found | {f"figures.{name}": _reason(name, scenario, plan, figures) for name in missing}


def _reason(name: str, scenario: Scenario, plan: Plan, figures: Figures) -> str:
    general = Speech({}, {}, {}).say
    if name == "price_what_if_income" and not plan.carbon_protocol:
        return general("no-protocol")
    if name.endswith("emissions_kg_co2e"):
        return general("no-factor")
    has_removal = math.isfinite(figures["removal_kg_co2e"])
    if name.startswith(("own_way_kg_co2e", "avoided_")) or (name.startswith("difference") and has_removal):
        return general("no-baseline")
    method, by = next(
        ((method, by) for start, method, by in described("tables")["reasons"]["by"] if name.startswith(start)),
        ("", ""),
    )
    ratio = figures["hc_less_mineral"] if by == "corrected" else None
    if by == "lab":
        ratio = scenario.number_or("carbon.h_corg", ratio)
    return persistence_reason(scenario, plan, figures, method, ratio)


def persistence_reason(
    scenario: Scenario, plan: Plan, figures: Figures, method: str = "", ratio: float | None = None
) -> str:
    """Why a method gives no lasting share; the plan's own method and H/C_org [mol/mol] where not named."""
    if ratio is None:
        ratio = figures["hc_less_mineral"] if plan.corrects_hc else scenario.number_or("carbon.h_corg", None)
    soil = curves.persistence_by_hc().soil_c
    return Speech(scenario.entries, figures, {
        "plan": plan, "method": method or plan.persistence, "ratio": ratio, "soil_from_c": soil[0],
        "soil_to_c": soil[-1], "least_c": curves.persistence_classes().edges_c[0],
    }).say("persistence")  # fmt: skip
