"""The page of the label, to print: what it would state, what it must warn of, what to settle first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from econ.answer import label_statement as words
from econ.answer.label_statement import Label, label_of
from econ.units import unit
from econ.workbook.desk import LABEL, Desk
from econ.workbook.live import Printed, defined_name
from econ.workbook.page_plan import Found, Row, Slot, plans

LB_KG = unit("lb").factor
RATES = ("lb per 100ft2", "lb per acre", "kg per ha")
SHARES = {"Char, as sold": "", "Total P2O5 in it": "sold_p2o5_share", "Available P2O5": "sold_available_share"}


def label(desk: Desk) -> Found:
    """The label and its worksheet."""
    results, said = desk.results, plans()[LABEL].words
    found = label_of(results.scenario, results.figures)
    assert found is not None
    cautions = words.cautions(results.scenario, results.plan, results.figures)
    low = [] if found.low is None else [said["low"].format(found.low)]
    return {
        "disclaimer": words.DISCLAIMER,
        "front": list(_front(desk, found, said)),
        "analysis": list(_analysis(desk, found, said)),
        "made_of": said["made_of"].get(results.plan.matter.charged, ""),
        "said": [*([said["not_total"]] if found.total is None else []), *low],
        "directions": list(_directions(desk)),
        "feed": words.FEED,
        "storage": words.STORAGE,
        "dust": words.DUST,
        "soil": words.SAFETY_OF_SOIL,
        "registration": [said["box"].format(text) for text in words.REGISTRATION],
        "own": [said["box"].format(caution.text) for caution in cautions],
    }


def _front(desk: Desk, found: Label, said: Mapping[str, Any]) -> Iterator[Row]:
    """Name, grade, weight, and who answers for it."""
    scenario, kg = desk.results.scenario, found.net_weight_kg
    yield Row((Slot(found.product, span=5),), height=32)
    grade = f'"0-"&INT({words.ROUNDING:.9f}+100*{defined_name("sold_available_share")})&"-0"'
    weight = said["no_weight"] if kg is None else said["weight"].format(kg / LB_KG, kg)
    yield Row((Printed(grade, found.grade), Slot(weight, "bold", 4)), height=30)
    yield Row((Slot(str(scenario["label.maker"].value or said["no_maker"]), "plain", 5),))
    if place := scenario["label.place"].value:
        yield Row((Slot(said["place"].format(place), "plain", 5),))


def _analysis(desk: Desk, found: Label, said: Mapping[str, Any]) -> Iterator[tuple[Any, ...]]:
    """The guaranteed analysis: whole per cent rounded down, beside what the plant computes."""
    figures = desk.results.figures
    rows = (
        ("available", found.available, "product.available_p2o5_share"),
        ("p2o5", found.total, "product.total_p2o5_share"),
        ("ca", found.calcium, "product.ca_share"),
    )
    for name, stated, key in rows:
        if stated is not None:
            sold, dry = f"sold_{name}_share", f"char_{name}_share"
            stated_formula = Printed(f"INT({words.ROUNDING:.9f}+100*{sold})/100", stated)
            computed = (Printed(share, figures[share]) for share in (sold, dry))
            yield said[name], stated_formula, *computed, _origin(desk, key, said)


def _origin(desk: Desk, key: str, said: Mapping[str, Any]) -> str:
    entry = desk.results.scenario[key]
    if entry.value is None:
        return str(said["modelled"])
    return "; ".join(text for text in (entry.known, entry.source) if text) or str(said["unsaid"])


def _directions(desk: Desk) -> Iterator[tuple[Any, ...]]:
    """The rate of the label in three units, and the phosphate it brings."""
    rate, units = desk.results.scenario["market.label_rate"].number, [unit(text) for text in RATES]
    for text, share in SHARES.items():
        scale = desk.results.figures[share] if share else 1.0
        times = f"*{share}" if share else ""
        cells = (
            (f"{defined_name('market.label_rate')}/{own.factor!r}{times}", own.from_canonical(rate) * scale)
            for own in units
        )
        yield text, *(Slot(Printed(*cell), "n2" if cell[1] < 10 else "n0") for cell in cells)
