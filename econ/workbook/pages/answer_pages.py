"""The first page, with what must be true; hazards and whom to ask; the inputs as the model read them; sources."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from econ.answer import finding
from econ.answer.practice import advice, own_measure
from econ.answer.results import NET, NPV, heaviest
from econ.answer.sentences import amount
from econ.evidence.factors import ENDS, Used, factor
from econ.inputs.records import Entry
from econ.inputs.schema import sheets
from econ.model.evaluate import facts_read
from econ.units import Unit, in_system, shown_label
from econ.workbook.desk import ANSWER, INPUTS, PRINT_SET, SOURCES, TRACING, Desk
from econ.workbook.live import Printed, defined_name, times
from econ.workbook.marks import AS_RUN, CHANGED, FIXED, FIXED_CHANGED, MARK
from econ.workbook.page_plan import Found, Row, Slot, paired, plans
from econ.workbook.pages.cash_rows import chart_ranges
from econ.workbook.pages.risk_pages import bars
from econ.workbook.style import number_format
from econ.workbook.trace import coefficient_words

CAUTIONS_SHOWN, EFFECTS_SHOWN, MUSTS_SHOWN = 3, 5, 5
FIRM = ("headline", "carbon-finding", "deep", "plans")
"""Sentences below the numbers."""
FIRST_FACT = 9
"""The row of the first fact on the page of sources, as cells name it."""
FIRST_INPUT = 7
"""The first row below the heads on the page of inputs, as cells name it."""
MODEL, AS_TYPED, LAST = 7, 12, 15
"""Columns: the number in the model's unit, and from where to where value, unit and range stand as run."""
DIFFERS = "IF(AND(B{row}=M{row},C{row}=N{row},D{row}=O{row},E{row}=P{row},ISBLANK(B{row})=ISBLANK(M{row})),0,1)"
"""1 where value, unit, low or high is not that of the run; a zero typed into a blank cell counts."""


def answer(desk: Desk) -> Found:
    """What a narrow screen shows first is the finding and its three numbers; one printed page holds the rest."""
    results, words = desk.results, plans()[ANSWER].words
    cautions, more = results.cautions, len(results.cautions) - CAUTIONS_SHOWN
    firm = *(finding.say(results, name) for name in FIRM), f"All NPV {finding.say(results, 'terms')}."
    return {
        "finding": finding.say(results, "finding"),
        "firm": " ".join(filter(None, firm)),
        "numbers": list(_numbers(desk, words)),
        "glance": paired([_glance(desk, name, plan) for name, plan in words["glance"].items()]),
        "must": list(_must(desk, words)),
        "effects_draw": bars(desk, EFFECTS_SHOWN, 2.2) if results.effects else {},
        "cautions": [caution.text for caution in cautions[:CAUTIONS_SHOWN]],
        "more": words["read_on"].format(more) if more > 0 else "Contents",
        "set": _links(desk, PRINT_SET[1:], 4, lambda name: name),
        "tracing": _links(desk, TRACING, 2, lambda name: f"{name}: {plans()[name].link}"),
        **chart_ranges(desk),
        "cash_draw": {"x": {"max": results.plan.years}},
    }


def _numbers(desk: Desk, words: Mapping[str, Any]) -> Iterator[Row]:
    """Three large numbers with their labels below; each leads to where it is computed."""
    found, where = desk.results.headline, desk.names["the_npv"]
    npv = Slot(Printed("the_npv", found.typed), "figure money0", link=where, tip=f"to {where}")
    low, high = (finding.money(desk.results, end).partition(" ")[0] for end in (found.p10, found.p90))
    loss = finding.loss_words(desk.results).replace("more than ", "> ").replace("less than ", "< ")
    texts = (f"{low} to {high}", loss)
    yield Row((npv, *texts), height=27)
    said = {"span": desk.span, "currency": desk.currency}
    labels = [words[name].format(**said) for name in ("npv", "range", "loss")]
    yield Row([Slot(label, "figure_label") for label in labels], height=28)


def _glance(desk: Desk, name: str, plan: Mapping[str, Any]) -> tuple[Any, ...]:
    """Another figure of the answer, live."""
    formula, value, unit = desk.amount(name, plan.get("unit", ""), plan.get("scale", 1.0))
    label = plan["label"].format(currency=desk.currency)
    where = desk.names.get(defined_name(name), f"'{plan['page']}'!A1")
    shown = value if value == value else plan.get("none", "not reported")
    content = Printed(formula, shown) if value == value or "none" in plan else shown
    look = plan.get("number", "") if value == value else "right"
    return f"{label} [{unit}]" if "unit" in plan else label, Slot(content, look, link=where)


