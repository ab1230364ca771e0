"""The finding of many plants from common samples: the rule of one plant (`deciding.py`), plant by plant.

Asked of one plant alone it finds what `run` with as many samples does. The best plan is that over the share of the
bones processed alone (kiln, batches and tiers as typed), compared over the first of the same samples.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from econ.fields import record
from econ.inputs.lanes import beside, in_parts
from econ.inputs.records import Scenario
from econ.model.plan import Plan
from econ.questions.deciding import Looks, each_deciding
from econ.questions.draws import inputs_drawn
from econ.questions.found_rule import Bounds, Limits, Look, verdict
from econ.questions.latin import Numbers, Sampling
from econ.questions.plan_moves import SHARE
from econ.questions.samples import percentiles

CASES = 16_384
"""Plants times samples put to the model at once."""
TRIED = np.arange(1, 11) / 10
"""Shares of eligible bones tried beside the one typed; a tenth is as fine as so few samples can tell."""
OF_PLANS = 100
"""Samples over which shares are compared: the first of those of the plant, common to all shares."""
ERRORS = 3.0
"""Standard errors of a mean or a share within which a limit of the rule counts as near."""


@record(frozen=True, slots=True)
class OfPlant:
    """What the samples say of a plant: its finding, the facts that are missing, and its NPV [currency].

    `widest` is the open fact that moves the NPV most from its P5 to its P95. `near_limit` is "yes" where mean or
    loss lie so near a limit of the rule that other samples could turn the finding. `mean_npv` and `loss_chance`
    are of the NPV that the rule weighs, the rest of that against current practice; `npv_place` is the share of
    samples below the NPV as typed. `best_share` is what is processed of eligible bones in the best plan within
    the user's limits, with mean NPV and loss over all samples (they chose it, which flatters it a little) and the
    hours of a week of operation at the values typed: None where no plan keeps the limits.
    """

    finding: str
    missing: str
    widest: str
    near_limit: str
    mean_npv: float
    loss_chance: float
    npv_p10: float
    npv_p50: float
    npv_p90: float
    npv_loss_chance: float
    npv_place: float
    best_share: float | None
    best_mean_npv: float | None
    best_loss_chance: float | None
    best_hours_per_week: float | None


def of_each(scenario: Scenario, plan: Plan, sampling: Sampling, typed_npv: float) -> list[OfPlant]:
    """What the samples say of each plant worked out now, in order; raises InputFaults as `Ties` does."""
    some = max(CASES // sampling.samples, 1)
    return in_parts(some, lambda: list(_some(scenario, plan, sampling, typed_npv)))


def _some(scenario: Scenario, plan: Plan, sampling: Sampling, typed_npv: float) -> Iterator[OfPlant]:
    looks = Looks(scenario, plan, sampling, inputs_drawn(scenario))
    npv = np.atleast_2d(looks.npv("npv"))
    told = (
        *percentiles(npv, (10, 50, 90)), np.mean(npv < 0, axis=-1),
        np.mean(npv < beside(typed_npv), axis=-1),
    )  # fmt: skip
    best = _best(scenario, looks, npv)
    errors = np.std(np.atleast_2d(looks.npv()), axis=-1) / math.sqrt(npv.shape[-1])
    found = Limits.of(scenario)
    ends = (np.broadcast_to(np.ravel(beside(end)), len(npv)).tolist() for end in (found.buy_at, found.least_npv))
    limits = [Limits(*pair) for pair in zip(*ends, strict=True)]
    for at, facts in enumerate(each_deciding(scenario, plan, looks, limits)):
        said = verdict(limits[at], facts.look, missing=len(facts.missing), best_mean=facts.best_mean,
                       is_blank=bool(facts.blank))  # fmt: skip
        missing = " ".join(one.fact.slug for one in facts.missing)
        near = "yes" if _is_near(limits[at], facts.look, float(errors[at]), npv.shape[-1]) else "no"
        widest = max(facts.standings, key=lambda one: one.swing)
        plans = (float(one[at]) if math.isfinite(one[at]) else None for one in best)
        yield OfPlant(said, missing, widest.fact.slug if widest.swing else "", near, facts.look.mean,
                      facts.look.loss, *(float(one[at]) for one in told), *plans)  # fmt: skip


def _best(scenario: Scenario, looks: Looks, typed: Numbers) -> tuple[Numbers, ...]:
    """Share, mean NPV, loss, hours of each plant's best plan (plants,), nan for none; of equals the typed."""
    over, limits = min(OF_PLANS, typed.shape[-1]), Bounds.of(scenario)
    own = np.ravel(beside(scenario.number_or(SHARE, 1.0)))[:, None]
    shares = np.hstack([np.broadcast_to(own, (len(typed), 1)), np.broadcast_to(TRIED, (len(typed), len(TRIED)))])
    npv = np.concatenate([typed[:, None, :over], looks.at_shares(TRIED, over)], axis=1)
    processed, hours, kept = looks.within(limits, shares)
    kept &= np.mean(npv < 0, axis=-1) <= beside(limits.loss)
    means = np.where(kept, np.mean(npv, axis=-1), -np.inf)
    at = np.argmax(means, axis=-1)[:, None]
    if np.any(at > 0):
        at_best = looks.at_shares(np.take_along_axis(shares, at, 1), typed.shape[-1])[:, 0]
        typed = np.where(at > 0, at_best, typed)
    share, weekly = (np.take_along_axis(one, at, 1)[:, 0] for one in (processed, hours))
    answers = share, np.mean(typed, axis=-1), np.mean(typed < 0, axis=-1), weekly
    is_any = np.any(kept, axis=-1)
    return tuple(np.where(is_any, one, np.nan) for one in answers)


def _is_near(limits: Limits, look: Look, error: float, samples: int) -> bool:
    """Whether the mean or the probability of a loss lies within ERRORS standard errors of its limit."""
    of_share = math.sqrt(limits.buy_at * (1 - limits.buy_at) / samples)
    gap = min(abs(look.mean - limits.least_npv), abs(look.sober_mean - limits.least_npv))
    return gap < ERRORS * error or abs(look.sober_loss - limits.buy_at) < ERRORS * of_share
