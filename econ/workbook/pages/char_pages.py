"""What is known of the char, to print: kiln log, lab assay, what each changes in the answer, and the label."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from econ.answer.label_statement import GUARANTEES, Guarantee, Label, label_of
from econ.inputs.as_typed import plain_figure, signed_figure
from econ.inputs.records import Entry, Line, TableData
from econ.measured.readings import ABOVE, FUELS, SHARES, TRACES, AssayReading, Compared, compared, dry_char_kg
from econ.measured.sample import Sample, Trend
from econ.measured.use import Gain, View
from econ.model.planting import HA_M2
from econ.units import Unit, counted, said, unit
from econ.workbook.desk import ASSAY, LABEL, LOG, Desk
from econ.workbook.live import Printed
from econ.workbook.page_plan import Found, Row, Slot, plans

SHOWN_SAMPLES = 5
"""The latest samples are printed one by one; all of them count."""


def plain_unit(found: Unit | None) -> str:
    """A unit as a person writes it in a table."""
    return found.symbol if found else ""


def log(desk: Desk) -> Found:
    """Statistics of the batches, trends, the change of the answer, and every batch."""
    reading, words = desk.results.measured.readings.log, plans()[LOG].words
    assert reading is not None
    data, whole = reading.data, reading.yield_of_totals
    keys = [column.key for column in data.plan.columns
            if column.is_number and any(line.number(column.key) is not None for line in data.lines)]  # fmt: skip
    names = [f"{data.plan.by_key[key].label.split(',')[0]}\n[{plain_unit(data.units[key])}]" for key in keys]
    return {
        "samples": [_sample(data, name, found, words) for name, found in reading.samples.items()],
        "of_all": "" if whole is None else words["of_totals"].format(whole),
        "trends": [trend_sentence(data, one) for one in reading.trends] or [words["cannot"]],
        **_change(desk, "log"),
        "batches": [_batch(data, number, line, keys) for number, line in enumerate(data.lines, start=1)],
        "batches_heads": ["Batch, date, remark", *names, "Dry char\nof bones\n[%]"],
    }


def _shown(data: TableData, name: str) -> tuple[str, str, float, float]:
    """Label, unit, and slope and offset from the canonical number to the number shown."""
    mass = data.units.get("log.bones_in") or unit("kg")
    big = unit("short_ton" if mass.short in {"lb", "short_ton"} else "tonne")  # rates are given for it
    per_big, words = big.factor / 1000, plans()[LOG].words
    peak = data.units.get("log.peak") or unit("degC")
    found = {
        "yield": ("%", 100.0, 0.0),
        "yield_of_dry": ("%", 100.0, 0.0),
        "load": (plain_unit(mass), 1 / mass.factor, 0.0),
        "peak": (plain_unit(peak), 1 / peak.factor, -peak.offset),
        "hours": ("hours", 1.0, 0.0),
        "hours_per_t": ("hours", per_big, 0.0),
    }
    if name in found:
        return words[name].format(plain_unit(big)), *found[name]
    n = next(n for n in FUELS if name.startswith(f"fuel_{n}"))
    own = data.units.get(f"log.fuel_{n}") or unit("L")
    is_per_t = name.endswith("_per_t")
    label = words["fuel_per_t" if is_per_t else "fuel"].format(n, plain_unit(big))
    return label, own.symbol, (per_big if is_per_t else 1.0) / own.factor, 0.0


def _sample(data: TableData, name: str, found: Sample, words: Mapping[str, Any]) -> tuple[Any, ...]:
    label, unit_name, slope, offset = _shown(data, name)
    spreads = (spread and spread * slope for spread in (found.sd, found.se))
    ends = (*(found.mean_range or (None, None)), *(found.next_range or (None, None)))
    out = found.outlier_line and words["batch"].format(found.outlier_line)
    shown = (None if end is None else end * slope + offset for end in ends)
    return label, found.n, found.mean * slope + offset, unit_name, *spreads, *shown, out


def trend_sentence(data: TableData, trend: Trend) -> str:
    """A trend in words, in the units of the log."""
    words = plans()[LOG].words
    label, of_unit, of_slope, _ = _shown(data, trend.of)
    over, over_unit, over_slope, _ = _shown(data, trend.over)
    step = 100.0 if trend.over == "load" else 10.0
    times, ends = of_slope / over_slope * step, (trend.slope, trend.low, trend.high)
    slope, low, high = (signed_figure(value * times, 2) for value in ends)
    points = "points" if of_unit == "%" else of_unit
    if trend.is_told and slope[1:] == "1":
        points = points.removesuffix("s")
    beside = words["beside"].get(trend.beside, words["beside"]["peak"])
    said = (label, over.lower(), trend.n, low, high, points, step, over_unit, beside)
    turn = words["rises" if trend.slope > 0 else "falls"]
    return str(words["trend" if trend.is_told else "no_trend"].format(*said, turn, slope[1:]))


def _batch(data: TableData, number: int, line: Line, keys: list[str]) -> tuple[Any, ...]:
    words = "  ".join(filter(None, (str(number), line.text("log.date"), line.text("log.remark"))))
    char, bones = dry_char_kg(line), line.number("log.bones_in")
    values = (None if (value := line.number(key)) is None else data.shown(key, value) for key in keys)
    return words, *values, 100 * char / bones if char is not None and bones else None


def assay(desk: Desk) -> Found:
    """Dry figures, doubts, limits and the change of the answer."""
    reading, words = desk.results.measured.readings.assay, plans()[ASSAY].words
    assert reading is not None
    first = max(len(reading.dry) - SHOWN_SAMPLES, 0)
    samples = [words["sample"].format(number + 1) for number in range(first, len(reading.dry))]
    return {
        "figures": [
            _figure(reading, name, first)
            for name in (*SHARES, "h_corg", "ca_per_p", "ph", "moisture", *TRACES) if name in reading.samples
        ],
        "figures_heads": ["", "Unit", "Samples", "Mean", "Standard\nerror", "Mean,\n95 % from", "to", *samples],
        "origins": [_origin_of(number, line) for number, line in enumerate(reading.data.lines, start=1)],
        "doubts": [words["doubt"].format(one.text, one.where) for one in reading.cautions] or [words["no_doubt"]],
        **_change(desk, "assay"),
        "limits": list(_limits(compared(reading))),
    }  # fmt: skip


def _full(symbol: str) -> str:
    """A symbol with its name."""
    name = plans()[ASSAY].words["elements"].get(symbol)
    return f"{symbol} ({name})" if name else symbol


def _figure(reading: AssayReading, name: str, first: int) -> tuple[Any, ...]:
    label, unit_name, scale = plans()[ASSAY].words["figures"].get(name, (_full(name.capitalize()), "ppm", 1e6))
    found = reading.samples[name]
    each = (values.get(name) for values in reading.dry[first:])
    rest = (found.se, *(found.mean_range or (None, None)), *each)
    return label, unit_name, found.n, found.mean * scale, *(None if one is None else one * scale for one in rest)


def _origin_of(number: int, line: Line) -> str:
    words = (line.text(f"assay.{word}") for word in ("date", "sample", "remark"))
    basis = line.text("assay.basis").replace("-", " ")
    return str(plans()[ASSAY].words["basis"].format(number, "; ".join(filter(None, words)), basis))


def _limits(rows: tuple[Compared, ...]) -> Iterator[Any]:
    """Each substance beside its limit, the sets of rules one below the other."""
    rules = ""
    for row in rows:
        if row.rules != rules:
            rules = row.rules
            yield (Slot(plans()[ASSAY].words["rules"].format(rules, row.whose), "bold", 15),)
        limit = row.limit
        origin = "; ".join(filter(None, (f"{limit.source.text}, {limit.locator}", limit.mark, limit.note)))
        yield _full(limit.substance), row.allowed, row.highest, _verdict(row), None, origin


def _verdict(row: Compared) -> Slot:
    return Slot(row.verdict, "word_bold" if row.verdict == ABOVE else "")


def _change(desk: Desk, table: str) -> Found:
    """How the answer and the worth of knowing more changed with the measurements of one table."""
    found = desk.results.measured
    gains = [gain for gain in found.gains if gain.standing.target.table == table]
    return {
        "change": [_gain(gain) for gain in gains],
        "worths": [worth_sentence(one, desk.currency) for one in gains if swing(one.typed) or swing(one.measured)],
        "used": ", ".join(one.typed.row.label for one in found.readings.used) or "nothing",
    }


def _gain(gain: Gain) -> tuple[Any, ...]:
    one, views = gain.standing, (gain.typed, gain.measured)
    counts = Slot("yes", "word_bold") if one.is_used else "no"
    removals = (None if view.removal is None else view.removal / 1000 for view in views)
    entries = (*_entry(one.typed, one.measured), *_entry(one.measured, one.measured))
    money = (*(view.npv for view in views), *map(swing, views))
    return one.typed.row.label, counts, *entries, plain_unit(one.measured.unit), *money, *removals


def _entry(entry: Entry, shown_as: Entry) -> tuple[Any, ...]:
    if entry.value is None:
        return Slot("modelled", "faint"), None, None
    ends = (entry.low, entry.high) if entry.has_range else (None, None)
    return tuple(shown_as.shown(value) for value in (entry.number, *ends))


def swing(view: View) -> float | None:
    """NPV from low to high, or None without a range."""
    return None if view.at_low is None or view.at_high is None else abs(view.at_high - view.at_low)


def worth_sentence(gain: Gain, currency: str) -> str:
    """What knowing the input exactly was worth before measuring, and still is."""
    text = plans()[LOG].words["no_range" if gain.typed.at_low is None else "worth"]
    typed, measured = (f"{view.worth:,.0f} {currency}" for view in (gain.typed, gain.measured))
    return str(text.format(gain.standing.typed.row.label, typed, measured))


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
        "metals": [(one.limit.substance, one.allowed, one.highest, _verdict(one)) for one in found.metals],
        "own": [one.text for one in results.cautions if one.id.startswith("label-")],
    }  # fmt: skip


def _front(desk: Desk, found: Label, said: Mapping[str, Any]) -> Iterator[Row]:
    """Name, grade, weight, and who answers for it."""
    scenario, kg = desk.results.scenario, found.net_weight_kg
    yield Row((Slot(found.product, span=5),), height=32)
    weights = () if kg is None else (plain_figure(kg / unit("lb").factor, 4), plain_figure(kg, 3))
    weight = said["weight" if weights else "no_weight"].format(*weights)
    grade = f'"0-"&100*{found.available.formula}&"-0"'
    yield Row((Printed(grade, found.grade), Slot(weight, "bold", 4)), height=30)
    yield Row((Slot(str(scenario["label.maker"].value or said["no_maker"]), "plain", 5),))
    if place := scenario["label.place"].value:
        yield Row((Slot(said["place"].format(place), "plain", 5),))


def _guarantee(desk: Desk, one: Guarantee, said: Mapping[str, Any]) -> tuple[Any, ...]:
    """One guarantee beside what it is made of, as sold and of the dry char."""
    words, _, _, key = GUARANTEES[one.word]
    dry = one.dry if one.n else Printed(f"char_{one.word}_share", one.dry)
    entry = desk.results.scenario[key]
    typed = "; ".join(text for text in (entry.known, entry.source) if text) or said["unsaid"]
    origin = said["sampled"].format(one.n, one.tolerance, "s"[: one.n - 1]) if one.n else (
        typed if entry.value is not None else said["modelled"])  # fmt: skip
    return words, Printed(one.formula, one.stated), Printed(one.sold, one.as_sold), dry, origin


def _directions(desk: Desk, said: Mapping[str, Any]) -> Iterator[tuple[Any, ...]]:
    """The rate of the label and the rate allowed in three units, and the phosphate it brings."""
    figures = {**desk.results.figures, "market_label_rate": desk.results.scenario["market.label_rate"].number}
    for label, rate, *share in said["rows"]:
        cells = []
        for own in map(unit, said["rates"]):
            value = own.from_canonical(figures[rate]) * (figures[share[0]] if share else 1.0)
            formula = "*".join((f"{rate}/{own.factor!r}", *share))
            cells.append(Slot(Printed(formula, value), "n2" if value < 10 else "n0"))
        yield label, *cells


def _quoted(desk: Desk, found: Label) -> Mapping[str, str]:
    """What the sentences of the directions quote: interval, crop P removal, and the ground of one bag."""
    figures, system = desk.results.figures, desk.results.scenario.system
    covers = "not reported: no net weight is entered"
    if found.net_weight_kg is not None:
        covers = said(found.net_weight_kg / figures["label_allowed_kg_per_m2"], "m²", system)
    years = figures["label_interval_years"]
    removal = figures["label_ceiling_removal_kg_per_ha"] / years
    return {
        "years": counted(years, "years"), "covers": covers,
        "removal": said(removal, "kg/ha", system),
        "beds": said(figures["ground_covered_m2"] / HA_M2, "ha", system, 1),
    }  # fmt: skip
