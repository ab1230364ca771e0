"""Does a wrong figure get noticed? `python tests/mutation/run.py model` alters the model one place at a time.

mutmut writes the altered functions (mutants); this file picks them, runs them and writes what became of each.
mutmut's own runner is not used: it asks for each function only the tests that it saw call it, and misses those
that read a figure worked out once for a module, as most hand-worked cases are.

Kinds of mutant: a number plus one, + for -, * for /, a comparison a step off or turned round, and for or,
True for False, `not` taken away, a conditional forced to either side, maximum for minimum, floor for ceil,
greater for greater_equal. Left out: text, an argument or a value replaced by None or dropped. Those stop with
an error at once, and thousands of them would only raise the score. Constants outside functions and decorated
functions are not altered: mutmut cannot.

All test files are loaded once and nothing of the altered modules is called meanwhile; each mutant is tried in a
fork of that process, so that no cached figure of the right model is left to compare with itself. A first round
notes which test reaches which function. A mutant is put to those tests, hand arithmetic first, the quickest first,
and before them those that noticed others in the same function; then to the other tests of their files, which
may read a kept figure;
until one fails or `--seconds` of processor time are used.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import gc
import importlib
import json
import os
import random
import resource
import shutil
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import libcst as cst
from mutmut.mutation import file_mutation, mutators, trampoline

ROOT = Path(__file__).resolve().parents[2]
ROOMS = {
    "finance": ["econ/finance/*.py"],
    "model": ["econ/model/*.py", "econ/page/javascript.py", "econ/workbook/live.py"],
}
SEED = 20261125
EXAMPLES = 4
DEAREST_S = 30
"""Processor time of a test file beyond which it is left out; LibreOffice and Chromium do not count to it."""
UNJUDGED = (
    "results/test_golden.py", "test_house.py", "cli/test_readme_lines.py", "bench/", "fuzz/", "mutation/",
    "many/", "workbook/test_safe_write.py", "workbook/test_strangers.py", "workbook/test_print_set.py",
    "workbook/test_failing_calls.py", "workbook/test_guards.py", "cli/test_bad_input.py",
    "results/test_recalculation.py", "page/test_page.py", "workbook/test_user_text.py",
    "model/test_inputs_matter.py", "model/test_firing_rows.py",
)  # fmt: skip
"""Left out: what notices any change and judges none (kept JSON), and files about other things."""
PRINTERS = ("page/test_same_numbers.py", "model/test_money_live.py", "options/test_options_page.py")
"""These hold a printed model against the model, so they can notice a fault of a ledger only."""
JUDGES = ("model/", "options/", "finance/", "page/test_javascript.py", "workbook/test_live.py")
"""These hold figures against hand arithmetic and printed cases: they are tried before the others."""
STAGE = 30
"""Functions that a test of one stage reaches at most; such tests are tried first."""

SWAPS = {
    "maximum": "minimum", "minimum": "maximum", "floor": "ceil", "ceil": "floor",
    "greater": "greater_equal", "greater_equal": "greater",
}  # fmt: skip


def swapped(node: cst.Attribute) -> Iterator[cst.Attribute]:
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
    for path in sorted(path for pattern in ROOMS[room] for path in at.glob(pattern)):
        made = file_mutation.mutate_file_contents(str(path.relative_to(at)), path.read_text(encoding="utf-8"))
        path.write_text(made.code, encoding="utf-8")
        module = ".".join(path.relative_to(at).with_suffix("").parts)
        found += [f"{module}.{name}" for name in made.mutant_names]
    names.write_text(json.dumps(found), encoding="utf-8")
    return found


Altered = dict[str, Callable[..., Any]]
SWITCHES: dict[str, tuple[list[Callable[..., Any]], Altered]] = {}
"""By module and function: what is called now, in a list of one, and everything that can be."""
REACHED: set[str] = set()


def switchable(altered: Altered, is_classmethod: bool = False) -> Callable[[Callable[..., Any]], Any]:
    """What mutmut's file puts around each function, made to cost next to nothing when it is called."""

    def around(function: Callable[..., Any]) -> Callable[..., Any]:
        now: list[Callable[..., Any]] = []

        def called(*args: Any, **words: Any) -> Any:
            use = (now or first())[0]
            if is_classmethod:
                REACHED.add(
                    f"{function.__module__}.{altered['_mutmut_orig'].__name__.removesuffix('__mutmut_orig')}"
                )
                return getattr(args[0], use.__name__)(*args[1:], **words)
            return use(*args, **words)

        def first() -> list[Callable[..., Any]]:
            orig = altered["_mutmut_orig"]
            whole = f"{function.__module__}.{orig.__name__.removesuffix('__mutmut_orig')}"

            def noted(*args: Any, **words: Any) -> Any:
                REACHED.add(whole)
                return orig(*args, **words)

            now.append(orig if is_classmethod else noted)
            SWITCHES[whole] = (now, altered)
            return now

        for name in ("__module__", "__name__", "__qualname__", "__doc__", "__wrapped__"):
            setattr(called, name, getattr(function, name, function))
        STARTERS.append(first)
        return called

    return around


