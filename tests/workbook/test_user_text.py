"""Text of a stranger stays text: no formula, link or markup in a sheet, a note, a table or on the screen.

The lead signs of a csv cell that a spreadsheet takes for a formula are common practice (= + - @ tab, carriage
return, and their full-width forms), from memory. Unicode categories are those of the Unicode standard.
"""

from __future__ import annotations

import ast
import csv
import json
import re
import shutil
import subprocess
import sys
import unicodedata
import zipfile
from collections import Counter
from collections.abc import Sequence
from io import StringIO
from pathlib import Path

import openpyxl
import pytest
import sent
from bounded import Answer, Command, environment, warm
from conftest import ROOT
from handmade import changed, parts_in
from hypothesis import given
from hypothesis import strategies as st

from econ.harmless import in_csv, in_json, in_markdown, is_harmless, on_screen, one_line

NASTY = (
    "=cmd|'/C calc'!A0", "=1+1", "+1", "-1", "@SUM(A1)", "{=1+1}", "\t=1+1", "\r=1+1", "\n=1+1", "＝1+1",
    '=HYPERLINK("http://127.0.0.1:9")', "http://127.0.0.1:9/x", "https://127.0.0.1/", "www.a.example",
    "mailto:a@b.example", "internal:'Answer'!A1", "external:c:\\x.xlsx", "file:///etc/hostname", "ftp://127.0.0.1",
    "<b>bold</b>", "<script>1</script>", "&amp;", "]]><!--", "\x9b31mred", "\x7f\x85", "[bold red]x[/bold red]",
    "**x** [a](http://127.0.0.1:9) ![b](c)", "# x", "|a|b|", "1. x", "\u202egnp.exe\u202c", "\u2066a\u2069\u200b",
    "_x001B_[31m", "{0} %s %n ${x}", "'quoted", "a\nb\r\nc", "\ufeffx", "&C", "עצמות לפחם", "عظام", "👩\u200d🌾🦴",
)  # fmt: skip
FILLED: dict[tuple[str, str], object] = {
    ("option.1.kind", "Value"): "compost", ("option.1.fee", "Value"): 40, ("equipment.1.cost", "Value"): 3000,
    ("wear.1.cost", "Value"): 500, ("wear.1.life", "Value"): 2, ("carbon.protocol", "Value"): "own",
}  # fmt: skip
"""Rows that the shipped plant leaves blank, so that names beside them are read."""
NAMED = ("option.1.name", "equipment.1.item", "wear.1.item", "label.product", "label.maker", "label.place",
         "planting.1.name", "planting.2.name", "planting.3.name", "carbon.protocol")  # fmt: skip
FEW = ("--samples", "200")
LOG, LOG_REMARKS = "xl/worksheets/sheet9.xml", ("K7", "K8", "K9")


@pytest.fixture(scope="module")
def command() -> Command:
    return warm()


def nasty_plant(name: str) -> bytes:
    """The plant with a nasty text in every source and remark, in its name, its log, and all that has a name."""
    keys = sent.numeric()
    assert len(keys) > len(NASTY)
    cells = {**FILLED, ("plant.name", "Value"): name}
    for at, key in enumerate(keys):
        text = NASTY[at % len(NASTY)]
        cells |= {(key, "Where from"): text, (key, "Remark"): text[::-1]}
    for at, key in enumerate(NAMED):
        cells[key, "Value"] = NASTY[5 * at % len(NASTY)]
    return logged(sent.plant(cells), NASTY)


def logged(book: bytes, remarks: Sequence[str]) -> bytes:
    """The workbook with remarks in its kiln log."""
    text = parts_in(book)[LOG].decode()
    for address, remark in zip(LOG_REMARKS, remarks, strict=False):
        text = sent.put(text, address, remark)
    return changed({LOG: text}, book)


