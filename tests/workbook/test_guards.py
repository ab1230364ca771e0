"""What the guards refuse, what they let pass, and that neither costs more time or memory than allowed.

The corpus is our own (hostile.py, odd.py). Limits of the .xlsx format used here, from memory: 1,048,576 rows,
16,384 columns, 32,767 characters in a cell. Time and memory are held by limits the system sets on the reading
process: it is killed, and the test fails, when it needs more.
"""

from __future__ import annotations

import atexit
import io
import json
import os
import subprocess
import sys
import warnings
from collections.abc import Callable
from functools import cache
from itertools import product
from pathlib import Path
from string import ascii_uppercase
from tempfile import TemporaryDirectory

import openpyxl
import pytest
from handmade import (
    BOOK,
    LINKS,
    MAIN,
    SHEET,
    STRINGS,
    STYLES,
    TYPES,
    Entry,
    book,
    changed,
    edited,
    handmade,
    parts_in,
    sheet_xml,
)
from hostile import REFUSED, WORST_ALLOWED, Refused
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from odd import ODD, Odd, external_link, raw_row_3

from econ.errors import FileRefused, InputFault
from econ.workbook.guards import MAX_BLANK_ROWS, bounded_rows, has_formulas, opening

CHECK = """
from econ.workbook.guards import opening
def act(path):
    with opening(path):
        pass
"""
READ = """
from econ.workbook.guards import bounded_rows, has_formulas, opening
def act(path):
    for values in (True, False)[: 1 + has_formulas(path)]:  # as grids_of of read.py does
        with opening(path) as source:
            from openpyxl import load_workbook
            book = load_workbook(source, read_only=True, data_only=values, keep_links=False)
            for sheet in book.worksheets:
                for row in bounded_rows(sheet):
                    pass
"""
SERVER = """
import importlib, json, os, resource, sys
from pathlib import Path
from econ.errors import FileRefused
import econ.workbook.guards
for name in sys.argv[1:]:
    importlib.import_module(name)
for line in sys.stdin:
    code, path, cpu_s, memory, out = json.loads(line)
    process = os.fork()
    if not process:
        for number in (1, 2):
            os.dup2(os.open(out, os.O_WRONLY | os.O_CREAT | os.O_APPEND), number)
        resource.setrlimit(resource.RLIMIT_CPU, (cpu_s, cpu_s))
        resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
        held = {}
        try:
            exec(code, held)
            held["act"](Path(path))
            print("read", flush=True)
        except FileRefused as refusal:
            print(refusal, flush=True)
        except BaseException as error:
            print(repr(error), flush=True)
            os._exit(1)
        os._exit(0)
    print(os.waitstatus_to_exitcode(os.waitpid(process, 0)[1]), flush=True)
"""
MB = 2**20


@cache
def server(*loaded: str) -> subprocess.Popen[str]:
    """A process that forks for every file, with no library loaded but those named; it ends with the tests."""
    # the linear algebra library sets address space aside for each thread
    quiet = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "PYTHONIOENCODING": "utf-8"}
    pipe = subprocess.PIPE
    program = [sys.executable, "-c", SERVER, *loaded]
    found = subprocess.Popen(program, stdin=pipe, stdout=pipe, text=True, env=quiet)
    atexit.register(lambda: (found.communicate(), None))
    return found


def limited(code: str, path: Path, cpu_s: int, memory_bytes: int) -> str:
    """What a process says about a file when it may use no more than so much processor time and address space."""
    process = server("openpyxl") if "openpyxl" in code else server()
    asked, answers = process.stdin, process.stdout
    assert asked is not None
    assert answers is not None
    with TemporaryDirectory() as folder:
        out = Path(folder, "said")
        asked.write(json.dumps([code, str(path), cpu_s, memory_bytes, str(out)]) + "\n")
        asked.flush()
        ended = int(answers.readline())
        said = out.read_text("utf-8")
    assert ended == 0, f"stopped with {ended}: {said[-500:]}"
    return said


def check(path: Path) -> None:
    """As `read.py` has a workbook checked, without reading it."""
    with opening(path):
        pass


def values_of(path: Path) -> list[tuple[object, ...]]:
    """Values of the first sheet, read as the guards mean it to be read."""
    with opening(path) as source:
        workbook = openpyxl.load_workbook(source, read_only=True, data_only=True, keep_links=False)
        return [tuple(cell.value for cell in row) for row in bounded_rows(workbook.worksheets[0])]


