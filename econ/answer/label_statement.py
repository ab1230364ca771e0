"""What a label would state of the char, and what to settle before it is printed. No legal advice."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from econ.inputs.records import Caution, Scenario
from econ.model.plan import Plan

Figures = Mapping[str, float]

STEP = 0.01
"""A guarantee is stated in whole per cent, rounded down: every bag must hold it."""
ROUNDING = 1e-9

FEED = (
    "FERTILIZER / SOIL AMENDMENT. NOT FOR ANIMAL FEED. KEEP FROM LIVESTOCK. Do not feed to cattle or other "
    "ruminants.",
    "(The last sentence is that of the US feed rule, 21 CFR 589.2000, from memory: ask for its wording.)",
)
STORAGE = (
    "Store dry, closed, away from food, feed, open flame and oxidisers; out of reach of children.",
    "Before bagging: at least 24 hours outside in metal after the kiln is opened. Char can rekindle for a day.",
)
DUST = (
    "Avoid dust. Fine char dust is to be treated as combustible until a test says otherwise: no sparks or flame "
    "where it is milled or poured; damp it down.",
    "Wear a dust mask and goggles when pouring. If in eyes, rinse with plenty of water.",
)
SAFETY_OF_SOIL = (
    "Use by soil test. More than the stated rate adds phosphorus that plants do not need and water does not want.",
    "No claim is made on disease: no kiln of this kind is claimed to inactivate prions.",
)
REGISTRATION = (
    "Register the product, and often the company, with the state's fertilizer office before the first sale.",
    "A copy of the label; a lab report of available phosphate (citrate-soluble plus water-soluble P2O5), by a "
    "method the office accepts.",
    "A lab report of metals (As, Cd, Co, Hg, Mo, Ni, Pb, Se, Zn): the sheet Lab assay sets yours beside limits.",
    "Tonnage reports and a fee a ton, quarterly to yearly.",
    "Source and treatment of the bones; for animal by-products the veterinary or feed office may have a say.",
    "Without a nutrient claim the rules of soil amendments apply in many states; in the EU ask first if bones "
    "may go into the class at all.",
)  # fmt: skip
DISCLAIMER = (
    "A worksheet to prepare a label, from the figures of this scenario. It is no legal advice and no registered "
    "label: wording, layout and guarantees are for your office to accept. What registration asks is from memory "
    "of usual practice."
)


@dataclass(frozen=True, slots=True)
class Label:
    """What the label would state: guarantees in whole per cent, as fractions of the product as sold.

    `total` is None unless the office allows it, `net_weight_kg` None where no weight was typed; `low` is the
    available phosphate as sold at the low end of its range, None without one.
    """

    product: str
    grade: str
    available: float
    total: float | None
    calcium: float
    moisture: float
    net_weight_kg: float | None
    is_tested: bool
    low: float | None


def floored(share: float) -> float:
    """A share rounded down to whole per cent."""
    return math.floor(share / STEP + ROUNDING) * STEP


def is_lab_tested(scenario: Scenario) -> bool:
    """Whether a lab stands behind the available phosphate."""
    entry = scenario["product.available_p2o5_share"]
    by_lab = scenario["product.available_read_from"].value == "lab"
    return entry.value is not None and (by_lab or entry.known.startswith("measured, n ="))


def label_of(scenario: Scenario, figures: Figures) -> Label | None:
    """The label of a scenario, or None where none is asked for."""
    product = scenario["label.product"].value
    if not isinstance(product, str) or not product:
        return None
    available = floored(figures["sold_available_share"])
    entry, low = scenario["product.available_p2o5_share"], None
    if entry.value is not None and entry.has_range and entry.low is not None and entry.number > 0:
        low = figures["sold_available_share"] * entry.low / entry.number
    weights = (scenario["label.net_weight"].value, scenario["finish.bag_weight"].value)
    weight = next((value for value in weights if isinstance(value, float)), None)
    may_state_total = scenario["label.total_phosphate"].value == "yes"
    return Label(
        product=product,
        grade=f"0-{available / STEP:.0f}-0",
        available=available,
        total=floored(figures["sold_p2o5_share"]) if may_state_total else None,
        calcium=floored(figures["sold_ca_share"]),
        moisture=figures["sold_moisture"],
        net_weight_kg=weight,
        is_tested=is_lab_tested(scenario),
        low=low,
    )


def cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """What stands between this label and a bag."""
    found = label_of(scenario, figures)
    if found is None:
        return
    if not found.is_tested:
        yield Caution(
            "label-without-lab-test",
            f"The label would say {found.grade} by a figure that no lab has measured on this char: test before "
            "printing.",
            "product.available_p2o5_share",
        )
    if found.low is not None and floored(found.low) < found.available:
        yield Caution(
            "label-above-low-end",
            f"A guarantee must hold for every bag: at the low end of your range the available phosphate is only "
            f"{found.low:.1%}, and the label would say {found.available:.0%}.",
            "product.available_p2o5_share",
        )