@pytest.fixture(scope="module")
def place(command: Command, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Results, comparison and notes of a plain and of a nasty plant, and what was said on the way."""
    place = tmp_path_factory.mktemp("nasty")
    (place / "plain.xlsx").write_bytes(
        logged(sent.plant({**FILLED, **{(key, "Value"): "a name" for key in NAMED}}), ("x",) * 3)
    )
    (place / "nasty.xlsx").write_bytes(nasty_plant("=cmd|'/C calc'!A0 <b>[a](http://x)</b> \x9b31m\u202e"))
    runs = [("run", f"{name}.xlsx") for name in ("plain", "nasty")]
    notes = [
        ("carbon-note", f"{source}.xlsx", "--date", "2026-11-25", "--to", f"{source}.{kind}")
        for source, kind in (("plain", "docx"), ("nasty", "docx"), ("nasty", "md"))
    ]
    side_by_side = ("compare", "plain.xlsx", "nasty.xlsx", "--to", "both.xlsx")
    answer = command.in_turn([*runs, *notes, side_by_side], where=place)
    assert answer.code == 0, answer
    (place / "said").write_text(answer.said, encoding="utf-8")
    return place


FOOTER = re.compile(r"(, inputs )[0-9a-f]{12}(, &amp;D\n(?:[^&]|&amp;&amp;|&lt;|&gt;|&quot;)*)(: &amp;A)")
"""Code of the inputs, and the plant's name with every & doubled: none of it steers the footer."""


def parts(path: Path) -> dict[str, str]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name).decode("utf-8", "replace") for name in archive.namelist()}


def formulas_and_links(path: Path) -> Counter[str]:
    """Every formula, link, name and relation to something outside, over all parts of a workbook."""
    wanted = r"<f[ >].*?</f>|<hyperlink [^>]*>|<definedName .*?</definedName>|TargetMode=\"[^\"]*\""
    return Counter(found for text in parts(path).values() for found in re.findall(wanted, text))


def assert_plain(text: str) -> None:
    """Nothing in it steers a terminal or turns the order of letters."""
    steering = {"Cc", "Cf", "Cs", "Zl", "Zp"}
    assert {c for c in text if c not in "\n\u200c\u200d" and unicodedata.category(c) in steering} == set()


# --- sheets --------------------------------------------------------------------------------------------------


def test_no_text_becomes_a_formula_a_link_or_a_name_in_the_results(place: Path) -> None:
    plain, nasty = (formulas_and_links(place / f"{name}.results.xlsx") for name in ("plain", "nasty"))
    assert sum(plain.values()) > 500, "the results are full of formulas of our own"
    assert nasty == plain


def test_every_text_stands_in_the_results_as_text(place: Path) -> None:
    book = openpyxl.load_workbook(place / "nasty.results.xlsx", read_only=True)
    found = [
        (cell.value, cell.data_type) for sheet in book.worksheets for row in sheet.iter_rows() for cell in row
    ]
    texts = {value for value, kind in found if kind == "s"}
    whole = "\n".join(map(str, texts))
    assert [text for text in map(one_line, NASTY) if text not in whole] == []
    assert {"=cmd|'/C calc'!A0", "@SUM(A1)"} <= texts, "some stand in a cell of their own"
    assert [text for text in texts if not all(is_harmless(c) or c == "\n" for c in text)] == []


def test_no_text_reaches_a_header_a_footer_or_the_look_of_a_sheet(place: Path) -> None:
    """Beside cells and strings, the parts of both workbooks are the same but for the title and the fingerprint.

    The footer names the plant: its text stands there as text, in the place of the other's.
    """
    plain, nasty = (parts(place / f"{name}.results.xlsx") for name in ("plain", "nasty"))
    assert plain.keys() == nasty.keys()
    for book in (plain, nasty):
        for name, text in book.items():
            book[name] = FOOTER.sub(r"\1 of \3", text)
    for name, text in plain.items():
        if name.startswith("xl/worksheets/sheet"):
            assert text.partition("</sheetData>")[2] == nasty[name].partition("</sheetData>")[2] != "", name
        elif name.startswith("xl/charts/"):  # a chart keeps a copy of the words of its cells
            assert re.sub("<c:v>.*?</c:v>", "", text) == re.sub("<c:v>.*?</c:v>", "", nasty[name]), name
        elif name not in ("xl/sharedStrings.xml", "docProps/core.xml", "docProps/custom.xml"):
            assert text == nasty[name], name


def test_the_comparison_has_neither_formulas_nor_links(place: Path) -> None:
    assert formulas_and_links(place / "both.xlsx") == Counter()


# --- notes ---------------------------------------------------------------------------------------------------