STARTERS: list[Callable[[], Any]] = []


def function_of(name: str) -> str:
    """The function that a mutant alters, by its name in SWITCHES."""
    return name.rsplit("__mutmut_", 1)[0]


def switch(name: str | None) -> None:
    """Put one mutant in place of its function, and every other function as it stands."""
    for whole, (now, altered) in SWITCHES.items():
        now[0] = altered["_mutmut_orig"]
        if name and function_of(name) == whole:
            now[0] = altered[name.rpartition(".")[2]]


def warm(at: Path) -> None:
    """Load libraries, every module of econ and the tables, from the folder with the mutants."""
    os.chdir(at)
    sys.path[:0] = [str(at), str(at / "tests")]
    os.environ.update(CI="true", PYTHONPATH=str(at), PYTEST_DISABLE_PLUGIN_AUTOLOAD="1")
    trampoline.wrap_in_trampoline = switchable
    for name in ("pytest", "hypothesis.strategies", "numpy", "openpyxl", "xlsxwriter", "scipy.optimize"):
        importlib.import_module(name)
    for path in sorted(Path("econ").rglob("*.py")):
        if path.name != "__main__.py" and "many" not in path.parts:
            importlib.import_module(".".join(path.with_suffix("").parts).removesuffix(".__init__"))
    assert Path(sys.modules["econ"].__file__ or "").is_relative_to(at)
    for begin in STARTERS:
        begin()
    from hypothesis import settings

    # the class guards itself against this; every property is tried on fewer examples than in the gate
    type.__setattr__(settings, "max_examples", property(lambda _: EXAMPLES))


class Seen(NamedTuple):
    """A test in the first round: functions it reached, processor time, whether it passed."""

    reached: list[str]
    seconds: float
    passed: bool


