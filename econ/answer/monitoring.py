"""The monitoring plan, computed: what is measured, by which method, how often, by whom, with how many samples.

The methods are standards of the trade, named from memory: check the edition in force with the laboratory.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from importlib.resources import files

from econ.answer.results import Results
from econ.measured.sample import Sample
from econ.measured.sample_size import samples_needed

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
    lines = (files("econ.answer") / "monitoring.csv").read_text(encoding="utf-8").splitlines()[1:]
    return tuple(Watch(*(cell.format(**words) for cell in line)) for line in csv.reader(lines))


def rules(results: Results) -> tuple[str, ...]:
    """Compositing, missing data and records, in sentences."""
    scenario = results.scenario
    confidence, precision = (scenario[f"monitor.{name}_share"].number for name in ("confidence", "precision"))
    years = scenario["monitor.record_years"].value
    kept = "not answered" if years is None else f"{scenario['monitor.record_years'].number:g} years"
    return (
        f"Samples: {confidence:.0%} confidence that a mean is within {precision:.0%}; n follows from the scatter.",
        "Compositing: ten increments from the whole batch, crushed and riffled; a twin is kept.",
        "Missing data take the conservative end: char without weight or lab value counts zero, fuel its highest.",
        f"Records kept: {kept}.",
    )
