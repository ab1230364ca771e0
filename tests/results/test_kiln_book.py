"""The pages of the kiln are live: IronCalc recalculates them, with months, shifts, tasks and modelled fuel."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import plant
from firings import FULL
from iron import Iron, differences, is_mark, kept, plain
from office import same, with_inputs
from remembered import appraise, results_bytes

from econ.questions.latin import LEAST, Sampling

NIL = 1e-6
"""Masses, heats and amounts nearer to nil than this count as nil."""

MORE = "4100 lb per week"
FEW = Sampling(LEAST)
"""What samples say stands as values in these files."""


@pytest.fixture(scope="module")
def books(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Full and even plant as written, with more bones typed into the file, and with more bones asked for."""
    work = tmp_path_factory.mktemp("kiln")
    written = {}
    for name, sets in (("full", FULL), ("even", {})):
        for key, asked in ((name, sets), (f"{name}-asked", {**sets, "bones__1__mass": MORE})):
            written[key] = work / f"{key}.xlsx"
            written[key].write_bytes(results_bytes(appraise(plant(**asked), FEW)))
        more = {"bones.1.mass": float(MORE.split()[0])}
        written[f"{name}-more"] = with_inputs(written[name], work / f"{name}-more.xlsx", more)
    return written


@pytest.mark.parametrize("name", ["full", "even"])
def test_every_formula_equals_python(name: str, books: dict[str, Path]) -> None:
    wrong = differences(books[name], NIL)
    assert not wrong, "\n".join(wrong[:20])


@pytest.mark.parametrize("name", ["full", "even"])
def test_tonnage_changed_in_the_file_moves_batches_overflow_fuel_and_hours(
    name: str, books: dict[str, Path]
) -> None:
    more = books[f"{name}-more"]
    changed, asked = Iron(more, plain(more)).all(), kept(books[f"{name}-asked"])
    pages = ("What comes out", "Kiln and hours", "Month by month", "Cash by year")
    wrong = [f"{at}: {value!r} | {asked[at][1]!r}" for at, value in changed.items()
             if at.startswith(pages) and not is_mark(asked[at][0])
             and not same(value, asked[at][1], NIL)]  # fmt: skip
    assert not wrong, "\n".join(wrong[:20])
    before = kept(books[name])
    assert any(not same(value, before[at][1], NIL) for at, value in changed.items())
