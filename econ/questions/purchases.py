"""What an owner can buy to know before signing, and which things of the model each would tell."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

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


PURCHASES = (
    Purchase(TRIALS, "weighed test batches (yield, fuel, hours)", "measure.batch_price"),
    Purchase(
        "assay", "a lab assay of total and available P", "measure.assay_price",
        (r"product\.(total|available)_p2o5_share", r"product\.soluble_share", r"bones\.ash_p_share"),
    ),
    Purchase(
        "quote", "a binding written quote of kiln and installation", "measure.quote_price",
        (r"kiln\.(price|installation)",),
    ),
    Purchase(
        "letters", "letters of intent at the assumed prices", "measure.letters_price",
        (r"product\.\d+\.(price|market_limit|share)",),
    ),
    Purchase(
        "stack", "a stack test for methane and nitrous oxide", "measure.stack_price",
        (r"carbon\.stack_(ch4|n2o_share)",),
    ),
    Purchase(
        "terms", "written terms for today's handling", "measure.terms_price",
        (r"current\.(saving|fee|price_rise)", r"excluded\.fee"),
    ),
    Purchase(
        "weighing", "all bones weighed for some weeks", "measure.weighing_price",
        (r"bones\.\d+\.(mass|excluded_share)",),
    ),
)  # fmt: skip
"""In the order of the list; no measurement here stands for a permit, which must be had all the same."""


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
