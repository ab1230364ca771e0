"""The part of the JSON that a deep run fills: None where nobody asked for it."""

from __future__ import annotations

from typing import Any

from econ.answer.report_questions import clean
from econ.answer.results import Results
from econ.questions.deep import Deep, Offer
from econ.questions.evppi import Worth
from econ.questions.evsi import Count
from econ.questions.mixing import Shares
from econ.questions.sobol import Indices


def deep_json(results: Results) -> dict[str, Any] | None:
    """`details.deep`: money in the scenario's currency, shares as fractions."""
    deep = results.deep
    if deep is None:
        return None
    return {
        "samples": deep.sampling.samples,
        "mean_npv_against_today": dict(deep.means),
        "best_on_average": deep.now,
        "lead_over_best_other_less_least_npv": deep.ahead,
        "share_of_samples_behind_best_other": deep.behind,
        "least_gain": deep.least_gain,
        "knowing_everything": _worth(deep.total),
        "inputs": {key: _worth(one) for key, one in deep.inputs.items()},
        "evidence": [_offer(offer) for offer in deep.offers],
        "trial_firings": _trials(deep),
        "shares_of_variance": _shares(deep.shares),
    }


def _worth(one: Worth) -> dict[str, float]:
    """`worth` errs low, `worth_with_hindsight` high; `estimate` may be negative by chance."""
    return {
        "worth": one.gain,
        "estimate": one.raw,
        "standard_error": one.error,
        "worth_with_hindsight": one.with_hindsight,
    }


def _offer(offer: Offer) -> dict[str, Any]:
    return {
        "name": offer.purchase.slug,
        "what": offer.purchase.label,
        "tells": list(offer.tells),
        "never_worth_more_than": _worth(offer.limit),
        "price": offer.price,
        "part_of_variance": {name: clean(part) for name, part in offer.explains.items()},
    }


def _trials(deep: Deep) -> dict[str, Any]:
    best = deep.best_count
    return {
        "scatter_share": dict(deep.spreads),
        "scatter_from_log": list(deep.measured_spreads),
        "by_count": [_count(one) for one in deep.counts],
        "best_count": None if best is None else best.firings,
    }


def _count(one: Count) -> dict[str, Any]:
    return {"firings": one.firings, **_worth(one.worth), "price": one.price}


def _shares(found: Shares) -> dict[str, Any]:
    return {
        "samples_in_each_set": found.base,
        "groups": [list(group) for group in found.groups],
        "by_answer": {name: _indices(one) for name, one in found.by_measure.items()},
    }


def _indices(one: Indices | None) -> dict[str, list[float]] | None:
    """None where the answer is withheld in some samples, or the same in all."""
    if one is None:
        return None
    return {
        "first_order": one.first.tolist(),
        "first_order_standard_error": one.first_error.tolist(),
        "total": one.total.tolist(),
        "total_standard_error": one.total_error.tolist(),
    }