TEXTS = (
    "<t>plain</t>", '<t xml:space="preserve">  wide </t>', "<t/>", "", "<t>&lt;1 &amp; 2\n</t>",
    "<t>a_x000D_b _x005F_x000D_</t>", "<r><t>rich </t></r><r><rPr><b/></rPr><t>text</t></r>",
    '<t>\u6f22</t><rPh sb="0" eb="1"><t>kan</t></rPh><phoneticPr fontId="0"/>',
)  # fmt: skip
"""Texts of a table of strings (ECMA-376-1, 18.4.8): plain, blank, with looks, with how they are spoken."""
GRID = (
    *(f'<row r="{n + 1}"><c r="A{n + 1}" s="0"/><c r="B{n + 1}" t="s"><v>{n}</v></c>'
      f'<c r="C{n + 1}"><v>1</v></c><c r="D{n + 1}" s="0"/></row>' for n in range(len(TEXTS))),
    '<row><c/><c><v>7</v></c><c t="inlineStr"><is><t>within</t></is></c><c t="str"><f>1</f><v>x</v></c></row>',
)  # fmt: skip


@pytest.mark.parametrize("encoding", ["UTF-8", "UTF-16"], ids=["in one piece", "by element"])
def test_what_openpyxl_is_spared_is_nothing_that_is_read(encoding: str, plant: Path) -> None:
    """The same values as openpyxl finds alone, which is the oracle; lists of choices stand behind the grid."""
    choices = '<dataValidations count="1"><dataValidation type="list" sqref="A1"/></dataValidations>'
    strings = f'<sst xmlns="{MAIN}">{"".join(f"<si>{text}</si>" for text in TEXTS)}</sst>'
    sheet = sheet_xml("".join(GRID), choices).replace("UTF-8", encoding).encode(encoding)
    plant.write_bytes(changed({SHEET: sheet, STRINGS: strings}))
    alone = openpyxl.load_workbook(plant, read_only=True, data_only=True).worksheets[0]
    alone.reset_dimensions()
    assert values_of(plant) == [*alone.iter_rows(values_only=True)]


@pytest.mark.parametrize("encoding", ["UTF-8", "UTF-16"], ids=["in one piece", "by element"])
def test_what_stands_behind_the_grid_is_not_read(encoding: str, plant: Path) -> None:
    """A kind of choice that openpyxl does not know, for which it alone would give the whole sheet up."""
    odd = '<dataValidations count="1"><dataValidation type="odd" sqref="A1"/></dataValidations>'
    row = '<row r="1"><c r="A1"><v>7</v></c></row>'
    plant.write_bytes(changed({SHEET: sheet_xml(row, odd).replace("UTF-8", encoding).encode(encoding)}))
    assert values_of(plant) == [(7,)]
    with pytest.raises(ValueError, match="one of"):
        list(openpyxl.load_workbook(plant, read_only=True).worksheets[0].values)


def refusal_of(act: Callable[[], object]) -> str | None:
    """The sentence a file is refused with, None when it is not; any other error fails the test."""
    try:
        act()
    except FileRefused as refusal:
        return str(refusal)
    return None


@pytest.fixture
def plant(tmp_path: Path) -> Path:
    return tmp_path / "plant.xlsx"


# --- what is refused ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("trap", REFUSED, ids=[trap.name for trap in REFUSED])
def test_a_trap_is_refused_in_one_sentence_within_5_s_and_300_mb(trap: Refused, plant: Path):
    plant.write_bytes(trap.build())

    said = limited(CHECK, plant, cpu_s=5, memory_bytes=300 * MB)

    assert trap.says in said
    assert said.startswith("'plant.xlsx': ")
    assert said.count("\n") == 1
    assert os.listdir(plant.parent) == ["plant.xlsx"]


@pytest.mark.parametrize(
    ("make", "says"),
    [
        pytest.param(lambda path: None, "no such file", id="missing"),
        pytest.param(lambda path: path.mkdir(), "is a folder", id="folder"),
        pytest.param(os.mkfifo, "a device", id="pipe that never ends"),
        pytest.param(lambda path: path.symlink_to("/dev/zero"), "a device", id="link to an endless device"),
        pytest.param(lambda path: path.symlink_to(path), "cannot be read", id="link to itself"),
    ],
)
def test_what_is_no_file_is_refused(make, says, plant: Path):
    make(plant)

    assert says in limited(CHECK, plant, cpu_s=5, memory_bytes=300 * MB)


@pytest.mark.parametrize(
    ("path", "says"),
    [
        pytest.param("a\0b.xlsx", "cannot be read", id="zero byte"),
        pytest.param("n" * 5_000, "its name is too long", id="longer than any name"),
        pytest.param(f"{__file__}/plant.xlsx", "its folder is a file", id="a file for a folder"),
    ],
)
def test_impossible_names_are_refused(path, says):
    with pytest.raises(FileRefused, match=says) as refusal:
        check(Path(path))

    assert str(refusal.value).isprintable()
    assert len(str(refusal.value)) < 300


