"""The tables of a statement: promises and what was found, what next, how it is said; words in `year.toml`."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

import numpy as np

from econ.answer.carbon_case import needs, plan
from econ.answer.finding import say
from econ.answer.sentences import Speech, filled
from econ.answer.year import Statement, samples_of
from econ.errors import InputFault
from econ.fields import record, replace
from econ.inputs.as_typed import plain_figure
from econ.inputs.records import TableData
from econ.measured.readings import read_assay, read_log
from econ.measured.record import Period, lines_of, missing_months
from econ.measured.sample import Sample, sample
from econ.measured.use import TARGETS, Kept, calibration, next_range
from econ.shipped import described
from econ.units import shown_unit

Cell = str | float | None
MOST_MONTHS = 120
PLAN = described("year")
WHOLE = 330 / 365
"""From this share of a year on, sums are held against those of a year."""


@record(frozen=True, slots=True)
class Block:
    """One table: title, headings, rows of words and numbers, and a sentence under it."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    remark: str = ""


class Promise(NamedTuple):
    """A promised figure and what was found, in the unit shown; `sample` where it was measured more than once."""

    label: str
    kept: Kept
    sample: Sample | None


def period_of(first: str, last: str) -> Period:
    """The period between two days typed as YYYY-MM-DD; raises InputFault for what is none."""
    days = []
    for option, text in (("--from", first), ("--to", last)):
        try:
            days.append(dt.date.fromisoformat(text).isoformat())
        except ValueError:
            raise InputFault(option, repr(text[:40]), "Give a day as 2026-12-31") from None
    found = Period(*days)
    if not 0 < len(found.months) <= MOST_MONTHS or found.days < 1:
        raise InputFault("--to", last, f"Give a day from {first} on, at most ten years later")
    return found


def blocks(found: Statement) -> tuple[Block, ...]:
    """Every table of the statement, in order."""
    promises = tuple(promised_and_found(found))
    gaps = _block(found, "gaps", ((gap.where, gap.what, gap.done) for gap in found.gaps))
    made = (_weighed(found), _went(found), _carbon(found), gaps, _money(found), _kept(found, promises),
            _next_year(found, promises), _monitored(found), _again(found))  # fmt: skip
    return tuple(block for block in made if block.rows)


def _block(found: Statement, name: str, rows: Iterable[tuple[Cell, ...]], **more: Any) -> Block:
    """A table by its name in `year.toml`, `more` words for its remark."""
    words = {"money": found.scenario.currency, "mass": shown_unit("kg", found.scenario.system)[0], **more}
    table = PLAN["table"][name]
    heads = tuple(head.format(**words) for head in table["heads"])
    return Block(table["title"], heads, tuple(rows), table.get("remark", "").format(**words))


def _weighed(found: Statement) -> Block:
    unit, factor = shown_unit("kg", found.scenario.system)
    rows = (
        (label, found.figures[name] * factor, unit, how) for label, name, how in PLAN["table"]["weighed"]["rows"]
    )
    return _block(found, "weighed", [("Batches", found.figures["batches"], "", "Kiln log"), *rows])


def _went(found: Statement) -> Block:
    sums: dict[tuple[str, str], list[float]] = defaultdict(lambda: [0.0, 0.0])
    columns = found.record.tables["delivery"].plan.by_key if "delivery" in found.record.tables else {}
    for one in found.record.deliveries:
        if found.period.holds(one.day):
            pair = sums[one.buyer, one.use]
            pair[0] += one.taken_kg
            pair[1] += one.counted_kg
    factor = shown_unit("kg", found.scenario.system)[1]

    def words(key: str, slug: str) -> str:
        return columns[f"delivery.{key}"].words(slug) if slug else "not said"

    return _block(found, "went", (
        (words("buyer", buyer), words("use", use), gone * factor, counted * factor)
        for (buyer, use), (gone, counted) in sums.items()
    ))  # fmt: skip