def _must(desk: Desk, words: Mapping[str, Any]) -> Iterator[tuple[str, ...]]:
    """What must be true, one lever at a time: first those whose break-even is near."""
    for one in sorted(finding.must_be_true(desk.results), key=lambda one: one.far)[:MUSTS_SHOWN]:
        even = words["not_in_range"] if one.even is None else f"{amount(one.even)} {one.unit}"
        none = words["always" if desk.results.figures["npv"] >= 0 else "none_alone"]
        said = none if one.even is None else one.words.partition(" at " if one.change is None else ", to ")[0]
        yield one.label, f"{amount(one.typed)} {one.unit}", said, even


def _links(desk: Desk, names: Sequence[str], across: int, said: Any) -> list[tuple[Any, ...]]:
    """Links to the pages of these that there are, so many beside each other."""
    slots = [Slot(said(name), "link", link=f"'{name}'!A1") for name in names if name in desk.pages]
    return [tuple(slots[at : at + across]) for at in range(0, len(slots), across)]


def before_batch(desk: Desk) -> Found:
    """Hazards and rules, whatever was filled."""
    return {"known": [(about, text) for about, text, _ in advice("before")]}


def to_settle(desk: Desk) -> Found:
    """Whom to ask for what by when, with a box to tick; two columns stay free for the answer."""
    found = advice("settle", desk.results.scenario, desk.results.figures)
    return {"asked": [("☐", *asked, *[Slot(None, "input_text")] * 2) for asked in found]}


def sources(desk: Desk) -> Found:
    """How many facts were read, what moves the answers most, then one row a fact."""
    facts, words = facts_read(desk.results.scenario, desk.results.plan), plans()[SOURCES].words

    def moving(measure: str) -> str:
        return "; ".join(words["share"].format(one.label, share, one.known or words["yours"])
                         for one, share in heaviest(desk.results, measure))  # fmt: skip

    return {
        "unchecked": finding.say(desk.results, "unchecked"),
        "moving": [words["moving"].format(name, moving(one)) for one, name in ((NPV, "NPV"), (NET, "net CO2e"))],
        "facts": [_fact(fact) for fact in facts],
        "after": _unmarked,
    }


def _fact(fact: Used) -> tuple[Any, ...]:
    unit = "" if fact.unit == "-" else fact.unit.replace("m3", "m³")
    mark = fact.mark if fact.is_read else Slot(fact.mark, "mark")
    origin = (mark, fact.source.text, fact.locator, fact.note, ENDS[fact.ends], fact.read)
    return fact.label, fact.value, fact.low, fact.high, unit, *origin


def _unmarked(sheet: Any) -> None:
    """Facts are what they are, whatever is typed: only what moves the answers is of the run."""
    sheet.numbers, sheet.sentences = set(), {(3, 0), (4, 0), (5, 0)}


def inputs(desk: Desk) -> Found:
    """Every row that the model reads; cells marked live move the whole workbook when changed."""
    rows = [*_inputs(desk), *_coefficients(desk)]
    end = FIRST_INPUT + len(rows) - 1
    changed, state = (f"${column}${FIRST_INPUT}:${column}${end}" for column in ("L", "J"))
    counts = {
        1: Slot(Printed(f"SUM({changed})", 0), name=CHANGED),
        2: Slot(Printed(MARK, " "), name=AS_RUN),
        11: Slot(Printed(f'SUMIF({state},"{FIXED}",{changed})', 0), "faint n0", name=FIXED_CHANGED),
    }
    return {
        "count": [(plans()[INPUTS].words["differ"], *(counts.get(column) for column in range(1, AS_TYPED)))],
        "inputs": rows,
        "after": lambda sheet: _fold(desk, sheet),
    }


def _fold(desk: Desk, sheet: Any) -> None:
    """What a reader does not need is folded: the row as run, and the model's own units where others are shown."""
    for column in range(AS_TYPED, LAST + 1):
        sheet.set_column(column, column, plans()[INPUTS].widths[column], None, {"level": 1, "hidden": True})
    if desk.results.scenario.system == "us":
        for column in (MODEL, MODEL + 1):
            sheet.set_column(column, column, plans()[INPUTS].widths[column], None, {"hidden": True})


