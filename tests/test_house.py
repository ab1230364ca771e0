"""The shape of the house: imports go one way, heavy things load late, files that ship are fresh."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections import Counter
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest
from office import cells, same_cells
from shipping import SHIPPED, made, now

from econ.workbook.ship import readme_with_screen

ROOMS = {
    "errors": "", "fields": "", "harmless": "", "shipped": "", "units": "errors fields shipped",
    "evidence": "errors fields harmless shipped units",
    "finance": "errors fields shipped",
    "inputs": "errors fields harmless shipped units evidence",
    "measured": "errors fields shipped units evidence inputs",
    "model": "errors fields shipped units evidence inputs finance",
    "questions": "errors fields shipped units evidence inputs measured model",
    "answer": "errors fields harmless shipped units evidence finance inputs measured model questions",
    "workbook": "errors fields harmless shipped units evidence inputs measured model questions answer",
    "page": "errors fields harmless shipped units evidence inputs measured model questions answer workbook",
    "note": "errors fields harmless shipped units evidence inputs model questions answer workbook",
    "door": "errors fields harmless inputs model questions answer workbook",
    "many": "errors fields harmless shipped units inputs model questions answer workbook",
    "cli": "errors fields harmless units evidence inputs questions answer workbook page note many",
}  # fmt: skip
"""What the modules of each room may import, beside their own room; lowest first."""
TOP = {
    *["__init__.py", "errors.py", "fields.py", "harmless.py", "shipped.py", "units.py", "units.csv", "py.typed"]
}
HEAVY = {"openpyxl": "workbook", "xlsxwriter": "workbook", "docx": "note", "typer": "cli"}


def modules(root: Path) -> list[Path]:
    return sorted((root / "econ").rglob("*.py"))


@cache
def nodes(path: Path) -> list[ast.AST]:
    return list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))


@cache
def imported(path: Path) -> list[tuple[str, int]]:
    """Full names of everything imported by a module, with the line."""
    found = []
    for node in nodes(path):
        if isinstance(node, ast.ImportFrom) and node.module:
            found += [(f"{node.module}.{alias.name}", node.lineno) for alias in node.names]
        elif isinstance(node, ast.Import):
            found += [(alias.name, node.lineno) for alias in node.names]
    return found


def imported_at_start(path: Path) -> set[str]:
    """Names of modules, and of what is taken from them, that are imported when this module is."""
    inside = set()
    for node in nodes(path):
        if isinstance(node, ast.FunctionDef) or (
            isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test)
        ):
            inside |= {child.lineno for child in ast.walk(node) if isinstance(child, ast.Import | ast.ImportFrom)}
    names = {name for name, lineno in imported(path) if lineno not in inside}
    return names | {name.rpartition(".")[0] for name in names}


def file_of(root: Path, name: str) -> Path:
    """The file of a module."""
    path = root.joinpath(*name.split("."))
    return path / "__init__.py" if path.is_dir() else path.with_suffix(".py")


def room(path: Path, root: Path) -> str:
    return path.relative_to(root / "econ").parts[0].removesuffix(".py")


def graph(root: Path) -> dict[str, set[str]]:
    """Modules of the program by name, with those they import: also inside functions and for types alone."""
    names = {".".join(path.relative_to(root).with_suffix("").parts): path for path in modules(root)}
    names = {name.removesuffix(".__init__"): path for name, path in names.items()}
    return {
        name: {full if full in names else full.rpartition(".")[0] for full, _ in imported(path)}
        & names.keys() - {name}
        for name, path in names.items()
        if name != "econ"  # its three names load on use
    }


def test_imports_go_one_way(root: Path) -> None:
    wrong = []
    for path in modules(root):
        own = room(path, root)
        if own == "__init__":
            continue
        assert own in ROOMS, f"{path}: give the room {own!r} a line in ROOMS"
        for name, lineno in imported(path):
            other = (*name.split("."), "")[1]
            if name.startswith("econ.") and other not in (own, *ROOMS[own].split()):
                wrong.append(f"{path.relative_to(root)}:{lineno} imports {name}")
    assert not wrong, "\n".join(wrong)


def test_no_module_imports_itself_by_way_of_others(root: Path) -> None:
    TopologicalSorter(graph(root)).prepare()  # raises CycleError with the circle in it


def test_a_chain_of_imports_is_at_most_fourteen_modules(root: Path) -> None:
    """At the start of a module; a command imports what it needs when it is called."""
    names = graph(root)
    at_start = {
        name: found & {full for path in [file_of(root, name)] for full in imported_at_start(path)}
        for name, found in names.items()
    }
    chains: dict[str, tuple[str, ...]] = {}
    for name in TopologicalSorter(at_start).static_order():
        below = max((chains[one] for one in at_start.get(name, ())), key=len, default=())
        chains[name] = (name, *below)
    longest = max(chains.values(), key=len)
    assert len(longest) <= 14, " <- ".join(longest)


def test_no_two_modules_have_one_name(root: Path) -> None:
    named = Counter(path.name for path in modules(root) if not path.name.startswith("__"))
    assert not [name for name, times in named.items() if times > 1]


def test_the_top_of_the_program_holds_what_is_drawn(root: Path) -> None:
    assert {path.name for path in (root / "econ").iterdir() if path.is_file()} == TOP


def test_each_file_library_lives_in_its_room_only(root: Path) -> None:
    wrong = [
        f"{path.relative_to(root)} imports {name}"
        for path in modules(root)
        for name, _ in imported(path)
        if (home := HEAVY.get(name.split(".")[0])) and room(path, root) != home
    ]
    assert not wrong, "\n".join(wrong)


def test_records_are_made_in_one_place(root: Path) -> None:
    """`econ/fields.py` says what its `record` saves; what it hands on of dataclasses is taken from there too."""
    theirs = {path.name for path in modules(root) for name, _ in imported(path) if name.startswith("dataclasses")}
    assert theirs == {"fields.py"}


def test_only_the_command_prints_or_exits(root: Path) -> None:
    wrong = [
        f"{path.relative_to(root)}:{node.lineno}"
        for path in modules(root)
        if room(path, root) != "cli"
        for node in nodes(path)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in {"print", "exit"}
    ]
    assert not wrong


@pytest.mark.parametrize("line", ["import econ", "import econ.cli"])
def test_start_up_loads_nothing_heavy(line: str) -> None:
    heavy = ("numpy", "openpyxl", "pandas", "xlsxwriter", "scipy")
    program = f"{line}; import sys; print([m for m in {heavy} if m in sys.modules])"
    out = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"


def test_an_interrupt_is_heard_before_anything_slow_loads(root: Path) -> None:
    """Without site-packages: what an editable install loads before us is not ours."""
    slow = ("typing", "pathlib", "enum", "contextlib", "re", "typer")
    program = f"import econ.cli, sys; print([m for m in {slow} if m in sys.modules])"
    out = subprocess.run(
        [sys.executable, "-S", "-c", program], capture_output=True, text=True, check=True, cwd=root
    )
    assert out.stdout.strip() == "[]"


def test_help_loads_neither_numpy_nor_openpyxl() -> None:
    program = (
        "import sys; sys.argv = ['kilncase', '--help']\n"
        "from econ.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "assert not {'numpy', 'openpyxl'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", program], capture_output=True, check=True)


def test_a_default_run_loads_neither_pandas_nor_scipy(root: Path, tmp_path: Path) -> None:
    program = (
        f"import sys; sys.argv = ['kilncase', 'run', {str(root / 'scenarios' / 'thistle-flat.xlsx')!r}, '--quiet',"
        f" '--to', {str(tmp_path / 'r.xlsx')!r}]\n"
        "from econ.cli import main\n"
        "try:\n    main()\nexcept SystemExit as end:\n    assert not end.code\n"
        "assert not {'pandas', 'scipy', 'matplotlib'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", program], capture_output=True, check=True)


@pytest.mark.parametrize("name", SHIPPED)
def test_shipped_files_are_fresh(name: str, root: Path, tmp_path: Path) -> None:
    """Compared cell by cell with what the schema and the example texts make now; mend with
    `python -m econ.workbook.ship`.
    """
    fresh = tmp_path / "fresh.xlsx"
    fresh.write_bytes(now(name))
    assert same_cells(root / name, fresh) or cells(root / name) == cells(fresh)  # the second says what differs


def test_all_scenario_workbooks_are_shipped() -> None:
    assert sorted(made()) == list(SHIPPED)


def test_modules_stay_small(root: Path) -> None:
    long = [f"{p.relative_to(root)}: {n}" for p in modules(root) if (n := len(p.read_text().splitlines())) > 300]
    assert not long


def test_the_readme_and_ci_use_the_same_test_command(root: Path) -> None:
    readme, ci = ((root / name).read_text(encoding="utf-8") for name in ("README.md", ".ci/run"))
    commands = re.findall(r"^    (python3 -m venv .*)$", readme, flags=re.MULTILINE)
    assert len(commands) == 2
    assert all(command in ci for command in commands)


def test_tests_find_each_other_without_the_repository_on_the_path(root: Path) -> None:
    """`.venv/bin/pytest` puts tests/ and the folder of a file on the path, not the top: `from plants import`."""
    wrong = [
        f"{path.relative_to(root)}:{lineno} imports {name}"
        for path in sorted((root / "tests").rglob("*.py"))
        if re.search(r"\bimport\b.*\btests\b|\bfrom tests\b", path.read_text(encoding="utf-8"))
        for name, lineno in imported(path)
        if name.split(".")[0] == "tests"
    ]
    assert not wrong, "\n".join(wrong)


def test_the_top_level_is_as_drawn(root: Path) -> None:
    tracked = subprocess.run(["git", "ls-files"], cwd=root, capture_output=True, text=True, check=True).stdout
    tops = {line.split("/")[0] for line in tracked.splitlines()}
    drawn = {"README.md", "DEVELOPERS.md", "pyproject.toml", "econ", "templates", "tests", "scenarios", ".ci",
             ".gitignore", "LICENSE", "MANIFEST.in"}  # fmt: skip
    assert tops <= drawn


def test_the_readme_shows_the_answer_screen(root: Path) -> None:
    text = (root / "README.md").read_text(encoding="utf-8")
    assert "Net present value" in text
    assert text == readme_with_screen(text), "a figure or a table changed: run python -m econ.workbook.ship"


WHOLE_NUMBERS = (
    "total_byte_size", "file_size", "elements", "_wrapped", "sown", "sprouted", "len(", ".count(", "widths",
    "WIDTHS", "is_verified", "==", "_squares", "_products", "sum((1 ",
)  # fmt: skip
"""Marks of sums over counts, widths of columns and arrays, which are the same on every Python."""


def test_floats_are_summed_exactly(root: Path) -> None:
    """From Python 3.12 on the builtin sum over floats compensates, so its last bit differs from 3.11."""
    wrong = [
        f"{path.relative_to(root)}:{node.lineno}: {text}, use math.fsum"
        for path in modules(root)
        for node in nodes(path)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "sum"
        if not any(mark in (text := ast.unparse(node)) for mark in WHOLE_NUMBERS)
    ]
    assert not wrong, "\n".join(wrong)


COMPUTING = ("finance", "model", "evidence", "measured", "questions")
"""Rooms whose public functions compute numbers."""
SOURCED = ("finance", "model")
"""Rooms in which the formula has a source; elsewhere it stands beside the numbers, in tables and records."""
PLUMBING = {"ledger.py", "facts.py"}
"""Modules that keep, read or shape numbers of any unit."""
NUMBER = re.compile(r"Quantity|[fF]loat|NDArray|Numbers|Figure|Irr")
UNIT = re.compile(r"\[[^\]]+\]")
SOURCE = re.compile(r"[Ss]ource|Definition|[Hh]ouse (model|rule)")
"""A standard, handbook or table; what follows from the definition; or that there is none."""


def silent(root: Path, rooms: tuple[str, ...], said: re.Pattern[str]) -> tuple[float, str]:
    """Share of the public functions that return a number and say this, and those that do not."""
    found = {
        f"{path.parent.name}/{path.name} {node.name}": bool(said.search(ast.get_docstring(node) or ""))
        for room in rooms
        for path in sorted((root / "econ" / room).glob("*.py"))
        if path.name not in PLUMBING
        for node in nodes(path)
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
        if node.returns and NUMBER.search(ast.unparse(node.returns))
    }
    return sum(found.values()) / len(found), "\n".join(name for name, says in found.items() if not says)


def test_functions_that_compute_say_their_unit(root: Path) -> None:
    """Units in square brackets, as engineering handbooks and the numpydoc guide have them."""
    for rooms, least in ((COMPUTING, 0.75), (SOURCED, 0.79)):
        share, without = silent(root, rooms, UNIT)
        assert share >= least, without


def test_functions_that_compute_say_their_source(root: Path) -> None:
    share, without = silent(root, SOURCED, SOURCE)
    assert share >= 0.69, without
