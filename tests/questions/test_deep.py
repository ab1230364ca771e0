"""What to measure before signing, on whole plants: bounds that must hold, the rule, and what is written."""

from __future__ import annotations

import io
import json
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from books import book as workbook
from conftest import plant
from typer.testing import CliRunner

from econ.answer.appraisal import appraise
from econ.answer.base_case import base_case
from econ.answer.finding import best_rival, say
from econ.answer.results import Results
from econ.answer.screen import screen
from econ.cli import app
from econ.errors import InputFaults
from econ.inputs.records import Scenario
from econ.questions.deep import MOST, checked, deep, groups
from econ.questions.draws import inputs_drawn
from econ.questions.found_deep import Deep
from econ.questions.latin import Sampling
from econ.questions.samples import uniform
from econ.workbook.results_book import results_bytes

EVEN = {"current__saving": "1050 USD per month"}
"""Today's bill that brings the mean NPV of the plant close to nought, where knowing is worth most."""
FEW = Sampling(2_000, seed=3)


@cache
def asked(samples: int = 2_000, seed: int = 3, **sets: str) -> Results:
    return appraise(plant(**sets), Sampling(samples, seed), deep=True)


@cache
def found(samples: int = 2_000, **sets: str) -> Deep:
    return of(plant(**sets), Sampling(samples, seed=3))


def of(scenario: Scenario, sampling: Sampling = FEW) -> Deep:
    base = base_case(scenario)
    return deep(base.scenario, base.plan, sampling, base.readings, base.figures["capital_total_today"])


@cache
def shallow() -> Results:
    return appraise(plant(), FEW)


def test_a_run_without_deep_asks_nothing_more() -> None:
    results = shallow()
    assert results.deep is None
    assert results.to_json()["details"]["deep"] is None


def test_all_the_rest_of_the_answer_stays_as_it_was() -> None:
    both = [
        {**one, "details": {**one["details"], "deep": 0, "finding": 0}}
        for one in (shallow().to_json(), asked().to_json())
    ]
    assert both[0] == both[1]
    assert repr(asked().deep) == repr(found())  # what the tests below ask of `found` holds of a whole answer


@pytest.mark.parametrize("sets", [{}, EVEN, {"current__saving": "100 USD per month"}])
def test_no_part_is_worth_more_than_everything(sets: dict[str, str]) -> None:
    one = found(**sets)
    parts = [*one.inputs.values(), *(offer.limit for offer in one.offers), *(n.worth for n in one.counts)]
    assert max(part.raw for part in parts) <= one.total.raw + 1e-9
    assert all(part.gain >= 0 for part in parts)


def test_knowing_everything_is_the_mean_gain_of_the_better_way() -> None:
    """By hand from the samples: mean of max(NPV, 0) less the better of the mean NPV and 0."""
    one = asked(**EVEN)
    assert one.deep is not None
    share_lost, mean = one.chances.loss, one.chances.spreads["npv"].mean
    assert one.deep.means == {"char": pytest.approx(mean), "today": 0}
    assert one.deep.behind == pytest.approx(share_lost)
    lost = one.deep.total.gain if mean >= 0 else one.deep.total.gain - mean
    assert 0 < lost < abs(one.chances.spreads["npv"].percentiles[10])


def test_firings_are_worth_no_more_than_what_they_show() -> None:
    one = found(4_000, **EVEN)
    limit = next(offer.limit for offer in one.offers if offer.purchase.slug == "trials")
    assert limit.gain > 0
    for count in one.counts:
        assert count.worth.raw <= limit.with_hindsight + 2 * limit.error
    few, many = one.counts[0].worth, one.counts[-1].worth
    assert few.raw <= many.raw + 2 * many.error


def test_scatter_between_firings_lowers_what_few_of_them_tell() -> None:
    calm = found(4_000, **EVEN, measure__batch_spread_share="1 %")
    wild = found(4_000, **EVEN, measure__batch_spread_share="80 %")
    assert wild.counts[0].worth.gain < 0.5 * calm.counts[0].worth.gain
    assert wild.counts[-1].worth.gain > wild.counts[0].worth.gain


SHOWN = ("yield", "fuel_1", "hours")


def test_nothing_is_worth_measuring_where_the_kiln_never_pays() -> None:
    poor = asked(current__saving="-90000 USD per month")
    assert poor.deep is not None
    assert poor.deep.total.gain == 0
    assert poor.finding.verdict == "do not buy"
    assert not any(one.gain for one in poor.deep.inputs.values())
    assert "No listed test or quote" in say(poor, "deep")


