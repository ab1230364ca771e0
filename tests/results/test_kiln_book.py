"""The pages of the kiln are live: LibreOffice recalculates them, with months, shifts, tasks and modelled fuel."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import plant
from firings import FULL
from office import cells, formulas, recalculate, same, with_inputs

from econ.answer.appraisal import appraise
from econ.workbook.results_book import results_bytes

pytestmark = pytest.mark.office

NIL = 1e-6
"""Masses, heats and amounts nearer to nil than this count as nil."""

MORE = "4100 lb per week"


@pytest.fixture(scope="module")
def books(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Path, Path]]:
    """Full and even plant, as written, and with more bones typed into the file; each recalculated."""
    work = tmp_path_factory.mktemp("kiln")
    written = {}
    for name, sets in (("full", FULL), ("even", {})):
        written[name] = work / f"{name}.xlsx"
        written[name].write_bytes(results_bytes(appraise(plant(**sets))))
        written[f"{name}-more"] = with_inputs(
            written[name], work / f"{name}-more.xlsx", {"bones.1.mass": float(MORE.split()[0])}
        )
        written[f"{name}-asked"] = work / f"{name}-asked.xlsx"
        asked = appraise(plant(**{**sets, "bones__1__mass": MORE}))
        written[f"{name}-asked"].write_bytes(results_bytes(asked))
    return recalculate(written, work)


@pytest.mark.parametrize("name", ["full", "even"])
def test_every_formula_equals_python(name: str, books: dict[str, tuple[Path, Path]]) -> None:
    written, recalculated = (cells(path) for path in books[name])
    live = formulas(books[name][0])
    wrong = [f"{at} {text}: {written[at]!r} | {recalculated.get(at)!r}" for at, text in live.items()
             if not same(written[at], recalculated.get(at), NIL)]  # fmt: skip
    assert not wrong, "\n".join(wrong[:20])


@pytest.mark.parametrize("name", ["full", "even"])
def test_tonnage_changed_in_the_file_moves_batches_overflow_fuel_and_hours(
    name: str, books: dict[str, tuple[Path, Path]]
) -> None:
    changed, asked, before = (cells(books[key][1]) for key in (f"{name}-more", f"{name}-asked", name))
    pages = ("What comes out", "Kiln and hours", "Month by month", "Cash by year")
    live = [at for at in formulas(books[name][0]) if at.startswith(pages)]
    wrong = [
        f"{at}: {changed.get(at)!r} | {asked.get(at)!r}"
        for at in live
        if not same(changed.get(at), asked.get(at), NIL)
    ]
    assert not wrong, "\n".join(wrong[:20])
    labels = {before[at.replace("!B", "!A")] for at in live if at.startswith(pages[0] + "!B") and not
              same(changed[at], before[at], NIL)}  # fmt: skip
    assert {"Firings made", "Bones above capacity: stay with today's way", "Hours of people", "All fuel"} <= labels
