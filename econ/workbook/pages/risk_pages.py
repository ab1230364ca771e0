"""What ranges do to the answer: each input moved alone, all at once, and the values at which the NPV is zero."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import zip_longest
from typing import Any

from econ.answer.finding import say, short_name
from econ.answer.sentences import chance
from econ.inputs.records import Entry
from econ.inputs.schema import rows
from econ.questions.found import CARBON, CARBON_PAIR, MONEY_PAIR, BreakEven, Chances, Effect, TwoWay, round_width
from econ.workbook.desk import CHANCES, EFFECTS, Desk
from econ.workbook.page_plan import Found, Row, Slot, plans
from econ.workbook.style import FACE, fitted, number_format

CHARTED = 12
NUMBER_WIDTH = 13
SIDES = ("at low", "at high")
Measure = tuple[str, str, str, float]

REACHES = (1, 1.2, 1.6, 2, 2.4, 3, 4, 5, 6, 8, 10, 20)
"""Where the axis of effects may end, times a power of ten."""


def measures(desk: Desk) -> list[Measure]:
    """The measures that the model writes: figure, label, unit, and the factor from the figure to it."""
    found = []
    for name, label, metric, scale in plans()[EFFECTS].words["measures"]:
        if name in desk.results.figures:
            unit, factor = ("$", 1.0) if metric == "$" else desk.shown_unit(metric)
            found.append((name, label, unit, scale * factor))
    return found


def answer(value: float, unit: str) -> Slot:
    """A figure in the form of its unit; a payback that does not come is never."""
    number = "money0" if unit == "$" else "n1" if unit == "years" else number_format(value, unit)
    return Slot(value, number, word="never" if unit == "years" else "")


def effects(desk: Desk) -> Found:
    """One row an input, the largest effect on NPV on top, below the row of all inputs at their value.

    NPV, its change and the payback stand first, then the remark, and the other measures right of it.
    """
    results, shown, plan = desk.results, measures(desk), plans()[EFFECTS]
    more, base = 2 * (len(shown) - 2), results.figures["npv"]
    titles = [f"{label} [{unit}]".replace("$", desk.currency) for _, label, unit, _ in shown]
    npv, change, payback, *others = (
        Slot(text, "column", 2) for text in (titles[0], f"Change of NPV [{desk.currency}]", *titles[1:])
    )
    blank = Slot(None, "column")
    typed, *rest = _sides(shown, results.figures, results.figures, base)
    return {
        "widths": (*plan.widths, *[NUMBER_WIDTH] * more, 30.0, 30.0),
        "over": [(*[blank] * 5, npv, change, payback, blank, *others, blank)],
        "base": [Row((plan.words["typed"], *[None] * 4, *typed, None, None, *rest[1], None, *rest[2]), "bold")],
        "base_heads": (*plan.words["heads"], *SIDES * 3, "Remark", *SIDES * (more // 2), "Key", "In short"),
        "base_looks": (looks := ["label", *["plain"] * 3, "faint_wrap", *["plain"] * 6, "faint_wrap",
                                 *["plain"] * more, "beside", "beside"]),
        "effects": [_row(desk, effect, shown, base) for effect in results.effects],
        "effects_looks": looks,
        "effects_draw": bars(desk, CHARTED, 1.3) if results.effects else {},
        "two_way": list(two_way(results.two_way)) if results.two_way else (),
    }  # fmt: skip


def _sides(
    shown: Sequence[Measure], low: Mapping[str, float], high: Mapping[str, float], base: float
) -> tuple[list[Slot], ...]:
    """NPV, its change, the payback, and all other measures, each at low and at high."""
    npv, payback, *others = (
        [answer(side[name] * scale, unit) for side in (low, high)] for name, _, unit, scale in shown
    )
    change = [answer(side["npv"] - base, "$") for side in (low, high)]
    return npv, change, payback, [slot for pair in others for slot in pair]


def _row(desk: Desk, effect: Effect, shown: Sequence[Measure], base: float) -> tuple[Any, ...]:
    entry, unit = effect.entry, effect.entry.unit.symbol if effect.entry.unit else ""
    npv, change, payback, others = _sides(shown, effect.at_low, effect.at_high, base)
    ends = (entry.shown(number) for number in (entry.number, entry.low, entry.high))
    edges = ", ".join(f"{entry.shown(edge):,.4g}" for edge in effect.edges)
    remark = plans()[EFFECTS].words["edges"].format(edges, unit) if edges else ""
    rest = (remark, *others, entry.row.key, _short(desk, effect))
    return effect.label, *ends, unit, *npv, *change, *payback, *rest


def _short(desk: Desk, effect: Effect) -> str:
    name = short_name(desk.results, effect.entry.row.key)
    return name[0].upper() + name[1:]


def _tight(money: float) -> str:
    """An amount in few letters, as the number format of that name shows it."""
    return f"{money / 1e6:,.2f}M" if fitted("tight", money) == "millions" else f"{money:,.0f}"


def bars(desk: Desk, most: int, margin: float) -> dict[str, Any]:
    """What the chart of effects takes from the run: NPV itself at the bar ends, and how far the axis goes.

    `margin` is the room for those labels: the axis over the longest bar. A small chart takes more.
    """
    effects, base = desk.results.effects[:most], desk.results.figures["npv"]
    sides = [[getattr(effect, side)["npv"] for effect in effects] for side in ("at_low", "at_high")]
    series = []
    for ends in sides:
        labels = [{"value": _tight(end)} if end != base else {"delete": True} for end in ends]
        said = {"value": True, "custom": labels, "position": "outside_end", "font": {**FACE, "size": 10}}
        series.append({"most": most, "category": 13 + 2 * (len(measures(desk)) - 2), "data_labels": said})
    least = margin * max(abs(end - base) for ends in sides for end in ends)
    reach = round_width(least, REACHES) if least > 0 else 1.0
    first, *more = dict.fromkeys(_short(desk, effect) for effect in effects[:2])
    says = " and ".join((first, *(name[0].lower() + name[1:] for name in more)))
    return {
        "title": plans()[EFFECTS].words["says"].format(says, "" if more else "s", desk.currency),
        "series": series,
        "x": {"min": -reach, "max": reach, "major_unit": reach / 2},
    }


def two_way(table: TwoWay) -> Iterator[Any]:
    """The two-way table: losses tinted, a thick edge where NPV changes sign, zeros between rows below."""
    across, down = (f"{one.row.label} [{one.unit.symbol}]" if one.unit else one.row.label
                    for one in (table.across, table.down))  # fmt: skip
    yield Slot(None, "column"), Slot(f"across: {across}", "column", len(table.across_steps))
    yield Slot(f"down: {down}"), *(_step(table.across, float(step)) for step in table.across_steps)
    for i, step in enumerate(table.down_steps):
        values = [float(value) for value in table.npv[i]]
        looks = ["loss money0" if value < 0 else "gain money0" for value in values]
        cells = zip(values, looks, (_edges(table, i, j) for j in range(len(values))), strict=True)
        yield _step(table.down, float(step)), *(Slot(value, look, edges=sides) for value, look, sides in cells)
    zeros = [math.nan if math.isnan(zero) else table.down.shown(zero) for zero in table.zeros()]
    yield Slot("NPV is zero at", "total"), *(Slot(zero, "total_right", word="not in range") for zero in zeros)


def _step(entry: Entry, step: float) -> Slot:
    shown: Any = entry.shown(step)
    return Slot(shown, f"column_right {number_format(shown, '')}")


def _edges(table: TwoWay, i: int, j: int) -> tuple[str, ...]:
    """The sides of cell (i, j) on which the zero line runs."""
    is_loss = table.npv < 0
    rows, columns = is_loss.shape
    beside = {"top": (i - 1, j), "bottom": (i + 1, j), "left": (i, j - 1), "right": (i, j + 1)}
    there = {side: at for side, at in beside.items() if 0 <= at[0] < rows and 0 <= at[1] < columns}
    return tuple(side for side, at in there.items() if is_loss[i, j] != is_loss[at])


def chances(desk: Desk) -> Found:
    """The finding, probabilities, percentiles, convergence, and what the runs were drawn from."""
    found, results, words = desk.results.chances, desk.results, plans()[CHANCES].words
    last = found.quantiles[-1][0], found.quantiles[0][0]
    return {
        "stream": words[found.sampling.stream],
        "finding": say(results, "finding"),
        "beside": " ".join((say(results, "headline"), say(results, "wider"))).strip(),
        "facts": list(_facts(desk)),
        "chances": list(_chances(desk, found, words)),
        "money": list(_spreads(desk, MONEY_PAIR, is_carbon=False)),
        "money_ends": MONEY_PAIR,
        "carbon": list(_spreads(desk, CARBON_PAIR, is_carbon=True)),
        "carbon_ends": CARBON_PAIR,
        "made_of": [
            ((entry := results.scenario[key]).row.label, entry.number, low, high, entry.low, entry.high)
            for key, (low, high) in results.headline.made_of.items()
        ],
        "so_far": [(f"{samples:,} runs", share, math.sqrt(share * (1 - share) / samples))
                   for samples, share in found.so_far],
        "drawn": [(text,) for text in _drawn(desk, found, words)],
        "bars": [
            ((bar.start + bar.end) / 2, bar.start, bar.end,
             *((bar.share, None) if bar.end <= 0 else (None, bar.share)))
            for bar in found.bars
        ],
        "loss": chance(found.loss, found.sampling.samples),
        "histogram_draw": {"x": {"interval_unit": max(1, len(found.bars) // 6)}},
        "quantiles": found.quantiles,
        "cumulative_draw": {"x": {"max": 0} if last[0] < 0 else {"min": 0} if last[1] > 0 else {}},
    }  # fmt: skip


def _facts(desk: Desk) -> Iterator[tuple[Any, ...]]:
    """The deciding facts: settled or open, and what each open one does to the mean NPV."""
    said, found = {True: "yes", False: "no"}, desk.results.finding.deciding
    for one in found.standings:
        turns = "only with others" if found.together and one.swing else said[one.can_turn]
        label = Slot(one.fact.label[0].upper() + one.fact.label[1:], "bold" if one.can_turn else "")
        means: list[Any] = [look.mean for look in one.at or ()] or [None, None]
        yield label, said[one.is_settled], *means, turns, one.fact.settle


def _chances(desk: Desk, found: Chances, words: Mapping[str, Any]) -> Iterator[tuple[Any, ...]]:
    """The four probabilities, each with what it counts."""
    agree = words["agree"].format(chance(found.loss, found.sampling.samples))
    said = {
        "error": words["error"].format(found.loss_error) if found.loss_error else agree,
        "span": desk.span, "rival": words[found.decisive],
        "known": 1 - found.spreads["project_net_kg_co2e"].withheld_frac,
    }  # fmt: skip
    for name, label, counted in words["chances"]:
        yield label, getattr(found, name), counted.format_map(said)


def _spreads(desk: Desk, ends: tuple[float, float], is_carbon: bool) -> Iterator[tuple[Any, ...]]:
    """Mean, low, median and high of each measure, how often it is not reported, and its value as typed."""
    for name, label, unit, scale in measures(desk):
        if (name in CARBON) == is_carbon:
            one = desk.results.chances.spreads[name]
            values = (one.mean, *one.pair(ends), desk.results.figures[name])
            *spread, typed = (answer(value * scale, unit) for value in values)
            label = f"{label} [{unit.replace('$', desk.currency)}]"
            yield label, *spread, Slot(one.withheld_frac, "pct1"), typed


def _drawn(desk: Desk, found: Chances, words: Mapping[str, Any]) -> Iterator[str]:
    """What was drawn: how many inputs of which shape, those of another shape, the pairs."""
    labels = {key: entry.row.label for key, entry in desk.results.scenario.entries.items()}
    shapes = {option.slug: option.label for option in rows()["ranges.special.1.shape"].choices}
    for shape in dict.fromkeys(found.shapes.values()):
        keys = [key for key, own in found.shapes.items() if own == shape]
        named = f": {', '.join(labels[key] for key in keys)}" if len(keys) <= 4 else ""
        yield words["few"].format(len(keys), shapes[shape], named, "" if len(keys) == 1 else "s")
    for pair in found.pairs:
        yield words["pair"].format(labels[pair.first], labels[pair.second], pair.correlation)
    if not found.pairs:
        yield words["no_pairs"]
    yield words["held"]


def break_even(desk: Desk) -> Found:
    """One row a lever: its value, where the NPV is zero, the range that was searched."""
    return {"levers": [row for found in desk.results.breakeven for row in _levers(desk, found)]}


def _levers(desk: Desk, found: BreakEven) -> Iterator[tuple[Any, ...]]:
    """The lever on one row, and a row more for each further value; a fuel's price in the measure typed."""
    unit, factor = desk.shown_unit(found.unit)
    entry = desk.results.scenario[f"fuel.{desk.results.plan.fuels[0]}.price"]
    if found.name == "fuel_price" and found.unit != "share" and entry.unit is not None:
        unit, factor = entry.unit.symbol, 1 / entry.unit.factor
    jumps = ["the answer jumps across here" if one and len(found.values) > 1 else "" for one in found.jumps]
    values: list[Any] = [value * factor for value in found.values] or ["none in range"]
    first, *more = zip_longest(values, jumps, fillvalue="")
    typed, *ends = (one * factor for one in (found.value, found.lowest, found.highest))
    yield found.label, typed, first[0], *ends, unit, first[1] or found.words
    for value, words in more:
        yield None, None, value, None, None, None, words or None
