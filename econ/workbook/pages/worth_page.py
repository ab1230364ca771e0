"""The page of a deep run: what each piece of evidence could be worth before signing, and how many batches."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from econ.answer.finding import best_rival, deep_sentence, finding_sentence
from econ.questions.found_deep import FOLDS, Deep, Worth
from econ.workbook.desk import WORTH, Desk
from econ.workbook.page_plan import Found, Row, plans

SINGLE_SHOWN = 12


def worth(desk: Desk) -> Found:
    """The finding, the list of evidence, the rule, trial batches by number with a chart, and single inputs."""
    results, deep = desk.results, desk.results.deep
    assert deep is not None
    words = plans()[WORTH].words
    known = sorted((pair for pair in deep.inputs.items() if pair[1].gain > 0), key=lambda pair: -pair[1].gain)
    has_price = any(one.price is not None for one in deep.counts)
    return {
        "finding": f"{finding_sentence(results)} {deep_sentence(results)}",
        "offers": [
            *((one.purchase.label, *_estimate(one.limit), _money(one.price), _money(one.net),
               *one.explains.values()) for one in sorted(deep.offers, key=lambda one: -one.net)),
            Row(("Knowing everything", *_estimate(deep.total)), "total"),
        ],
        "least_gain": deep.least_gain,
        "best_rival": best_rival(results),
        "limits": results.finding.limits,
        "sampling": deep.sampling,
        "folds": FOLDS,
        "counts": list(_counts(deep)),
        "counts_draw": {"series": [{}, {}][: 1 + has_price]},
        "scatter": ", ".join(
            f"{words['scatter_names'].get(name, name.replace('_', ' '))}: {share:.0%}"
            f"{words['logged'] if name in deep.measured_spreads else ''}"
            for name, share in deep.spreads.items()
        ),
        "singles": [(results.scenario[key].row.label, *_estimate(one), key) for key, one in known[:SINGLE_SHOWN]],
    }  # fmt: skip


def _estimate(worth: Worth) -> tuple[float, ...]:
    """Worth, standard error, and the estimate with hindsight."""
    return worth.gain, worth.error, worth.with_hindsight


def _money(value: float | None) -> Any:
    return "not given" if value is None else value


def _counts(deep: Deep) -> Iterator[tuple[Any, ...]]:
    """Batches by number: what they are worth, and what one more brings."""
    before, worth_before = 0, 0.0
    for one in deep.counts:
        more = max(one.worth.gain - worth_before, 0.0) / (one.firings - before)
        best = "brings most" if one is deep.best_count and one.price is not None else None
        yield one.firings, *_estimate(one.worth), _money(one.price), _money(one.net), more, best
        before, worth_before = one.firings, one.worth.gain
