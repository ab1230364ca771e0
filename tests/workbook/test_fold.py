"""What a blank shows from the start: what most plants need, what was asked for, what is filled."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

import in_parts
import pytest
from iron import Iron, plain
from typer.testing import CliRunner

from econ.cli import app
from econ.inputs.schema import rows, sheets, table_plans
from econ.workbook.blank import blank_bytes
from econ.workbook.read import read_typed

LATER = {"Options", "Label and planting", *(plan.sheet for plan in table_plans().values())}
WORDS = (
    # words after --with, what then stands open besides
    ((), set(), set()),
    (("loan",), set(), set()),  # stands open in every blank
    (("kiln log",), {"Kiln log"}, set()),
    (("record",), {"Char deliveries", "Fuel bought", "Hours worked", "Hauler invoices", "Char sales"}, set()),
    (("own planting",), {"Label and planting"}, {"planting.1.area"}),
    (("Tasks of one batch", "lab assay"), {"Lab assay"}, {"task.1.hours"}),
    (("all",), LATER, {"planting.1.area", "task.1.hours", "option.1.kind"}),
)


def ask(*words: object) -> tuple[int, str]:
    found = CliRunner().invoke(app, [str(word) for word in words])
    return found.exit_code, found.output


def open_sheets(book: Path) -> set[str]:
    """Names of the sheets that are not hidden."""
    with zipfile.ZipFile(book) as package:
        listed = re.findall("<sheet ([^>]+)>", package.read("xl/workbook.xml").decode())
        hidden = {at for at, words in enumerate(listed) if "state=" in words}
        return {name for at, name in enumerate(in_parts.sheets(package)) if at not in hidden}


def open_rows(book: Path) -> set[str]:
    """Keys of the rows that are not folded, on sheets that are not hidden."""
    shown = open_sheets(book) & {plan.name for plan in sheets()}
    return {str(cell.value) for cell in in_parts.read(book) if cell.sheet in shown and not cell.hidden
            and cell.address.startswith("J") and cell.value in rows()}  # fmt: skip


@pytest.mark.parametrize(("words", "sheets_too", "rows_too"), WORDS)
def test_a_blank_shows_what_most_need_and_what_was_asked_for(
    words: tuple[str, ...], sheets_too: set[str], rows_too: set[str], tmp_path: Path
) -> None:
    book = tmp_path / "blank.xlsx"
    book.write_bytes(blank_bytes("us", "USD", shown=words))
    assert open_sheets(book) & LATER == sheets_too
    found = open_rows(book)
    assert rows_too <= found
    assert {row.key for row in rows().values() if row.required} <= found
    assert len(found) < 110 or words


def test_all_rows_stand_in_every_blank_and_a_hidden_blank_sheet_is_no_caution(tmp_path: Path) -> None:
    path = tmp_path / "blank.xlsx"
    path.write_bytes(blank_bytes("metric", "EUR"))
    found = read_typed(path)
    assert found.rows.keys() == rows().keys()
    assert not found.warnings


def test_words_that_fit_nothing_are_refused(tmp_path: Path) -> None:
    code, said = ask("blank", tmp_path / "x.xlsx", "--with", "lone")
    assert code == 2
    assert "--with: 'lone'" in said
    assert "loan" in said
    assert not list(tmp_path.iterdir())


def test_a_scenario_is_written_anew_with_more_parts_and_the_same_answer(tmp_path: Path, root: Path) -> None:
    """Its tables come along."""
    old, new = root / "scenarios" / "thistle-flat.xlsx", tmp_path / "new.xlsx"
    assert ask("blank", new, "--from", old, "--with", "all")[0] == 0
    with zipfile.ZipFile(new) as package:
        assert open_sheets(new) == in_parts.sheets(package).keys() - {"Lists"}
    before, after = read_typed(old), read_typed(new)
    for key, typed in before.rows.items():
        found = after.rows[key]
        assert (typed.value, typed.low, typed.high, typed.unit) == (found.value, found.low, found.high, found.unit)
    assert {name: [line.cells for line in table.lines] for name, table in before.tables.items()} == {
        name: [line.cells for line in table.lines] for name, table in after.tables.items()
    }


@pytest.mark.parametrize(("chosen", "shown"), [("GBP", "GBP"), (None, "USD")])
def test_lists_of_units_follow_the_currency_chosen(chosen: str | None, shown: str, tmp_path: Path) -> None:
    """Recalculated by IronCalc: no list of another currency is left after one is chosen on the first sheet."""
    path = tmp_path / "blank.xlsx"
    path.write_bytes(blank_bytes("us", "USD"))
    found = list(in_parts.read(path))
    cells = [cell for cell in found if cell.sheet == "Lists" and cell.formula]
    key = next(cell for cell in found if cell.sheet == "Start here" and cell.value == "plant.currency")
    at = key.address.replace("J", "B")
    iron = Iron(path, plain(path))
    iron.put(f"Start here!{at}", chosen)
    iron.calculate()
    texts = [str(iron.value(f"Lists!{cell.address}")) for cell in cells]
    assert len(texts) > 30
    assert all(text.split(" per ")[0] == shown for text in texts)
