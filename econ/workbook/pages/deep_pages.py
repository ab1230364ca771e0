"""What many runs add: the plans tried, and of a deep run the value of information and the sources of variance."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from econ.answer import finding as said
from econ.inputs.as_typed import plain_figure
from econ.questions.found_deep import FOLDS, VARIED, WORTH_NAMING, Deep, Shares, Worth
from econ.questions.plan_moves import Plans, Tried, best_by_kind
from econ.workbook.desk import PLANS, VARIANCE, WORTH, Desk
from econ.workbook.page_plan import Found, Row, Slot, plans

CHARTED = 12


def found_plans(desk: Desk) -> Found:
    """The plan typed, the best, how NPV changes with the share processed, and how to start."""
    results, words = desk.results, plans()[PLANS].words
    found, pace = results.plans(), results.plans().pace
    unit, factor = desk.shown_unit("t/year")
    per_kg = factor / 1000
    top = max(found.curve, key=lambda one: one.mean, default=None)
    sizes = {_alike(_figures(one, per_kg)): one for one in reversed(best_by_kind(found.coarse))}
    return {
        "finding": said.say(results, 'plans'),
        "limits": _limits(desk, found, words),
        "tried": found.tried,
        "cases": min(results.chances.sampling.samples, 1000),
        "samples": found.samples or results.chances.sampling.samples,
        "seed": found.seed or results.chances.sampling.seed,
        "tonnes": unit.replace("/", " a "),
        "plans": list(_plans(desk, found, words, per_kg)),
        "sets": [(text,) for text in found.sets] if found.is_better else (),
        "pace": () if pace is None else [(words[name], getattr(pace, name)) for name in
                                         ("buy", "pilot", "wait", "perfect")],
        "pace_said": said.say(results, 'pace'),
        "sizes": [(said.moves_words(results, one), *_figures(one, per_kg)) for one in reversed(sizes.values())],
        "shares": [(one.share, *_figures(one, per_kg)) for one in found.curve],
        "shares_say": "" if top is None else words["top"].format(top.share),
        "point": [(found.typed.share, found.typed.mean)],
    }  # fmt: skip


def _plans(desk: Desk, found: Plans, words: Mapping[str, Any], per_kg: float) -> Iterator[Any]:
    """The plan typed, the best, and the ways that stand beside the plan typed."""
    yield words["typed"], *_figures(found.typed, per_kg)
    if found.best is None:
        yield (words["none"],)
    else:
        label = words["best"].format(said.moves_words(desk.results, found.best))
        yield Row((label, *_figures(found.best, per_kg)), "bold")
    for one in found.beside:
        label = words[one.kind].format(one.number, one.taken_kg * per_kg, desk.shown_unit("t/year")[0])
        yield label, None, one.mean, one.p10, None, one.loss


def _figures(one: Tried, per_kg: float) -> tuple[Any, ...]:
    net = None if math.isnan(one.net_kg_co2e) else one.net_kg_co2e / 1000
    return one.npv, one.mean, one.p10, one.p90, one.loss, one.hours_per_week, one.unsold_kg * per_kg, net


def _alike(figures: tuple[Any, ...]) -> tuple[str, ...]:
    """The same for plans of which a reader sees the same: a limit that binds nothing makes no other plan."""
    return tuple(plain_figure(value, 3) if isinstance(value, float) else str(value) for value in figures)


def _limits(desk: Desk, found: Plans, words: Mapping[str, Any]) -> str:
    bounds, none = found.bounds, words["no_limit"]
    return str(words["limits"].format(
        f"{bounds.hours_per_week:,.1f} hours a week" if math.isfinite(bounds.hours_per_week) else none,
        f"{bounds.capital:,.0f} {desk.currency}" if math.isfinite(bounds.capital) else none,
        words["no_stock" if math.isfinite(bounds.unsold_kg) else "allowed"],
        f"{bounds.loss:.0%}" if bounds.loss < 1 else none,
    ))  # fmt: skip


def worth(desk: Desk) -> Found:
    """The finding, the list of evidence, the rule, test batches by number with a chart, and single inputs."""
    results, deep = desk.results, desk.results.deep
    assert deep is not None
    words, best = plans()[WORTH].words, deep.best_count
    known = sorted((pair for pair in deep.inputs.items() if pair[1].gain > 0), key=lambda pair: -pair[1].gain)
    has_price = any(one.price is not None for one in deep.counts)
    gains = best is not None and best.net is not None and best.net > 0
    return {
        "finding": f"{said.say(results, 'finding')} {said.say(results, 'deep')}",
        "offers": [
            *((one.purchase.label, *_estimate(one.limit), *_money(one),
               *one.explains.values()) for one in sorted(deep.offers, key=lambda one: -one.net)),
            Row((words["perfect"], *_estimate(deep.total)), "total"),
        ],
        "best_rival": said.best_rival(results),
        "folds": FOLDS,
        "counts": list(_counts(deep)),
        "counts_draw": {"series": [{}, {}][: 1 + has_price]},
        "counts_says": words["pays" if gains else "none_pays" if has_price else "unpriced"].format(
            best.firings if best else 0),
        "scatter": ", ".join(
            f"{words['scatter_names'].get(name, name.replace('_', ' '))}: {share:.0%}"
            f"{words['logged'] if name in deep.measured_spreads else ''}"
            for name, share in deep.spreads.items()
        ),
        "singles": [(results.scenario[key].row.label, *_estimate(one), key) for key, one in known[:CHARTED]],
    }  # fmt: skip


def _money(one: Any) -> tuple[Any, ...]:
    """Price and net worth."""
    return tuple("not given" if value is None else value for value in (one.price, one.net))


def _estimate(worth: Worth) -> tuple[float, ...]:
    """Value, standard error, and the in-sample estimate."""
    return worth.gain, worth.error, worth.with_hindsight


def _counts(deep: Deep) -> Iterator[tuple[Any, ...]]:
    """Batches by number: what they are worth, and what one more brings."""
    before, worth_before = 0, 0.0
    for one in deep.counts:
        more = max(one.worth.gain - worth_before, 0.0) / (one.firings - before)
        best = "highest net" if one is deep.best_count and (one.net or 0) > 0 else None
        yield one.firings, *_estimate(one.worth), *_money(one), more, best
        before, worth_before = one.firings, one.worth.gain


def variance(desk: Desk) -> Found:
    """Shares of variance of three answers by input, with standard errors; a chart of two of them."""
    assert desk.results.deep is not None
    found, words = desk.results.deep.shares, plans()[VARIANCE].words
    named = found.named()
    return {
        "least": WORTH_NAMING,
        "answers": [("", *(Slot(words["names"][answer], "column_right", 3) for answer in VARIED), "")],
        "shares": [_row(desk, found, place) for place in named],
        "others": [Row(_others(found, named, words["others"]), "total")] if named else (),
        **_chart(desk, found, named, "npv", "npv", min(len(named), CHARTED)),
        **_chart(desk, found, named, "net", "project_net_kg_co2e", len(named)),
    }


def _chart(desk: Desk, found: Shares, named: list[int], chart: str, answer: str, count: int) -> Found:
    """Whether there is a chart of an answer, its height, and its title: the input with most of the variance."""
    one, words = found.by_measure[answer], plans()[VARIANCE].words
    drawn: dict[str, Any] = {f"{chart}_draw": {"size": [600, 140 + 20 * count]}, f"{chart}_rows": 8 + count}
    if not named or one is None:
        return {**drawn, chart: False}
    top = max(named, key=lambda place: float(one.total[place]))
    says = words["says"].format(_label(desk, found.groups[top]), words["names"][answer])
    return {**drawn, chart: True, f"{chart}_says": says}


def _row(desk: Desk, found: Shares, place: int) -> tuple[Any, ...]:
    """First-order and total share, and the larger standard error, of each answer."""
    cells: list[Any] = []
    for one in map(found.by_measure.__getitem__, VARIED):
        cells += [math.nan, None, None] if one is None else [
            float(one.first[place]), float(one.total[place]),
            max(float(one.first_error[place]), float(one.total_error[place])),
        ]  # fmt: skip
    return _label(desk, found.groups[place]), *cells, ", ".join(found.groups[place])


def _others(found: Shares, named: list[int], words: str) -> tuple[Any, ...]:
    """The sum of all shares that are not named."""
    unnamed = [k for k in range(len(found.groups)) if k not in named]
    measures = [found.by_measure[answer] for answer in VARIED]
    sums = [one and math.fsum(float(one.first[k]) for k in unnamed) for one in measures]
    return words.format(len(unnamed)), *(cell for one in sums for cell in (one, None, None)), ""


def _label(desk: Desk, keys: tuple[str, ...]) -> str:
    """The inputs that move as one, in words."""
    return " with ".join(desk.results.scenario[key].row.label for key in keys)
