"""Does a wrong figure get noticed? `python tests/mutation/run.py` alters the model one place at a time.

mutmut writes the altered functions (mutants); this file picks them, runs them and writes what became of each.
mutmut's own runner is not used: it asks for each function only the tests that it saw call it, and misses those
that read a figure worked out once for a module, as most hand-worked cases are.

Kinds of mutant: a number plus one, + for -, * for /, a comparison a step off or turned round, and for or,
True for False, `not` taken away, a conditional forced to either side, maximum for minimum, floor for ceil,
greater for greater_equal. Left out: text, an argument or a value replaced by None or dropped. Those stop with
an error at once, and thousands of them would only raise the score. Constants outside functions and decorated
functions are not altered: mutmut cannot.

Each mutant runs in a process of its own forked from one that has loaded the libraries and tables but called
nothing of the model, so no cached figure of the right model is left to compare with itself.
"""

from __future__ import annotations

import argparse
import ast
import gc
import importlib
import json
import os
import random
import resource
import shutil
import sys
import time
from collections import Counter
from pathlib import Path

import libcst as cst
from mutmut.mutation import file_mutation, mutators
from mutmut.mutation.trampoline import set_mutant_under_test

ROOT = Path(__file__).resolve().parents[2]
ROOMS = {"finance": "econ/finance", "model": "econ/model"}
SEED = 20261125
EXAMPLES = 12
LIMIT_S = 240  # of processor time; a mutant that takes more has changed something: it counts as noticed

# In this order; a file is only opened when those before it passed. A module is put to the files that hold the
# hand-worked and published cases of its subject, so the score is a lower bound. The kept JSON of the shipped
# plants is not among them: it would notice any change and say nothing of right or wrong.
TESTS = {
    "finance": [
        "finance/test_finance_published.py", "finance/test_finance_worth.py", "finance/test_finance_irr.py",
        "finance/test_finance_loans.py", "finance/test_finance_depreciation.py",
        "finance/test_finance_payback.py", "finance/test_finance_refusals.py",
        "finance/test_finance_oracles.py", "finance/test_finance_alone.py",
        "finance/test_finance_properties.py",
    ],
    "carbon persistence": [
        "model/test_hand_plant.py", "model/test_carbon_guards.py", "model/test_carbon_examples.py",
        "model/test_matter_balances.py", "model/test_side_figures.py", "model/test_carbon_blocks.py",
    ],
    "capacity": [
        "model/test_hand_plant.py", "model/test_matter_entry.py", "model/test_hours.py",
        "model/test_capacity.py",
    ],
    "process": [
        "model/test_hand_plant.py", "model/test_heat_of_water.py", "model/test_heat.py",
        "model/test_carbon_guards.py", "model/test_carbon_examples.py", "model/test_carbon_blocks.py",
    ],
    "matter": [
        "model/test_hand_plant.py", "model/test_matter_balances.py", "model/test_matter_entry.py",
        "model/test_side_figures.py", "model/test_matter_finishing.py",
    ],
    "money assets cashflow lender operating": [
        "model/test_hand_plant.py", "model/test_market_sales.py", "model/test_side_figures.py",
        "model/test_money_rules.py", "model/test_money_hand.py", "model/test_second_hand.py",
        "model/test_hours.py",
    ],
    "planting": ["model/test_hand_plant.py", "model/test_own_planting.py", "model/test_ceiling.py"],
    "options plan_parts": [
        "model/test_hand_plant.py", "model/test_side_figures.py", "options/test_options.py",
    ],
    "plan evaluate ledger coefficients lines": [
        "model/test_hand_plant.py", "model/test_market_sales.py", "model/test_money_rules.py",
        "model/test_matter_entry.py", "model/test_carbon_guards.py", "model/test_hours.py",
        "model/test_matter_balances.py",
        "options/test_options.py",
    ],
}  # fmt: skip

