"""The page of the label, to print: what it would state, what it must warn of, what to settle first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from econ.answer.label_statement import GUARANTEES, Guarantee, Label, label_of
from econ.measured.readings import ABOVE
from econ.model.planting import HA_M2
from econ.units import said as in_units
from econ.units import unit
from econ.workbook.desk import LABEL, Desk
from econ.workbook.live import Printed
from econ.workbook.page_plan import Found, Row, Slot, plans

LB_KG = unit("lb").factor
RATES = ("lb per 100ft2", "lb per acre", "kg per ha")
ROWS = {
    "printed": ("market_label_rate", ""), "allowed": ("label_allowed_kg_per_m2", ""),
    "total": ("label_allowed_kg_per_m2", "sold_p2o5_share"),
    "usable": ("label_allowed_kg_per_m2", "sold_available_share"),
}  # fmt: skip
"""Rows of the directions: the rate, and the share of it that is shown."""


def label(desk: Desk) -> Found:
    """The label and its worksheet."""
    results, said = desk.results, plans()[LABEL].words
    found = label_of(results.scenario, results.figures)
    assert found is not None
    low = [] if found.low is None or found.available.n else [said["low"].format(found.low)]
    total = [said["not_total"]] if found.total is None else []
    return {
        "front": list(_front(desk, found, said)),
        "analysis": [_guarantee(desk, one, said) for one in found.guarantees],
        "made_of": said["made_of"].get(results.plan.matter.charged, ""),
        "said": [said["moisture"].format(found.moisture), *total, *low],
        "directions": list(_directions(desk, said)),
        "how": [text.format_map(_quoted(desk, found)) for text in said["how"]],
        "metals": [
            (one.limit.substance, one.allowed, one.highest,
             Slot(one.verdict, "word_bold" * (one.verdict == ABOVE)))
            for one in found.metals
        ],
        "own": [one.text for one in results.cautions if one.id.startswith("label-")],
    }  # fmt: skip


def _front(desk: Desk, found: Label, said: Mapping[str, Any]) -> Iterator[Row]:
    """Name, grade, weight, and who answers for it."""
    scenario, kg = desk.results.scenario, found.net_weight_kg
    yield Row((Slot(found.product, span=5),), height=32)
    weight = said["no_weight"] if kg is None else said["weight"].format(kg / LB_KG, kg)
    grade = f'"0-"&100*{found.available.formula}&"-0"'
    yield Row((Printed(grade, found.grade), Slot(weight, "bold", 4)), height=30)
    yield Row((Slot(str(scenario["label.maker"].value or said["no_maker"]), "plain", 5),))
    if place := scenario["label.place"].value:
        yield Row((Slot(said["place"].format(place), "plain", 5),))


def _guarantee(desk: Desk, one: Guarantee, said: Mapping[str, Any]) -> tuple[Any, ...]:
    """One guarantee beside what it is made of, as sold and of the dry char."""
    words, _, _, key = GUARANTEES[one.word]
    dry = one.dry if one.n else Printed(f"char_{one.word}_share", one.dry)
    origin = said["sampled"].format(one.n, one.tolerance) if one.n else _origin(desk, key, said)
    return words, Printed(one.formula, one.stated), Printed(one.sold, one.as_sold), dry, origin


def _origin(desk: Desk, key: str, said: Mapping[str, Any]) -> str:
    entry = desk.results.scenario[key]
    if entry.value is None:
        return str(said["modelled"])
    return "; ".join(text for text in (entry.known, entry.source) if text) or str(said["unsaid"])


def _directions(desk: Desk, said: Mapping[str, Any]) -> Iterator[tuple[Any, ...]]:
    """The rate of the label and the rate allowed in three units, and the phosphate it brings."""
    figures = {**desk.results.figures, "market_label_rate": desk.results.scenario["market.label_rate"].number}
    for word, (rate, share) in ROWS.items():
        cells = []
        for own in map(unit, RATES):
            value = own.from_canonical(figures[rate]) * (figures[share] if share else 1.0)
            formula = f"{rate}/{own.factor!r}{f'*{share}' if share else ''}"
            cells.append(Slot(Printed(formula, value), "n2" if value < 10 else "n0"))
        yield said[word], *cells


def _quoted(desk: Desk, found: Label) -> Mapping[str, str]:
    """What the sentences of the directions quote: interval, crop P removal, and the ground of one bag."""
    figures, system = desk.results.figures, desk.results.scenario.system
    covers = "not reported: no net weight is entered"
    if found.net_weight_kg is not None:
        covers = in_units(found.net_weight_kg / figures["label_allowed_kg_per_m2"], "m²", system)
    years = figures["label_interval_years"]
    removal = figures["label_ceiling_removal_kg_per_ha"] / years
    return {
        "years": f"{years:.0f} year{'' if years == 1 else 's'}", "covers": covers,
        "removal": in_units(removal, "kg/ha", system),
        "beds": in_units(figures["ground_covered_m2"] / HA_M2, "ha", system, 1),
    }  # fmt: skip