class Rounds:
    """The plugin that takes the place of pytest's own round through the tests."""

    def __init__(self, given: argparse.Namespace, names: list[str], at: Path) -> None:
        self.given, self.names, self.at = given, names, at
        self.tests: dict[str, Any] = {}
        self.seen: dict[str, Seen] = {}
        self.noticed: dict[str, Counter[str]] = defaultdict(Counter)

    def pytest_ignore_collect(self, collection_path: Path) -> bool | None:
        """Leave out what judges nothing of the model."""
        short = os.path.relpath(collection_path, self.at / "tests") + "/" * collection_path.is_dir()
        return True if short.startswith(UNJUDGED) else None

    def pytest_collectstart(self) -> None:
        """Nothing of the room may be called while the test files are loaded."""
        REACHED.clear()

    def pytest_collectreport(self, report: Any) -> None:
        """Tell of a test file that did: its figures would be those of the right model for ever."""
        if REACHED:
            print("reached while loading", report.nodeid, sorted(REACHED)[:3])

    def pytest_runtestloop(self, session: Any) -> bool:
        """First round, then every mutant."""
        self.session = session
        self.tests = {item.nodeid: item for item in session.items}
        gc.collect()
        gc.freeze()
        self.first_round()
        for name, told in self.run().items():
            FATES[name] = told
        return True

    def pass_or_fail(self, ids: list[str], used_up: Callable[[], bool]) -> str:
        """Run tests until one fails; its name, or why none did."""
        from _pytest.runner import runtestprotocol

        for id_, after in zip(ids, [*ids[1:], None], strict=True):
            item = self.tests[id_]
            follows = self.tests[after] if after else None
            if any(report.failed for report in runtestprotocol(item, log=False, nextitem=follows)):
                return id_
            if used_up():
                return "survived: time is up"
        return "survived"

    def first_round(self) -> None:
        """What each test reaches and costs, every file in a fork of its own; kept beside the mutants."""
        book = self.at / "reached.jsonl"
        known = [json.loads(line) for line in book.read_text("utf-8").splitlines()] if book.exists() else []
        self.seen = {id_: Seen(*rest) for id_, *rest in known}
        files: dict[str, list[str]] = defaultdict(list)
        for id_ in self.tests:
            files[id_.split("::")[0]].append(id_)
        waiting = [ids for file, ids in files.items() if not any(id_ in self.seen for id_ in ids)]
        pool(waiting, lambda ids: self.note(ids, book), self.given.workers, lambda *_: None)
        self.seen = {id_: Seen(*rest) for id_, *rest in map(json.loads, book.read_text("utf-8").splitlines())}
        failed = [id_ for id_, seen in self.seen.items() if not seen.passed]
        if failed:
            print("left out, since they fail on the model as it stands:", *failed, sep="\n  ")
        cost: Counter[str] = Counter()
        for id_, seen in self.seen.items():
            cost[id_.split("::")[0]] += seen.seconds
        self.fit = {id_ for id_, seen in self.seen.items()
                    if seen.passed and id_ in self.tests and cost[id_.split("::")[0]] <= DEAREST_S}  # fmt: skip

    def note(self, ids: list[str], book: Path) -> str:
        """Run the tests of a file and write what each reached."""
        rows = []
        self.own_folder()
        for id_ in ids:
            REACHED.clear()
            began = time.process_time()
            told = self.one(id_, ids)
            rows.append([id_, sorted(REACHED), round(time.process_time() - began, 4), told == "survived"])
        with book.open("a", encoding="utf-8") as out:
            out.write("".join(json.dumps(row) + "\n" for row in rows))
        return "noted"

    def own_folder(self) -> None:
        """Files of a fork go where the fork is swept up."""
        self.session.config._tmp_path_factory._basetemp = Path(tempfile.mkdtemp())

    def one(self, id_: str, ids: list[str]) -> str:
        """One test of a file, what the next one shares with it being kept."""
        from _pytest.runner import runtestprotocol

        at = ids.index(id_)
        follows = self.tests[ids[at + 1]] if at + 1 < len(ids) else None
        reports = runtestprotocol(self.tests[id_], log=False, nextitem=follows)
        return "failed" if any(report.failed for report in reports) else "survived"

    def plan(self, function: str) -> list[str]:
        """The tests for a mutant of a function, in order."""
        whole = function.startswith(("econ.page", "econ.workbook"))
        fit = {id_ for id_ in self.fit if whole or not id_.removeprefix("tests/").startswith(PRINTERS)}
        reach = [id_ for id_ in fit if function in self.seen[id_].reached]
        files: dict[str, list[str]] = defaultdict(list)
        for id_ in sorted(reach, key=lambda id_: self.seen[id_].seconds):
            files[id_.split("::")[0]].append(id_)
        by_file = sorted(files.values(), key=lambda ids: (
            not ids[0].removeprefix("tests/").startswith(JUDGES),
            min(len(self.seen[id_].reached) for id_ in ids) // STAGE,
            sum(self.seen[id_].seconds for id_ in ids[:3]),
        ))  # fmt: skip
        first = [id_ for id_, _ in self.noticed[function].most_common(3)]
        direct = [id_ for ids in by_file for id_ in ids]
        rest = [id_ for id_ in sorted(fit, key=lambda id_: self.seen[id_].seconds)
                if id_.split("::")[0] in files]  # fmt: skip
        return list(dict.fromkeys([*first, *direct, *rest]))

    def fate(self, name: str) -> str:
        """What became of a mutant, in the fork that tries it."""
        switch(name)
        self.own_folder()
        most = self.given.seconds
        resource.setrlimit(resource.RLIMIT_CPU, (int(4 * most), int(4 * most)))
        began = time.process_time()
        ids = self.plan(function_of(name))
        return self.pass_or_fail(ids, lambda: time.process_time() - began > most) if ids else "survived: no test"

    def remember(self, name: str, fate: str) -> None:
        """Which test noticed a mutant: it is the first to be tried on others of the same function."""
        if "::" in fate and fate in self.tests:
            self.noticed[function_of(name)][fate] += 1

    def run(self) -> dict[str, str]:
        """What became of each mutant; written to fates.jsonl as it comes in, and read from there if noticed."""
        book = self.at / "fates.jsonl"
        known = dict(map(json.loads, book.read_text("utf-8").splitlines())) if book.exists() else {}
        again = self.given.again
        fates = {name: known[name] for name in self.names
                 if name in known and not (again and known[name].startswith("survived"))}  # fmt: skip
        for name, fate in fates.items():
            self.remember(name, fate)
        with book.open("a", encoding="utf-8") as out:

            def told(name: str, fate: str) -> None:
                fates[name] = fate
                self.remember(name, fate)
                out.write(json.dumps([name, fate]) + "\n")
                out.flush()

            waiting = [name for name in self.names if name not in fates]
            pool(waiting, self.fate, self.given.workers, told)
        return fates