SWAPS = {
    "maximum": "minimum", "minimum": "maximum", "floor": "ceil", "ceil": "floor",
    "greater": "greater_equal", "greater_equal": "greater",
}  # fmt: skip


def swapped(node: cst.Attribute):
    """np.maximum for np.minimum and the like."""
    if isinstance(node.value, cst.Name) and node.value.value == "np" and node.attr.value in SWAPS:
        yield node.with_changes(attr=cst.Name(SWAPS[node.attr.value]))


KINDS = [
    (cst.BaseNumber, mutators.operator_number),
    (cst.Name, mutators.operator_name),
    (cst.UnaryOperation, mutators.operator_remove_unary_ops),
    (cst.CSTNode, mutators.operator_keywords),
    (cst.CSTNode, mutators.operator_swap_op),
    (cst.IfExp, mutators.operator_if_exp),
    (cst.Attribute, swapped),
]


def lay_out(room: str, at: Path) -> list[str]:
    """Copy econ and tests to a folder with the room's modules altered; returns the names of the mutants.

    A folder laid out before is taken as it is, but for the tests, which are copied anew.
    """
    names = at / "names.json"
    if names.exists():
        shutil.copytree(ROOT / "tests", at / "tests", dirs_exist_ok=True)
        return list(json.loads(names.read_text(encoding="utf-8")))
    file_mutation.mutation_operators = KINDS
    os.chdir(ROOT)  # where mutmut finds its settings
    shutil.rmtree(at, ignore_errors=True)
    for name in ("econ", "tests", "scenarios", "templates", "README.md", "pyproject.toml"):
        source = ROOT / name
        shutil.copytree(source, at / name) if source.is_dir() else shutil.copy(source, at / name)
    found = []
    for path in sorted((at / ROOMS[room]).glob("*.py")):
        made = file_mutation.mutate_file_contents(str(path.relative_to(at)), path.read_text(encoding="utf-8"))
        path.write_text(made.code, encoding="utf-8")
        module = ".".join(path.relative_to(at).with_suffix("").parts)
        found += [f"{module}.{name}" for name in made.mutant_names]
    names.write_text(json.dumps(found), encoding="utf-8")
    return found


def warm(at: Path) -> None:
    """Load libraries, every module of econ and the tables, from the folder with the mutants."""
    os.chdir(at)
    sys.path[:0] = [str(at), str(at / "tests")]
    os.environ.update(CI="true", PYTHONPATH=str(at), PYTEST_DISABLE_PLUGIN_AUTOLOAD="1")
    set_mutant_under_test("none")
    sys.dont_write_bytecode = False  # tests are compiled once, not once a mutant
    for name in (
        "pytest",
        "hypothesis",
        "hypothesis.strategies",
        "numpy",
        "openpyxl",
        "xlsxwriter",
        "scipy.optimize",
    ):
        importlib.import_module(name)
    for path in sorted(Path("econ").rglob("*.py")):
        if path.name != "__main__.py" and "many" not in path.parts:
            importlib.import_module(".".join(path.with_suffix("").parts).removesuffix(".__init__"))
    assert Path(sys.modules["econ"].__file__ or "").is_relative_to(at)
    from hypothesis import settings

    from econ.inputs.build import build
    from econ.inputs.examples import example

    # the class guards itself against this; every property is tried on fewer examples than in the gate
    type.__setattr__(settings, "max_examples", property(lambda _: EXAMPLES))
    start = example("thistle-flat")
    build(start.rows, start.system, tables=start.tables)
    gc.freeze()


def fate(name: str, files: list[str]) -> str:
    """Run the files one after another until one fails; what became of the mutant, in one word or name."""
    import pytest

    set_mutant_under_test(name)
    options = ["-x", "-q", "--no-header", "-o", "addopts=", "-p", "no:cacheprovider"]
    for file in files:
        if pytest.main([*options, f"tests/{file}"]) != 0:
            return file
    return "survived"


