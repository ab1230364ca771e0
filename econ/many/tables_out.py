"""Writes the results of many plants: csv or parquet row by row, or a workbook; units of its columns."""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

from econ.errors import FileRefused
from econ.harmless import in_csv
from econ.inputs.schema import rows
from econ.many.columns import OPENING, is_word
from econ.many.journal import FIGURES, Journal, Listed
from econ.many.summary import SPREADS, TOTALS
from econ.many.table_rows import need
from econ.units import Unit
from econ.workbook.guards import parts_of
from econ.workbook.places import is_read_only, is_taken

OTHERS = {
    "study_years": "years", "loss_chance": "fraction", "npv_loss_chance": "fraction", "npv_place": "fraction",
    "project_net_study_t_co2e": "t CO2e", "grant_per_t_p": "currency per t", "latitude": "degrees",
    "grant_per_t_net_co2e": "currency per t", "longitude": "degrees", "irr": "fraction", "mirr": "fraction",
    "payback_years": "years", "discounted_payback_years": "years", "best_share": "fraction",
    "best_loss_chance": "fraction",
}  # fmt: skip


MONEY = ("grant_needed", "mean_npv", "npv_p10", "npv_p50", "npv_p90", "best_mean_npv")


def unit_of(name: str) -> str:
    """The unit of a column, with "currency" for the plant's own; empty where it has none."""
    if name in OTHERS:
        return OTHERS[name]
    if name in MONEY:
        return "currency"
    named = {**SPREADS, **TOTALS}
    if name in named:
        return named[name][1].replace("$", "currency")
    unit = metric(name)
    return unit.short if unit is not None else ""


@cache
def metric(key: str) -> Unit | None:
    """The first metric unit of an input; None for words and bare numbers."""
    row = rows().get(key)
    return row.unit_choices("currency")[0] if row is not None and row.units else None


def in_metric(key: str, value: float | str | None) -> float | str | None:
    """A canonical number in the first metric unit of its row; words as they are."""
    unit = metric(key)
    return unit.from_canonical(value) if unit is not None and isinstance(value, int | float) else value


ENDINGS = (".csv", ".parquet", ".xlsx")
ROWS_A_GROUP = 1_000
MOST_HEADINGS = 100_000
TITLE = "kilncase: many plants"

Row = Sequence[Any]


def check_target(target: Path, journal: Journal, overwrite: bool) -> None:
    """Refuse to replace a file that is not exactly as an earlier run with this journal wrote it."""
    if overwrite or not is_taken(target):
        return
    is_told = journal.written.get(target.name) == sha256_of(target)
    if is_read_only(target) or not is_told or not _is_ours(target):  # a journal alone may be a stranger's word
        raise FileRefused(
            f"{target.name} was not written: the file there is not as kilncase wrote it; name another with"
            " --to, or replace it with --overwrite"
        )


def _is_ours(path: Path) -> bool:
    """Whether a file is a results table by its own look: the headings of one, or a book of that title."""
    if path.suffix.lower() == ".csv":
        with path.open("rb") as handle:
            return handle.readline(MOST_HEADINGS).startswith(",".join([*OPENING, *FIGURES]).encode())
    if path.suffix.lower() == ".parquet":
        try:
            names = need("pyarrow.parquet", path.name).read_schema(path).names
        except (OSError, ValueError):  # pyarrow's word for what is no parquet table
            return False
        return list(names[: len(OPENING) + len(FIGURES)]) == [*OPENING, *FIGURES]
    return TITLE.encode() in parts_of(path).get("docProps/core.xml", b"")


def sha256_of(path: Path) -> str:
    """SHA-256 [hex] of a file, read in parts."""
    with path.open("rb") as handle:
        return hashlib.file_digest(handle, "sha256").hexdigest()


def headings(inputs: Iterable[str], carried: Iterable[str] = ()) -> list[str]:
    """Headings of the results table; inputs by key, then where the plants stand."""
    return [*OPENING, *FIGURES, *inputs, *carried]


def table(
    listed: Iterable[Listed], journal: Journal, inputs: Iterable[str], carried: Iterable[str] = ()
) -> Iterator[list[Any]]:
    """The rows of the results table in listed order, None for what is missing; inputs in metric units."""
    keys, places = list(inputs), list(carried)
    for plant in listed:
        record = journal[plant.key]
        figures, given, stands = record["figures"], record["inputs"], dict(plant.carried)
        yield [
            plant.name,
            plant.place,
            plant.fault(record["fault"]),
            *(figures.get(name) for name in FIGURES),
            *(in_metric(key, given.get(key)) for key in keys),
            *(stands.get(name) for name in places),
        ]


def write_csv(path: Path, names: Sequence[str], found: Iterable[Row]) -> None:
    """Write a csv table in UTF-8; a cell that a spreadsheet would take for a formula gets a quote in front."""
    with path.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.writer(handle)
        writer.writerow(names)
        writer.writerows([_cell(value) for value in row] for row in found)


def _cell(value: Any) -> Any:
    if isinstance(value, str):
        return in_csv(value)
    return "" if value is None else value


def write_parquet(path: Path, names: Sequence[str], found: Iterable[Row]) -> None:
    """Write a parquet table in groups of rows: text and float64 columns, null for what is missing."""
    pyarrow, parquet = need("pyarrow", "--to .parquet"), need("pyarrow.parquet", "--to .parquet")
    schema = pyarrow.schema([(name, pyarrow.string() if is_word(name) else pyarrow.float64()) for name in names])
    source = iter(found)
    with parquet.ParquetWriter(path, schema) as writer:
        while group := list(islice(source, ROWS_A_GROUP)):
            columns = [
                pyarrow.array([row[at] for row in group], type=field.type) for at, field in enumerate(schema)
            ]
            writer.write_table(pyarrow.Table.from_arrays(columns, schema=schema))
