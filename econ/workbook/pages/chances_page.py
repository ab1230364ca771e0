"""The page of chances: what all ranges together say, with the histogram and the cumulative chart."""

from __future__ import annotations

from typing import Any

from econ.answer.finding import chance, finding_sentence, headline_sentence, wider_sentence
from econ.inputs.schema import rows
from econ.questions.found import CARBON, CARBON_PAIR, MONEY_PAIR, Chances, Spread
from econ.workbook.desk import CHANCES, Desk
from econ.workbook.pages.effects_page import Measure, measures
from econ.workbook.style import CLAY, LEGEND, MIST, NO_LEGEND, SLATE, axis, number_format, row_height, title

WIDTHS = (46, 15, 15, 15, 15, 20, 30)
TOP = 5
CHART_LINES = 18
HELD = (
    "Held: warming potentials, emission factors of fuels, atomic weights, class edges, whole numbers and choices."
)
"""What does not move with the samples."""


def write_chances(desk: Desk) -> None:
    """The finding, chances, percentiles, charts, convergence, and what the samples were drawn from."""
    found = desk.results.chances
    sheet = desk.sheet(CHANCES, "How likely is it that money is lost?", WIDTHS)
    stream = {"latin": "Latin hypercube", "sobol": "scrambled Sobol"}[found.sampling.stream]
    sheet.write_string(
        3, 0, f"{found.sampling.samples:,} samples, {stream}, seed {found.sampling.seed}; all ranges at once. "
        "Low and high mean P10 and P90 in every range. Values: run again after a change.",
        desk.styles("plain"),
    )  # fmt: skip
    said = finding_sentence(desk.results)
    sheet.merge_range(4, 0, 4, 6, said, desk.styles("finding"))
    sheet.set_row(4, row_height((said, sum(WIDTHS)), size=13.5) + 8)
    beside = " ".join((headline_sentence(desk.results), wider_sentence(desk.results))).strip()
    sheet.merge_range(5, 0, 5, 6, beside, desk.styles("wrap"))
    sheet.set_row(5, row_height((beside, sum(WIDTHS))) + 4)
    at = _facts(desk, sheet, TOP + 2) + 1
    at = _chances(desk, sheet, at, found)
    at = _spreads(desk, sheet, at + 1)
    at = _make_up(desk, sheet, at + 1)
    charts = at + 1
    data = _convergence(desk, sheet, charts + CHART_LINES + 1, found)
    end = _inputs(desk, sheet, data + 1, found)
    _charts(desk, sheet, charts, end + 2, found)
    sheet.print_area(0, 0, end, len(WIDTHS) - 1)
    sheet.fit_to_pages(1, 1)


def _heading(desk: Desk, sheet: Any, at: int, names: tuple[str, ...]) -> None:
    for column, name in enumerate(names):
        sheet.write_string(at, column, name, desk.styles("column_right" if column else "column"))


def _facts(desk: Desk, sheet: Any, at: int) -> int:
    """The deciding facts: settled or open, and what each open one does to the mean NPV."""
    currency = desk.currency
    heads = ("Deciding fact", "settled?", f"Mean NPV at its P5 [{currency}]", f"at its P95 [{currency}]",
             "turns verdict?", "Settled by")  # fmt: skip
    for column, name in enumerate((*heads, "")):
        sheet.write_string(at, column, name, desk.styles("column_right" if 0 < column < 5 else "column"))
    sheet.set_row(at, row_height((heads[2], WIDTHS[2])))
    for one in desk.results.finding.deciding.standings:
        at += 1
        words = one.fact.label[0].upper() + one.fact.label[1:]
        sheet.write_string(at, 0, words, desk.styles("bold" if one.can_turn else "label"))
        sheet.write_string(at, 1, "yes" if one.is_settled else "no", desk.styles("right"))
        for column, look in enumerate(one.at or (), start=2):
            sheet.write_number(at, column, look.mean, desk.styles("plain", "money0"))
        sheet.write_string(at, 4, "yes" if one.can_turn else "no", desk.styles("right"))
        sheet.write_string(at, 5, one.fact.settle, desk.styles("beside"))
    return at + 1