def test_what_evidence_tells_are_inputs_with_ranges() -> None:
    one = found()
    drawn = {entry.key for entry in inputs_drawn(plant())}
    told = {offer.purchase.slug: set(offer.tells) for offer in one.offers}
    assert told.pop("trials") == set(SHOWN)
    assert all(keys <= drawn for keys in told.values())
    assert told["quote"] == {"kiln.price", "kiln.installation"}
    assert {"product.1.price", "product.1.market_limit"} <= told["letters"]
    assert told["stack"] == {"carbon.stack_ch4", "carbon.stack_n2o_share"}
    assert "product.available_p2o5_share" in told["assay"]


def test_a_stack_test_settles_carbon_and_no_money() -> None:
    stack = next(offer for offer in found().offers if offer.purchase.slug == "stack")
    assert stack.limit.gain == 0
    assert stack.explains["npv"] < 0.02
    assert stack.explains["project_net_kg_co2e"] > 0.2


def test_priced_ways_take_part_in_the_choice() -> None:
    """A way that costs far less than today's beats the kiln: it is the best, and the kiln is held against it."""
    way = {"option__1__kind": "composting", "option__1__fee": "0.001 USD per lb", "option__1__capital": "100 USD"}
    one = found(**way)
    assert one.now == "option_1"
    assert one.ahead == pytest.approx(one.means["char"] - one.means["option_1"])
    assert best_rival(asked(**way)) == "composting on site", "by the words of its kind, as in the table of ways"


def test_the_least_worth_the_trouble_counts_against_the_kiln() -> None:
    plain, wanting = found(), found(rule__least_mean_npv="10000 USD")
    assert wanting.means["char"] == pytest.approx(plain.means["char"] - 10_000)


def test_shares_stand_for_what_moves_together_as_one() -> None:
    one = found()
    assert ("product.1.price", "product.2.price") in one.shares.groups
    assert sum(map(len, one.shares.groups)) == len(one.inputs) - 1  # protein follows from the other shares
    inputs = inputs_drawn(plant())
    by_cause: dict[str, list[str]] = {}
    for entry in inputs:
        by_cause.setdefault(entry.stream, []).append(entry.key)
    assert groups(inputs, []) == tuple(map(tuple, by_cause.values()))


def test_shares_alone_make_no_more_than_the_whole() -> None:
    for answer, one in found(4_000).shares.by_measure.items():
        assert one is not None, answer
        error = 3 * float(np.sqrt(np.sum(one.first_error**2)))
        assert float(np.sum(one.first)) <= 1 + error, answer
        assert float(np.sum(one.total)) >= 1 - error, answer
        assert np.all(one.first <= one.total + 3 * np.hypot(one.first_error, one.total_error)), answer


def test_shares_of_a_plant_against_the_library() -> None:
    """SALib draws its own samples of three inputs and asks our model; the shares agree within their errors."""
    pytest.importorskip("SALib")
    from SALib.analyze import sobol as analyze
    from SALib.sample import sobol

    from econ.model.evaluate import evaluate

    base = base_case(plant(**EVEN))
    keys = ("labour.hours_per_batch", "labour.wage", "fuel.1.price")
    entries = {key: base.scenario[key] for key in keys}
    ends = [uniform(entry.low, entry.number, entry.high)(np.array([0.0, 1.0])) for entry in entries.values()]
    bounds = [list(pair) for pair in ends]
    problem = {"num_vars": len(keys), "names": list(keys), "bounds": bounds}
    points = sobol.sample(problem, 1 << 13, calc_second_order=False, seed=2)
    numbers = {**base.scenario.numbers(), **dict(zip(keys, points.T, strict=True))}
    npv = np.asarray(evaluate(numbers, base.plan, frozenset({"npv"})).lines["npv"])
    theirs = analyze.analyze(problem, npv, calc_second_order=False, seed=1)
    ours = _uniform_shares(base, keys)
    assert np.allclose(ours[0], theirs["S1"], atol=0.03)
    assert np.allclose(ours[1], theirs["ST"], atol=0.03)


def _uniform_shares(base: object, keys: tuple[str, ...]) -> tuple[Any, Any]:
    """First and total shares of the same three inputs, drawn evenly by our own samples, all others held."""
    from dataclasses import replace

    from econ.answer.base_case import BaseCase
    from econ.questions.deep import shares

    assert isinstance(base, BaseCase)
    entries = {
        key: entry if key in keys or not entry.row.is_number else replace(entry, low=None, high=None)
        for key, entry in base.scenario.entries.items()
    }
    shape = base.scenario.entries["ranges.shape"]
    entries["ranges.shape"] = replace(shape, value="uniform")
    entries = {key: entry for key, entry in entries.items() if not key.startswith("together.")}
    scenario = replace(base.scenario, entries=entries)
    found = shares(scenario, base.plan, Sampling(8_192, 1))
    assert sorted(found.groups) == sorted((key,) for key in keys)
    places, one = [found.groups.index((key,)) for key in keys], found.by_measure["npv"]
    assert one is not None
    return one.first[places], one.total[places]


