"""Any csv or parquet table of plants: refused, faults, or rows that are scenarios or have faults of their own."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from table_reading import base_in, outcome

from econ.errors import FileRefused
from econ.many.plants import Source

WORDS = ["plant", "kiln.price", "bones.1.mass", "fuel.1.kind", "kiln.prize", "plant.currency", "ranges.shape"]
WORDS += ["42000", "-1", "1e999", "nan", "500 kg per week", "12 %", "=1+1", "diesel", "9" * 400, "x" * 140_000]
SIGNS = [",", ";", "\n", "\r\n", "\r", '"', '""', "\0", "\ufeff", "\x1b", "é", " "]


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return base_in(tmp_path_factory.mktemp("base"))


@settings(max_examples=60, derandomize=True, database=None, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    data=st.lists(st.sampled_from([*WORDS, *SIGNS, *SIGNS]), max_size=30).map(
        lambda words: "".join(words).encode()
    )
    | st.binary(max_size=60)
)
def test_any_csv_is_refused_or_rows(base: Path, data: bytes) -> None:
    with tempfile.TemporaryDirectory() as work:
        path = Path(work) / "any.csv"
        path.write_bytes(data)
        outcome(path, base)


@pytest.mark.parametrize(
    ("name", "data"),
    [
        pytest.param("a.csv", b"x" * 200_000 + b",kiln.price\n1,2\n", id="heading longer than a csv cell may be"),
        pytest.param("a.csv", b'kiln.price\n"' + b"x" * 200_000 + b'"\n', id="cell longer than it may be"),
        pytest.param("a.csv", b"kiln.price\n\xff\n", id="not UTF-8"),
        pytest.param("a.parquet", b"", id="empty parquet"),
        pytest.param("a.parquet", b"PAR1xxxxPAR1", id="parquet whose end lies"),
        pytest.param("a.parquet", b"kiln.price\n1\n", id="csv named parquet"),
    ],
)
def test_a_table_that_cannot_be_read_is_refused_in_a_sentence(
    name: str, data: bytes, base: Path, tmp_path: Path
) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(FileRefused, match=f"^{name} ") as refusal:
        list(Source.of(path, base, (), "", tmp_path / "to.csv"))
    assert str(refusal.value).isprintable()
