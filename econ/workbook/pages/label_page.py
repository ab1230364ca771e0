"""The page of the label, to print: what it would state, what it must warn of, what to settle first."""

from __future__ import annotations

from typing import Any

from econ.answer import label_statement as words
from econ.answer.label_statement import Label, label_of
from econ.units import unit
from econ.workbook.desk import LABEL, Desk
from econ.workbook.live import defined_name
from econ.workbook.pages.lab_assay_page import heading, note
from econ.workbook.style import row_height

WIDTHS = (40, 17, 17, 17, 34)
LB_KG = unit("lb").factor
RATES = ("lb per 100ft2", "lb per acre", "kg per ha")


def write_label(desk: Desk) -> None:
    """The label and its worksheet; only where a product is named."""
    found = label_of(desk.results.scenario, desk.results.figures)
    if found is None:
        return
    sheet = desk.sheet(LABEL, "What would the label state?", WIDTHS, landscape=False)
    at = note(desk, sheet, 3, words.DISCLAIMER, WIDTHS, "caution") + 1
    at = _front(desk, sheet, at, found)
    at = _analysis(desk, sheet, at, found)
    at = _directions(desk, sheet, at)
    for title, lines in (
        ("Caution: feed", words.FEED), ("Storage", words.STORAGE), ("Dust", words.DUST),
        ("Soil and health", words.SAFETY_OF_SOIL),
    ):  # fmt: skip
        at = _listed(desk, sheet, at, title, lines)
    at = _listed(
        desk, sheet, at, "Before it is printed: what registration usually asks", words.REGISTRATION, "☐  "
    )
    own = [
        caution.text for caution in words.cautions(desk.results.scenario, desk.results.plan, desk.results.figures)
    ]
    if own:
        at = _listed(desk, sheet, at, "Before it is printed: with the figures of this plant", tuple(own), "☐  ")
    sheet.print_area(0, 0, at, len(WIDTHS) - 1)
    sheet.fit_to_pages(1, 1)


def _listed(desk: Desk, sheet: Any, at: int, title: str, lines: tuple[str, ...], mark: str = "") -> int:
    at = heading(desk, sheet, at, title, len(WIDTHS))
    for line in lines:
        at = note(desk, sheet, at, mark + line, WIDTHS)
    return at + 1


def _front(desk: Desk, sheet: Any, at: int, found: Label) -> int:
    """Name, grade, weight, and who answers for it."""
    styles, scenario = desk.styles, desk.results.scenario
    sheet.merge_range(at, 0, at, 4, found.product, styles("big"))
    sheet.set_row(at, 32)
    grade = f'="0-"&INT({words.ROUNDING:.9f}+100*{defined_name("sold_available_share")})&"-0"'
    sheet.write_formula(at + 1, 0, grade, styles("big"), found.grade)
    sheet.set_row(at + 1, 30)
    if found.net_weight_kg is None:
        weight = "Net weight ______ lb (______ kg)"
    else:
        weight = f"Net weight {found.net_weight_kg / LB_KG:.4g} lb ({found.net_weight_kg:.3g} kg)"
    sheet.merge_range(at + 1, 1, at + 1, 4, weight, styles("bold"))
    maker = scenario["label.maker"].value or "Name and address of the guarantor: ____________________________"
    sheet.merge_range(at + 2, 0, at + 2, 4, str(maker), styles("plain"))
    place = scenario["label.place"].value
    if place:
        sheet.merge_range(at + 3, 0, at + 3, 4, f"For sale in: {place}", styles("plain"))
    return at + 5


def _analysis(desk: Desk, sheet: Any, at: int, found: Label) -> int:
    """The guaranteed analysis: whole per cent rounded down, beside what the plant computes."""
    styles, figures = desk.styles, desk.results.figures
    at = heading(desk, sheet, at, "Guaranteed analysis, by weight as sold", len(WIDTHS))
    for column, name in enumerate(("", "On the label", "As sold", "Of the dry char", "From")):
        look = "column" if column == 0 else "column_word" if column == 4 else "column_right"
        sheet.write_string(at, column, name, styles(look))
    at += 1
    lines = [
        ("Available phosphate (P2O5)", "available", found.available, _origin(desk, "product.available_p2o5_share"))
    ]
    if found.total is not None:
        lines.append(("Total phosphate (P2O5)", "p2o5", found.total, _origin(desk, "product.total_p2o5_share")))
    lines.append(("Calcium (Ca), elemental", "ca", found.calcium, _origin(desk, "product.ca_share")))
    for label, name, stated, origin in lines:
        sold, dry = f"sold_{name}_share", f"char_{name}_share"
        sheet.write_string(at, 0, label, styles("bold"))
        formula = f"=INT({words.ROUNDING:.9f}+100*{sold})/100"
        sheet.write_formula(at, 1, formula, styles("bold", "pct0"), stated)
        sheet.write_formula(at, 2, f"={sold}", styles("plain", "pct1"), figures[sold])
        sheet.write_formula(at, 3, f"={dry}", styles("plain", "pct1"), figures[dry])
        sheet.write_string(at, 4, origin, styles("faint_wrap"))
        sheet.set_row(at, row_height((origin, WIDTHS[4]), size=9))
        at += 1
    made_of = {"tea": " and compost tea", "compost": " and compost"}.get(desk.results.plan.matter.charged, "")
    said = [
        f"Derived from: bone char{made_of}. Whole per cent, rounded down: every bag must hold what is guaranteed.",
        "The grade states available phosphate as P2O5 (N-P-K, nitrogen and potash 0), never the total and never "
        "elemental P; calcium is stated as the element. Nothing is claimed for nitrogen or carbon.",
    ]
    if found.total is None:
        said.append("Total phosphate is left off: set 'label.total_phosphate' to yes once your office allows it.")
    if found.low is not None:
        said.append(f"At the low end of your range the available phosphate is {found.low:.1%}.")
    for text in said:
        at = note(desk, sheet, at, text, WIDTHS)
    return at + 1


def _origin(desk: Desk, key: str) -> str:
    entry = desk.results.scenario[key]
    if entry.value is None:
        return "modelled from the bones, not measured"
    return "; ".join(text for text in (entry.known, entry.source) if text) or "typed, origin not said"


def _directions(desk: Desk, sheet: Any, at: int) -> int:
    """The rate of the label in three units, and the phosphate it brings."""
    styles, figures = desk.styles, desk.results.figures
    rate = desk.results.scenario["market.label_rate"].number
    at = heading(desk, sheet, at, "Directions: the rate on the label and what it brings", len(WIDTHS))
    for column, name in enumerate(("", *(text.replace("100ft2", "100 ft²") for text in RATES))):
        sheet.write_string(at, column, name, styles("column_right" if column else "column"))
    for label, share in (
        ("Char, as sold", ""), ("Total P2O5 in it", "sold_p2o5_share"), ("Available P2O5", "sold_available_share"),
    ):  # fmt: skip
        at += 1
        sheet.write_string(at, 0, label, styles("label"))
        for column, text in enumerate(RATES, start=1):
            own = unit(text)
            value = own.from_canonical(rate) * (figures[share] if share else 1.0)
            formula = f"={defined_name('market.label_rate')}/{own.factor!r}{f'*{share}' if share else ''}"
            sheet.write_formula(at, column, formula, styles("plain", "n2" if value < 10 else "n0"), value)
    return at + 2
