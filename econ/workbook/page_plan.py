"""What a page of the results is: question, columns, blocks, charts and print set-up, as toml beside its module.

A page module finds rows and values by name (`Found`); the description says where they stand and how they look, and
`page_writer` writes them. `pages/README.md` says what each word of a description means. One writer of charts
(`chart_of`) for all pages: types, series, titles and axes as a description says.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import cache
from itertools import groupby, zip_longest
from pathlib import Path
from typing import Any, TypeAlias

import tomli

from econ.fields import field, record
from econ.model.ledger import Line, line
from econ.workbook.live import Printed
from econ.workbook.style import COLOURS, FACE, LEGEND, LOOKS, NO_LEGEND, NUMBERS, RIGHT, ROW, axis, title

FOLDER = Path(__file__).parent / "pages"
BLOCK = """heading band text texts look table heads head looks spans fill column note note_look empty figures
freeze repeat filter choices chart draw of place rows source above beside if unless unprinted break height"""
"""Words that a block may hold."""

Found: TypeAlias = Mapping[str, Any]
"""What a page module found: rows by the name of their table, and the values that its sentences quote."""
Area = Callable[[Mapping[str, Any], str], Any]
"""From a series and which of its cells ("category", "value") to where they stand."""
OWN = frozenset({"name", "table", "at", "category", "value", "colour", "width", "marker", "tag", "most"})
"""Words of a series that are ours; all others go to the library as they are."""


LOUD = {
    "bold": {"label": "bold_wrap", "plain": "bold", "right": "bold_right"},
    "total": {"label": "total", "plain": "total", "faint": "total_faint", "right": "total_right", "bold": "total"},
}
"""What becomes of the looks of a row that is louder than its columns."""


@record(frozen=True, slots=True)
class Figure:
    """A figure of the model with its formula, in the workbook's own units; its cell gets the figure's name."""

    key: str
    printed: Printed | None = None


@record(frozen=True, slots=True)
class Slot:
    """One cell, where its content alone does not say enough; `{row}` in a formula is the cell's own row."""

    content: Any
    look: str = ""
    """A look and a number format ("bold", "pct1", "bold pct1"); that of the column where empty."""
    span: int = 0
    """Columns that it takes; as many as its column says where 0."""
    word: str = ""
    """What stands where the number is none."""
    link: str = ""
    """Where a click leads: a page or a cell."""
    tip: str = ""
    leads: str = ""
    """A formula: a click leads to the first thing that it reads."""
    name: str = ""
    """What the workbook calls the cell."""
    edges: tuple[str, ...] = ()
    """Sides with a thick edge."""


@record(frozen=True, slots=True)
class Row:
    """One row of a table that is louder than its columns ("bold", "total"), folded, or of a height of its own."""

    cells: Sequence[Any]
    loud: str = ""
    options: Mapping[str, Any] = field(default_factory=dict)
    height: float | None = None


def sectioned(
    names: Iterable[str], row: Callable[[str, Line], Any], fold: Callable[..., Mapping[str, Any]] = lambda *_: {}
) -> Iterator[Any]:
    """A row for each figure in the order of the model, below the heading of its section."""
    ordered = sorted(names, key=lambda name: line(name).order)
    for section, found in groupby(ordered, key=lambda name: line(name).section):
        kept = list(found)
        yield Row((section,), "heading", fold(*kept))
        yield from (row(name, line(name)) for name in kept)