def files_for(name: str) -> list[str]:
    """The test files that a mutant is put to."""
    _, room, module, _ = name.split(".", 3)
    if room == "finance":
        return TESTS[room]
    return next(files for modules, files in TESTS.items() if module in modules.split())


def start(name: str, files: list[str], at: Path) -> int:
    """Fork a process for one mutant; its fate goes to a small file."""
    pid = os.fork()
    if pid:
        return pid
    resource.setrlimit(resource.RLIMIT_CPU, (LIMIT_S, LIMIT_S))
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 1)
    os.dup2(nothing, 2)
    try:
        (at / f"fate.{os.getpid()}").write_text(fate(name, files), encoding="utf-8")
    finally:
        os._exit(0)


def run(names: list[str], at: Path, workers: int) -> dict[str, str]:
    """What became of each mutant; written to fates.jsonl as it comes in, and read from there if noticed."""
    book = at / "fates.jsonl"
    known = dict(map(json.loads, book.read_text(encoding="utf-8").splitlines())) if book.exists() else {}
    fates: dict[str, str] = {name: known[name] for name in names if known.get(name, "survived") != "survived"}
    going: dict[int, str] = {}
    waiting = [name for name in reversed(names) if name not in fates]
    with book.open("a", encoding="utf-8") as out:
        while waiting or going:
            while waiting and len(going) < workers:
                name = waiting.pop()
                going[start(name, files_for(name), at)] = name
            pid, _ = os.wait()
            name, told = going.pop(pid), at / f"fate.{pid}"
            fates[name] = told.read_text(encoding="utf-8") if told.exists() else "stopped or out of time"
            told.unlink(missing_ok=True)
            out.write(json.dumps([name, fates[name]]) + "\n")
            out.flush()
    return fates


def difference(name: str, at: Path) -> str:
    """The lines in which a mutant differs from the function as it stands."""
    module, _, function = name.rpartition(".")
    tree = ast.parse((at / Path(*module.split(".")).with_suffix(".py")).read_text(encoding="utf-8"))
    texts = {
        node.name: ast.unparse(node).splitlines()[1:]
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef)
    }
    ours, theirs = texts[function.rsplit("__mutmut_", 1)[0] + "__mutmut_orig"], texts[function]
    return "\n".join(f"  - {a.strip()}\n  + {b.strip()}" for a, b in zip(ours, theirs, strict=True) if a != b)


def main() -> None:
    """Print the score, what noticed the mutants, and every survivor."""
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("room", choices=list(ROOMS))
    words.add_argument("--sample", type=int, help="this many mutants drawn with a fixed seed, instead of all")
    words.add_argument("--only", help="those whose name holds this text")
    words.add_argument("--workers", type=int, default=1)
    words.add_argument(
        "--at",
        type=Path,
        default=Path("/tmp/kilncase-mutants"),
        help="folder to work in; what was noticed there is not tried again, survivors are",
    )
    given = words.parse_args()
    at = given.at.resolve() / given.room
    began = time.monotonic()
    names = [name for name in lay_out(given.room, at) if (given.only or "") in name]
    picked = random.Random(SEED).sample(names, min(given.sample or len(names), len(names)))
    warm(at)
    unchanged = {tuple(files_for(name)): name.rsplit("__", 1)[0] + "__none" for name in picked}
    if failing := {
        told for told in run(list(unchanged.values()), at, given.workers).values() if told != "survived"
    }:
        raise SystemExit(f"the model as it stands fails {failing}")
    fates = run(picked, at, given.workers)
    survivors = sorted(name for name, told in fates.items() if told == "survived")
    for name in survivors:
        print(f"{name}\n{difference(name, at)}")
    for told, count in Counter(fates.values()).most_common():
        print(f"{count:6d} {told}")
    score = 1 - len(survivors) / len(fates)
    print(f"{len(names)} mutants, {len(fates)} run, {len(survivors)} survived: {score:.1%} noticed, "
          f"{(time.monotonic() - began) / 60:.0f} minutes")  # fmt: skip


if __name__ == "__main__":
    main()
