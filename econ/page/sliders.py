"""The table of answers that move, and the sliders that move them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from econ.answer.finding import chance
from econ.answer.results import Results
from econ.page.markup import Html, joined, money, plain, table, tag

MISSING = "Not settled, and able to turn the finding: "
LB_PER_KG = 1 / 0.45359237
VERDICTS = {
    "buy": "Buy",
    "do not buy": "Do not buy",
    "measure first": "Measure first",
    "rough: no decision yet": "Rough: no decision yet",
}
NONE = "Not reported: the yearly cash turns more than once, or never."


@dataclass(frozen=True, slots=True)
class Row:
    """One answer: the figure it shows, its name, how it is written, and what stands there where it is missing."""

    name: str
    label: str
    kind: str
    missing: str = "Not reported"


def answer_rows(results: Results) -> tuple[Row, ...]:
    """The answers of the table, in its order; those that the model does not write are left out."""
    mass, unit = ("pounds", "lb") if results.scenario.system == "us" else ("tonnes", "t")
    never = f"Never within {results.plan.years} years"
    off = results.reasons.get("removal_kg_co2e") or results.reasons.get("removal_t_co2e_per_year", "")
    missing = f"Not reported: {off}" if off else "Not reported"
    rows = (
        Row("verdict", "Finding", ""),
        Row("npv", "Net present value (NPV)", "money"),
        Row("range", "NPV, P10 to P90", ""),
        Row("loss", "Probability that NPV is below zero", ""),
        Row("payback_years", "Simple payback [years]", "years", never),
        Row("irr", "Internal rate of return (IRR)", "percent", NONE),
        Row("char_kg", f"Char, dry [{unit} per year]", mass),
        Row("p2o5_kg", f"Phosphate in it, as P2O5 [{unit} per year]", mass),
        Row("removal_kg_co2e", "CO2 removal (100-year) [metric tons CO2e per year]", "tonnes", missing),
        Row(
            "project_net_kg_co2e",
            "Removal less process emissions [metric tons CO2e per year]",
            "tonnes",
            missing,
        ),
        Row("customers_per_year", "Customers needed per year", "count"),
        Row("lowest_coverage", "Minimum DSCR", "ratio"),
    )
    asked = {"verdict", "range", "loss", "irr"}
    return tuple(row for row in rows if row.name in asked or row.name in results.figures)


SHOWN: Mapping[str, Callable[[float], str]] = {
    "plain": plain,
    "tonnes": lambda kg: plain(kg / 1000),
    "pounds": lambda kg: plain(kg * LB_PER_KG),
    "years": lambda value: f"{value:.1f}",
    "percent": lambda value: f"{value * 100:.1f}%".replace("-", "\u2212"),
    "ratio": lambda value: f"{value:.2f}",
    "count": lambda value: f"{math.floor(value + 0.5):,}",
}


def as_run(results: Results) -> dict[str, str]:
    """Every answer of the table in words, as the run found it."""
    found: dict[str, str] = {}
    currency = results.scenario.currency
    for row in answer_rows(results):
        value = results.figures.get(row.name, math.nan)
        if row.kind == "money":
            found[row.name] = money(value, currency)
        elif row.kind:
            found[row.name] = SHOWN[row.kind](value) if math.isfinite(value) else row.missing
    return found | {
        "verdict": VERDICTS[results.finding.verdict],
        "range": f"{money(results.headline.p10, currency)} to {money(results.headline.p90, currency)}",
        "loss": chance(results.chances.loss, results.chances.sampling.samples),
    }


def answers(results: Results) -> Html:
    """The table: as run, and now."""
    found = as_run(results)
    rows = (
        (row.label, found[row.name], tag("span", found[row.name], id=f"now-{row.name}"))
        for row in answer_rows(results)
    )
    samples = results.chances.sampling.samples
    caption = f"The answer. P10, P90 and the probability come from {samples:,} simulation runs."
    missing = tag("p", open_facts(results), id="now-missing", class_="said")
    return joined([table(("", "As run", "Now"), rows, caption, class_="answers"), missing])


def open_facts(results: Results) -> str:
    """The deciding facts that can still turn the finding, the largest effect first."""
    labels = [one.fact.label for one in results.finding.missing]
    return MISSING + "; ".join(labels) if labels else ""


def slider(at: int, one: Mapping[str, object]) -> Html:
    """One input to move: a slider, a box to type in, and the way back to the value as typed."""
    low, value, high = (f"{one[name]:.10g}" for name in ("low", "value", "high"))
    unit = f" {one['unit']}" if one["unit"] else ""
    label = tag("label", one["label"], for_=f"slide-{at}")
    slide = tag(
        "input", type="range", id=f"slide-{at}", min=low, max=high, step="any", value=value,
        aria_valuetext=f"{value}{unit}", aria_describedby=f"ends-{at}",
    )  # fmt: skip
    box = tag(
        "input", type="number", id=f"box-{at}", value=value, step="any", inputmode="decimal",
        aria_label=f"{one['label']}, typed", aria_describedby=f"ends-{at} why-{at}",
    )  # fmt: skip
    back = tag(
        "button", "As typed", type="button", id=f"back-{at}", disabled=True, aria_label=f"{one['label']}: as typed"
    )
    ends = tag("span", f"{low} to {high}{unit}{one['note']}", id=f"ends-{at}", class_="ends")
    why = tag("span", "", id=f"why-{at}", class_="why", role="alert")
    return tag(
        "div",
        label,
        slide,
        tag("div", box, tag("span", unit.strip(), class_="unit"), back, class_="typed"),
        ends,
        why,
        class_="slider",
    )
