"""The page of chances: what all ranges together say, with the histogram and the cumulative chart."""

from __future__ import annotations

from typing import Any

from econ.answer.finding import chance, ruling
from econ.inputs.schema import rows
from econ.questions.found import PERCENTILES, Chances, Spread
from econ.workbook.desk import CHANCES, Desk
from econ.workbook.pages.effects_page import Measure, measures
from econ.workbook.style import CLAY, LEGEND, MIST, NO_LEGEND, SLATE, axis, number_format, row_height, title

WIDTHS = (46, 15, 15, 15, 15, 20, 30)
TOP = 5
CHART_LINES = 18


def write_chances(desk: Desk) -> None:
    """The finding, chances, percentiles, charts, convergence, and what the samples were drawn from."""
    found = desk.results.chances
    sheet = desk.sheet(CHANCES, "How likely is it that money is lost?", WIDTHS)
    stream = {"latin": "Latin hypercube", "sobol": "scrambled Sobol"}[found.sampling.stream]
    sheet.write_string(
        3, 0, f"{found.sampling.samples:,} samples, {stream}, seed {found.sampling.seed}; all ranges at once. "
        "The ranges are judgement, and so are these chances. Values: run again after a change.",
        desk.styles("plain"),
    )  # fmt: skip
    said = ruling(desk.results)
    sheet.merge_range(4, 0, 4, 6, said, desk.styles("finding"))
    sheet.set_row(4, row_height((said, sum(WIDTHS)), size=13.5) + 8)
    at = _chances(desk, sheet, TOP + 1, found)
    at = _spreads(desk, sheet, at + 1)
    charts = at + 1
    data = _convergence(desk, sheet, charts + CHART_LINES + 1, found)
    end = _inputs(desk, sheet, data + 1, found)
    _charts(desk, sheet, charts, end + 2, found)
    sheet.print_area(0, 0, end, len(WIDTHS) - 1)
    sheet.fit_to_pages(1, 1)


def _heading(desk: Desk, sheet: Any, at: int, names: tuple[str, ...]) -> None:
    for column, name in enumerate(names):
        sheet.write_string(at, column, name, desk.styles("column_right" if column else "column"))


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
        ("Money is lost", found.loss, f"NPV against current practice below 0; {error}"),
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
    """Mean beside P50, P10 and P90 of each measure, and the share of samples in which it is withheld."""
    percents = tuple(f"P{percent}" for percent in PERCENTILES)
    _heading(desk, sheet, at, ("Figure", "Mean", *percents, "Not reported in", "All at their value"))
    for measure in measures(desk):
        at += 1
        _spread(desk, sheet, at, measure, desk.results.chances.spreads[measure[0]])
    sheet.write_string(
        at + 1, 0, "P10: one sample in ten is below. Mean and percentiles count the samples with the figure; "
        "a payback is not reported where it is never reached.", desk.styles("faint"),
    )  # fmt: skip
    return at + 2


def _spread(desk: Desk, sheet: Any, at: int, measure: Measure, one: Spread) -> None:
    name, label, unit, scale = measure
    sheet.write_string(at, 0, f"{label} [{unit.replace('$', desk.currency)}]", desk.styles("label"))
    for column, value in enumerate((one.mean, *one.percentiles.values()), start=1):
        _number(desk, sheet, at, column, value * scale, unit)
    sheet.write_number(at, 5, one.withheld_frac, desk.styles("plain", "pct1"))
    _number(desk, sheet, at, 6, desk.results.figures[name] * scale, unit)


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
