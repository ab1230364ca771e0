"""The same workbook, version and seed give the same bytes: results, JSON, note and table of many plants.

The bytes of a results book hold every cell, so equal bytes are equal cells; where they differ the first cells
that do are named.
"""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
from collections.abc import Mapping
from functools import partial
from pathlib import Path

import pytest
import sent
from bounded import Answer, alone, warm
from office import cells, formulas

SEED = ("--seed", "7", "--samples", "2000")
PLAIN = {"PATH": os.environ.get("PATH", ""), "HOME": os.environ.get("HOME", "/"),
         "PYTHONPATH": os.environ.get("PYTHONPATH", "")}  # fmt: skip
PLACES: dict[str, Mapping[str, str]] = {
    "no locale, far east, one thread": {
        "LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "TZ": "Pacific/Kiritimati",
        "PYTHONHASHSEED": "1", "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1",
    },
    "decimal comma, far west, two threads": {
        "LC_ALL": "de_DE.UTF-8", "PYTHONUTF8": "1", "TZ": "America/Anchorage", "PYTHONHASHSEED": "4294967295",
        "OPENBLAS_NUM_THREADS": "2", "OMP_NUM_THREADS": "2", "COLUMNS": "30", "PYTHONOPTIMIZE": "1",
    },
    "dotted capital I, an older processor": {
        "LC_ALL": "tr_TR.UTF-8", "TZ": "Asia/Kathmandu", "OPENBLAS_CORETYPE": "NEHALEM",
        "NPY_DISABLE_CPU_FEATURES": "AVX512F AVX512_SKX AVX512_ICL AVX2 FMA3 F16C X86_V3",
    },
}  # fmt: skip


@pytest.fixture(scope="module")
def locales(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Where the locales are that are made here; on a system without their sources the tests run without them."""
    folder = tmp_path_factory.mktemp("locales")
    for name in ("de_DE", "tr_TR"):
        with contextlib.suppress(FileNotFoundError):
            subprocess.run(["localedef", "-i", name, "-f", "UTF-8", str(folder / f"{name}.UTF-8")], check=False)
    return {"LOCPATH": str(folder)} if list(folder.iterdir()) else {}


def run(folder: Path, env: Mapping[str, str] | None = None) -> tuple[Answer, Path]:
    """`kilncase run --json` in a folder of its own, by a relative name; without `env` as the tests have it."""
    folder.mkdir(parents=True)
    (folder / "plant.xlsx").write_bytes(sent.shipped_plant())
    words = ("run", "plant.xlsx", "--json", "--to", "plant.results.xlsx", *SEED)
    program = warm().run if env is None else partial(alone, env={**PLAIN, **env})
    found = program(*words, where=folder)
    assert found.code == 0, found
    return found, folder / "plant.results.xlsx"


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> tuple[Answer, Path]:
    return run(tmp_path_factory.mktemp("here") / "plain")


def assert_same(one: tuple[Answer, Path], other: tuple[Answer, Path]) -> None:
    assert json.loads(one[0].out) == json.loads(other[0].out)
    assert one[0].out == other[0].out
    if one[1].read_bytes() != other[1].read_bytes():
        for look in (cells, formulas):
            left, right = look(one[1]), look(other[1])
            odd = [at for at in {**left, **right} if left.get(at) != right.get(at)]
            assert [(at, left.get(at), right.get(at)) for at in odd[:5]] == []
        pytest.fail("every cell is the same, but the files differ in another part")


@pytest.mark.parametrize("place", PLACES)
def test_in_every_place_the_same(
    place: str, here: tuple[Answer, Path], locales: dict[str, str], tmp_path: Path
) -> None:
    env = {**PLACES[place], **(locales if "_" in PLACES[place]["LC_ALL"] else {})}
    if locales and "LOCPATH" in env:
        check = "import locale; print(locale.setlocale(locale.LC_ALL, ''))"
        program = [sys.executable, "-c", check]
        seen = subprocess.run(program, env={**PLAIN, **env}, capture_output=True, text=True, check=True).stdout
        assert seen.strip() == env["LC_ALL"], "the locale is in force"
    assert_same(here, run(tmp_path / "elsewhere" / "Ort mit Leerzeichen é", env))


WRITERS = """
import sys, time
from pathlib import Path
from econ.cli import app, with_command
base, to = sys.argv[1], sys.argv[2]
for words in (
    ["carbon-note", base, "--date", "2026-11-25", "--to", f"{to}/note.docx"],
    ["blank", f"{to}/blank.xlsx", "--example"],
    ["folder", f"{to}/plants.csv", "--base", base, "--workers", "1", "--to", f"{to}/many.csv", "--quiet"],
    ["folder", f"{to}/plants.csv", "--base", base, "--workers", "1", "--to", f"{to}/many.xlsx", "--quiet"],
):
    app(with_command(words), standalone_mode=False)
"""


def test_every_other_file_is_the_same_in_every_place(tmp_path: Path) -> None:
    """The hour, the time zone, the order of hashes and the folder show in none of them."""
    (tmp_path / "base.xlsx").write_bytes(sent.shipped_plant())
    made = []
    for number, env in enumerate(list(PLACES.values())[:2]):
        to = tmp_path / f"to {number}"
        to.mkdir()
        (to / "plants.csv").write_text("plant,kiln.price\n" + "".join(f"p{at},{30000 + at}\n" for at in range(3)))
        program = [sys.executable, "-c", WRITERS, str(tmp_path / "base.xlsx"), str(to)]
        subprocess.run(program, env={**PLAIN, **env}, check=True, capture_output=True)
        made.append({path.name: path.read_bytes() for path in to.iterdir() if path.suffix != ".journal"})
    assert made[0].keys() == made[1].keys()
    assert [name for name in made[0] if made[0][name] != made[1][name]] == []
    assert len(made[0]) == 5