def pool(waiting: list[Any], work: Callable[[Any], str], workers: int, told: Callable[[Any, str], None]) -> None:
    """Each piece of work in a fork of its own, so many at a time; `told` hears what each returned."""
    going: dict[int, tuple[Any, int]] = {}
    waiting = list(reversed(waiting))
    while waiting or going:
        while waiting and len(going) < workers:
            one = waiting.pop()
            read, write = os.pipe()
            pid = os.fork()
            if not pid:
                nothing = os.open(os.devnull, os.O_WRONLY)
                os.dup2(nothing, 1)
                os.dup2(nothing, 2)
                with contextlib.suppress(BaseException), tempfile.TemporaryDirectory() as room:
                    tempfile.tempdir = room
                    os.write(write, work(one).encode())
                os._exit(0)
            os.close(write)
            going[pid] = (one, read)
        pid, _ = os.wait()
        one, read = going.pop(pid)
        told(one, os.read(read, 4096).decode() or "stopped or out of time")
        os.close(read)


FATES: dict[str, str] = {}


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
    words = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    words.add_argument("room", choices=list(ROOMS))
    words.add_argument("--sample", type=int, help="this many mutants drawn with a fixed seed, instead of all")
    words.add_argument("--only", default="", help="those whose name holds this text")
    words.add_argument("--workers", type=int, default=1)
    words.add_argument("--seconds", type=float, default=30, help="processor time at most for one mutant")
    words.add_argument("--again", action="store_true", help="try once more what survived before")
    words.add_argument("--tests", nargs="*", default=["tests"], help="folders or files of tests")
    words.add_argument("--at", type=Path, default=Path("/tmp/kilncase-mutants"),
                       help="folder to work in; what was tried there is not tried again")  # fmt: skip
    given = words.parse_args()
    at = given.at.resolve() / given.room
    began = time.monotonic()
    names = [name for name in lay_out(given.room, at) if given.only in name]
    picked = random.Random(SEED).sample(names, min(given.sample or len(names), len(names)))
    warm(at)
    import pytest

    options = ["-q", "-s", "--no-header", "-o", "addopts=", "-p", "no:cacheprovider", *given.tests]
    pytest.main(options, plugins=[Rounds(given, picked, at)])
    survivors = sorted(name for name, told in FATES.items() if told.startswith("survived"))
    for name in survivors:
        print(f"{name} ({FATES[name]})\n{difference(name, at)}")
    for told, count in Counter(told.split("::")[0] for told in FATES.values()).most_common():
        print(f"{count:6d} {told}")
    score, minutes = 1 - len(survivors) / len(FATES), (time.monotonic() - began) / 60
    lived = f"{len(survivors)} survived: {score:.1%} noticed"
    print(f"{len(names)} mutants, {len(FATES)} run, {lived}, {minutes:.0f} minutes")


if __name__ == "__main__":
    main()
