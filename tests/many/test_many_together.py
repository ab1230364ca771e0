"""Rows worked out together are the rows one by one: every figure to the last bit, every error word for word."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from many_plants import BASE, write_table

from econ.answer.appraisal import appraise
from econ.inputs.lanes import Lanes, asked, each_way, exists, summed
from econ.many.plant_records import run_chunk, run_one, scenario_of
from econ.many.plants import Plant, Source
from econ.questions.latin import Sampling

pytestmark = pytest.mark.usefixtures("reading_once")
ROWS, ALONE = 600, 30

HEADINGS = (
    "plant", "bones.1.mass", "kiln.price", "labour.wage", "product.1.price", "current.fee", "money.discount_rate",
    "bones.1.ash_share", "current.option", "kiln.life", "market.label_rate",
)  # fmt: skip


def odd_rows(count: int, seed: int) -> list[tuple[str, ...]]:
    """Good rows and bad ones: blanks, ranges, other units, words, numbers that cannot be."""
    chance = random.Random(seed)

    def one(good: str, *others: str) -> str:
        return good if chance.random() < 0.97 else chance.choice(others)

    return [
        (
            f"county {at}",
            one(f"{chance.uniform(300, 3000):.0f} lb per week", "", "about 900", "1 ton per week", "-4", "none"),
            one(f"{chance.uniform(5000, 90000):.0f}", "", "$38,000", "30000-45000", "30000 cubits", "1e400"),
            one(f"{chance.uniform(14, 30):.2f} USD per hour", "", "20 or so", "0"),
            one(f"{chance.uniform(0, 4):.2f}", "", "2/3", "=1+1"),
            one(f"{chance.uniform(-0.05, 0.4):.3f} USD per lb", ""),
            one(f"{chance.uniform(0, 0.2):.4f}", "8 %", "900 %", ""),
            one("", "0.42", "55 %", "99 %", "130 %"),
            one("", "landfill", "composting", "by night"),
            one("", "7", "0", "12.5"),
            one("", "0.5", "3 lb per sq ft"),
        )
        for at in range(count)
    ]


@pytest.fixture(scope="module")
def plants(tmp_path_factory: pytest.TempPathFactory) -> tuple[Source, list[Plant]]:
    table = write_table(tmp_path_factory.mktemp("many") / "odd.csv", odd_rows(ROWS, seed=3), HEADINGS)
    source = Source.of(table, BASE, ("labour.wage=21",), "v", table.with_suffix(".results.csv"))
    return source, list(source)


def test_random_rows_good_and_bad_equal_themselves_alone(plants: tuple[Source, list[Plant]]) -> None:
    source, listed = plants
    together = {record["key"]: record for part in run_chunk(listed, source) for record in part}
    assert together.keys() == {plant.key for plant in listed}
    bad = [plant for plant in listed if together[plant.key]["fault"]]
    assert len(bad) > ROWS // 50
    chosen = random.Random(1).sample(listed, ALONE)
    for plant in [*chosen, *bad[: ALONE // 4]]:
        assert together[plant.key] == run_one(plant, source), plant.cells


def test_what_a_column_is_asked_parts_the_plants_and_nothing_else() -> None:
    """By hand: numbers 1 to 4, doubled, with 10 added where above 5, halved where 12 exactly."""
    import numpy as np

    def walk(world: object) -> float:
        number: float = Lanes(world, np.array([1.0, 2.0, 3.0, 4.0])[world.alive]) * 2  # type: ignore
        if number > 5:
            number = number + 10
        if float(number) == 16 or not exists(number):
            number = number / 2
        return summed([number, 0.1])

    found = {}
    for world, value in each_way(np.arange(4), walk):
        found |= dict(zip(world.alive.tolist(), value.now().tolist(), strict=True))  # type: ignore[attr-defined]
    assert found == {0: 2.1, 1: 4.1, 2: 8.1, 3: 18.1}


def test_questions_that_do_not_touch_each_other_part_the_plants_for_themselves_alone() -> None:
    import numpy as np

    walks = []

    def walk(world: object) -> list[tuple[str, object]]:
        number: float = Lanes(world, np.arange(4.0)[world.alive])  # type: ignore
        walks.append(number)
        return asked(lambda: ["large"] if number > 2 else [], lambda: ["odd"] if number in (1, 3) else ["even"])

    ((world, found),) = each_way(np.arange(4), walk)
    assert len(walks) == 1
    assert world.alive.tolist() == [0, 1, 2, 3]
    told = sorted((word, sorted(plants.tolist())) for word, plants in found)  # type: ignore[attr-defined]
    assert [one for one in told if one[0] == "large"] == [("large", [3])]
    assert sorted(at for word, plants in told if word == "odd" for at in plants) == [1, 3]
    assert sorted(at for word, plants in told if word == "even" for at in plants) == [0, 2]


def test_the_finding_of_a_plant_among_many_is_that_of_its_run(plants: tuple[Source, list[Plant]]) -> None:
    """The same samples, the same rule: verdict, missing facts, mean, quantiles and place to the last bit."""
    source, listed = plants
    sampled = replace(source, samples=200)
    good = listed[:12]
    found = {record["key"]: record["figures"] for part in run_chunk(good, sampled) for record in part}
    for plant in good[:: len(good) // 3]:
        if not found[plant.key]:
            continue
        results = appraise(scenario_of(plant, source.book, source.sets), Sampling(200))
        told, finding, headline = found[plant.key], results.finding, results.headline
        assert (told["finding"], told["mean_npv"], told["loss_chance"]) == (
            finding.verdict, finding.deciding.look.mean, finding.deciding.look.loss,
        )  # fmt: skip
        assert told["missing"].split() == [one.fact.slug for one in finding.missing]
        quantiles = (told["npv_p10"], told["npv_p50"], told["npv_p90"], told["npv_place"])
        assert quantiles == (headline.p10, headline.p50, headline.p90, headline.place)
