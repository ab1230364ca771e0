"""What a reviewer asks of a carbon statement: boundary, baselines, additionality, permanence, monitoring.

After ISO 14064-2:2019, clauses 6.2 to 6.10, and the GHG Protocol for project accounting, chapters 5 to 11 (both
from memory). Methods of the plan are standards of the trade, named from memory: check the edition in force. Note,
page and JSON read the same records.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files

from econ.answer.results import Results
from econ.answer.sentences import Speech
from econ.measured.sample import Sample, samples_needed
from econ.model.derived import tonnes

NOT_FILLED = "not filled in: counted as zero"
BASELINES = {"compost_kg_co2e": "composting", "landfill_kg_co2e": "landfill"}
TODAY = "avoided_kg_co2e"
ANSWERS = {"yes": "yes", "no": "no", "not-answered": "not answered"}


@dataclass(frozen=True, slots=True)
class Boundary:
    """A source, sink or reservoir: where it stands, whether it is counted, how much [t CO2e a year], and why."""

    name: str
    where: str
    counted: str
    amount: float | None
    why: str


def boundary(results: Results) -> tuple[Boundary, ...]:
    """Every source, sink and reservoir of project and baseline, and the leakage, in or out with the reason.

    Rows of boundary.csv: one with the rule "filled" is in where its line is above zero.
    """
    found, made = results.coefficients, []
    # at most: all nitrogen carried off by air would become N2O elsewhere at the usual share
    indirect = results.figures["n_lost_kg"] * found["ammonia_n2o_n"] * found["n2o_per_n"] * found["gwp_n2o"]
    for row in _rows("boundary"):
        rule, why, line = row["rule"], row["why"], row["line"]
        amount = tonnes(indirect) if line == "indirect_n2o" else results.tonnes(line)
        if rule == "filled":
            rule, why, amount = ("in", why, amount) if amount else ("out", NOT_FILLED, None)
        made.append(Boundary(row["name"].format(today=today_words(results)), row["where"], rule, amount, why))
    return tuple(made)


def _rows(name: str) -> Iterator[dict[str, str]]:
    """The rows of a table of words beside this module."""
    text = (files("econ.answer") / f"{name}.csv").read_text(encoding="utf-8")
    return iter(csv.DictReader(text.splitlines()))


def today_words(results: Results) -> str:
    """Current practice in words."""
    return results.scenario["current.option"].row.words(results.plan.today)


@dataclass(frozen=True, slots=True)
class Baseline:
    """One baseline: its emissions and the difference that the kiln makes to it [t CO2e a year]."""

    name: str
    emitted: float | None
    difference: float | None
    is_conservative: bool


def baselines(results: Results) -> tuple[Baseline, ...]:
    """Current practice, composting and landfill; the one with the least emissions is the conservative one."""
    least, net = conservative(results), results.tonnes("project_net_kg_co2e")
    found = []
    for line in _candidates(results):
        emitted = results.tonnes(line)
        is_today = line == TODAY
        name = f"Current practice: {today_words(results)}" if is_today else f"The same bones: {BASELINES[line]}"
        difference = None if emitted is None or net is None else net + emitted
        found.append(Baseline(name, emitted, difference, line == least))
    return tuple(found)


def _candidates(results: Results) -> tuple[str, ...]:
    """The lines of the baselines; the way of current practice stands once."""
    return (TODAY, *(line for line, way in BASELINES.items() if way != results.plan.today))


def conservative(results: Results) -> str:
    """The line of the baseline with the least emissions, co-products left out; empty where none is known."""
    emitted = {line: results.figures[line] for line in _candidates(results)}
    return min((line for line in emitted if math.isfinite(emitted[line])), key=emitted.__getitem__, default="")


def _told(results: Results, *names: str) -> tuple[str, ...]:
    """Sentences on the case by their ids, those left out that do not hold."""
    law, common = (ANSWERS[results.scenario.choice(f"claim.{name}")] for name in ("law", "common_practice"))
    low, middle, high = results.chances.spreads["npv"].pair((10, 90))
    entries = results.scenario.entries
    typed = [one for one in entries.values() if one.row.is_number and not one.is_default and one.value is not None]
    speech = Speech(entries, results.figures, {
        "r": results, "law": law, "common": common, "low": low, "middle": middle, "high": high,
        "currency": results.scenario.currency, "typed_alone": len([one for one in typed if not one.has_range]),
        "method_date": str(entries["claim.method_date"].value or "")[:10],
        "hundreds": lambda value: f"{round(value, -2) + 0.0:,.0f}".replace("-", "−"),
    })  # fmt: skip
    return tuple(filter(None, map(speech.say, names)))


def additionality(results: Results) -> tuple[str, ...]:
    """What law and common practice ask already, and whether the kiln pays without the grant."""
    return _told(results, "law", "common", "without-grant", "not-additional", "unanswered")


def permanence(results: Results) -> tuple[str, ...]:
    """What can undo the storage, who answers for it, and what is followed up."""
    return _told(results, "reversal", "liable", "follow-up", "lost")


def method_rule(results: Results) -> str:
    """When the method was fixed, or the rule by which it is chosen."""
    return _told(results, "method-rule")[0]


def held(results: Results) -> tuple[str, ...]:
    """What stands still in the simulation runs, in words."""
    return _told(results, "held-gwp", "held-fuels", "held-atoms", "held-typed")


def rules(results: Results) -> tuple[str, ...]:
    """Compositing, missing data and records, in sentences."""
    return _told(results, "samples", "compositing", "missing", "records")


ENOUGH = 3
"""From so many samples on, the scatter seen replaces the one assumed."""


@dataclass(frozen=True, slots=True)
class Watch:
    """One quantity of the plan; `record` names what the record of a year counts for it."""

    record: str
    what: str
    method: str
    often: str
    who: str
    control: str


@dataclass(frozen=True, slots=True)
class Need:
    """How many samples a year a lab value needs: the scatter, where it is from, and n."""

    what: str
    scatter: float
    origin: str
    n: int


def needs(results: Results) -> tuple[Need, ...]:
    """Samples a year of organic carbon, H/C_org and moisture, for the confidence and precision wanted."""
    assay = results.measured.readings.assay
    samples = {} if assay is None else assay.samples
    return tuple(
        _need(results, words, samples.get(name))
        for words, name in (("Organic carbon", "c_org"), ("H/C_org", "h_corg"), ("Moisture", "moisture"))
    )


def _need(results: Results, what: str, seen: Sample | None) -> Need:
    scenario = results.scenario
    scatter, origin = scenario["monitor.scatter_share"].number, "assumed, too few samples yet"
    if seen is not None and seen.n >= ENOUGH and seen.sd is not None and seen.mean > 0:
        scatter, origin = seen.sd / seen.mean, f"seen in {seen.n} samples"
    precision, confidence = (scenario[f"monitor.{name}_share"].number for name in ("precision", "confidence"))
    batches = max(int(results.figures["firings_per_year"]), 1)
    return Need(what, scatter, origin, samples_needed(max(scatter, 1e-6), precision, confidence, batches))


def plan(results: Results) -> tuple[Watch, ...]:
    """What is measured, in the order in which the matter flows."""
    who, lab = (str(results.scenario[f"monitor.{name}"].value or "not answered") for name in ("who", "lab"))
    carbon, hydrogen, moisture = (need.n for need in needs(results))
    words = {
        "who": who,
        "lab": lab,
        "carbon": carbon,
        "hydrogen": hydrogen,
        "most": max(carbon, hydrogen, moisture),
    }
    return tuple(Watch(*(cell.format(**words) for cell in row.values())) for row in _rows("monitoring"))