def test_no_text_becomes_markup_in_the_note(place: Path) -> None:
    plain, nasty = (parts(place / f"{name}.docx") for name in ("plain", "nasty"))
    tags = [re.findall(r"<[^>]*>", text["word/document.xml"]) for text in (plain, nasty)]
    assert tags[0] == tags[1]
    assert plain["word/_rels/document.xml.rels"] == nasty["word/_rels/document.xml.rels"]
    assert "=cmd|'/C calc'!A0 &lt;b&gt;[a](http://x)&lt;/b&gt; 31m." in nasty["word/document.xml"]


def test_no_text_becomes_markup_in_the_note_as_text(place: Path) -> None:
    line = (place / "nasty.md").read_text(encoding="utf-8").splitlines()[2]
    assert line.startswith(r"\=cmd\|'/C calc'\!A0 \<b\>\[a\](http\://x)\</b\> 31m. Date 2026-11-25.")


@pytest.mark.parametrize("name", ["n" * 32_767, "<&>\"'\U0001f9b4]]>" * 60])
def test_a_note_takes_any_name(name: str, command: Command, tmp_path: Path) -> None:
    """The property of a document takes 255 characters (limit of the library)."""
    (tmp_path / "plant.xlsx").write_bytes(sent.plant({("plant.name", "Value"): name}))
    found = command.run("carbon-note", "plant.xlsx", where=tmp_path)
    assert found.code == 0, found


# --- the screen ----------------------------------------------------------------------------------------------


def test_nothing_on_the_screen_steers_it(place: Path) -> None:
    said = (place / "said").read_text(encoding="utf-8")
    assert "=cmd|'/C calc'!A0 <b>[a](http://x)</b> 31m" in said
    assert_plain(said)


STEERING = (
    "\x1b[31m",
    "\x1b]8;;http://127.0.0.1\x07link\x1b]8;;\x07",
    "\x07",
    "\x9b2J",
    "\u202e38000",
    "\x08\x08",
    "\r",
)


@pytest.mark.parametrize("text", STEERING, ids=[repr(text) for text in STEERING])
def test_a_fault_shows_what_it_found_harmlessly(text: str, command: Command, tmp_path: Path) -> None:
    (tmp_path / "plant.xlsx").write_bytes(sent.shipped_plant())
    words = ["--set", f"kiln.price={text}1", "--set", f"{text}=1", "--set", f"current.option={text}",
             "--set", f"labour.wage=3 {text}"]  # fmt: skip
    for found in (command.run(name, "plant.xlsx", *words, where=tmp_path) for name in ("run", "review")):
        assert found.code == 2, found
        assert " input error" in found.err
        assert_plain(found.said)


def test_names_of_files_steer_nothing(command: Command, tmp_path: Path) -> None:
    """Escape codes, an override, a bell and bytes of no alphabet in names, through every command."""
    plant = sent.plant({("plant.name", "Value"): None})
    names = ["=1+1\x1b[31m\u202e\x07.xlsx", "-1\n.xlsx", b"\xff\xfe.xlsx".decode("utf-8", "surrogateescape")]
    for name in names:
        (tmp_path / name).write_bytes(plant)
    said: list[Answer] = []
    said.append(command.run("run", tmp_path / names[0], where=tmp_path))
    paths = [tmp_path / name for name in names[:3:2]]
    said.append(command.run("compare", *paths, "--to", tmp_path / "\x1b[31m.xlsx", "--json", where=tmp_path))
    said.append(command.run("carbon-note", paths[1], where=tmp_path))
    said.append(command.run("folder", ".", "--workers", "1", "--to", "many.csv", where=tmp_path))
    assert [answer.code for answer in said] == [0] * len(said), said
    for answer in said:
        assert_plain(answer.said)
    assert json.loads(said[1].out)["scenarios"]
    with (tmp_path / "many.csv").open(encoding="utf-8", newline="") as handle:
        found = {line["plant"] for line in csv.DictReader(handle)}
    assert {"'=1+1[31m", "'-1"} <= found