def test_a_name_cannot_write_to_the_terminal(tmp_path: Path):
    path = tmp_path / "\x1b[2Jplant\u202e\n.xlsx"

    with pytest.raises(FileRefused) as refusal:
        check(path)

    assert str(refusal.value).startswith("'?[2Jplant??.xlsx': there is no such file")


def test_a_changed_part_cannot_write_to_the_terminal(plant: Path):
    plant.write_bytes(changed({"xl/\x1b[2J.xml": "<!DOCTYPE x><x/>"}))

    with pytest.raises(FileRefused, match=r"part 'xl/\?\[2J.xml' declares"):
        check(plant)


# --- what is let pass --------------------------------------------------------------------------------------


@pytest.mark.parametrize("odd", ODD, ids=[odd.name for odd in ODD])
def test_an_odd_file_gives_its_values(odd: Odd, plant: Path):
    plant.write_bytes(odd.build())

    assert values_of(plant) == odd.rows


def test_blank_rows_and_a_lying_size_cost_little(plant: Path):
    """200,000 blank rows and a claim of 17 billion cells: read within 5 s, so twice within 10 s."""
    for name in ("200,000 blank rows", "size claims the whole sheet"):
        plant.write_bytes(next(odd for odd in ODD if odd.name == name).build())

        assert limited(READ, plant, cpu_s=5, memory_bytes=1_000 * MB) == "read\n"


@pytest.mark.parametrize("name", WORST_ALLOWED)
def test_the_heaviest_files_let_pass_are_read_within_60_s_and_1_gb(name: str, plant: Path):
    """Within 30 s, so that a file with a formula, which is read a second time, takes 60 s at most."""
    plant.write_bytes(WORST_ALLOWED[name]())

    said = limited(READ, plant, cpu_s=30, memory_bytes=1_000 * MB)

    # the check lets it pass; then all of it is read, or the reader gives up in a sentence of its own
    assert said == "read\n" or said.startswith("'plant.xlsx': ")
    assert limited(CHECK, plant, cpu_s=5, memory_bytes=300 * MB) == "read\n"


def test_nothing_is_loaded_by_importing_the_guards():
    code = (
        "import sys, econ.workbook.guards; print([m for m in ('openpyxl', 'numpy', 'lxml') if m in sys.modules])"
    )

    assert (
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"
    )


# --- rows --------------------------------------------------------------------------------------------------


def sheet_with(*cells: tuple[str, str]) -> bytes:
    """A sheet of single cells, each in a row of its own: (address, content of the cell)."""
    rows = (
        f'<row r="{address.lstrip(ascii_uppercase)}"><c r="{address}">{content}</c></row>'
        for address, content in cells
    )
    return changed({SHEET: sheet_xml("".join(rows))})


VALUE = "<v>1</v>"


@pytest.mark.parametrize(
    ("cells", "rows"),
    [
        pytest.param([("A5000", VALUE)], 5000, id="last row"),
        pytest.param([("BH1", VALUE)], 1, id="last column"),
        pytest.param([("A1", VALUE), ("A5001", "")], 1, id="blank cell below"),
        pytest.param([("A1", VALUE), ("BI2", "")], 1, id="blank cell to the right"),
        pytest.param([("XFD1", ""), ("A2", VALUE)], 2, id="blank cell in the last column of all"),
        pytest.param([], 0, id="nothing at all"),
    ],
)  # fmt: skip
def test_rows_end_with_the_last_value(cells, rows, plant: Path):
    plant.write_bytes(sheet_with(*cells))

    found = values_of(plant)

    assert len(found) == rows
    assert all(len(row) <= 60 for row in found)


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        pytest.param([("A5001", VALUE)], "a value in row 5,001; only 5,000 rows are read", id="one row below"),
        pytest.param([("A1", VALUE), ("A1048576", VALUE)], "row 1,048,576", id="last row of all"),
        pytest.param([("A1048577", VALUE)], "below row 1,048,576", id="a row that no sheet has"),
        pytest.param([("A1000000000", VALUE)], "below row 1,048,576", id="a thousand million rows"),
        pytest.param([("BI7", VALUE)], "beyond column 60 in row 7", id="one column to the right"),
        pytest.param([("XFD1", VALUE)], "beyond column 60 in row 1", id="last column of all"),
        pytest.param([("AAAA1", VALUE)], "could not be read", id="a column that no sheet has"),
        pytest.param([("A1", "<v>many</v>")], "could not be read", id="a word for a number"),
        pytest.param([("A1", "<v>NaN</v>")], "could not be read", id="not a number"),
    ],
)
def test_values_beyond_the_caps_are_refused_never_dropped(cells, says, plant: Path):
    plant.write_bytes(sheet_with(*cells))

    with pytest.raises(FileRefused, match=says) as refusal:
        values_of(plant)

    assert str(refusal.value).startswith("'plant.xlsx': sheet 'Bones' ")


