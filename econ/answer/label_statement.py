"""What may be said: the label, what a garden trial carries, how large one must be. No legal advice."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from econ.answer.sentences import Figures, Speech
from econ.evidence import substances
from econ.fields import record
from econ.inputs.records import Scenario
from econ.measured.garden_trials import Comparison, Germination, Means, TrialsReading, mean
from econ.measured.readings import AssayReading, Compared, compared, read_assay
from econ.shipped import described

STEP = 0.01
"""A guarantee is stated in whole per cent, rounded down: every bag must hold it."""
ROUNDING = 1e-9
RULES = "aapfco_suip25"
"""The set of metal limits shown on the label's page: the model rule of US control officials."""

GUARANTEES: dict[str, tuple[str, str, str, str]] = {
    word: tuple(found) for word, found in described("tables")["guarantee"].items()
}
"""By the word of the figure: words, the sample of the assay, the nutrient of the tolerance, the row."""
LABELS: dict[str, str] = described("tables")["trial"]
TREATED = "with char"


class Guarantee(NamedTuple):
    """One line of the guaranteed analysis: the share stated, and what it is made of, as shares as sold.

    `dry`: mean of `n` assays (0: the plant's figure); `tolerance`: an inspector's; `next_low`: low end of
    the 95 % range of one further sample as sold, None below two.
    """

    word: str
    stated: float
    dry: float
    as_sold: float
    tolerance: float
    n: int
    next_low: float | None

    @property
    def sold(self) -> str:
        """The share as sold, as a formula of the sheet: it follows the moisture as sold."""
        return f"{self.dry!r}/as_sold_per_kg" if self.n else f"sold_{self.word}_share"

    @property
    def formula(self) -> str:
        """The share stated, as a formula of the sheet."""
        less = f"-{self.tolerance!r}" if self.n else ""
        return f"MAX(INT({ROUNDING:.9f}+100*({self.sold}{less})),0)/100"


@record(frozen=True, slots=True)
class Label:
    """What the label would state as sold; `low`: available at its low end; `metals`: beside the model rule."""

    product: str
    grade: str
    available: Guarantee
    total: Guarantee | None
    calcium: Guarantee
    moisture: float
    net_weight_kg: float | None
    is_tested: bool
    low: float | None
    metals: tuple[Compared, ...]

    @property
    def guarantees(self) -> tuple[Guarantee, ...]:
        """The lines of the guaranteed analysis, in the order of a label."""
        return tuple(one for one in (self.available, self.total, self.calcium) if one is not None)


def floored(share: float) -> float:
    """A share rounded down to whole per cent, zero at least."""
    return max(math.floor(share / STEP + ROUNDING), 0) * STEP


def guarantee(figures: Figures, word: str, reading: AssayReading | None) -> Guarantee:
    """One guarantee: the mean of the assay as sold less the tolerance, rounded down; without one, the figure."""
    _, sample, nutrient, _ = GUARANTEES[word]
    found = reading.samples.get(sample) if reading is not None else None
    if found is None:
        dry, sold = figures[f"char_{word}_share"], figures[f"sold_{word}_share"]
        return Guarantee(word, floored(sold), dry, sold, 0.0, 0, None)
    per_kg = figures["as_sold_per_kg"]
    sold = found.mean / per_kg
    tolerance = substances.allowance(nutrient, floored(sold))
    low = None if found.next_range is None else found.next_range[0] / per_kg
    return Guarantee(word, floored(sold - tolerance), found.mean, sold, tolerance, found.n, low)


def label_of(scenario: Scenario, figures: Figures) -> Label | None:
    """The label of a scenario, or None where none is asked for; its assays count, used by figures or not.

    A lab stands behind the available phosphate by samples of the sheet Lab assay, or as typed.
    """
    product = scenario["label.product"].value
    if not isinstance(product, str) or not product:
        return None
    reading = read_assay(scenario.tables["assay"]) if "assay" in scenario.tables else None
    available = guarantee(figures, "available", reading)
    entry, low = scenario["product.available_p2o5_share"], None
    if entry.value is not None and entry.has_range and entry.low is not None and entry.number > 0:
        low = figures["sold_available_share"] * entry.low / entry.number
    weights = (scenario["label.net_weight"].value, scenario["finish.bag_weight"].value)
    may_state_total = scenario["label.total_phosphate"].value == "yes"
    rows, read_from = () if reading is None else compared(reading), scenario["product.available_read_from"].value
    return Label(
        product=product,
        grade=f"0-{available.stated / STEP:.0f}-0",
        available=available,
        total=guarantee(figures, "p2o5", reading) if may_state_total else None,
        calcium=guarantee(figures, "ca", reading),
        moisture=figures["sold_moisture"],
        net_weight_kg=next((value for value in weights if isinstance(value, float)), None),
        is_tested=available.n > 0 or (entry.value is not None and read_from == "lab"),
        low=low,
        metals=tuple(one for one in rows if one.limit.regime == RULES),
    )


def trial_said(found: Germination | Means, name: str, detail: str = "", unit: str = "", scale: float = 1.0) -> str:
    """On one comparison: what "may" be told, "may-not", the trial "needed", what raises "doubts"; or nothing."""
    own: dict[str, Any] = {}
    if isinstance(found, Germination):
        own["trays"] = min(len(found.with_char.trays), len(found.without.trays))
    else:
        ours, theirs = found.with_char, found.without
        own = {
            "label": LABELS[found.of], "ours": mean(ours) * scale, "theirs": mean(theirs) * scale,
            "our_beds": len(ours), "their_beds": len(theirs), "scattered": found.scatter is not None,
        }  # fmt: skip
    return Speech({}, {}, {
        "found": found, "verdict": found.verdict, "unit": unit, "scale": scale, "is_seeds": "trays" in own, **own,
        "with_char": f"with char ({detail})" if detail else TREATED,
    }).say(f"trial-{name}")  # fmt: skip


def many(reading: TrialsReading) -> str:
    """A word on many comparisons, or nothing."""
    return Speech({}, {}, {"looks": reading.looks}).say("trial-many")


def title(one: Comparison) -> str:
    """The name of a comparison."""
    return f"{one.trial or 'Trial without a name'}: {one.detail or TREATED} against without char"
