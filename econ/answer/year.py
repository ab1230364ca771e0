"""The statement of a period: what was weighed, what it emits and stores, money and promises held against it.

Removal of a calendar year = dry char delivered in scope, with evidence, out of the store × organic carbon of the
year's lab samples × fraction remaining by the peaks of its batches × 44/12. Emissions: fuel by log or invoices,
the larger; stack and the rest per weight of bones by the model. Parts of a period are summed by calendar year.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from econ.answer.carbon_case import needs
from econ.answer.results import Results
from econ.fields import field, record, replace
from econ.inputs.records import Line, Scenario
from econ.measured.readings import FUELS, dry_values
from econ.measured.record import Gap, Period, Record, highest_month, lines_of, missing_months, outside, read_record
from econ.measured.sample import Sample, sample, two_sided
from econ.measured.use import overrides, read
from econ.model.persistence import class_persistence, hc_persistence
from econ.model.plan import Plan
from econ.questions.chances import sampled
from econ.questions.draws import inputs_drawn
from econ.questions.latin import Numbers, Sampling
from econ.shipped import described
from econ.units import counted

NINE_OF_TEN = 0.9
P95_TO_P90 = 1.6449 / 1.2816
"""Deviations from the middle to P95 over those to P90."""
SAMPLES = 4_096
PROMISED: list[str] = described("year")["promised"]
"""Lines that the record is held against, drawn from the ranges as typed."""
DAYS = 365.0


class Known(NamedTuple):
    """A value with its P5 to P95, the value that counts, and how it is known."""

    value: float
    low: float
    high: float
    counted: float
    how: str


NOT_KNOWN = Known(0.0, 0.0, 0.0, 0.0, "not measured: zero")


class GoOn(NamedTuple):
    """The choice from today on: the appraisal of going on, resale and debt [currency], years left."""

    results: Results
    resale: float
    debt: float
    years: float


@record(frozen=True)
class Statement:
    """Everything that is said of a period. Masses [kg], CO2e [kg], money in the plant's currency.

    `spans`: P5 and P95; `promised`: samples of a full year by line; `known`: C and fraction remaining by year.
    """

    results: Results
    scenario: Scenario
    period: Period
    record: Record
    figures: Mapping[str, float]
    spans: Mapping[str, tuple[float, float]]
    known: Mapping[str, tuple[Known, Known]]
    gaps: tuple[Gap, ...]
    promised: Mapping[str, Numbers] = field(repr=False)

    @cached_property
    def again(self) -> GoOn | None:
        """The choice from today on; None where no resale value is typed."""
        last, days = self.period.last, [batch.day for batch in self.record.batches if batch.day]
        return go_on(self.scenario, (Period(min((*days, last)), last).days - 1) / DAYS)

    @property
    def share_of_year(self) -> float:
        """Days of the period over those of a year."""
        return self.period.days / DAYS


def statement(results: Results, typed: Scenario, period: Period, drawn: Mapping[str, Numbers]) -> Statement:
    """The statement of a period; `drawn` are the samples of what was promised (see `promised`)."""
    record = read_record(typed)
    gaps = [gap for gap in record.gaps if not gap.day or period.holds(gap.day)]
    gaps += _gaps_of_period(record, period)
    parts = [_part(results, record, Period(max(period.first, f"{year}-01-01"), min(period.last, f"{year}-12-31")),
                   drawn, gaps) for year in period.years]  # fmt: skip
    figures = {name: math.fsum(part[name] for part, *_ in parts) for name in parts[0][0]}
    spans = {
        name: (math.fsum(span[name][0] for _, span, _ in parts), math.fsum(span[name][1] for _, span, _ in parts))
        for name in parts[0][1]
    }
    figures |= {"stock_open_kg": record.stock_at(period.first, inclusive=False),
                "stock_close_kg": record.stock_at(period.last)}  # fmt: skip
    known = dict(zip(period.years, (known for *_, known in parts), strict=True))
    return Statement(results, typed, period, record, figures, spans, known, tuple(gaps), drawn)


def promised(scenario: Scenario) -> dict[str, Numbers]:
    """The lines of PROMISED over samples of the ranges as typed, each of shape (samples,)."""
    plan, inputs = Plan.of(scenario), inputs_drawn(scenario)
    return sampled(scenario, plan, Sampling(SAMPLES), inputs, (*PROMISED, *(f"fuel_{n}_used" for n in plan.fuels)))


def _gap(name: str, **words: Any) -> Gap:
    return Gap(*(text.format(**words) for text in described("year")["gap"][name]))


def _gaps_of_period(record: Record, period: Period) -> Iterator[Gap]:
    if not any(period.holds(batch.day) for batch in record.batches):
        yield _gap("no_batch")
    yield from (_gap("no_line", month=month) for month in missing_months(record, period))
    started = min(record.months, default="")
    if started and period.first[:7] < started:
        yield _gap("before", started=started)
    for sheet, count in outside(record, period):
        yield _gap("outside", sheet=sheet, lines=counted(count, "lines"))


def _part(
    results: Results, record: Record, period: Period, drawn: Mapping[str, Numbers], gaps: list[Gap]
) -> tuple[dict[str, float], dict[str, tuple[float, float]], tuple[Known, Known]]:
    """Sums and spans within one calendar year, and its organic carbon and fraction remaining."""
    year = period.first[:4]
    batches = [batch for batch in record.batches if period.holds(batch.day)]
    gone = [one for one in record.deliveries if period.holds(one.day)]
    months = missing_months(record, period)
    carbon, lasting = _carbon(results, record, year, gaps), _lasting(results, record, year, gaps)
    most_bones, most_fuel = highest_month(record)
    found = {
        "batches": float(len(batches)),
        "bones_kg": math.fsum(batch.bones_kg for batch in batches),
        "char_made_kg": math.fsum(batch.char_kg for batch in batches),
        "char_delivered_kg": math.fsum(one.taken_kg for one in gone),
        "char_in_scope_kg": math.fsum(one.counted_kg for one in gone),
        "char_short_kg": math.fsum(one.short_kg for one in gone),
        "batch_hours": math.fsum(batch.hours or 0.0 for batch in batches),
    }
    bones = found["bones_kg"] + most_bones * len(months)
    logged = {n: math.fsum(one.fuels[n] for one in batches) + most_fuel[n] * len(months) for n in FUELS}
    fuel = _fuel(results, record, period, logged, gaps)
    stack = (drawn["stack_ch4_kg_co2e"] + drawn["stack_n2o_kg_co2e"]) / np.maximum(drawn["bones_fired_kg"], 1e-9)
    low, middle, high = (float(value) * bones for value in np.percentile(stack, (5, 50, 95)))
    rest = results.figures["other_process_kg_co2e"] - results.figures["fuel_upstream_kg_co2e"]
    found |= {**fuel, "stack_kg_co2e": middle, "rest_kg_co2e": rest / results.figures["bones_fired_kg"] * bones}
    found["process_kg_co2e"] = math.fsum(
        found[f"{name}_kg_co2e"] for name in ("fuel", "upstream", "stack", "rest")
    )
    factor = found["char_in_scope_kg"] * results.coefficients["co2_per_c"]
    found["removal_kg_co2e"] = factor * carbon.counted * lasting.counted
    found["net_kg_co2e"] = found["removal_kg_co2e"] - found["process_kg_co2e"]
    ends = [factor * end for end in _product(carbon, lasting)]
    emitted = [found["process_kg_co2e"] - middle + end for end in (low, high)]
    spans = {"removal_kg_co2e": (ends[0], ends[1]), "process_kg_co2e": (emitted[0], emitted[1]),
             "net_kg_co2e": (ends[0] - emitted[1], ends[1] - emitted[0])}  # fmt: skip
    found |= {
        name: record.sum(table, column, period) for name, (table, column) in described("year")["sums"].items()
    }
    return found, spans, (carbon, lasting)


def _product(carbon: Known, lasting: Known) -> tuple[float, float]:
    """P5 and P95 of the product: relative half-widths added as squares, each end for itself."""
    middle = carbon.value * lasting.value
    if not middle:
        return 0.0, 0.0
    down, up = (math.hypot(*(abs(getattr(one, end) / one.value - 1) for one in (carbon, lasting)))
                for end in ("low", "high"))  # fmt: skip
    return max(middle * (1 - down), 0.0), middle * (1 + up)


def _fuel(
    results: Results, record: Record, period: Period, logged: Mapping[int, float], gaps: list[Gap]
) -> dict[str, float]:
    """Fuel burnt and upstream [kg CO2e], and each fuel used: the larger of log and invoices."""
    found, burnt, upstream = {}, 0.0, 0.0
    for n in filter(results.plan.fuels.__contains__, FUELS):
        bought = record.sum("bought", f"fuel_{n}", period)
        if bought and abs(bought - logged[n]) > 0.05 * bought:
            gaps.append(_gap("invoices", n=n, year=period.first[:4]))
        found[f"fuel_{n}"] = max(logged[n], bought)
        part = found[f"fuel_{n}"] * results.coefficients[f"fuel_{n}_co2e_per_unit"]
        burnt, upstream = burnt + part, upstream + part * results.coefficients[f"fuel_{n}_upstream"]
    return found | {"fuel_kg_co2e": burnt, "upstream_kg_co2e": upstream}


def samples_of(record: Record, name: str, year: str) -> list[float]:
    """Lab values of a calendar year on a dry basis."""
    lines: tuple[Line, ...] = lines_of(record.tables, "assay")
    found = (dry_values(line).get(name) for line in lines if line.text("assay.date").startswith(year))
    return [value for value in found if value is not None]


def _carbon(results: Results, record: Record, year: str, gaps: list[Gap]) -> Known:
    """Organic carbon of the dry char by the year's samples; the low end counts where the plan asked for more."""
    values, wanted = samples_of(record, "c_org", year), needs(results)[0].n
    if not values:
        gaps.append(_gap("no_sample", year=year))
        return NOT_KNOWN
    found = sample(values)
    if found.se is None:
        row = results.scenario["carbon.organic_share"]
        typed = (found.mean, found.mean) if row.value is None else (row.low or row.number, row.high or row.number)
        low, high = min(found.mean, typed[0]), max(found.mean, typed[1])
    else:
        half = two_sided(NINE_OF_TEN, found.n - 1) * found.se
        low, high = max(found.mean - half, 0.0), found.mean + half
    if found.n < wanted:
        gaps.append(_gap("few_samples", n=found.n, wanted=wanted, year=year))
    return Known(found.mean, low, high, low if found.n < wanted else found.mean, f"measured, n = {found.n}")


