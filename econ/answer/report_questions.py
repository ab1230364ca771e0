"""The part of the JSON that the questions fill: effects, the two-way table, chances, the finding, a deep run."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from econ.answer.finding import change, finding_sentence, headline_sentence, reason, wider_sentence
from econ.answer.must_be_true import must_be_true
from econ.answer.results import Results
from econ.model.derived import clean
from econ.questions.found import Chances, Effect, TwoWay
from econ.questions.found_deep import Count, Deep, Indices, Offer, Shares, Worth
from econ.questions.found_rule import Standing


def questions(results: Results) -> dict[str, Any]:
    """Named sub-objects for `details`; money in the scenario's currency, masses in kg as in `figures`."""
    return {
        "effects": [_effect(effect) for effect in results.effects],
        "two_way": _two_way(results.two_way),
        "chances": _chances(results.chances),
        "finding": _finding(results),
        "headline": _headline(results),
        "must_be_true": [one.to_json() for one in must_be_true(results)],
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
                **{f"p{percent:g}": clean(value) for percent, value in one.percentiles.items()},
                "withheld_share": one.withheld_frac,
            }
            for name, one in found.spreads.items()
        },
        "debt": {name: clean(value) for name, value in asdict(found.debt).items()},
        "npv_histogram": [{"from": bar.start, "to": bar.end, "share": bar.share} for bar in found.bars],
    }


def _finding(results: Results) -> dict[str, Any]:
    found = results.finding
    return {
        "verdict": found.verdict,
        "sentence": finding_sentence(results),
        "reason": reason(results),
        "what_would_change_it": change(results),
        "missing_facts": [one.fact.slug for one in found.missing],
        "not_said": list(found.deciding.blank),
        "facts": [_fact(one) for one in found.deciding.standings],
        "mean_npv": found.mean_npv,
        "chance_of_loss": found.loss,
        "mean_npv_with_missing_facts_at_their_best": found.deciding.best_mean,
        "mean_npv_without_gains_of_lopsided_ranges": found.deciding.look.sober_mean,
        "chance_of_loss_without_gains_of_lopsided_ranges": found.deciding.look.sober_loss,
        "inputs_that_turn_it": [effect.entry.row.key for effect in results.effects if effect.turns],
        "evidence_worth_having": list(found.evidence),
        "buy_at_loss_chance": found.limits.buy_at,
        "least_mean_npv": found.limits.least_npv,
    }


def _fact(one: Standing) -> dict[str, Any]:
    low, high = (None, None) if one.at is None else (one.at[0].mean, one.at[1].mean)
    return {
        "fact": one.fact.slug,
        "label": one.fact.label,
        "settled": one.is_settled,
        "open_inputs": list(one.open_keys),
        "can_turn_the_verdict": one.can_turn,
        "mean_npv_at_p5": low,
        "mean_npv_at_p95": high,
    }


def _headline(results: Results) -> dict[str, Any]:
    found = results.headline
    return {
        "sentence": headline_sentence(results),
        "npv_typed": found.typed,
        "p10": found.p10,
        "p50": found.p50,
        "p90": found.p90,
        "mean": found.mean,
        "share_of_samples_below_typed": found.place,
        "outside_middle_half": found.is_outside,
        "causes": [{"key": key, "npv_change_to_sampled_mean": shift} for key, shift in found.causes],
        "own_ranges_times_as_wide": found.wider,
        "chance_of_loss_with_own_ranges_wider": found.wider_loss,
        "wider_sentence": wider_sentence(results),
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