def _inputs(desk: Desk) -> Iterator[Any]:
    """Every filled row, and blank ones that are the same as a number, by section."""
    words, scenario = plans()[INPUTS].words, desk.results.scenario
    facts = facts_read(scenario, desk.results.plan)
    at_fact = {fact.label: at for at, fact in enumerate(facts, start=FIRST_FACT)}
    for plan in sheets():
        for section in plan.sections:
            entries = (scenario.entries.get(row.key) for row in section.rows)
            filled = [entry for entry in entries if entry is not None
                      and (entry.value is not None or entry.row.key in desk.case.blank)]  # fmt: skip
            if filled:
                yield Row((words["section"].format(plan.name, section.heading),), "heading")
            for entry in filled:
                at = at_fact.get(factor(entry.factor).label) if entry.factor else None
                known = _known(entry)
                link = Slot(known, "faint", link=f"'{SOURCES}'!A{at}", tip=words["to_source"]) if at else known
                yield (_number if entry.row.is_number else _choice)(
                    desk, entry, (link, in_system(_origin(entry), scenario.system))
                )


def _known(entry: Entry) -> str:
    """How a value is known, and what its range is where the user gave none."""
    if entry.value is None:
        return entry.said or "blank"
    words = "range by default" if entry.has_range else "held"
    return f"{entry.known or 'not said'}; {words}: {entry.range_by}" if entry.range_by else entry.known


def _origin(entry: Entry) -> str:
    """Where a value is from; of a blank row what blank means."""
    words = plans()[INPUTS].words
    blank = words["blank"].format(entry.row.if_blank or words["none"]) if entry.value is None else ""
    return "; ".join(text for text in (blank, entry.source, entry.remark) if text)


def _unit(desk: Desk, entry: Entry) -> Unit | None:
    """The unit of a row; a blank one takes that of its own kind of workbook."""
    if entry.unit is not None or entry.value is not None:
        return entry.unit
    first = desk.results.scenario["bones.1.mass"]
    is_us = first.unit == first.row.start_unit("us", desk.currency)
    return entry.row.start_unit("us" if is_us else "metric", desk.currency)


def _choice(desk: Desk, entry: Entry, known: tuple[Any, str]) -> tuple[Any, ...]:
    """A choice, fixed here, or a text."""
    is_choice, text = entry.row.kind == "choice", entry.words
    kept = (FIXED, entry.row.key, Printed(DIFFERS, 0), text) if is_choice else (None, entry.row.key)
    return entry.row.label, Slot(text, "plain"), None, None, None, *known, None, None, *kept


def _number(desk: Desk, entry: Entry, known: tuple[Any, str]) -> tuple[Any, ...]:
    """Value, unit and range as typed and once more as run; in the model's unit, which the formulas read."""
    key, unit = entry.row.key, _unit(desk, entry)
    state = desk.states.get(key, FIXED)
    ends = (entry.low, entry.high) if entry.has_range else (None, None)
    value, low, high = (entry.shown(one) if isinstance(one, float) else None for one in (entry.value, *ends))
    model = None
    if (number := desk.case.numbers.get(key)) is not None:
        is_free = key.endswith(".market_limit") and number == entry.row.neutral
        size = "unlimited" if is_free else number_format(number, "")
        model = Slot(Printed(canonical_formula(unit, desk.unread.get(key, "")), number), size, name=key)
    shown = None if value is None and entry.value is not None else Slot(
        value, f"{'plain' if state == FIXED else 'input'} typed")  # fmt: skip
    name = unit.name if unit else ""
    mark = (model, model_unit(unit, desk.currency), state, key, Printed(DIFFERS, 0))
    return entry.row.label, shown, name, low, high, *known, *mark, value, name, low, high


def canonical_formula(unit: Unit | None, unread: str = "") -> str:
    """The formula that carries the typed value in column B to the model's unit; `unread`: while it is blank."""
    found = "B{row}"
    if unit is not None:
        found = times(f"({found}+{unit.offset!r})" if unit.offset else found, unit.factor)
    return f'IF(B{{row}}="",{unread},{found})' if unread else found


def model_unit(unit: Unit | None, currency: str) -> str:
    """The canonical unit of a dimension in words."""
    words = plans()[INPUTS].words["canonical"]
    parts = unit.dimension.split("/") if unit else ()
    return "/".join(words.get(part, part).replace("$", currency) for part in parts)


def _coefficients(desk: Desk) -> Iterator[Any]:
    """Coefficients per kg and per unit, marked as values."""
    scenario = desk.results.scenario
    yield Row((plans()[INPUTS].words["coefficients"],), "heading")
    for name, value in desk.results.coefficients.items():
        if defined_name(name) not in desk.read:
            continue
        label, own = coefficient_words(name)
        if "measure" in own:
            own = own.replace("measure", own_measure(scenario.choice(f"fuel.{name.split('_')[1]}.kind")))
        unit, factor = desk.shown_unit(own)
        is_shown = scenario.system == "us" and value == value
        shown = (Printed(times("H{row}", factor), value * factor), unit) if is_shown else (None, None)
        kept = (Slot(value, "plain", name=name), own, "value", name)
        yield shown_label(label, scenario.system), *shown, *[None] * 4, *kept
