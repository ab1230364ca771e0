"""What is kept of each of many plants: figures, what the samples say, cautions by id, inputs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any

from econ.answer.base_case import BaseCase, base_case
from econ.inputs.lanes import plants_now
from econ.inputs.records import Caution, Scenario
from econ.inputs.together import by_plant
from econ.many.columns import WORDS, Record
from econ.model.derived import clean, tonnes

BLOCKS = {
    "process_t_co2e_per_year": "process_kg_co2e",
    "avoided_t_co2e_per_year": "avoided_kg_co2e",
    "credits_lost_t_co2e_per_year": "credits_lost_kg_co2e",
    "difference_t_co2e_per_year": "difference_kg_co2e",
}
"""Carbon blocks beside those of the contract, by the figure they come from."""

LEANS = "unverified-factors"
"""The caution that closes every list; its text asks questions of the model, so only its id stands here."""


def figures_of(scenario: Scenario, cells: Mapping[str, str] | None, samples: int) -> Record:
    """Figures of the contract and carbon blocks [t, money], ids of the cautions, inputs in canonical units.

    With `samples` also what so many samples say (`questions/each_plant.py`), else nothing of it. Of a table only
    its own columns are kept as inputs: the rest is the same for every row. Where many plants are worked out
    together figures are columns.
    """
    from econ.answer.report import contract

    base = base_case(scenario)
    found: dict[str, Any] = contract(base.scenario, base.figures)
    for name, line in BLOCKS.items():
        value = base.figures[line]
        found[name] = tonnes(clean(value))
    npv: float = base.figures["npv"]
    found["grant_needed"] = (abs(npv) - npv) / 2
    found["study_years"] = float(base.plan.years)
    found["project_net_study_t_co2e"] = tonnes(clean(base.figures["project_net_study_kg_co2e"]))
    found["warnings"] = by_plant(base.cautions(), _ids)
    found |= _sampled(base, samples)
    keys = base.scenario.entries if cells is None else cells
    return {"figures": found, "inputs": _inputs(base.scenario, keys)}


def _sampled(base: BaseCase, samples: int) -> dict[str, Any]:
    """What the samples say of each plant, by figure."""
    from econ.questions.each_plant import OfPlant, of_each
    from econ.questions.latin import Sampling

    names = [one.name for one in fields(OfPlant)]
    if not samples:
        return {name: "" if name in WORDS else None for name in names}
    plants = of_each(base.scenario, base.plan, Sampling(samples), base.figures["npv"])
    columns = {name: [getattr(one, name) for one in plants] for name in names}
    return columns if plants_now() is not None else {name: column[0] for name, column in columns.items()}


def _ids(cautions: Sequence[Caution]) -> str:
    return " ".join([*(caution.id for caution in cautions), LEANS])


def _inputs(scenario: Scenario, keys: Mapping[str, object]) -> dict[str, float | str]:
    found: dict[str, float | str] = {}
    for key in keys:
        entry = scenario.entries.get(key)
        if entry is not None and entry.value is not None and entry.row.kind != "text":
            found[key] = entry.value
    return found
