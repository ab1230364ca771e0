"""What an owner can buy to know before signing, and which things of the model each would tell."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]

TRIALS = "trials"
TINY = 1e-9
FIGURES = ("char_kg", "bones_fired_kg", "hours_per_firing")
"""What a weighed firing shows besides its fuel; the fuels are named by the plan."""


@dataclass(frozen=True, slots=True)
class Purchase:
    """One kind of evidence: a short name, what it is, the row of its price, patterns of the keys it tells."""

    slug: str
    label: str
    price_key: str
    keys: tuple[str, ...] = ()

    def tells(self, keys: Sequence[str]) -> list[str]:
        """Those of `keys` that it tells."""
        return [key for key in keys if any(re.fullmatch(pattern, key) for pattern in self.keys)]


@cache
def asked() -> dict[str, list[dict[str, Any]]]:
    """The deciding facts and what can be bought to know, as `deciding.toml` lists them."""
    return tomllib.loads((files("econ.questions") / "deciding.toml").read_text(encoding="utf-8"))


PURCHASES = tuple(Purchase(**{**one, "keys": tuple(one.get("keys", ()))}) for one in asked()["purchase"])
"""In the order of the list."""


def fuel_figures(fuels: Sequence[int]) -> dict[str, str]:
    """For each fuel: its typed row, and the figure that stands in where the row is blank."""
    return {f"fuel.{n}.per_batch": f"fuel_{n}_per_firing" for n in fuels}


def shown_by_trials(
    inputs: Mapping[str, Numbers], figures: Mapping[str, Numbers], fuels: Sequence[int]
) -> dict[str, Numbers]:
    """What weighed firings show, by name, each of shape (samples,); what never varies is left out."""
    return {name: values for name, values in _of_firings(inputs, figures, fuels) if float(np.ptp(values)) > 0}


def _of_firings(
    inputs: Mapping[str, Numbers], figures: Mapping[str, Numbers], fuels: Sequence[int]
) -> Iterator[tuple[str, Numbers]]:
    yield "yield", figures["char_kg"] / np.maximum(figures["bones_fired_kg"], TINY)
    for key, figure in fuel_figures(fuels).items():
        if key in inputs:
            yield f"fuel_{key.split('.')[1]}", inputs[key]
        elif figure in figures:
            yield f"fuel_{key.split('.')[1]}", figures[figure]
    if "labour.hours_per_batch" in inputs:
        yield "hours", inputs["labour.hours_per_batch"]
    elif "hours_per_firing" in figures:
        yield "hours", figures["hours_per_firing"]