def _carbon(found: Statement) -> Block:
    table = PLAN["table"]["carbon"]
    rows: list[tuple[Cell, ...]] = [
        (label.format(year=year), 100 * one.low, 100 * one.counted, 100 * one.high, one.how)
        for year, pair in found.known.items()
        for label, one in zip(table["known"], pair, strict=True)
    ]
    for label, name, how in table["rows"]:
        low, high = found.spans.get(f"{name}_kg_co2e", (None, None))
        ends = ["no range" if end is None else end / 1000 for end in (low, high)]
        rows.append((f"{label} [t CO2e]", ends[0], found.figures[f"{name}_kg_co2e"] / 1000, ends[1], how))
    return _block(found, "carbon", rows)


def _money(found: Statement) -> Block:
    scenario, figures, table = found.scenario, found.figures, PLAN["table"]["money"]
    wage = scenario.number_or("labour.wage", 0.0) * (1 + scenario.number_or("labour.on_cost_share", 0.0))
    sums = {**figures, "labour_cost": (figures["batch_hours"] + figures["other_hours"]) * wage}
    rows: list[tuple[Cell, ...]] = [
        (label, sums[name], *map(float, np.percentile(found.promised[line], (10, 50, 90)) * found.share_of_year))
        for label, name, line in table["rows"]
    ]
    rows.append((table["hauler"], figures["hauler_cost"], *[table["unplanned"]] * 3))
    return _block(found, "money", rows, share=found.share_of_year)


def promised_and_found(found: Statement) -> Iterator[Promise]:
    """Every range that was promised, and what the period found: means of the log and the lab, and yearly sums."""
    samples = _samples(found)
    for key, name in (*((one.key, one.sample) for one in TARGETS), ("kiln.batch_load", "load")):
        entry = found.scenario.entries.get(key)
        if entry is not None and entry.has_range and entry.value is not None and name in samples:
            unit, own = entry.unit, samples[name]
            shown = unit.from_canonical if unit else float  # in the unit that the range was typed in
            named = f" [{unit.symbol}]" if unit and unit.short not in {"fraction", "each"} else ""
            ends = map(shown, (entry.low or 0.0, entry.number, entry.high or 0.0, own.mean))
            yield Promise(f"{entry.row.label}{named}", Kept(*ends), sample([*map(shown, own.values)]))
    if found.share_of_year < WHOLE or missing_months(found.record, found.period):
        return
    mass, factor = shown_unit("kg", found.scenario.system)
    for label, line, name in PLAN["table"]["kept"]["rows"]:
        if value := found.figures[name]:
            scale = factor if line.endswith("_kg") else 1.0
            times = found.share_of_year * scale
            low, middle, high = (float(end) * times for end in np.percentile(found.promised[line], (10, 50, 90)))
            said = label.format(mass=mass, money=found.scenario.currency)
            yield Promise(said, Kept(low, middle, high, value * scale), None)


def _samples(found: Statement) -> dict[str, Sample]:
    """Samples of log and lab within the period."""
    tables = found.record.tables
    made: dict[str, Sample] = {}
    for name, reader in (("assay", read_assay), ("log", read_log)):
        if name in tables and (lines := found.record.lines(name, found.period)):
            made |= dict(reader(TableData(tables[name].plan, tables[name].units, lines)).samples)
    return made


def _kept(found: Statement, promises: tuple[Promise, ...]) -> Block:
    """Each promise with what was found, and what that says of the ranges."""
    counted = calibration([one.kept for one in promises])
    rows = tuple(
        (one.label, one.kept.low, one.kept.middle, one.kept.high, one.kept.found,
         1.0 if one.sample is None else float(one.sample.n), PLAN["side"][str(one.kept.side)])
        for one in promises
    )  # fmt: skip
    verdict = PLAN["ranges"][counted.verdict]
    return _block(found, "kept", rows, inside=counted.inside, n=counted.n, verdict=verdict)


