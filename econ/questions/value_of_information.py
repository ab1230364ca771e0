"""The expected value of information: perfect (EVPI, EVPPI), from trial batches (EVSI), of a pilot year.

Without knowing more, the best option is the one with the highest mean. Somebody who first learns something may
choose otherwise in some samples; what he gains by that, on average, is the worth of learning it. The worth of
each option given what is learnt is fitted by polynomials over the samples (regression on the one sample: Strong,
Oakley and Brennan 2014, Medical Decision Making 34, 311-326; study data in place of inputs: Strong and others
2015, Medical Decision Making 35, 570-583; both from memory).

Bias, stated. The samples are dealt into FOLDS parts; the choice in each part follows a fit to the others, so the
gain is that of a rule which never saw the sample it is tried on: it errs low where the polynomials fit badly,
never high by chance fit. `with_hindsight` is the gain by a fit to all samples, which errs high; the truth lies
between the two.

Trial batches: for every sample the mean of so many is made up, what the kiln would truly do plus the scatter of
batches over the root of their number. A pilot kiln runs a year and weighs every batch; one season's sales are
seen as they truly are, which errs high. Then the full plan is bought, a year late and worth its NPV grown with
prices and discounted by a year, or the pilot kiln is sold and the bones go back to current practice.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence

import numpy as np

from econ.inputs.records import Scenario
from econ.measured.readings import LogReading
from econ.questions.found_deep import FOLDS, Count, Worth
from econ.questions.latin import Latin, Numbers, inverse
from econ.questions.plan_moves import Pace, Sign
from econ.questions.samples import percentiles

DEGREES = {1: 5, 2: 4, 3: 3, 4: 3}
"""Highest degree by number of things learnt at once; two for more of them."""
MANY_DEGREE = 2
COUNTS = (1, 2, 3, 5, 10, 20, 50)
SALES = r"product\.\d+\.(price|market_limit|customers|repeat_share)|market\.sales_share"
"""Inputs that a season's sales show, by pattern of their keys."""
DEGREE = 3
INSIDE = (5, 95)


def best_now(values: Numbers) -> int:
    """The option of the highest mean; `values` of shape (options, samples), the first where they are equal."""
    return int(np.argmax(np.mean(values, axis=1)))


def of_everything(values: Numbers) -> Worth:
    """The worth of knowing everything: the mean over samples of the best option less the best mean."""
    gains = np.max(values, axis=0) - values[best_now(values)]
    return _worth(gains, float(np.mean(gains)))


def of_learning(values: Numbers, learnt: Sequence[Numbers]) -> Worth:
    """The worth of learning some things at once, before choosing between the options; at most `of_everything`.

    values: (options, samples), any money; learnt: (samples,) each; what is the same in every sample is left out.
    """
    terms = basis([one for one in learnt if float(np.ptp(one)) > 0])
    if len(terms) == 1:
        return Worth(0.0, 0.0, 0.0)
    now = best_now(values)
    over = np.delete(values, now, axis=0) - values[now]
    fit, gains = _Fit(terms, over), []
    for fold in range(FOLDS):  # what the option brings that the fit puts highest, 0 where none beats the best now
        fitted, part = fit.without(fold), over[:, fold::FOLDS]
        picked = np.take_along_axis(part, np.argmax(fitted, axis=0)[None, :], axis=0)[0]
        gains.append(np.where(np.max(fitted, axis=0) > 0, picked, 0.0))
    return _worth(np.concatenate(gains), float(np.mean(np.maximum(np.max(fit.of_all(), axis=0), 0.0))))


def explained(answer: Numbers, learnt: Sequence[Numbers]) -> float:
    """Share of an answer's variance [0..1] that a fit accounts for; errs high by terms ÷ samples; or nan."""
    if not np.all(np.isfinite(answer)) or not np.ptp(answer) > 0:
        return math.nan
    terms = basis([one for one in learnt if float(np.ptp(one)) > 0])
    if len(terms) == 1:
        return 0.0
    fitted = _Fit(terms, answer[None, :] - np.mean(answer)).of_all()[0]
    return min(max(1 - float(np.var(answer - np.mean(answer) - fitted) / np.var(answer)), 0.0), 1.0)


def basis(learnt: Sequence[Numbers]) -> Numbers:
    """Products of powers of the standardised things learnt [1], (terms, samples), degree within DEGREES."""
    scaled = [(one - np.mean(one)) / np.std(one) for one in learnt]
    terms = [np.ones(len(learnt[0]) if learnt else 1)]
    for power in range(1, DEGREES.get(len(scaled), MANY_DEGREE) + 1):
        for first, *others in itertools.combinations_with_replacement(scaled, power):
            terms.append(math.prod(others, start=first))
    return np.array(terms)