def test_the_threshold_is_the_users() -> None:
    eager = asked(**EVEN)
    assert eager.finding.verdict == "measure first"
    assert eager.finding.evidence
    patient = asked(**EVEN, rule__least_measuring_share="90 %")
    assert patient.finding.evidence == ()


def test_a_price_above_the_worth_takes_evidence_off_the_list() -> None:
    plain = asked(**EVEN)
    assert "letters" in plain.finding.evidence
    dear = asked(**EVEN, measure__letters_price="500000 USD")
    assert "letters" not in dear.finding.evidence


def test_the_price_of_a_firing_decides_how_many() -> None:
    cheap = found(**EVEN, measure__batch_price="1 USD", measure__batch_spread_share="60 %").best_count
    dear = found(**EVEN, measure__batch_price="900 USD", measure__batch_spread_share="60 %").best_count
    assert cheap is not None
    assert dear is not None
    assert cheap.firings > dear.firings
    unpriced = found(**EVEN, measure__batch_price="").best_count
    assert unpriced is not None
    assert (unpriced.firings, unpriced.price) == (10, None)


def test_same_seed_same_figures() -> None:
    one, again = (appraise(plant(**EVEN), Sampling(400, 8), deep=True).to_json() for _ in range(2))
    other = appraise(plant(**EVEN), Sampling(400, 9), deep=True).to_json()
    assert one == again
    assert one["details"]["deep"] != other["details"]["deep"]


def test_chunks_change_nothing() -> None:
    scenario = plant(**EVEN)
    whole, parts = of(scenario, Sampling(1_000, 8)), of(scenario, Sampling(1_000, 8, chunk=77))
    assert whole.total == parts.total
    assert whole.inputs == parts.inputs
    assert whole.counts == parts.counts


def test_too_many_samples_to_hold_are_refused() -> None:
    with pytest.raises(InputFaults, match="at most 200,000 with --deep"):
        checked(Sampling(MOST + 1))


@cache
def written() -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(results_bytes(asked(**EVEN, measure__batch_price="150 USD"))))


def rows_of(sheet: str) -> dict[str, list[object]]:
    return {str(row[0].value): [cell.value for cell in row[1:]] for row in written()[sheet].iter_rows()}


def test_the_pages_show_the_figures_of_the_json() -> None:
    details = asked(**EVEN, measure__batch_price="150 USD").to_json()["details"]["deep"]
    page = rows_of("Value of information")
    for offer in details["evidence"]:
        row = page[offer["what"]]
        limit = offer["never_worth_more_than"]
        expected = [limit["worth"], limit["standard_error"], limit["worth_with_hindsight"]]
        assert row[:3] == pytest.approx(expected, rel=1e-14)
    for count in details["trial_firings"]["by_count"]:
        assert page[str(count["firings"])][0] == pytest.approx(count["worth"], rel=1e-14)
        assert page[str(count["firings"])][3] == count["firings"] * 150
    total = page["Perfect information on all inputs (EVPI)"][0]
    assert total == pytest.approx(details["knowing_everything"]["worth"], rel=1e-14)


def test_the_page_of_doubt_names_what_matters() -> None:
    sheet = rows_of("Sources of variance")
    assert any("Price you get for char (tier 1) with Price" in label for label in sheet)
    assert any(label.startswith("All ") and label.endswith(" others together") for label in sheet)


def test_only_a_deep_run_has_these_pages() -> None:
    plain = openpyxl.load_workbook(io.BytesIO(results_bytes(shallow())))
    assert {"Value of information", "Sources of variance"} <= set(written().sheetnames)
    assert not {"Value of information", "Sources of variance"} & set(plain.sheetnames)


def test_the_screen_lists_the_evidence_within_80_columns() -> None:
    text = screen(asked(**EVEN))
    assert "Value of more information before you sign, upper bound [USD]:" in text
    assert "letters of intent" in text
    assert max(map(len, text.splitlines())) <= 80


def test_the_command(tmp_path: Path) -> None:
    path = workbook(tmp_path / "my-plant.xlsx", {})
    shown = CliRunner().invoke(app, ["run", str(path), "--deep", "--samples", "500", "--json"])
    assert shown.exit_code == 0, shown.stderr
    assert json.loads(shown.stdout)["details"]["deep"]["samples"] == 500
    refused = CliRunner().invoke(app, ["run", str(path), "--deep", "--samples", "300000", "--overwrite"])
    assert refused.exit_code == 2
    assert "at most 200,000 with --deep" in refused.stderr