def _chances(desk: Desk, sheet: Any, at: int, found: Chances) -> int:
    """The four chances, each with what it counts."""
    _heading(desk, sheet, at, ("Chance", "of all samples"))
    for column in range(2, len(WIDTHS)):
        sheet.write_string(at, column, "" if column > 2 else "What is counted", desk.styles("column_beside"))
    error = f"standard error {found.loss_error:.2%} at most, as of independent samples"
    if not found.loss_error:
        error = f"all samples agree, which leaves room for {chance(found.loss, found.sampling.samples)}"
    rival = "current practice, the only other option here" if found.decisive == "npv" else "the best alternative"
    known = 1 - found.spreads["project_net_kg_co2e"].withheld_frac
    rows = (
        ("NPV is below zero", found.loss, f"against current practice; {error}"),
        ("The kiln never pays back", found.never_pays_back, f"not within {desk.results.plan.years} years"),
        ("Char is the cheapest option", found.char_is_cheapest, f"NPV not below 0 against {rival}"),
        ("The kiln is a net source of CO2e", found.net_source,
         f"removal less process emissions below 0; figure exists in {known:.0%} of the samples"),
    )  # fmt: skip
    for label, share, words in rows:
        at += 1
        sheet.write_string(at, 0, label, desk.styles("bold"))
        if share != share:
            sheet.write_string(at, 1, "not reported", desk.styles("bold"))
        else:
            sheet.write_number(at, 1, share, desk.styles("bold", "pct1"))
        sheet.write_string(at, 2, words, desk.styles("beside"))
    return at + 1


def _spreads(desk: Desk, sheet: Any, at: int) -> int:
    """Mean, low, median and high of each measure, money by one pair of percentiles, carbon by the other."""
    for ends, words in ((MONEY_PAIR, "Figure"), (CARBON_PAIR, "Carbon")):
        shown = [one for one in measures(desk) if (one[0] in CARBON) == (words == "Carbon")]
        low, high = ends
        heads = (words, "Mean", f"P{low}", "P50 (median)", f"P{high}", "Not reported in", "At your values")
        _heading(desk, sheet, at, heads)
        for measure in shown:
            at += 1
            _spread(desk, sheet, at, measure, desk.results.chances.spreads[measure[0]], ends)
        at += 1
    text = (
        "P10: one sample in ten is below; P5: one in twenty. Rows that are added up are means; median and range "
        "stand for totals only. They count the samples with the figure; a payback may never be reached."
    )
    sheet.write_string(at, 0, text, desk.styles("faint"))
    return at + 1


def _spread(desk: Desk, sheet: Any, at: int, measure: Measure, one: Spread, ends: tuple[float, float]) -> None:
    name, label, unit, scale = measure
    sheet.write_string(at, 0, f"{label} [{unit.replace('$', desk.currency)}]", desk.styles("label"))
    for column, value in enumerate((one.mean, *one.pair(ends)), start=1):
        _number(desk, sheet, at, column, value * scale, unit)
    sheet.write_number(at, 5, one.withheld_frac, desk.styles("plain", "pct1"))
    _number(desk, sheet, at, 6, desk.results.figures[name] * scale, unit)


def _make_up(desk: Desk, sheet: Any, at: int) -> int:
    """Water, fat, protein and ash as sampled, beside the ends typed: they make one whole in every sample."""
    heads = (
        "Make-up of the bones, share of raw bones",
        "Value",
        "P10 drawn",
        "P90 drawn",
        "Low typed",
        "High typed",
    )
    _heading(desk, sheet, at, heads)
    for key, (low, high) in desk.results.headline.made_of.items():
        at += 1
        entry = desk.results.scenario[key]
        sheet.write_string(at, 0, entry.row.label, desk.styles("label"))
        for column, value in enumerate((entry.number, low, high, entry.low, entry.high), start=1):
            if value is not None:
                sheet.write_number(at, column, value, desk.styles("plain", "pct1"))
    text = (
        "Drawn: water, fat, and the proportion of mineral to protein. A share moved alone has the "
        "others in proportion."
    )
    sheet.write_string(at + 1, 0, text, desk.styles("faint"))
    return at + 2


def _number(desk: Desk, sheet: Any, at: int, column: int, value: float, unit: str) -> None:
    if value != value:
        word = "never" if unit == "years" else "not reported"
        sheet.write_string(at, column, word, desk.styles("right"))
        return
    number = "money0" if unit == "$" else "n1" if unit == "years" else number_format(value, unit)
    sheet.write_number(at, column, value, desk.styles("plain", number))


def _convergence(desk: Desk, sheet: Any, at: int, found: Chances) -> int:
    """How the chance of a loss settles as samples are added."""
    _heading(desk, sheet, at, ("Does it settle? After the first samples", "Chance of a loss", "Standard error"))
    for samples, share in found.so_far:
        at += 1
        sheet.write_string(at, 0, f"{samples:,} samples", desk.styles("label"))
        sheet.write_number(at, 1, share, desk.styles("plain", "pct2"))
        error = (share * (1 - share) / samples) ** 0.5
        sheet.write_number(at, 2, error, desk.styles("plain", "pct2"))
    return at + 1