# --- tables --------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def many(command: Command, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A table whose plants have nasty names, and one whose cells are nasty, as csv and as workbook."""
    place = tmp_path_factory.mktemp("many")
    (place / "base.xlsx").write_bytes(sent.shipped_plant())
    with (place / "plants.csv").open("w", encoding="utf-8", newline="") as handle:
        writer = csv.writer(handle)
        writer.writerow(["plant", "kiln.price", "plant.name"])
        texts = (*NASTY, "\x1b[31mred", "\x07")
        writer.writerows([text, "30000", text] for text in texts)
        writer.writerow(["another price", "31000", "an input that differs is a column"])
        writer.writerows([f"error {at}", text, ""] for at, text in enumerate(texts))
    words = ("folder", "plants.csv", "--base", "base.xlsx", "--workers", "1", *FEW, "--overwrite")
    for to in ("many.csv", "many.xlsx"):
        found = command.run(*words, "--to", to, where=place)
        assert found.code == 0, found
        assert_plain(found.said)
    return place


def test_no_cell_of_the_csv_starts_a_formula_and_numbers_stay_numbers(many: Path) -> None:
    with (many / "many.csv").open(encoding="utf-8", newline="") as handle:
        lines = list(csv.DictReader(handle))
    assert len(lines) == 2 * (len(NASTY) + 2) + 1
    for line in lines:
        for name in ("plant", "place", "fault", "currency", "warnings"):
            assert not line[name].startswith(("=", "+", "-", "@", "\t", "\r", "＝")), line[name]
            assert_plain(line[name])
    numbers = [float(line["kiln.price"]) for line in lines[: len(NASTY)]]
    assert numbers == [30_000.0] * len(NASTY)
    assert any(line["project_net_t_co2e_per_year"].startswith("-") for line in lines), "a minus of a number stays"
    assert {"'=1+1", "'+1", "'-1", "'@SUM(A1)", "{=1+1}", "עצמות לפחם"} <= {line["plant"] for line in lines}


def test_the_workbook_of_many_plants_has_neither_formulas_nor_links(many: Path) -> None:
    assert formulas_and_links(many / "many.xlsx") == Counter()
    book = openpyxl.load_workbook(many / "many.xlsx", read_only=True)
    texts = {cell.value for row in book["Plants"].iter_rows(max_col=1) for cell in row}
    assert {"=1+1", "-1", "@SUM(A1)", "http://127.0.0.1:9/x"} <= texts


# --- the small functions -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("a\tb\r\nc", "a b c"),
        ("  a  ", "a"),
        ("a\u00a0b", "a b"),
        ("\x1b[31mred\x07", "[31mred"),
        ("\u202eabc\u202c", "abc"),
        ("می\u200cخواهم", "می\u200cخواهم"),  # a word that needs its non-joiner
        ("👩\u200d🌾", "👩\u200d🌾"),
        ("עצמות", "עצמות"),
        ("a\x00b\x7fc\x85d", "abc d"),
        ("\ud800x\uffff", "x"),
        ("n" * 999, "n" * 200),
        (12.5, "12.5"),
    ],
)
def test_one_line(text: object, line: str) -> None:
    assert one_line(text) == line


@pytest.mark.parametrize(
    ("text", "cell"),
    [("=1", "'=1"), ("+1", "'+1"), ("-1", "'-1"), ("@x", "'@x"), ("\t=1", "'\t=1"), ("＋1", "'＋1"),
     ("a=1", "a=1"), ("", ""), ("'=1", "'=1"), ("1", "1")],
)  # fmt: skip
def test_csv_cells(text: str, cell: str) -> None:
    assert in_csv(text) == cell


@given(st.text())
def test_any_text_becomes_one_harmless_line(text: str) -> None:
    line = one_line(text)
    assert line == one_line(line)
    assert len(line) <= 200
    assert_plain(line)
    assert_plain(on_screen(text))


@given(st.text() | st.dictionaries(st.text(), st.text()))
def test_json_means_the_same_and_steers_nothing(found: object) -> None:
    text = in_json(json.dumps(found, indent=2, ensure_ascii=False))
    assert json.loads(text) == found
    assert_plain(text)


@given(st.text(st.characters(categories=["L", "N", "P", "S"]), min_size=1))
def test_markdown_shows_every_character(text: str) -> None:
    assert re.sub(r"\\(.)", r"\1", in_markdown(text)) == text


@given(st.text(min_size=1))
def test_a_csv_cell_is_read_back_with_at_most_a_quote(text: str) -> None:
    target = StringIO()
    csv.writer(target).writerow([in_csv(one_line(text))])
    (line,) = csv.reader(StringIO(target.getvalue()))
    assert line[0].removeprefix("'") == one_line(text).removeprefix("'")


