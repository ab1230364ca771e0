"""Chromium without a window, as the reader of pages: Debian's package, driven by playwright."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

SERIOUS = frozenset({"serious", "critical"})


def program() -> str:
    """The browser; its absence fails under CI=true and skips elsewhere."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        if os.environ.get("CI") == "true":
            pytest.fail("Chromium is not installed")
        pytest.skip("Chromium is not installed")
    return found


@contextmanager
def browser() -> Iterator[Any]:
    """A browser that is closed afterwards."""
    api = pytest.importorskip("playwright.sync_api")
    with api.sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=program(), args=["--no-sandbox"])
        yield found
        found.close()


def violations(tab: Any, *only: str) -> list[str]:
    """What axe-core finds serious or critical on a page, one line each; `only` some of its rules."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    options = {
        "resultTypes": ["violations"],
        **({"runOnly": list(only)} if only else {}),
    }  # not all that is in order
    found = axe.run(tab, options=options).response["violations"]
    return [
        f"{one['id']}: {node['html'][:120]} {node['failureSummary'][:200]}"
        for one in found
        if one["impact"] in SERIOUS
        for node in one["nodes"]
    ]
