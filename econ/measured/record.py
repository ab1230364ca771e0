"""The record of a plant over time: what was made, delivered and burnt, and gaps, filled at the conservative end.

Events are walked by date, so that periods add up and nothing counts twice: a batch adds its dry char to the
store, a delivery takes from it and counts only for char in store that day. The rule for gaps:

- a batch without date or weight of char adds nothing; without date or peak its carbon fraction is zero;
- a delivery without weight takes all that is in store; without date it takes from the store before all others;
- a delivery without water, end use, soil or evidence takes its whole weight and counts no removal;
- a batch without fuel or bones counts the highest of the record and of the typed range, a month without a line the
  highest month.

No gap filled so raises a removal (held by a property test).
"""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from econ.fields import field, record, replace
from econ.inputs.records import Line, Scenario, TableData
from econ.measured.readings import FUELS, dry_char_kg

FIELD, MINERAL = "field", "mineral"
IDLE = "no batch"
"""A line of the log with a date and these words in its remark says that the kiln stood still that month."""


@record(frozen=True, slots=True)
class Period:
    """From the first to the last day, both inclusive, as ISO dates."""

    first: str
    last: str

    def holds(self, day: str) -> bool:
        """Whether a day lies in it; a blank date lies in none."""
        return self.first <= day <= self.last

    @property
    def months(self) -> tuple[str, ...]:
        """Its months as "2026-03", in order."""
        ends = [int(day[:4]) * 12 + int(day[5:7]) - 1 for day in (self.first, self.last)]
        return tuple(f"{at // 12}-{at % 12 + 1:02}" for at in range(ends[0], ends[1] + 1))

    @property
    def days(self) -> int:
        """Its days."""
        first, last = map(dt.date.fromisoformat, (self.first, self.last))
        return (last - first).days + 1

    @property
    def years(self) -> tuple[str, ...]:
        """Its calendar years."""
        return tuple(dict.fromkeys(month[:4] for month in self.months))


class Gap(NamedTuple):
    """Something missing or contradictory: where, what it is, and what was done about it."""

    where: str
    what: str
    done: str
    day: str = ""


class Batch(NamedTuple):
    """One batch of the log, gaps filled; kg, canonical fuel units, °C. `own` says what was measured."""

    day: str
    bones_kg: float
    char_kg: float
    peak_c: float | None
    fuels: Mapping[int, float]
    hours: float | None
    own: frozenset[str]


@record(frozen=True, slots=True)
class Delivery:
    """One delivery: what of its dry char was in store and what was not [kg], and whether it counts in scope."""

    day: str
    taken_kg: float
    short_kg: float
    in_scope: bool
    buyer: str
    use: str

    @property
    def counted_kg(self) -> float:
        """Dry char on mineral soil in scope, with evidence, that was in store [kg]."""
        return self.taken_kg if self.in_scope else 0.0


@record(frozen=True, slots=True)
class Record:
    """All that was recorded, by date, and every gap. `stock` is [kg] in store after each day of an event."""

    batches: tuple[Batch, ...]
    deliveries: tuple[Delivery, ...]
    stock: Mapping[str, float]
    opening_kg: float
    gaps: tuple[Gap, ...]
    months: frozenset[str]
    tables: Mapping[str, TableData] = field(repr=False)

    def stock_at(self, day: str, inclusive: bool = True) -> float:
        """Dry char in store at the end of a day [kg], or before it."""
        before = [one for one in self.stock if one <= day and (inclusive or one < day)]
        return max(self.stock[before[-1]], 0.0) if before else self.opening_kg

    def lines(self, table: str, period: Period) -> tuple[Line, ...]:
        """The lines of a table whose date lies in the period."""
        return tuple(line for line in lines_of(self.tables, table) if period.holds(line.text(f"{table}.date")))

    def sum(self, table: str, column: str, period: Period) -> float:
        """The sum of a column over the period [its canonical unit]."""
        return math.fsum(line.number(f"{table}.{column}") or 0.0 for line in self.lines(table, period))