def paired(cells: Sequence[Sequence[Any]]) -> list[tuple[Any, ...]]:
    """Label and figure, two beside each other: the second half right of the first."""
    half = -(-len(cells) // 2)
    return [(*one, *other) for one, other in zip_longest(cells[:half], cells[half:], fillvalue=(None, None))]


@record(frozen=True, slots=True)
class Plan:
    """One page as described."""

    name: str
    question: str
    link: str
    """What the first page says of it, where it leads there."""
    widths: tuple[float, ...]
    block: tuple[Mapping[str, Any], ...]
    landscape: bool = True
    high: int = 0
    """Printed pages from top to bottom; 0 for as many as it takes."""
    one_page_rows: int = 0
    """Up to so many rows it is fitted to one page."""
    fitted: bool = False
    """Whether it is fitted to one page where its texts then still have 9 points."""
    print_columns: int = 0
    """So many columns are printed; 0 for all that have a width."""
    noise: bool = False
    """Whether remainders of adding up are shown as a plain 0."""
    words: Mapping[str, Any] = field(default_factory=dict)
    """Words that the module looks up by what it found."""


@cache
def plans() -> Mapping[str, Plan]:
    """Every description by the name of its page.

    Raises ValueError for a word that no description knows, by file and block.
    """
    found = {}
    for path in sorted(FOLDER.glob("*.toml")):
        whole = tomli.loads(path.read_text(encoding="utf-8"))
        for at, block in enumerate(whole.get("block", ()), start=1):
            looks = {look for spec in block.get("looks", ()) for look in spec.split()}
            if odd := sorted((block.keys() - set(BLOCK.split())) | (looks - LOOKS.keys() - NUMBERS.keys())):
                raise ValueError(f"{path.name}, block {at}: unknown {', '.join(odd)}")
        plan = Plan(**{**whole, "widths": tuple(whole["widths"]), "block": tuple(whole.get("block", ()))})
        found[plan.name] = plan
    return found


def page_breaks(
    heights: Mapping[int, float], tables: Mapping[int, int], breaks: Collection[int], end: int, room: float
) -> tuple[list[int], list[int]]:
    """Rows that begin a page, so that a table stands whole on one where it can; first rows of those that cannot.

    `heights` of the rows [points] that are not ROW; last rows of `tables` by their first; `breaks` as described.
    """
    found, long, used = list(breaks), [], 0.0
    for row in range(end):
        tall = math.fsum(heights.get(one, ROW) for one in range(row, tables.get(row, row) + 1))
        used = 0.0 if row in breaks else used
        if used and used + tall > room:
            if row in tables and tall <= room:
                found.append(row)
            used = used if tall > room else 0.0
        if tall > room - used:
            long.append(row)
        used = (used + heights.get(row, ROW)) % room
    return sorted(found), long


@cache
def split_look(spec: str) -> tuple[str, str]:
    """The look and the number format of a specification, each empty where it does not say."""
    words = spec.split()
    look = next((word for word in words if word in LOOKS), "")
    return look, next((word for word in words if word in NUMBERS), "")


@cache
def columns_of(looks: tuple[str, ...], spans: tuple[int, ...], loud: str) -> tuple[tuple[str, str, int], ...]:
    """Look, as loud as the row, number format and span of each column, from their specifications."""
    louder, span_of, named = LOUD.get(loud, {}), dict(enumerate(spans)), map(split_look, looks)
    return tuple(
        (louder.get(look or "plain", look or "plain"), number, span_of.get(i, 1))
        for i, (look, number) in enumerate(named)
    )


def head_look(is_first: bool, look: str) -> str:
    """The look of a head over a column of a look."""
    name = split_look(look)[0]
    if is_first or name == "label":
        return "column"
    if (name or "plain") in {*RIGHT, *RIGHT.values()}:
        return "column_right"
    return "column_beside" if name == "beside" else "column_word" if "indent" in LOOKS[name] else "column"


def merged(one: Mapping[str, Any], other: Mapping[str, Any]) -> dict[str, Any]:
    """A description with another laid over it, series by series."""
    found = dict(one)
    for key, value in other.items():
        old = found.get(key)
        if isinstance(value, Mapping) and isinstance(old, Mapping):
            found[key] = merged(old, value)
        elif key == "series" and old is not None:
            found[key] = [merged(*both) for both in zip(old, value, strict=False)]
        else:
            found[key] = value
    return found


def description(block: Mapping[str, Any], page_name: str, values: Mapping[Any, Any]) -> tuple[str, dict[str, Any]]:
    """The page that describes a chart, and the chart with what its own block and module lay over that."""
    own = merged(block.get("draw", {}), values.get(f"{block['chart']}_draw", {}))
    if "of" not in block:
        return page_name, own
    kept = (one for one in plans()[block["of"]].block if one.get("chart") == block["chart"] and "of" not in one)
    return block["of"], merged(next(kept)["draw"], own)


def chart_of(book: Any, plan: Mapping[str, Any], area: Area, say: Callable[[str], str]) -> Any:
    """A chart as described; `say` fills the values of the run into a text."""
    chart = _bare(book, plan, area, say)
    if "over" in plan:
        chart.combine(_bare(book, plan["over"], area, say))
    chart.set_title(title(say(plan["title"])))
    chart.set_x_axis(_axis(plan.get("x", {}), say))
    chart.set_y_axis(_axis(plan.get("y", {}), say))
    chart.set_legend(LEGEND if plan.get("legend") else NO_LEGEND)
    width, height = plan["size"]
    chart.set_size({"width": width, "height": height})
    return chart


def _bare(book: Any, plan: Mapping[str, Any], area: Area, say: Callable[[str], str]) -> Any:
    kind, _, subtype = plan["type"].partition(" ")
    chart = book.add_chart({"type": kind, **({"subtype": subtype} if subtype else {})})
    for one in plan["series"]:
        where = {"categories": area(one, "category"), "values": area(one, "value")}
        more = {key: value for key, value in one.items() if key not in OWN}
        tag = _tag(say(one["name"]), where["values"], one["tag"]) if one.get("tag") else {}
        chart.add_series({"name": say(one["name"]), **where, **tag, **_colour(kind, one), **_coloured(more)})
    return chart


def _tag(name: str, area: Sequence[Any], position: str) -> dict[str, Any]:
    """The name of a series beside its last point, in place of a legend."""
    _, top, left, bottom, right = area
    others = [{"delete": True}] * (bottom - top + right - left)
    custom = [*others, {"value": name}]
    return {"data_labels": {"value": True, "position": position, "custom": custom, "font": {**FACE, "size": 10}}}


def _colour(kind: str, one: Mapping[str, Any]) -> dict[str, Any]:
    """Fill of bars and columns, line and marks of the others."""
    if "colour" not in one:
        return {}
    colour = {"color": COLOURS[one["colour"]]}
    if kind in {"bar", "column"}:
        return {"fill": colour}
    mark = {"marker": {**one["marker"], "fill": colour, "border": colour}} if "marker" in one else {}
    return {"line": {**colour, "width": one.get("width", 2.25)}, **mark}


def _axis(plan: Mapping[str, Any], say: Callable[[str], str]) -> dict[str, Any]:
    """An axis with its title, which names the unit; without one, as it is described."""
    named = axis(say(plan["name"]), has_grid=plan.get("grid", False)) if "name" in plan else {}
    return {**named, **_coloured({key: value for key, value in plan.items() if key not in {"name", "grid"}})}


def _coloured(plan: Any) -> Any:
    """The same with the names of our colours made colours."""
    if isinstance(plan, Mapping):
        return {key: _coloured(value) for key, value in plan.items()}
    return COLOURS.get(plan, plan) if isinstance(plan, str) else plan
