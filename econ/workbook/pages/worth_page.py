"""The page of a deep run: what each piece of evidence could be worth before signing, and how many firings."""

from __future__ import annotations

from typing import Any

from econ.answer.finding import best_rival, deep_sentence, finding_sentence
from econ.questions.found_deep import FOLDS, Count, Deep, Offer, Worth
from econ.workbook.desk import WORTH, Desk
from econ.workbook.pages.lab_assay_page import heading, note, titles
from econ.workbook.style import LEGEND, OCHRE, SLATE, axis, row_height, title

WIDTHS = (50, 15, 15, 15, 15, 15, 20, 20)
TOP = 4
CHART_LINES = 16
SINGLE_SHOWN = 12
FIRING_WORDS = {"yield": "yield", "hours": "labour hours"}


def write_worth(desk: Desk) -> None:
    """The finding, the list of evidence, the rule, trial firings by number with a chart, and single inputs."""
    deep = desk.results.deep
    if deep is None:
        return
    sheet = desk.sheet(WORTH, "What is worth measuring before signing?", WIDTHS)
    said = f"{finding_sentence(desk.results)} {deep_sentence(desk.results)}"
    sheet.merge_range(TOP - 1, 0, TOP - 1, len(WIDTHS) - 1, said, desk.styles("finding"))
    sheet.set_row(TOP - 1, row_height((said, sum(WIDTHS)), size=13.5) + 8)
    at = _evidence(desk, sheet, TOP + 1, deep)
    at = _rule(desk, sheet, at + 1, deep)
    sheet.set_h_pagebreaks([at + 1])  # or the chart would be cut in two
    at = _firings(desk, sheet, at + 1, deep)
    _singles(desk, sheet, at + 1, deep)


def _money(desk: Desk, sheet: Any, at: int, column: int, value: float | None, look: str = "plain") -> None:
    if value is None:
        sheet.write_string(at, column, "not given", desk.styles("right"))
    else:
        sheet.write_number(at, column, value, desk.styles(look, "money0"))


def _estimate(desk: Desk, sheet: Any, at: int, worth: Worth, look: str = "bold", beside: str = "plain") -> None:
    """Worth, standard error, and the estimate with hindsight, in columns 1 to 3."""
    for column, value in ((1, worth.gain), (2, worth.error), (3, worth.with_hindsight)):
        _money(desk, sheet, at, column, value, look if column == 1 else beside)


def _evidence(desk: Desk, sheet: Any, at: int, deep: Deep) -> int:
    """One row for each piece of evidence, the one that could bring most first; knowing everything below."""
    at = heading(
        desk, sheet, at, f"What can be bought, and the most it could be worth [{desk.currency}]", len(WIDTHS)
    )
    names = ("Evidence", "Never worth\nmore than", "Standard\nerror", "With hindsight\n(errs high)", "Its price",
             "Left after\nits price", "Share of doubt\nin NPV", "Share of doubt\nin net CO2e")  # fmt: skip
    at = titles(desk, sheet, at, names)
    for offer in sorted(deep.offers, key=lambda one: -one.net):
        _offer(desk, sheet, at, offer)
        at += 1
    sheet.write_string(at, 0, "Knowing everything", desk.styles("total"))
    for column in range(1, len(WIDTHS)):
        sheet.write_blank(at, column, None, desk.styles("total"))
    _estimate(desk, sheet, at, deep.total, "total", "total")
    text = (
        "Worth: how much better the choice between the ways would be on average for knowing it. No real "
        "measurement is perfect, so none is worth more. 0 means that no outcome within the ranges would change "
        "the choice. Share of doubt: part of the variance that would go if it were known; a stack test changes "
        "no money here, yet may settle the carbon figures. None of these stands for a permit."
    )
    return note(desk, sheet, at + 1, text, WIDTHS, "faint_wrap")


def _offer(desk: Desk, sheet: Any, at: int, offer: Offer) -> None:
    sheet.write_string(at, 0, offer.purchase.label, desk.styles("label"))
    _estimate(desk, sheet, at, offer.limit)
    _money(desk, sheet, at, 4, offer.price)
    _money(desk, sheet, at, 5, offer.net)
    for column, share in enumerate(offer.explains.values(), start=6):
        if share != share:
            sheet.write_string(at, column, "not reported", desk.styles("right"))
        else:
            sheet.write_number(at, column, share, desk.styles("plain", "pct0"))


