"""What can be bought to know before signing, and what a deep run finds: worth of evidence, shares of variance."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from econ.fields import record
from econ.questions.latin import Numbers, Sampling
from econ.shipped import described

TRIALS = "trials"
TINY = 1e-9
FIGURES = ("char_kg", "bones_fired_kg", "hours_per_firing")
"""What a weighed firing shows besides its fuel; the fuels are named by the plan."""
VARIED = ("npv", "net_cost_per_kg_bones", "project_net_kg_co2e")
"""The answers whose variance is shared out among the inputs."""
FOLDS = 5
"""Parts of the samples; each is judged by a fit to the others."""
LISTED = 10
"""The number of firings that the list of evidence speaks of."""
WORTH_NAMING = 0.01
"""A total share from which an input is named."""


class Purchase(NamedTuple):
    """One kind of evidence: a short name, what it is, the row of its price, patterns of the keys it tells."""

    slug: str
    label: str
    price_key: str
    keys: tuple[str, ...] = ()

    def tells(self, keys: Sequence[str]) -> list[str]:
        """Those of `keys` that it tells."""
        return [key for key in keys if any(re.fullmatch(pattern, key) for pattern in self.keys)]


def asked() -> Mapping[str, Any]:
    """The lists of `deciding.toml`: deciding facts, what can be bought to know, measures, figures in doubt."""
    return described("deciding", "questions")


PURCHASES = tuple(Purchase(**{**one, "keys": tuple(one.get("keys", ()))}) for one in asked()["purchase"])
"""In the order of the list."""


def fuel_figures(fuels: Sequence[int]) -> dict[str, str]:
    """For each fuel: its typed row, and the figure that stands in where the row is blank."""
    return {f"fuel.{n}.per_batch": f"fuel_{n}_per_firing" for n in fuels}


def shown_by_trials(
    inputs: Mapping[str, Numbers], figures: Mapping[str, Numbers], fuels: Sequence[int]
) -> dict[str, Numbers]:
    """What weighed batches show, by name, each of shape (samples,); what never varies is left out."""
    found = {"yield": figures["char_kg"] / np.maximum(figures["bones_fired_kg"], TINY)}
    rows = {f"fuel_{key.split('.')[1]}": (key, figure) for key, figure in fuel_figures(fuels).items()}
    rows["hours"] = "labour.hours_per_batch", "hours_per_firing"
    for name, (key, figure) in rows.items():
        if key in inputs or figure in figures:
            found[name] = inputs[key] if key in inputs else figures[figure]
    return {name: values for name, values in found.items() if float(np.ptp(values)) > 0}


class Worth(NamedTuple):
    """Expected gain of learning first [currency]; `raw`, before the cut at 0, errs low, `with_hindsight` high."""

    raw: float
    error: float
    with_hindsight: float

    @property
    def gain(self) -> float:
        """The estimate [currency], 0 where it came out negative."""
        return max(self.raw, 0.0)


class Count(NamedTuple):
    """So many firings: the worth of their means, and their price together (None: not known)."""

    firings: int
    worth: Worth
    price: float | None

    @property
    def net(self) -> float:
        """Worth less price, an unknown price counted as nothing [currency]."""
        return self.worth.gain - (self.price or 0.0)


@record(frozen=True, slots=True)
class Indices:
    """First-order and total shares and their standard errors, (inputs,); chance can put one outside 0 to 1."""

    first: Numbers
    total: Numbers
    first_error: Numbers
    total_error: Numbers


@record(frozen=True, slots=True)
class Shares:
    """Shares of variance by answer (None: withheld or constant), in the order of `groups` that move together."""

    groups: tuple[tuple[str, ...], ...]
    base: int
    by_measure: Mapping[str, Indices | None]

    def named(self) -> list[int]:
        """Places of the groups that matter for any answer, the largest total share on NPV first."""
        known = [one.total for one in self.by_measure.values() if one is not None]
        matter = [i for i in range(len(self.groups)) if any(total[i] >= WORTH_NAMING for total in known)]
        first = known[0] if known else np.zeros(len(self.groups))
        return sorted(matter, key=lambda i: -float(first[i]))


class Offer(NamedTuple):
    """One kind of evidence: what it tells, its price, the `limit` of its worth, the variance it `explains`."""

    purchase: Purchase
    tells: tuple[str, ...]
    limit: Worth
    price: float | None
    explains: Mapping[str, float]

    @property
    def net(self) -> float:
        """The most it could bring after its price, an unknown price counted as nothing [currency]."""
        return self.limit.gain - (self.price or 0.0)


@record(frozen=True, slots=True)
class Deep:
    """All that a deep run adds: mean worth of each way by name ("char", current practice 0), the best `now`.

    `ahead`: mean NPV of the kiln over the best other, less the least asked; `behind`: share of samples in which it
    is below the best other; worth of each input alone; scatter as a share by name.
    """

    sampling: Sampling
    means: Mapping[str, float]
    now: str
    ahead: float
    behind: float
    total: Worth
    inputs: Mapping[str, Worth]
    offers: tuple[Offer, ...]
    counts: tuple[Count, ...]
    spreads: Mapping[str, float]
    measured_spreads: tuple[str, ...]
    shares: Shares
    least_gain: float

    @property
    def best_count(self) -> Count | None:
        """The number of batches that brings most after its price (unpriced: that listed), or None without any."""
        if all(one.price is None for one in self.counts):
            return next((one for one in self.counts if one.firings == LISTED), None)
        return max(self.counts, key=lambda one: (one.net, -one.firings))