def _next_year(found: Statement, promises: tuple[Promise, ...]) -> Block:
    """Ranges to type in, each with the rule that made it."""
    ranges = (
        (one.label, *next_range(one.kept.low, one.kept.high, one.sample or sample([one.kept.found])))
        for one in promises
    )
    return _block(found, "next", ((*row[:4], PLAN["rule"][row[4]]) for row in ranges))


def _monitored(found: Statement) -> Block:
    """Rows of the monitoring plan: what was planned, what was done, what is open."""
    batches = [one for one in found.record.batches if found.period.holds(one.day)]
    slips = found.record.lines("delivery", found.period)
    years = found.period.years
    wanted = {need.what: need.n * len(years) for need in needs(found.results)}

    def with_own(column: str) -> tuple[int, int]:
        return len([one for one in batches if column in one.own]), len(batches)

    def sampled(what: str, name: str) -> tuple[int, int]:
        return sum(len(samples_of(found.record, name, year)) for year in years), wanted[what]

    tested = int(found.results.plan.tested_ch4) + int(found.results.plan.tested_n2o)
    done = {
        "bones": with_own("bones_in"), "fuel": with_own("fuel_1"), "peak": with_own("peak"),
        "char": with_own("char_out"), "carbon": sampled("Organic carbon", "c_org"),
        "hydrogen": sampled("H/C_org", "h_corg"), "stack": (tested, 2),
        "deliveries": (len([line for line in slips if line.text("delivery.evidence")]), len(slips)),
    }  # fmt: skip
    rows = []
    for watch in plan(found.results):
        made, asked = done[watch.record]
        state = "done" if made >= asked and asked else "nothing to do" if not asked else f"{asked - made} not done"
        rows.append((watch.what, watch.often, float(asked), float(made), state))
    block = _block(found, "monitored", rows)
    return replace(block, remark="") if lines_of(found.record.tables, "bought") else block


def _again(found: Statement) -> Block:
    """From today on: sunk cost left out, resale now, debt left, measured values in place."""
    if (again := found.again) is None:
        return _block(found, "unasked", map(tuple, PLAN["table"]["unasked"]["rows"]))
    table, results = PLAN["table"]["again"], again.results
    low, middle, high = results.chances.spreads["npv"].pair((10, 90))
    values: dict[str, Cell] = {
        "decision": PLAN["decision"][results.finding.verdict], "low": low, "middle": middle, "high": high,
        "loss": 100 * results.chances.loss,
        "years": again.years, "resale": again.resale, "debt": again.debt, "cash": again.resale - again.debt,
        "turns": ", ".join(one.fact.label for one in results.finding.missing) or table["nothing_open"],
        "change": say(results, "plans"),
    }  # fmt: skip
    money = found.scenario.currency
    return _block(found, "again", ((label.format(money=money), values[name]) for label, name in table["rows"]))


def summary(found: Statement) -> tuple[str, ...]:
    """Five lines that open the statement and are printed on the screen."""
    unit, factor = shown_unit("kg", found.scenario.system)
    low, high = found.spans["net_kg_co2e"]
    counted = calibration([one.kept for one in promised_and_found(found)])
    speech = Speech(found.scenario.entries, found.figures, {
        "weight": lambda kg: f"{plain_figure(kg * factor, 3)} {unit}", "low": low, "high": high,
        "inside": counted.inside, "tonnes": lambda kg: f"{kg / 1000:.2f}".replace("-", "−"), "n": counted.n,
        "gap_count": len(found.gaps),
    })  # fmt: skip
    return tuple(speech.say(f"year-{name}") for name in ("batches", "delivered", "removal", "net", "kept"))


def as_json(found: Statement) -> dict[str, Any]:
    """The statement as plain values: sums in kg and currency, spans P5 to P95, gaps, and every table."""
    made: dict[str, Any] = filled(described("contract")["year"], found, {"blocks": blocks})
    return made