def _firings(desk: Desk, sheet: Any, at: int, deep: Deep) -> int:
    """How many trial firings: worth by number, and what one more brings."""
    at = heading(desk, sheet, at, f"How many test batches? [{desk.currency}]", len(WIDTHS))
    if not deep.counts:
        return note(desk, sheet, at, "Yield, fuel and hours have no ranges: nothing to learn.", WIDTHS)
    names = ("Weighed batches", "Worth", "Standard\nerror", "With hindsight\n(errs high)", "Their price",
             "Left after\ntheir price", "Brought by\neach more", "")  # fmt: skip
    at = first = titles(desk, sheet, at, names)
    before, best = (0, 0.0), deep.best_count
    for one in deep.counts:
        _count(desk, sheet, at, one, before, one is best and one.price is not None)
        before = (one.firings, one.worth.gain)
        at += 1
    chart = _chart(desk, deep, first, at - 1)
    chart.set_size({"width": 760, "height": 300})
    sheet.insert_chart(
        at + 1, 0, chart, {"x_offset": 4, "description": "Worth of weighed test batches by their number"}
    )
    scatter = ", ".join(
        f"{FIRING_WORDS.get(name, name.replace('_', ' '))}: {share:.0%}"
        f"{' (from the kiln log)' if name in deep.measured_spreads else ''}"
        for name, share in deep.spreads.items()
    )
    text = (
        f"Scatter from batch to batch (standard deviation): {scatter}. The first batches tell the most: the "
        "mean of n batches scatters less by the root of n. No number of them can be worth more than exact yield, "
        "fuel and hours. Steps smaller than the standard error are chance."
    )
    return note(desk, sheet, at + CHART_LINES + 1, text, WIDTHS, "faint_wrap")


def _count(desk: Desk, sheet: Any, at: int, one: Count, before: tuple[int, float], is_best: bool) -> None:
    sheet.write_number(at, 0, one.firings, desk.styles("left", "n0"))
    _estimate(desk, sheet, at, one.worth)
    _money(desk, sheet, at, 4, one.price)
    _money(desk, sheet, at, 5, one.net)
    more = max(one.worth.gain - before[1], 0.0) / (one.firings - before[0])
    _money(desk, sheet, at, 6, more)
    if is_best:
        sheet.write_string(at, 7, "brings most", desk.styles("word_bold"))


def _chart(desk: Desk, deep: Deep, first: int, last: int) -> Any:
    chart = desk.book.add_chart({"type": "scatter", "subtype": "straight_with_markers"})
    has_price = any(one.price is not None for one in deep.counts)
    series = [(1, "worth of so many batches", SLATE, "circle")]
    series += [(4, "their price", OCHRE, "square")] if has_price else []
    for column, name, colour, marker in series:
        chart.add_series(
            {
                "name": name,
                "categories": [WORTH, first, 0, last, 0],
                "values": [WORTH, first, column, last, column],
                "line": {"color": colour, "width": 2},
                "marker": {"type": marker, "size": 6, "fill": {"color": colour}, "border": {"color": colour}},
            }
        )
    chart.set_title(title("What weighed test batches are worth"))
    chart.set_x_axis({**axis("number of weighed batches", "0"), "min": 0})
    chart.set_y_axis({**axis(desk.currency, "#,##0", has_grid=True), "min": 0})
    chart.set_legend(LEGEND)
    return chart


def _singles(desk: Desk, sheet: Any, at: int, deep: Deep) -> None:
    """The inputs worth knowing on their own."""
    at = heading(desk, sheet, at, f"Single inputs worth knowing [{desk.currency}]", len(WIDTHS))
    known = sorted(
        ((key, one) for key, one in deep.inputs.items() if one.gain > 0), key=lambda pair: -pair[1].gain
    )
    if not known:
        text = "None: whatever any single input turns out to be within its range, the choice would stay the same."
        note(desk, sheet, at, text, WIDTHS)
        return
    names = ("Input", "Never worth\nmore than", "Standard\nerror", "With hindsight\n(errs high)", "Key")
    at = titles(desk, sheet, at, names, frozenset({0, 4}))
    for key, one in known[:SINGLE_SHOWN]:
        sheet.write_string(at, 0, desk.results.scenario[key].row.label, desk.styles("label"))
        _estimate(desk, sheet, at, one)
        sheet.write_string(at, 4, key, desk.styles("beside"))
        at += 1


def _rule(desk: Desk, sheet: Any, at: int, deep: Deep) -> int:
    """The rule, the method and its bias, in words."""
    limits, money = desk.results.finding.limits, desk.currency
    at = heading(desk, sheet, at, "The rule, and how these figures were made", len(WIDTHS))
    lines = (
        f"Never buy while some evidence may bring {deep.least_gain:,.0f} {money} or more after its price "
        "(your share of the outlay, sheet Money). For trial batches the worth of the best number of them counts, "
        "for all else the most it could be worth; a price not given counts as nothing.",
        "Never buy while a deciding fact that can turn the verdict is open (page Chances). Else two things must "
        f"hold. The mean NPV against the best alternative ({best_rival(desk.results, deep)}) is at least "
        f"{limits.least_npv:,.0f} {money}. NPV is below zero in no more than {limits.buy_at:.0%} of the samples.",
        f"From the {deep.sampling.samples:,} samples of the chances, seed {deep.sampling.seed}. The choice in "
        f"each of {FOLDS} parts follows a fit of polynomials to the other parts, so it errs low; the fit to all "
        "samples, with hindsight, errs high. A negative estimate is chance and is shown as 0 with its error. "
        "Worths of single inputs do not add up.",
        "A worth is only as good as the ranges: where low and high are too narrow, measuring looks worthless. "
        "Money is after tax as the NPV is; prices of evidence are before tax. Values: run again after a change.",
    )
    for text in lines:
        at = note(desk, sheet, at, text, WIDTHS)
    return at
