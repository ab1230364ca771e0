"""What a reviewer asks of a carbon statement: its account, boundary, baselines, permanence, monitoring.

After ISO 14064-2:2019, clauses 6.2 to 6.10, and the GHG Protocol for project accounting, chapters 5 to 11 (both
from memory). Methods of the plan are standards of the trade, named from memory: check the edition in force. Note,
page and JSON read the same records.
"""

from __future__ import annotations

import math
from functools import partial
from typing import Any, NamedTuple

from econ.answer.results import Results, doubts, organic_words
from econ.answer.sentences import Speech, amount, persistence_reason
from econ.measured.sample import Sample, samples_needed
from econ.model.carbon import out_share
from econ.model.derived import KG_PER_T, clean, over_study, share_of, tonnes
from econ.shipped import described, listed

NOT_FILLED = "not filled in: counted as zero"
BASELINES = {"compost_kg_co2e": "composting", "landfill_kg_co2e": "landfill"}
TODAY = "avoided_kg_co2e"
ENOUGH = 3
"""From so many samples on, the scatter seen replaces the one assumed."""
HORIZON_YEARS = 100
METHODS = {slug: one["line"] for slug, one in described("tables")["method"].items()}
METHOD_WORDS = {slug: one["words"] for slug, one in described("tables")["method"].items()}
_CARBON = described("contract")["carbon"]
_DIFFERENCE = _CARBON["difference_to_current_practice"]
NET_FORMULA, WITHOUT_FORMULA, WITH_FORMULA = (
    one["formula"].removeprefix("=")
    for one in (_CARBON["project_net"], _DIFFERENCE["without_credits"], _DIFFERENCE["with_credits"])
)


class Boundary(NamedTuple):
    """A source, sink or reservoir: where it stands, whether it is counted, how much [t CO2e a year], and why."""

    name: str
    where: str
    counted: str
    amount: float | None
    why: str


def boundary(results: Results) -> tuple[Boundary, ...]:
    """Sources, sinks, reservoirs and leakage, in or out with the reason; "filled" is in above zero."""
    found, made = results.coefficients, []
    # at most: all nitrogen carried off by air would become N2O elsewhere at the usual share
    indirect = results.figures["n_lost_kg"] * found["ammonia_n2o_n"] * found["n2o_per_n"] * found["gwp_n2o"]
    for row in listed("boundary"):
        rule, why, line = row["rule"], row["why"], row["line"]
        amount = tonnes(indirect) if line == "indirect_n2o" else results.tonnes(line)
        if rule == "filled":
            rule, why, amount = ("in", why, amount) if amount else ("out", row["zero"] or NOT_FILLED, None)
        made.append(Boundary(row["name"].format(today=today_words(results)), row["where"], rule, amount, why))
    return tuple(made)


def today_words(results: Results) -> str:
    """Current practice in words."""
    return results.scenario["current.option"].row.words(results.plan.today)


class Baseline(NamedTuple):
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


def told(results: Results, part: str) -> tuple[str, ...]:
    """Sentences on a part of the case (additionality, permanence, method, held, records), those that hold."""
    law, common = (
        results.scenario.choice(f"claim.{name}").replace("-", " ") for name in ("law", "common_practice")
    )
    low, middle, high = results.chances.spreads["npv"].pair((10, 90))
    entries = results.scenario.entries
    typed = [one for one in entries.values() if one.row.is_number and not one.is_default and one.value is not None]
    speech = Speech(entries, results.figures, {
        "r": results, "law": law, "common": common, "low": low, "middle": middle, "high": high,
        "currency": results.scenario.currency, "typed_alone": len([one for one in typed if not one.has_range]),
        "method_date": str(entries["claim.method_date"].value or "")[:10],
        "hundreds": lambda value: f"{round(value, -2) + 0.0:,.0f}".replace("-", "−"),
    })  # fmt: skip
    return tuple(filter(None, map(speech.say, described("tables")["case"][part])))


class Watch(NamedTuple):
    """One quantity of the plan; `record` names what the record of a year counts for it."""

    record: str
    what: str
    method: str
    often: str
    who: str
    control: str


