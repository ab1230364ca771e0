"""The table of answers that move, and the sliders that move them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from econ.answer.finding import chance
from econ.answer.results import Results
from econ.page.markup import WORDS, Html, joined, money, plain, table, tag

LB_PER_KG = 1 / 0.45359237
SCRIPT = WORDS["script"]
Row = tuple[str, str, str, str]
"""One answer: the figure it shows, its name, how it is written, and what stands there where it is missing."""


def answer_rows(results: Results) -> tuple[Row, ...]:
    """The answers of the table, in its order; those that the model does not write are left out."""
    mass, unit = ("pounds", "lb") if results.scenario.system == "us" else ("tonnes", "t")
    off = results.reasons.get("removal_kg_co2e") or results.reasons.get("removal_t_co2e_per_year", "")
    said = {"unit": unit, "years": results.plan.years, "off": f"Not reported: {off}" if off else "Not reported"}
    rows = []
    for name, (label, kind, *missing) in WORDS["answers"].items():
        if not kind or name == "irr" or name in results.figures:
            none = missing[0].format(**said) if missing else "Not reported"
            rows.append((name, label.format(**said), mass if kind == "mass" else kind, none))
    return tuple(rows)


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
    for name, _, kind, missing in answer_rows(results):
        value = results.figures.get(name, math.nan)
        if kind == "money":
            found[name] = money(value, currency)
        elif kind:
            found[name] = SHOWN[kind](value) if math.isfinite(value) else missing
    return found | {
        "verdict": SCRIPT["verdicts"][results.finding.verdict],
        "range": f"{money(results.headline.p10, currency)} to {money(results.headline.p90, currency)}",
        "loss": chance(results.chances.loss, results.chances.sampling.samples),
    }


def answers(results: Results) -> Html:
    """The table: as run, and now; below it the facts that can still turn the finding, the largest first."""
    found, open_facts = as_run(results), [one.fact.label for one in results.finding.missing]
    rows = ((label, found[name], tag("span", found[name], id=f"now-{name}"))
            for name, label, *_ in answer_rows(results))  # fmt: skip
    caption = WORDS["answers_caption"].format(results.chances.sampling.samples)
    missing = SCRIPT["missing"] + "; ".join(open_facts) if open_facts else ""
    shown = table(WORDS["answers_heads"], rows, caption, class_="answers")
    return joined([shown, tag("p", missing, id="now-missing", class_="said")])


def sliders(made: Mapping[str, Any]) -> Html:
    """The inputs to move; hidden until the script of the page has started."""
    parts = [_slider(i, one) for i, one in enumerate(made["sliders"])]
    back = tag("button", WORDS["all_back"], type="button", id="back-all")
    texts = tag("h2", WORDS["move"]), tag("p", WORDS["move_how"])
    return tag("section", *texts, *parts, back, class_="sliders needs-script", hidden=True)


def _slider(at: int, one: Mapping[str, object]) -> Html:
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
        "button", WORDS["back"], type="button", id=f"back-{at}", disabled=True,
        aria_label=f"{one['label']}: as typed",
    )  # fmt: skip
    typed = tag("div", box, tag("span", unit.strip(), class_="unit"), back, class_="typed")
    ends = tag("span", f"{low} to {high}{unit}{one['note']}", id=f"ends-{at}", class_="ends")
    why = tag("span", "", id=f"why-{at}", class_="why", role="alert")
    return tag("div", label, slide, typed, ends, why, class_="slider")


def keep() -> Html:
    """The moved values as text."""
    box = tag("textarea", id="sets", readonly=True, rows=3, aria_label=WORDS["keep_label"])
    texts = tag("h2", WORDS["keep"]), tag("p", WORDS["keep_how"])
    copy = tag("button", WORDS["copy"], type="button", id="copy")
    return tag("section", *texts, box, copy, class_="needs-script", hidden=True)