@pytest.mark.parametrize(("formatted", "refused"), [(MAX_BLANK_ROWS, True), (MAX_BLANK_ROWS + 1, False)])
def test_reading_ends_after_2000_formatted_blank_rows_below_the_last_allowed_one(formatted, refused, plant: Path):
    """The one place where a value is passed over: the price of an end to sheets that are blank throughout."""
    blank = ((f"A{row}", "") for row in range(5_001, 5_001 + formatted))
    plant.write_bytes(sheet_with(("A1", VALUE), *blank, ("A9000", VALUE)))

    if refused:
        with pytest.raises(FileRefused, match="row 9,000"):
            values_of(plant)
    else:
        assert values_of(plant) == [(1,)]


def test_rows_read_outside_the_block_are_still_refused_in_a_sentence(plant: Path):
    plant.write_bytes(raw_row_3('<c r="A3" t="s"><v>99</v></c>')())
    with opening(plant) as source:
        sheet = openpyxl.load_workbook(source, read_only=True).worksheets[0]

    with pytest.raises(FileRefused, match="sheet 'Bones' could not be read"):
        list(bounded_rows(sheet))


# --- opening -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "broken",
    [
        pytest.param({SHEET: "<worksheet"}, id="sheet is no XML"),
        pytest.param({SHEET: None}, id="sheet missing"),
        pytest.param(
            {STYLES: "<styleSheet><cellXfs><xf fontId='x'/></cellXfs></styleSheet>"}, id="styles refused"
        ),
        pytest.param({STRINGS: "<sst>"}, id="strings cut short"),
        pytest.param({BOOK: "<workbook/>"}, id="no sheets"),
        pytest.param({LINKS: "<Relationships/>"}, id="no links"),
        pytest.param({TYPES: "<Types/>"}, id="no types"),
        pytest.param({"docProps/core.xml": "<x><y>"}, id="properties cut short"),
    ],
)
def test_what_openpyxl_cannot_follow_is_refused_in_a_sentence(broken, plant: Path):
    plant.write_bytes(changed(broken))

    with pytest.raises(FileRefused, match=r"'plant.xlsx': .*could not be read"):
        values_of(plant)


def test_faults_of_the_input_pass_through_the_opening(plant: Path):
    plant.write_bytes(book())
    fault = InputFault("Bones!B2", "-1", "a mass above 0")

    with pytest.raises(InputFault) as passed, opening(plant):
        raise fault

    assert passed.value is fault


def test_remarks_of_openpyxl_do_not_reach_the_user(plant: Path):
    """It warns of a workbook without styles; that is no concern of a plant owner."""
    plant.write_bytes(changed({STYLES: f"<styleSheet xmlns='{MAIN}'/>"}))

    with warnings.catch_warnings(record=True) as heard:
        warnings.simplefilter("always")
        values_of(plant)
    with pytest.warns(UserWarning, match="no stylesheet"):
        openpyxl.load_workbook(plant, read_only=True).close()

    assert heard == []


def test_what_was_checked_is_what_is_read(plant: Path):
    """A file that is replaced after the check is read as it was when it was checked."""
    plant.write_bytes(book())

    with opening(plant) as source:
        plant.write_bytes(b"another file")

        assert openpyxl.load_workbook(source, read_only=True).sheetnames == ["Bones"]


LINK = "xl/externalLinks/externalLink1.xml"


def saved_by_openpyxl(value: str) -> bytes:
    target = io.BytesIO()
    workbook = openpyxl.Workbook()
    workbook.active["A1"] = value
    workbook.save(target)
    return target.getvalue()