def lines_of(tables: Mapping[str, TableData], name: str) -> tuple[Line, ...]:
    """The lines of a table, none where the workbook holds none."""
    return tables[name].lines if name in tables else ()


def read_record(scenario: Scenario) -> Record:
    """The record of a scenario, with a fault of no kind: what is wrong or missing is a gap."""
    gaps: list[Gap] = []
    batches, months = _batches(scenario, gaps)
    opening = scenario.number_or("record.opening_stock", 0.0)
    deliveries, stock = _walk(batches, lines_of(scenario.tables, "delivery"), opening, gaps)
    for table in ("bought", "worked", "hauled", "sale", "assay"):
        gaps += [Gap(line.at(f"{table}.date"), "a line without a date", "it is in no period")
                 for line in lines_of(scenario.tables, table) if not line.text(f"{table}.date")]  # fmt: skip
    return Record(tuple(batches), tuple(deliveries), stock, opening, tuple(gaps), months, scenario.tables)


def _batches(scenario: Scenario, gaps: list[Gap]) -> tuple[list[Batch], frozenset[str]]:
    """The batches in order of date with gaps filled, and the months that have a line."""
    lines = lines_of(scenario.tables, "log")
    months = frozenset(line.text("log.date")[:7] for line in lines if line.text("log.date"))
    worked = [line for line in lines if IDLE not in line.text("log.remark").lower()]
    most = {name: _most(scenario, worked, f"log.{name}", key) for name, key in
            (("bones_in", "kiln.batch_load"), *((f"fuel_{n}", f"fuel.{n}.per_batch") for n in FUELS))}  # fmt: skip
    found, day = [], next((line.text("log.date") for line in worked if line.text("log.date")), "")
    for line in worked:
        own = frozenset(key.partition(".")[2] for key, value in line.values.items() if value not in (None, ""))
        day = line.text("log.date") or day
        filled = {name: line.number(f"log.{name}") for name in most}
        counted = "the highest of record and range counts"
        gaps += [Gap(line.at(f"log.{name}"), f"a batch without {what}", done, day) for name, is_so, what, done in (
            ("date", "date" not in own, "a date", "its char counts zero; its fuel stands beside the line before"),
            ("char_out", "char_out" not in own, "weight of char", "its char counts zero"),
            ("peak", "peak" not in own, "peak temperature", "zero of its carbon is taken to remain"),
            *((name, filled[name] is None and highest > 0,
               "weight of bones" if name == "bones_in" else f"fuel {name[-1]}", counted)
              for name, highest in most.items()),
        ) if is_so]  # fmt: skip
        bones, *fuels = (most[name] if value is None else value for name, value in filled.items())
        char = (dry_char_kg(line) or 0.0) if "date" in own else 0.0
        peak = line.number("log.peak") if "date" in own else None
        used = dict(zip(FUELS, fuels, strict=True))
        found.append(Batch(day, bones, char, peak, used, line.number("log.hours"), own))
    return sorted(found, key=lambda one: one.day), months


def _most(scenario: Scenario, lines: Sequence[Line], column: str, key: str) -> float:
    """The highest of a column, and of the range of the row that promises it; 0 where there is neither."""
    entry = scenario.entries.get(key)
    typed = [] if entry is None or entry.value is None else [entry.number, entry.high or 0.0]
    return max((*typed, *(value for line in lines if (value := line.number(column)) is not None)), default=0.0)


