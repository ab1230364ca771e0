"""What each fact and input moves alone: against the model run by hand, with shares, counts and order."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from econ.answer.appraisal import appraise
from econ.answer.results import NET, NPV, doubts, heaviest, weights
from econ.cli import app, one_plant
from econ.evidence.factors import factor, held
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.workbook.read import read_scenario

SHIPPED = [Path(__file__).parents[2] / "scenarios" / f"{name}.xlsx" for name in ("thistle-flat", "low-sedge")]


@pytest.fixture(scope="module", params=SHIPPED, ids=lambda path: path.stem)
def results(request):
    return appraise(read_scenario(request.param))


def test_an_input_moved_alone_equals_the_plant_typed_so(results):
    (mover,) = [one for one in results.leaning.movers if one.id == "labour.wage"]
    entry, numbers = results.scenario["labour.wage"], results.scenario.numbers()
    found = [evaluate({**numbers, "labour.wage": end}, Plan.of(results.scenario)).lines["npv"]
             for end in (entry.low, entry.high)]  # fmt: skip
    assert [mover.at_low["npv"], mover.at_high["npv"]] == pytest.approx([float(npv) for npv in found], rel=1e-9)
    assert mover.rung == ""


def test_a_fact_moved_alone_equals_the_model_with_that_fact(results):
    (mover,) = [one for one in results.leaning.movers if one.id == "coll_n"]
    for end, at in ((factor("coll_n").low, mover.at_low), (factor("coll_n").high, mover.at_high)):
        with held({"coll_n": end}):
            found = evaluate(results.scenario.numbers(), results.plan).lines["project_net_kg_co2e"]
        assert at["project_net_kg_co2e"] == pytest.approx(float(found), rel=1e-9)


def test_every_fact_with_a_range_is_moved_once(results):
    ids = [mover.id for mover in results.leaning.movers]
    assert len(ids) == len(set(ids))
    assert {"coll_n", "hv_fat", "kiln.residue_ratio", "carbon.stack_ch4"} <= set(ids)


@pytest.mark.parametrize("measure", [NPV, NET])
def test_five_are_named_with_their_share_the_plants_own_included(results, measure):
    named = heaviest(results, measure)
    assert len(named) == 5
    swings = [mover.swing(measure) for mover, _ in named]
    assert swings == sorted(swings, reverse=True)
    assert swings[0] == max(mover.swing(measure) for mover in results.leaning.movers)
    assert all(share > 0 for _, share in named)
    assert any(mover.rung == "" for mover, _ in heaviest(results, NPV))
    told = results.to_json()["details"]["evidence"]["movers"][measure]
    assert [one["id"] for one in told] == [mover.id for mover, _ in named]


def test_stack_methane_of_a_wet_load_weighs_most_on_net_co2e(results):
    """Nobody has measured a bone retort: that fact alone keeps the note a draft."""
    assert heaviest(results, NET)[0][0].id == "carbon.stack_ch4"
    found = doubts(results)
    assert found[0][0].id == "carbon.stack_ch4"
    assert all(share > 0.1 and (mover.is_guess or not mover.is_read) for mover, share in found)


def test_the_command_sorts_by_weight(results):
    path = next(path for path in SHIPPED if path.stem.replace("-", " ").title()[:6] in results.scenario.name)
    assert one_plant.cli.app is app
    ran = CliRunner().invoke(app, ["factors", "--for", str(path), "--json"])
    told = json.loads(ran.stdout)
    heavy = [max(one["share_of_npv_range"], one["share_of_net_co2e_range"]) for one in told]
    assert heavy == sorted(heavy, reverse=True)
    assert len(told) == len(weights(results))
    assert {"id", "label", "how_known", "rung"} <= told[0].keys()