def _inputs(desk: Desk, sheet: Any, at: int, found: Chances) -> int:
    """What was drawn: how many inputs of which shape, those of another shape, the pairs."""
    words = {option.slug: option.label for option in rows()["ranges.special.1.shape"].choices}
    lines = []
    for shape in dict.fromkeys(found.shapes.values()):
        keys = [key for key, own in found.shapes.items() if own == shape]
        few = f": {', '.join(keys)}" if len(keys) <= 4 else ""
        lines.append(f"{len(keys)} input(s) {words[shape]}{few}")
    lines += [f"{pair.first} with {pair.second}: rank correlation {pair.correlation:g}" for pair in found.pairs]
    if not found.pairs:
        lines.append("No inputs move together: prices that rise and fall as one make the spread wider than here.")
    lines.append(HELD)
    _heading(desk, sheet, at, ("What was drawn", *[""] * (len(WIDTHS) - 1)))
    for text in lines:
        at += 1
        sheet.write_string(at, 0, text, desk.styles("plain"))
    return at + 1


def _charts(desk: Desk, sheet: Any, top: int, data: int, found: Chances) -> None:
    """Both charts at `top`, the numbers they show from row `data` on."""
    currency = desk.currency
    sheet.write_string(data - 1, 0, "What the charts show (not printed)", desk.styles("faint"))
    _heading(desk, sheet, data, (f"NPV, middle of the bar [{currency}]", "from", "to", "lost", "not lost",
                                 f"NPV [{currency}]", "share of samples up to it"))  # fmt: skip
    first = data + 1
    for at, bar in enumerate(found.bars, start=first):
        sheet.write_number(at, 0, (bar.start + bar.end) / 2, desk.styles("plain", "money0"))
        sheet.write_number(at, 1, bar.start, desk.styles("plain", "money0"))
        sheet.write_number(at, 2, bar.end, desk.styles("plain", "money0"))
        column = 3 if bar.end <= 0 else 4
        sheet.write_number(at, column, bar.share, desk.styles("plain", "pct1"))
    for at, (npv, share) in enumerate(found.quantiles, start=first):
        sheet.write_number(at, 5, npv, desk.styles("plain", "money0"))
        sheet.write_number(at, 6, share, desk.styles("plain", "pct0"))
    bars = histogram(desk, first, first + len(found.bars) - 1)
    bars.set_size({"width": 590, "height": 345})
    sheet.insert_chart(
        top, 0, bars, {"x_offset": 4, "description": "Columns: share of the samples by NPV, losses darker"}
    )
    curve = cumulative(desk, first, first + len(found.quantiles) - 1)
    curve.set_size({"width": 510, "height": 345})
    sheet.insert_chart(
        top,
        3,
        curve,
        {
            "x_offset": 60,
            "description": "Curve: share of the samples with an NPV of no more than the value below it",
        },
    )


def histogram(desk: Desk, first: int, last: int) -> Any:
    """Columns of the share of samples by NPV: those that lose money in one colour, the others in another."""
    chart = desk.book.add_chart({"type": "column"})
    for column, name, colour in ((3, "money lost", CLAY), (4, "money not lost", MIST)):
        chart.add_series(
            {
                "name": name,
                "categories": [CHANCES, first, 0, last, 0],
                "values": [CHANCES, first, column, last, column],
                "fill": {"color": colour},
                "gap": 8,
                "overlap": 100,
            }
        )
    chart.set_title(title("How often each NPV comes out"))
    x_axis = axis(f"NPV [{desk.currency}]; the end bars hold what lies beyond", "#,##0")
    chart.set_x_axis({**x_axis, "label_position": "low", "interval_unit": max(1, (last - first + 1) // 6)})
    chart.set_y_axis(axis("share of samples", "0%", has_grid=True))
    chart.set_legend(LEGEND)
    return chart


def cumulative(desk: Desk, first: int, last: int) -> Any:
    """The share of samples up to each NPV; the vertical axis stands at nought, where losses end."""
    chart = desk.book.add_chart({"type": "scatter", "subtype": "straight"})
    chart.add_series(
        {
            "name": "share of samples up to this NPV",
            "categories": [CHANCES, first, 5, last, 5],
            "values": [CHANCES, first, 6, last, 6],
            "line": {"color": SLATE, "width": 2.25},
        }
    )
    chart.set_title(title("Chance of an NPV of no more than"))
    x_axis = axis(f"NPV [{desk.currency}]; the upright line is 0", "#,##0", has_grid=True)
    quantiles = desk.results.chances.quantiles
    nought = {"max": 0} if quantiles[-1][0] < 0 else {"min": 0} if quantiles[0][0] > 0 else {}
    chart.set_x_axis({**x_axis, **nought, "label_position": "low"})
    y_axis = {**axis("share of samples", "0%", has_grid=True), "min": 0, "max": 1}
    chart.set_y_axis({**y_axis, "label_position": "low", "line": {"color": CLAY, "width": 1.5}})
    chart.set_legend(NO_LEGEND)
    return chart
