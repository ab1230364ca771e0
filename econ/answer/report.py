"""The JSON contract: names, units and order that do not change."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from econ.answer import carbon_case, option_table
from econ.answer.carbon_case import calendar, lasting_share, measures, reason, spread
from econ.answer.finding import must_be_true, say
from econ.answer.label_statement import label_of
from econ.answer.practice import fuel_verdict, said_of, task_name
from econ.answer.results import Results, heaviest, inputs_code
from econ.answer.sentences import at_path, filled, plain
from econ.evidence.factors import factor
from econ.evidence.substances import sieve_for
from econ.fields import record
from econ.inputs.records import Scenario
from econ.measured.garden_trials import design_of
from econ.measured.readings import compared
from econ.measured.sample import LEVEL
from econ.model.derived import clean, kg_per_t_bones, months, per_tonne, tonnes
from econ.shipped import described

PLACED = "planting_"
NAMES = described("contract")


@record(frozen=True, slots=True)
class Appraisal(Results):
    """What `econ.appraise` returns: the results, and the way to their JSON."""

    def to_json(self) -> dict[str, Any]:
        """The contract of `kilncase run --json`: metric tonnes, own currency, None for what is missing."""
        warnings = [{"id": one.id, "text": one.text, "where": one.where} for one in self.cautions]
        return {**contract(self.scenario, self.figures), "warnings": warnings, "details": _details(self)}


def in_json(name: str, record: object) -> Any:
    """A record as plain values, by the names of its table in `contract.toml`."""
    return filled(NAMES[name], record, FUNCTIONS)


def contract(scenario: Scenario, figures: Mapping[str, float]) -> dict[str, Any]:
    """The figures of the contract, by name and in order."""
    own = {**figures, "current_fee": scenario.number_or("current.fee", figures.get("invoice_per_kg_bones"))}
    found = {
        name: {"t": tonnes, "per_t": per_tonne}.get(unit, clean)(clean(own.get(line)))
        for name, (line, unit) in NAMES["answer"].items()
    }
    return {"currency": scenario.currency, **found}


def _details(results: Results) -> dict[str, Any]:
    made = {name: in_json(name, results) for name in NAMES["details"]}
    for table in ("log", "assay"):
        if made[table] is not None:
            made[table]["change"] = _change(results, table)
    for one in made["breakeven"]:
        one["unit"] = one["unit"].replace("$", results.scenario.currency)
    return made


def _matters_most(results: Results) -> dict[str, Any]:
    """What moves each answer most of all that nobody read."""
    return {name: {"key": one.id, "how_known": f"default: {one.known}", "at_low": one.at_low[name],
                   "at_high": one.at_high[name]} for name, one in results.leaning.worst.items()}  # fmt: skip


def _for_coverage(results: Results, what: str) -> Any:
    """The values or the words of the char that keeps the coverage asked."""
    needed = next((one for one in results.breakeven if one.name == "tonnes_sold_for_coverage"), None)
    return getattr(needed, what) if needed else {"values": [], "words": "no loan"}[what]


def _change(results: Results, table: str) -> dict[str, Any]:
    """What the measurements of a table did to the answer."""
    gains = [one for one in results.measured.gains if one.standing.target.table == table]
    return {
        "npv_as_typed": results.measured.npv_as_typed,
        "npv": results.figure("npv"),
        "inputs": [in_json("gain", one) for one in gains],
    }


def _planting(results: Results) -> dict[str, Any] | None:
    if not results.plan.planting.grounds:
        return None
    figures = {name: value for name, value in results.figures.items() if name.startswith(PLACED)}
    blocks = []
    for ground in results.plan.planting.grounds:
        start = f"{PLACED}{ground.number}_"
        said = said_of(results.scenario, results.figures, ground)
        blocks.append(
            {"name": results.scenario[f"planting.{ground.number}.name"].value or str(ground.number),
             "kind": ground.kind, "way": ground.way, "blend": ground.blend, "soil_class": said.soil_class or None,
             "stopped": said.stopped,
             **{key.removeprefix(start): value for key, value in figures.items() if key.startswith(start)}}
        )  # fmt: skip
    whole = {key.removeprefix(PLACED): value for key, value in figures.items() if not key[len(PLACED)].isdigit()}
    return {"blocks": blocks, **whole}


FUNCTIONS: Mapping[str, Callable[..., Any]] = {
    **{one.__name__: one for one in (say, must_be_true, heaviest, compared, reason, spread, calendar, measures)},
    "rung": lambda pair: pair[0].rung or None,
    "matters_most": _matters_most,
    "inputs_that_turn": lambda results: [one.entry.row.key for one in results.effects if one.turns],
    "level": lambda _: LEVEL,
    "label": lambda results: label_of(results.scenario, results.figures),
    "chosen": lambda results, path, yes, no: yes if at_path(path, results, {}) else no,
    "fuel_verdict": lambda results: fuel_verdict(results.plan, results.figures),
    "value": lambda results, key: results.scenario[key].value,
    "inputs": lambda results: {
        key: entry.value
        for key, entry in results.scenario.entries.items()
        if entry.value is not None and key != "plant.name"
    },
    "inputs_code": lambda results: inputs_code(results.scenario),
    "years": lambda results: {
        name: [row.get(t) for t in range(results.plan.years + 1)] for name, row in results.years.items()
    },
    "grant_status": lambda results: results.scenario.choice("grant.status") if results.plan.has_grant else None,
    "coverage": lambda results: results.years.get("debt_coverage", {}),
    "for_coverage": _for_coverage,
    "kg_per_t_bones": lambda results: kg_per_t_bones(results.figures),
    "particle_size_mm": lambda results: results.scenario.number_or("finish.particle_size", math.nan) * 1000,
    "sieve": lambda results: getattr(sieve_for(FUNCTIONS["particle_size_mm"](results)), "name", None),
    "ways": option_table.compared,
    "best_other": option_table.best_other,
    "ways_sentence": option_table.sentence,
    "planting": _planting,
    "trial_design": lambda results: design_of(results.scenario, results.measured.readings.trials),
    "share_at_peak": lambda results: results.scenario.number_or("kiln.core_share", 1.0),
    "people_hours": lambda results: results.scenario.number_or(
        "labour.hours_per_batch", results.figures.get("hours_per_firing", 0.0)
    ),
    "tasks": lambda results: [
        {
            "name": task_name(results.scenario, n),
            "hours_per_firing": results.figures[f"task_{n}_people_hours"],
            "is_watching": n in results.plan.watching,
        }
        for n in (results.plan.tasks if results.plan.hours_by_task else ())
    ],
    "months": lambda results: months(results.plan, results.figures),
    "pace": lambda results: (
        (pace := results.plans().pace) and {**plain(pace), "best": pace.best, "sentence": say(results, "pace")}
    ),
    "lasting_share_by_hc": lambda results: lasting_share(results, "hc", ""),
    "lasting_shares": lambda results, name: [lasting_share(results, name, end) for end in ("low_", "", "high_")],
    "one_char_sd": lambda results: results.coefficients["hc_half_range"] / factor("sd_to_p90").value,
    "fact": lambda _, name: factor(name).value,
    "tonnes": lambda results, name: tonnes(clean(results.figures[name])),
    "per_tonne": lambda results, name: per_tonne(clean(results.figures[name])),
    "carbon_say": carbon_case.say,
    "treatment": lambda one: one.detail or "with char",
}
"""What a path of the contract may ask of a record, by name."""
