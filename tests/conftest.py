"""Shared by all tests: hypothesis profiles, and plants to start from."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

sys.path.insert(0, str(Path(__file__).parent))

from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.records import Scenario
from econ.workbook.read import put_over

settings.register_profile("ci", derandomize=True, deadline=None)
settings.register_profile("here", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") == "true" else "here")

ROOT = Path(__file__).resolve().parents[1]

Plant = Callable[..., Scenario]


def plant(name: str = "thistle-flat", **sets: str) -> Scenario:
    """A shipped plant with rows put over it; `bones__1__mass="500 kg"` spells bones.1.mass."""
    start = example(name)
    typed, cautions = put_over(start.rows, [f"{key.replace('__', '.')}={value}" for key, value in sets.items()])
    return build(typed, start.system, cautions)


@pytest.fixture(scope="session")
def root() -> Path:
    """The top of the repository."""
    return ROOT