@pytest.mark.parametrize(
    ("content", "holds"),
    [
        pytest.param(book(), False, id="values only"),
        pytest.param(raw_row_3('<c r="A3"><f>1+1</f><v>2</v></c>')(), True, id="calculated"),
        pytest.param(raw_row_3('<c r="A3"><f>1+1</f></c>')(), True, id="never calculated"),
        pytest.param(raw_row_3('<c r="A3"><f t="shared" si="0"/></c>')(), True, id="copy of a shared one"),
        pytest.param(changed({SHEET: "<x:worksheet xmlns:x='y'><x:f/></x:worksheet>"}), True, id="with a prefix"),
        pytest.param(changed({SHEET: "<worksheet><f/></worksheet>".encode("utf-16")}), True, id="UTF-16"),
        pytest.param(changed({SHEET: "<worksheet><f/></worksheet>".encode("utf-16-be")}), True, id="UTF-16 BE"),
        pytest.param(saved_by_openpyxl("=1+1"), True, id="other way of naming parts"),
        pytest.param(raw_row_3('<c r="A3" t="str"><v>f</v></c>')(), False, id="the letter"),
        pytest.param(
            edited(LINK, "</externalLink>", "<f/></externalLink>", external_link()), False, id="other book"
        ),
        pytest.param(changed({"xl/charts/chart1.xml": "<c:f>Bones!A1</c:f>"}), False, id="reference of a chart"),
    ],
)
def test_formulas_are_found(content, holds, plant: Path):
    plant.write_bytes(content)

    assert has_formulas(plant) is holds


def test_formulas_are_looked_for_in_workbooks_only(plant: Path):
    plant.write_bytes(b"=1+1")

    with pytest.raises(FileRefused, match="not an Excel workbook"):
        has_formulas(plant)


# --- anything whatever -------------------------------------------------------------------------------------

SOUND = book()
SOUND_PARTS = parts_in(SOUND)
FUZZ = settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])

NAMES = st.sampled_from([*SOUND_PARTS, "", "/", "..", "a/../b", "\\x", "xl/vbaProject.bin"]).map(str.encode)
ENTRIES = st.builds(
    Entry,
    name=NAMES | st.binary(max_size=12),
    packed=st.binary(max_size=60),
    size=st.integers(0, 100) | st.integers(0, 2**32 - 1),
    crc=st.integers(0, 2**32 - 1),
    method=st.sampled_from([0, 8, 8, 8, 12, 14, 99]),
    flags=st.sampled_from([0, 0, 0, 1, 8, 0x20, 0x40, 0x800, 0x2000]),
)


@st.composite
def damaged(draw: st.DrawFn, sound: bytes) -> bytes:
    """Bytes of a sound file with a few stretches overwritten, put in or cut out."""
    data = bytearray(sound)
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(data)))
        length = draw(st.integers(0, 8) | st.integers(0, len(data)))
        data[start : start + length] = draw(st.binary(max_size=16))
    return bytes(data)


SIGNED = st.sampled_from([b"", b"PK\x03\x04", b"PK\x05\x06", bytes.fromhex("d0cf11e0a1b11ae1")])


@FUZZ
@given(
    data=st.builds(bytes.__add__, SIGNED, st.binary())
    | damaged(SOUND)
    | st.lists(ENTRIES, max_size=4).map(handmade)
    | st.dictionaries(st.sampled_from(list(SOUND_PARTS)), st.binary(), max_size=3).map(changed)
)
def test_any_bytes_are_let_pass_or_refused_and_nothing_else(data: bytes, tmp_path: Path):
    path = tmp_path / "any.xlsx"
    path.write_bytes(data)

    said = refusal_of(lambda: check(path))

    assert said is None or (said.startswith("'any.xlsx': ") and said.isprintable())


@FUZZ
@given(name=st.sampled_from(list(SOUND_PARTS)), data=st.data())
def test_any_damage_to_a_part_is_read_or_refused_and_nothing_else(name: str, data: st.DataObject, tmp_path: Path):
    path = tmp_path / "any.xlsx"
    path.write_bytes(changed({name: data.draw(damaged(SOUND_PARTS[name]))}))

    said = refusal_of(lambda: (has_formulas(path), values_of(path)))

    assert said is None or said.startswith("'any.xlsx': ")


WORDS = [
    b"<f/>",
    b"<c/>",
    b"<row r='9'/>",
    b" r='A1'",
    b"t='e'",
    b"</c>",
    b"<v>-1</v>",
    b"1e999",
    b"&#0;",
    b"<!---->",
]


@pytest.mark.parametrize(("word", "part"), list(product(WORDS, [SHEET, STYLES, BOOK])))
def test_a_stray_word_anywhere_is_read_or_refused(word: bytes, part: str, plant: Path):
    for at in range(0, len(SOUND_PARTS[part]), 151):
        whole = SOUND_PARTS[part]
        plant.write_bytes(changed({part: whole[:at] + word + whole[at:]}))

        said = refusal_of(lambda: values_of(plant))

        assert said is None or said.startswith("'plant.xlsx': ")