def _walk(
    batches: Sequence[Batch], lines: Sequence[Line], opening: float, gaps: list[Gap]
) -> tuple[list[Delivery], dict[str, float]]:
    """Deliveries in order of date, each with what was in store, and the store after each day [kg]."""
    made: dict[str, float] = defaultdict(float)
    for batch in batches:
        made[batch.day] += batch.char_kg
    placed = [line for line in lines if line.text("delivery.date") or line.number("delivery.mass") is not None]
    gaps += [Gap(line.at("delivery.date"), "a delivery without date and weight", "it counts nowhere")
             for line in lines if line not in placed]  # fmt: skip
    left, found, stock, seen, days = opening, [], {}, set(), sorted(made)
    for line in sorted(placed, key=lambda one: one.text("delivery.date")):
        day = line.text("delivery.date")
        while days and days[0] <= day:
            left += made[days[0]]
            stock[days.pop(0)] = left
        one = _delivered(line, day, left, gaps)
        same = tuple(line.values.get(f"delivery.{name}") for name in ("date", "mass", "use", "evidence"))
        if all(same) and same in seen:
            one = replace(one, in_scope=False)
            what = "a delivery like another in date, weight, end use and evidence"
            gaps.append(Gap(line.at("delivery.date"), what, "taken as written twice: it counts no removal", day))
        seen.add(same)
        # what leaves without a date may have left before all else: the store goes below zero until it is made good
        left -= one.taken_kg + (one.short_kg if not day else 0.0)
        stock[day] = left
        found.append(one)
    for day in days:
        left += made[day]
        stock[day] = left
    return found, stock


def _delivered(line: Line, day: str, left: float, gaps: list[Gap]) -> Delivery:
    weighed, water = line.number("delivery.mass"), line.number("delivery.moisture")
    use = line.text("delivery.use")
    missing = [words for words, is_there in (
        ("date", day), ("water", water is not None), ("end use", use not in ("", "unknown")),
        ("soil", use != FIELD or line.text("delivery.soil") not in ("", "unknown")),
        ("evidence", line.text("delivery.evidence"))) if not is_there]  # fmt: skip
    in_scope = not missing and weighed is not None and use == FIELD and line.text("delivery.soil") == MINERAL
    store = max(left, 0.0)
    dry = store if weighed is None else weighed * (1 - (water or 0.0))
    taken = min(dry, store)
    if weighed is None:
        gaps.append(Gap(line.at("delivery.mass"), "a delivery without weight",
                        "all char then in store counts as gone, and no removal", day))  # fmt: skip
    if missing:
        is_use = missing == ["evidence"] and use != FIELD
        what = "an end use without evidence" if is_use else f"a delivery without {' and '.join(missing)}"
        gaps.append(Gap(line.at("delivery.date"), what, "no removal is counted for it", day))
    if day and dry > taken * (1 + 1e-9) + 1e-9:
        gaps.append(Gap(line.at("delivery.mass"), "a delivery above what was made plus stock",
                        "only what was in store counts", day))  # fmt: skip
    return Delivery(day, taken, dry - taken, in_scope, line.text("delivery.buyer"), use)


def missing_months(record: Record, period: Period) -> tuple[str, ...]:
    """Months of the period without a line in the log, from the first month of the log on."""
    started = min(record.months, default="9999")
    return tuple(month for month in period.months if month >= started and month not in record.months)


def highest_month(record: Record) -> tuple[float, dict[int, float]]:
    """Bones [kg] and each fuel of the months that burnt most of it, each for itself."""
    bones: dict[str, float] = defaultdict(float)
    fuels: dict[int, dict[str, float]] = {n: defaultdict(float) for n in FUELS}
    for batch in record.batches:
        bones[batch.day[:7]] += batch.bones_kg
        for n, used in batch.fuels.items():
            fuels[n][batch.day[:7]] += used
    return max(bones.values(), default=0.0), {n: max(found.values(), default=0.0) for n, found in fuels.items()}


def outside(record: Record, period: Period) -> Iterator[tuple[str, int]]:
    """Each table with how many dated lines lie outside the period."""
    for name, data in record.tables.items():
        if f"{name}.date" in data.plan.by_key:
            days = [line.text(f"{name}.date") for line in data.lines]
            if count := sum(1 for day in days if day and not period.holds(day)):
                yield data.plan.sheet, count
