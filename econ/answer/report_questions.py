"""The part of the JSON that the questions fill: effects, the two-way table, chances, the finding, a deep run."""

from __future__ import annotations

from typing import Any

from econ.answer.results import Results
from econ.model.derived import clean
from econ.questions.found import Chances, Effect, TwoWay
from econ.questions.found_deep import Count, Deep, Finding, Indices, Offer, Shares, Worth


def questions(results: Results) -> dict[str, Any]:
    """Named sub-objects for `details`; money in the scenario's currency, masses in kg as in `figures`."""
    return {
        "effects": [_effect(effect) for effect in results.effects],
        "two_way": _two_way(results.two_way),
        "chances": _chances(results.chances),
        "finding": _finding(results.finding),
    }


def _effect(effect: Effect) -> dict[str, Any]:
    return {
        "key": effect.entry.row.key,
        "low": effect.entry.low,
        "high": effect.entry.high,
        "at_low": {name: clean(value) for name, value in effect.at_low.items()},
        "at_high": {name: clean(value) for name, value in effect.at_high.items()},
        "class_edges": list(effect.edges),
    }


def _two_way(table: TwoWay | None) -> dict[str, Any] | None:
    if table is None:
        return None
    return {
        "across": table.across.row.key,
        "down": table.down.row.key,
        "across_values": table.across_steps.tolist(),
        "down_values": table.down_steps.tolist(),
        "npv": [[clean(value) for value in row] for row in table.npv],
        "down_where_npv_is_zero": [clean(value) for value in table.zeros()],
    }


def _chances(found: Chances) -> dict[str, Any]:
    return {
        "samples": found.sampling.samples,
        "seed": found.sampling.seed,
        "stream": found.sampling.stream,
        "shapes": dict(found.shapes),
        "together": [
            {"first": pair.first, "second": pair.second, "rank_correlation": pair.correlation}
            for pair in found.pairs
        ],
        "chance_of_loss": found.loss,
        "chance_of_loss_standard_error": found.loss_error,
        "chance_of_loss_so_far": [{"samples": n, "chance_of_loss": chance} for n, chance in found.so_far],
        "chance_never_pays_back": found.never_pays_back,
        "chance_char_is_cheapest": found.char_is_cheapest,
        "chance_net_source": clean(found.net_source),
        "figures": {
            name: {
                "mean": clean(one.mean),
                **{f"p{percent}": clean(value) for percent, value in one.percentiles.items()},
                "withheld_share": one.withheld_frac,
            }
            for name, one in found.spreads.items()
        },
        "npv_histogram": [{"from": bar.start, "to": bar.end, "share": bar.share} for bar in found.bars],
    }


def _finding(found: Finding) -> dict[str, Any]:
    return {
        "verdict": found.verdict,
        "mean_npv": found.mean_npv,
        "chance_of_loss": found.loss,
        "inputs_that_turn_it": list(found.turners),
        "evidence_worth_having": list(found.evidence),
        "buy_at_loss_chance": found.limits.buy_at,
        "refuse_at_loss_chance": found.limits.refuse_at,
        "least_mean_npv": found.limits.least_npv,
    }


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
