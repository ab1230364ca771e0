"""How the numbers behind a carbon statement are known: from the entry itself, never improved by printing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from econ.answer.results import Results
from econ.evidence.used import of_factor
from econ.inputs.records import Entry
from econ.measured.use import Standing
from econ.model.facts_read import facts_read
from econ.units import shown_unit

LARGE = 1000
SIGNS = {"degF": "°F", "degC": "°C", "fraction": "", "each": ""}
SHEET = {"assay": "Lab assay", "log": "Kiln log"}


@dataclass(frozen=True, slots=True)
class Quoted:
    """One number behind the figures: what, the value with its unit, how it is known, what stands beside it."""

    key: str
    label: str
    value: str
    how: str
    beside: str = ""


def quoted(results: Results) -> tuple[Quoted, ...]:
    """The numbers that the carbon figures rest on, in the order in which the matter flows."""
    beside = {one.target.key: _beside(one) for one in results.measured.readings.standings}
    found = []
    for key in _keys(results):
        entry = results.scenario.entries.get(key)
        if entry is not None and entry.value is not None:
            found.append(Quoted(key, entry.row.label, value_words(entry), how_known(entry), beside.get(key, "")))
        elif key == "carbon.organic_share":
            found.append(_by_balance(results, beside.get(key, "")))
    return tuple(found)


def behind(results: Results) -> tuple[Quoted, ...]:
    """What is no row of the plant: batches of a full year, and each factor of fuel and warming, with its rung."""
    plan, figures = results.plan, results.figures
    batches = Quoted("firings_per_year", "Batches of a full year", digits(figures["firings_per_year"]),
                     f"computed; at most {digits(figures['firings_allowed'])} are possible")  # fmt: skip
    facts = [one for one in facts_read(results.scenario, plan) if one.id.startswith(("fuel:", "gwp:"))]
    facts += [of_factor(f"gwp20_{gas}_{plan.gwp_set.lower()}") for gas in ("ch4", "n2o")]
    system = results.scenario.system
    shown = {one.id: (one.unit, 1.0) if "CO2e" in one.unit else shown_unit(one.unit, system) for one in facts}
    amounts = {one.id: f"{(one.value or 0.0) * shown[one.id][1]:.4g} {shown[one.id][0]}" for one in facts}
    return (batches, *(Quoted(one.id, one.label, amounts[one.id], one.mark) for one in facts))


def _keys(results: Results) -> Iterator[str]:
    plan = results.plan
    for n in plan.streams:
        yield f"bones.{n}.heads" if n in plan.matter.by_head else f"bones.{n}.mass"
        yield f"bones.{n}.excluded_share"
    yield from ("kiln.batch_load", "kiln.char_yield", "kiln.peak_temperature")
    yield from (f"fuel.{n}.per_batch" for n in plan.fuels)
    yield from ("carbon.organic_share", "carbon.h_corg", "carbon.in_scope_share", "carbon.soil_temperature")
    yield "carbon.test_ch4" if plan.tested_ch4 else "carbon.stack_ch4"
    yield "carbon.test_n2o" if plan.tested_n2o else "carbon.stack_n2o_share"
    yield "carbon.gwp_set"


def value_words(entry: Entry) -> str:
    """The value as typed, with its unit; the words of a choice."""
    if not isinstance(entry.value, float):
        return entry.words
    shown = entry.shown(entry.number) or 0.0
    short = "" if entry.unit is None else entry.unit.symbol
    return f"{digits(shown)} {SIGNS.get(short, short)}".strip()


def digits(value: float) -> str:
    """A number with three figures, or whole from a thousand on."""
    return f"{value:,.0f}" if abs(value) >= LARGE else f"{value:.3g}"


def how_known(entry: Entry, with_source: bool = False) -> str:
    """How an entry is known, with the source typed; a default says that it is one, and its source where asked."""
    if entry.row.kind == "choice":
        return "default" if entry.is_default else "chosen"
    if entry.is_default:
        mark = entry.known.removeprefix("default").removeprefix(": ")
        return f"default, {mark or 'assumed'}" + (f": {entry.source}" if with_source and entry.source else "")
    source = f": {entry.source}" if entry.source else ""
    return f"{entry.known}{source}" if entry.known else f"typed, how it is known is not said{source}"


def _beside(one: Standing) -> str:
    """What was measured or typed instead of the value in use."""
    sheet, other = SHEET[one.target.table], one.typed if one.is_used else one.measured
    if one.is_used:
        return "" if other.value is None else f"typed before: {value_words(other)} ({how_known(other)})"
    return f"measured and not switched on: {value_words(other)}, n = {one.sample.n} (sheet {sheet})"


def _by_balance(results: Results, beside: str) -> Quoted:
    share = results.figures["organic_c_kg"] / max(results.figures["char_kg"], 1e-9)
    how = "computed from the material balance, not measured"
    return Quoted("carbon.organic_share", "Organic carbon of the dry char", f"{share:.1%}", how, beside)


def organic_words(results: Results) -> str:
    """Organic carbon of the char, how it is known, and the measured value beside it, for a sentence."""
    one = next(one for one in quoted(results) if one.key == "carbon.organic_share")
    beside = f"; {one.beside}" if one.beside else ""
    return f"{one.value} organic carbon ({one.how}{beside})"


def hydrogen_words(results: Results) -> str:
    """How the H/C_org in use is known, for a label."""
    entry = results.scenario["carbon.h_corg"]
    return "not given" if entry.value is None else how_known(entry)
