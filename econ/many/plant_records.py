"""What is kept of each of many plants: figures, what the samples say, cautions by id, inputs; or its fault."""

from __future__ import annotations

import gc
import os
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from pathlib import Path
from typing import Any

from econ.answer.base_case import base_case
from econ.errors import FileRefused, InputFault, InputFaults, KilncaseError
from econ.fields import fields
from econ.harmless import one_line
from econ.inputs.as_typed import Reading
from econ.inputs.build import build
from econ.inputs.lanes import plants_now
from econ.inputs.put_over import by_plant, put_over, together
from econ.inputs.records import Scenario
from econ.many.columns import OF_LINES, WORDS, Record
from econ.many.plants import Plant, Source
from econ.model.derived import clean, tonnes
from econ.workbook.read import TypedBook, read_scenario

SHOWN_FAULTS = 3
LONGEST_FAULT = 3_000
RECORDS_AT_ONCE = 500  # held and put on disk together


def all_but_many(count: int, most: int) -> int:
    """How many of a list to show: `most`, or one above rather than to say "and 1 more"."""
    return count if count == most + 1 else most


def run_chunk(plants: Sequence[Plant], source: Source) -> Iterator[list[Record]]:
    """The records of some plants, some at a time; what one plant does never stops another."""
    if (book := source.book) is None:
        yield [run_one(plant, source) for plant in plants]
        return
    typed, said = put_over(book.rows, source.sets)

    def walk(texts: Mapping[str, str], readings: Mapping[str, Reading]) -> dict[str, Any]:
        given = [f"{key}={text}" for key, text in texts.items()]
        whole, cautions = put_over(typed, given, readings, together=not source.samples)
        scenario = build(whole, warnings=(*book.warnings, *said, *cautions), tables=book.tables)
        return figures_of(scenario, texts, source.samples)

    good = [plant for plant in plants if not plant.fault]
    for places, found in together([plant.cells or {} for plant in good], walk):
        here = [good[at] for at in places]
        if found is None:
            yield [run_one(plant, source) for plant in here]
        else:
            records = (_record(plant, one) for plant, one in zip(here, found, strict=True))
            while some := list(islice(records, RECORDS_AT_ONCE)):
                yield some
            gc.collect(1)  # rules asked of figures are cycles, which would hold every figure through the next walk
    if odd := [run_one(plant, source) for plant in plants if plant.fault]:
        yield odd


def run_one(plant: Plant, source: Source) -> Record:
    """The record of one plant; a plant that cannot be used has a fault and no figures."""
    try:
        if plant.fault:
            raise FileRefused(plant.fault)
        scenario = scenario_of(plant, source.book, source.sets)
        return _record(plant, figures_of(scenario, plant.cells, source.samples))
    except InputFaults as several:
        said = InputFaults([_in_table(one, plant) for one in several.faults]).sentences
        shown = all_but_many(len(said), SHOWN_FAULTS)
        more = f"And {len(said) - shown} more: kilncase review names all." if len(said) > shown else ""
        fault = " ".join([*said[:shown], more])
    except KilncaseError as odd:
        fault = str(odd)
    except OSError as machine:  # a full disk is no fault of the plant, and must not be remembered as one
        raise FileRefused(
            f"{plant.place} was not run: the system said: {machine}; start again to go on"
        ) from machine
    except Exception as ours:  # one odd plant must not stop ten thousand others; the text says whose fault
        fault = f"an error of kilncase, please report it: {type(ours).__name__}: {ours}"
    if source.hides_names and plant.cells is None:  # the journal lies beside the results
        fault = fault.replace(repr(plant.place), plant.place).replace(plant.place, "this file")
    return {"key": plant.key, "fault": one_line(fault, LONGEST_FAULT), "figures": {}, "inputs": {}}


def _in_table(fault: InputFault, plant: Plant) -> InputFault:
    """The error of a table's cell under its column; its row stands beside it, and may differ for equal rows."""
    key = fault.where.removeprefix("--set ")
    return InputFault(f"column {key}", fault.wrong, fault.do, fault.name) if key in (plant.cells or {}) else fault


def _record(plant: Plant, found: Record) -> Record:
    """The record of a plant that could be used, with what a tonne costs of the grant that it needs."""
    figures = found["figures"]
    for name, over in (
        ("grant_per_t_p", (figures["p_t_per_year"] or 0.0) * figures["study_years"]),
        ("grant_per_t_net_co2e", figures["project_net_study_t_co2e"] or 0.0),
    ):
        figures[name] = figures["grant_needed"] / over if figures["grant_needed"] and over > 0 else None
    return {"key": plant.key, "fault": "", **found}


def scenario_of(plant: Plant, book: TypedBook | None, sets: tuple[str, ...]) -> Scenario:
    """The scenario of a workbook's bytes, or of a row put over the base workbook."""
    if plant.cells is None:
        with tempfile.TemporaryDirectory(prefix="kilncase-") as folder:
            return read_scenario(named_temporary(folder, plant.place, plant.content), sets)
    assert book is not None
    texts = [*sets, *(f"{key}={value}" for key, value in plant.cells.items())]
    typed, cautions = put_over(book.rows, texts)
    return build(typed, warnings=(*book.warnings, *cautions), tables=book.tables)


def named_temporary(folder: str, name: str, content: bytes) -> Path:
    """A workbook's bytes put under its own name in `folder`, so that faults name it as the person does."""
    path = Path(folder, os.path.basename(name))
    path.write_bytes(content)
    return path


LEANS = "unverified-factors"
"""The caution that closes every list; its text asks questions of the model, so only its id stands here."""


def figures_of(scenario: Scenario, cells: Mapping[str, str] | None, samples: int) -> Record:
    """Figures of the contract and carbon blocks [t, money], ids of the cautions, inputs in canonical units.

    With `samples` also what so many samples say (`questions/each_plant.py`), else nothing of it. Of a table only
    its own columns are kept as inputs: the rest is the same for every row. Where many plants are worked out
    together figures are columns.
    """
    from econ.answer.report import contract
    from econ.questions.each_plant import OfPlant, of_each
    from econ.questions.latin import Sampling

    base = base_case(scenario)
    figures: dict[str, Any] = contract(base.scenario, base.figures)
    figures |= {name: tonnes(clean(base.figures[line])) for name, line in OF_LINES.items()}
    npv: float = base.figures["npv"]
    figures |= {"grant_needed": (abs(npv) - npv) / 2, "study_years": float(base.plan.years)}
    figures["net_cost_per_year"] = base.figures["kiln_cost_per_year"]
    figures["warnings"] = by_plant(
        base.cautions(), lambda found: " ".join({**{one.id: 1 for one in found}, LEANS: 1})
    )
    names = [one.name for one in fields(OfPlant)]
    figures |= {name: "" if name in WORDS else None for name in names}
    if samples:
        plants = of_each(base.scenario, base.plan, Sampling(samples), npv)
        said = {name: [getattr(one, name) for one in plants] for name in names}
        figures |= said if plants_now() is not None else {name: column[0] for name, column in said.items()}
    entries = base.scenario.entries
    kept = [entries[key] for key in (entries if cells is None else cells) if key in entries]
    return {
        "figures": figures,
        "inputs": {one.row.key: one.value for one in kept if one.value is not None and one.row.kind != "text"},
    }
