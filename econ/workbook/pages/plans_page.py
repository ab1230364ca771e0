"""The page of plans: the one typed, the best, how NPV changes with the share processed, and how to start."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from econ.answer.finding import moves_words, pace_sentence, plans_sentence
from econ.questions.found_plans import Plans, Tried
from econ.questions.plan_moves import best_by_kind
from econ.workbook.desk import PLANS, Desk
from econ.workbook.page_plan import Found, Row, plans


def found_plans(desk: Desk) -> Found:
    """What was tried, and what came of it."""
    results, words = desk.results, plans()[PLANS].words
    found = results.plans()
    unit, factor = desk.shown_unit("t/year")
    pace = found.pace
    return {
        "finding": plans_sentence(results),
        "limits": _limits(desk, found, words),
        "tried": found.tried,
        "cases": min(results.chances.sampling.samples, 1000),
        "samples": found.samples or results.chances.sampling.samples,
        "seed": found.seed or results.chances.sampling.seed,
        "tonnes": unit,
        "plans": list(_plans(desk, found, words, factor / 1000)),
        "sets": [(text,) for text in found.sets] if found.is_better else (),
        "hand": words["hand"],
        "pace": () if pace is None else [(words[name], getattr(pace, name)) for name in
                                         ("buy", "pilot", "wait", "perfect")],
        "pace_said": pace_sentence(results),
        "sizes": [
            (moves_words(results, one), *_figures(one, factor / 1000)) for one in best_by_kind(found.coarse)
        ],
        "shares": [(one.share, *_figures(one, factor / 1000)) for one in found.curve],
        "point": [(found.typed.share, found.typed.mean)],
    }  # fmt: skip


def _plans(desk: Desk, found: Plans, words: Mapping[str, Any], factor: float) -> Iterator[Any]:
    """The plan typed, the best, and the ways that stand beside the plan typed."""
    yield words["typed"], *_figures(found.typed, factor)
    if found.best is None:
        yield (words["none"],)
    else:
        label = words["best"].format(moves_words(desk.results, found.best))
        yield Row((label, *_figures(found.best, factor)), "bold")
    unit, per_kg = desk.shown_unit("t/year")
    for one in found.beside:
        label = words[one.kind].format(one.number, one.taken_kg / 1000 * per_kg, unit)
        yield label, None, one.mean, one.p10, None, one.loss


def _figures(one: Tried, factor: float) -> tuple[Any, ...]:
    net = None if math.isnan(one.net_kg_co2e) else one.net_kg_co2e / 1000
    return (one.npv, one.mean, one.p10, one.p90, one.loss, one.hours_per_week, one.unsold_kg * factor, net)


def _limits(desk: Desk, found: Plans, words: Mapping[str, Any]) -> str:
    bounds = found.bounds

    def said(value: float, text: str) -> str:
        return text if math.isfinite(value) else words["no_limit"]

    return str(words["limits"].format(
        said(bounds.hours_per_week, f"{bounds.hours_per_week:,.1f} hours a week"),
        said(bounds.capital, f"{bounds.capital:,.0f} {desk.currency}"),
        words["no_stock" if math.isfinite(bounds.unsold_kg) else "allowed"],
        f"{bounds.loss:.0%}" if bounds.loss < 1 else words["no_limit"],
    ))  # fmt: skip