class Need(NamedTuple):
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
    words = {"who": who, "lab": lab, "carbon": carbon, "hydrogen": hydrogen}
    words["most"] = max(carbon, hydrogen, moisture)
    return tuple(Watch(*(cell.format(**words) for cell in row.values())) for row in listed("monitoring"))


def lasting_share(results: Results, name: str, end: str) -> float:
    """Share lasting 100 years by "class", "hc" (as used), "hc_lab" or "hc_corrected"; `end` low_, high_ or ""."""
    if name == "hc_corrected" or (name == "hc" and results.plan.corrects_hc):
        return results.figures[f"hc_corrected_{end}share"]
    return results.coefficients[f"persist_by_{name.removesuffix('_lab')}_{end}frac"]


def reason(results: Results, method: str) -> str | None:
    """Why a method is withheld, or None."""
    if math.isfinite(results.figures[f"removal_by_{METHODS[method]}_kg_co2e"]):
        return None
    return persistence_reason(results.scenario, results.plan, results.figures, method)


def measures(results: Results, name: str) -> dict[str, Any]:
    """A figure per year with low, middle, high; per tonne of bones, of char, and over the study life."""
    value = results.figures[name]
    bones, char = results.figures["bones_fired_kg"], results.figures["char_kg"]
    return {
        "t_co2e_per_year": spread(results, name),
        "kg_co2e_per_t_bones": clean(share_of(value, bones)),
        "kg_co2e_per_t_char": clean(share_of(value, char)),
        "t_co2e_over_study": tonnes(clean(over_study(results.figures, name, results.plan.years))),
    }


def calendar(results: Results) -> list[dict[str, float]]:
    """Landfill methane that has come out by the end of each year of the study, all deposits so far."""
    yearly = results.figures["landfill_kg_co2e"] / KG_PER_T
    out = {year: float(out_share(results.scenario["handling.lf_decay"].number, year))
           for year in range(1, results.plan.years + 1)}  # fmt: skip
    return [{"year": at, "deposited_t_co2e": yearly * at, "out_share": share, "out_t_co2e": yearly * at * share}
            for at, share in out.items()]  # fmt: skip


def say(results: Results, name: str) -> str:
    """A sentence on carbon by its id.

    paragraph: for a grant text, every number of which stands in the results; quoted-rule: which method is quoted
    outward, the lower of two, or the only one where H/C_org is blank.
    """
    low, middle, high = results.carbon("project_net_outward_kg_co2e")
    quoted = "removal_outward_kg_co2e"
    removal = results.reasons.get(f"figures.{quoted}") or span_words(results, quoted)
    return Speech(results.scenario.entries, results.figures, {
        "r": results, "horizon": HORIZON_YEARS, "removal": removal, "span": partial(span_words, results),
        "organic": organic_words(results), "today": today_words(results), "tonnes": _n,
        "class_words": METHOD_WORDS["temperature-class"], "low": low, "middle": middle, "high": high,
        "doubted": lambda: next((mover.label for mover, _ in doubts(results)), ""),
    }).say(name)  # fmt: skip


def span_words(results: Results, name: str) -> str:
    """A figure as "low - median - high t CO2e a year", or that it is not reported."""
    found = results.carbon(name)
    return "not reported" if math.isnan(found[1]) else f"{' - '.join(map(_n, found))} t CO2e a year"


def _n(kg: float) -> str:
    """Tonnes with about three figures; a true minus, which the dashes of a range cannot hide."""
    return amount(kg / KG_PER_T).replace("-", "−") if math.isfinite(kg) else "not reported"


def spread(results: Results, name: str) -> dict[str, float | None]:
    """Low, middle and high of the samples and the figure as typed [t CO2e a year]."""
    low, middle, high = results.carbon(name)
    return {"low": tonnes(clean(low)), "middle": tonnes(clean(middle)), "high": tonnes(clean(high)),
            "typed": results.tonnes(name),
            "withheld_share_of_samples": results.chances.spreads[name].withheld_frac}  # fmt: skip
