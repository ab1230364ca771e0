"""Libraries that only many plants need: each missing one is a sentence, never a traceback."""

from __future__ import annotations

from importlib import import_module, util
from typing import Any

from econ.errors import InputFault

EXTRA = {"joblib": "folder", "pyarrow": "folder", "distributed": "cluster"}


def has(name: str) -> bool:
    """Whether a library is installed; it is not loaded."""
    return util.find_spec(name) is not None


def need(name: str, asked_by: str) -> Any:
    """A module of an extra, or raise InputFault saying how to install it."""
    top = name.split(".")[0]
    try:
        return import_module(name)
    except ImportError:
        install = f"pip install 'kilncase[{EXTRA[top]}]'"
        raise InputFault(asked_by, f"no library {top} installed", f"{install}, or do without") from None