def _lasting(results: Results, record: Record, year: str, gaps: list[Gap]) -> Known:
    """Fraction of the carbon remaining: mean of the batches by class of peak, or by H/C_org if lower."""
    soil = results.scenario["carbon.soil_temperature"].number
    undated = len([1 for batch in record.batches if "date" not in batch.own])
    batches = [batch for batch in record.batches if batch.day.startswith(year) and "date" in batch.own]
    pairs = [(0.0, 0.0) if batch.peak_c is None else class_persistence(batch.peak_c, soil) for batch in batches]
    shares = [0.0 if math.isnan(float(middle)) else float(middle) for middle, _ in pairs]
    if not shares:
        before = str(int(year) - 1)
        has_earlier = any(batch.day.startswith(before) for batch in record.batches)
        return _lasting(results, record, before, gaps) if has_earlier and not undated else NOT_KNOWN
    middle = math.fsum(shares) / (len(shares) + undated)
    half = max((float(half) for (_, half), share in zip(pairs, shares, strict=True) if share), default=0.0)
    how = f"class of peak temperature, {len(shares)} batches"
    if ratios := samples_of(record, "h_corg", year):
        ratio: Sample = sample(ratios)
        by_hc, scatter = (float(value) for value in hc_persistence(ratio.mean, soil))
        if math.isnan(by_hc):
            gaps.append(_gap("hydrogen", year=year))
        elif by_hc < middle:
            middle, half, how = by_hc, scatter, f"H/C_org, n = {ratio.n}"
    half *= P95_TO_P90
    return Known(middle, max(middle - half, 0.0), min(middle + half, 1.0), middle, how)