# --- nothing goes out ----------------------------------------------------------------------------------------

WAYS_OUT = {"socket", "ssl", "urllib", "http", "ftplib", "smtplib", "requests", "subprocess", "multiprocessing",
            "ctypes", "pickle", "marshal", "shelve", "webbrowser", "pty", "xmlrpc", "asyncio"}  # fmt: skip
TAKES_APART = {"urllib.parse.urlsplit"}
"""Reads an address and reaches nothing (Python's manual: urllib.parse)."""
ASKS_OFFICE = "places.py: subprocess"
"""LibreOffice prints the set where a person asks for it, with no word of a stranger on its command line."""
MAKES_RECORDS = "fields.py: exec"
"""As the library's dataclasses do: the names of the fields of a class, written where the class stands."""
RUNS = {"eval", "exec", "compile", "__import__", "system", "popen", "execv"}


def test_the_source_knows_no_network_and_runs_nothing() -> None:
    """A cluster is asked for by its address and goes through its own library, loaded by name in econ/many."""
    wrong = []
    for path in sorted((ROOT / "econ").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names: list[str] = []
            if isinstance(node, ast.Import):
                names = [alias.name.split(".")[0] for alias in node.names]
            elif isinstance(node, ast.ImportFrom) and not node.level:
                names = [f"{node.module}.{alias.name}" for alias in node.names]
                names = [name if name in TAKES_APART else name.split(".")[0] for name in names]
            elif isinstance(node, ast.Call):
                call = getattr(node.func, "id", "") or (
                    node.func.attr if getattr(getattr(node.func, "value", None), "id", "") == "os" else ""
                )
                names = [call] if call in RUNS else []
            found = [f"{path.name}: {name}" for name in names if name in WAYS_OUT | RUNS]
            wrong += [name for name in found if name not in (ASKS_OFFICE, MAKES_RECORDS)]
    assert wrong == []


def test_records_are_made_of_classes_in_the_source_alone() -> None:
    """`record` is nowhere called but as the decorator of a class that stands at the top of its module."""
    wrong = []
    for path in sorted((ROOT / "econ").rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        taken = [node for node in tree.body if isinstance(node, ast.ImportFrom) and node.module == "econ.fields"]
        if not any(alias.name == "record" for node in taken for alias in node.names):
            continue
        at_top = [node for node in tree.body if isinstance(node, ast.ClassDef)]
        decorators = {id(part) for node in at_top for one in node.decorator_list for part in ast.walk(one)}
        asked = [node for node in ast.walk(tree) if isinstance(node, ast.Call) and id(node) not in decorators]
        made = [node for node in ast.walk(tree) if isinstance(node, ast.ClassDef) and node not in at_top]
        wrong += [f"{path.name} line {node.lineno}" for node in asked if getattr(node.func, "id", "") == "record"]
        wrong += [f"{path.name} line {node.lineno}" for node in made if node.decorator_list]
    assert wrong == []


def test_a_run_needs_no_network(tmp_path: Path) -> None:
    """In a system without any network device, a workbook that asks for one gives its answer all the same."""
    if not shutil.which("unshare") or subprocess.run(["unshare", "-n", "true"], check=False).returncode != 0:
        pytest.skip("this system lends no network of its own; the warm process of these tests refuses sockets")
    (tmp_path / "plant.xlsx").write_bytes(sent.links_out())
    program = ["unshare", "-n", sys.executable, "-m", "econ.cli", "run", "plant.xlsx", "--quiet", *FEW]
    done = subprocess.run(program, cwd=tmp_path, env=environment(), capture_output=True, check=False)
    assert done.returncode == 0, done.stderr


def test_the_warm_process_refuses_ways_out(command: Command, tmp_path: Path) -> None:
    """So every other test of it says that nothing is fetched and nothing is executed."""
    (tmp_path / "base.xlsx").write_bytes(sent.shipped_plant())
    (tmp_path / "plants.csv").write_text("kiln.price\n30000\n")
    words = ("folder", "plants.csv", "--base", "base.xlsx", "--cluster", "tcp://127.0.0.1:9")
    found = command.run(*words, where=tmp_path)
    assert found.code != 0
    assert "reaches outside" in found.err