class _Fit:
    """Least squares of each row of `over`, any fold left out at once; einsum sums in one order everywhere."""

    def __init__(self, terms: Numbers, over: Numbers) -> None:
        self._terms = terms
        parts = [(terms[:, fold::FOLDS], over[:, fold::FOLDS]) for fold in range(FOLDS)]
        self._squares = [np.einsum("is,js->ij", x, x) for x, _ in parts]
        self._products = [np.einsum("is,os->io", x, y) for x, y in parts]

    def without(self, fold: int) -> Numbers:
        """The fit to all other folds [currency], at the samples of this one: shape (options - 1, samples)."""
        squares = sum(self._squares) - self._squares[fold]
        products = sum(self._products) - self._products[fold]
        return self._at(squares, products, self._terms[:, fold::FOLDS])

    def of_all(self) -> Numbers:
        """The fit to all samples, at all samples [currency]."""
        return self._at(np.sum(self._squares, axis=0), np.sum(self._products, axis=0), self._terms)

    @staticmethod
    def _at(squares: Numbers, products: Numbers, terms: Numbers) -> Numbers:
        weights = np.linalg.lstsq(squares, products, rcond=1e-12)[0]
        return np.asarray(np.einsum("io,is->os", weights, terms))


def _worth(gains: Numbers, with_hindsight: float) -> Worth:
    error = float(np.std(gains, ddof=1) / math.sqrt(len(gains)))
    return Worth(float(np.mean(gains)), error, with_hindsight)


def by_count(
    values: Numbers, true: Mapping[str, Numbers], spreads: Mapping[str, float], price: float | None, seed: int,
    counts: Sequence[int] = COUNTS,
) -> tuple[Count, ...]:  # fmt: skip
    """The worth of each number of batches; `true`: what one shows, (samples,), its `spreads`; `price`: of one."""
    worths = ((n, of_learning(values, list(by_number(true, spreads, n, seed).values()))) for n in counts)
    return tuple(Count(n, worth, None if price is None else n * price) for n, worth in worths)


def of_batches(
    scenario: Scenario, log: LogReading | None, shown: Mapping[str, Numbers]
) -> tuple[dict[str, float], dict[str, float], tuple[str, ...]]:
    """Scatter of batches over their mean [1], and in the unit shown; names of those that a log of two measured."""
    weighed = log.samples if log else {}
    measured = {name: one.sd / abs(one.mean) for name in shown
                if (one := weighed.get(name)) is not None and one.sd is not None and one.mean}  # fmt: skip
    spreads = dict.fromkeys(shown, scenario["measure.batch_spread_share"].number) | measured
    scatter = {name: spread * abs(float(np.mean(shown[name]))) for name, spread in spreads.items()}
    return spreads, scatter, tuple(measured)


def by_number(
    true: Mapping[str, Numbers], spreads: Mapping[str, float], firings: int, seed: int
) -> dict[str, Numbers]:
    """The mean of so many batches [unit of the figure] for every sample: truth, and scatter of own streams."""
    samples, root = len(next(iter(true.values()), ())), math.sqrt(firings)
    stream = Latin([f"scatter of {name}" for name in true], samples, seed).read(0, samples) if true else ()
    return {
        name: one + spreads[name] / root * inverse(share)
        for (name, one), share in zip(true.items(), stream, strict=True)
    }


def two_stage(later: Numbers, stop: Numbers, learnt: Sequence[Numbers] | None = None) -> float:
    """Mean of the better of going on and stopping after the news [currency]; `learnt` None: perfect news."""
    values = np.array([later, stop])
    gain = of_everything(values) if learnt is None else of_learning(values, learnt)
    return float(np.max(np.mean(values, axis=1))) + gain.gain


def signs(later: Numbers, stop: Numbers, learnt: Mapping[str, Numbers]) -> tuple[Sign, ...]:
    """For each thing learnt alone: where a cubic fit of going on less stopping crosses zero once, P5 to P95."""
    found = []
    for name, seen in learnt.items():
        low, high = percentiles(seen, INSIDE)
        if low < high:
            at = np.linspace(low, high, 201)
            fit = np.polynomial.Polynomial.fit(seen, later - stop, DEGREE)(at)
            turns = np.flatnonzero(np.diff(np.sign(fit)))
            if len(turns) == 1:
                i = int(turns[0])
                bound = at[i] - fit[i] * (at[i + 1] - at[i]) / (fit[i + 1] - fit[i])
                found.append(Sign(name, bool(fit[-1] > fit[0]), float(bound)))
    return tuple(found)


def paced(
    npv: Numbers, pilot_cash: Numbers, money: Mapping[str, float],
    shown: tuple[Mapping[str, Numbers], Mapping[str, float]], sold: Mapping[str, Numbers], seed: int,
) -> Pace:  # fmt: skip
    """The three ways to start. Arrays of shape (samples,); money: `cost`, `resale`, `rate`, `rise`, `batches`.

    npv: the full plan bought today; pilot_cash: of its year, at its end; shown: what batches show and its scatter.
    """
    growth, year = (1 + money["rise"]) / (1 + money["rate"]), 1 / (1 + money["rate"])
    learnt = {**by_number(*shown, int(money["batches"]), seed), **sold}
    later, stop = npv * growth + money["resale"] * year, np.full_like(npv, money["resale"] * year)
    start, mean = float(np.mean(pilot_cash)) * year - money["cost"], float(np.mean(npv))
    return Pace(
        buy=mean,
        pilot=start + two_stage(later, stop, list(learnt.values())),
        wait=max(mean * growth, 0.0),
        perfect=two_stage(npv, np.zeros_like(npv)),
        batches=money["batches"],
        signs=signs(later, stop, learnt),
    )