def go_on(typed: Scenario, ran_years: float) -> GoOn | None:
    """The choice from today on, `ran_years` the age if none is typed; None where no resale value is typed.

    What was paid is sunk and left out. Going on gives up what the kiln would fetch today, so that stands in place
    of its price. The debt is owed either way. Measured values stand in for typed ones, switched on or not.
    """
    from econ.answer.appraisal import appraise

    if not typed.has("record.resale_now"):
        return None
    resale, age = typed["record.resale_now"].number, typed.number_or("record.age_years", ran_years)
    years = max(round(typed["money.study_years"].number - age), 1)
    entries = dict(typed.entries)
    for one in read(typed).standings:
        entries |= overrides(typed, one, measured=True)
    upkeep = typed.number_or("running.maintenance_share", 0.0) * entries["kiln.price"].number
    changed = dict.fromkeys(described("year")["paid"], 0.0) | {
        "kiln.price": resale, "plans.capital": resale * 1.001, "money.study_years": float(years),
        "running.maintenance_share": 0.0, "kiln.life": max(entries["kiln.life"].number - age, 1.0),
        "running.other_per_year": typed.number_or("running.other_per_year", 0.0) + upkeep,
    }  # fmt: skip
    for key, entry in entries.items():
        is_bought = entry.row.block == "equipment" and key.endswith((".cost", ".installation"))
        value = changed.get(key, 0.0 if is_bought else None)
        if value is not None and (entry.value is not None or value):
            entries[key] = replace(entry, value=value, low=value, high=value, known="measured", range_by="",
                                   is_default=False)  # fmt: skip
    results = appraise(replace(typed, entries=entries))
    return GoOn(results, resale, typed.number_or("record.debt_left", 0.0), years)
