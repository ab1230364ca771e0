"""One writer of charts: types, series, titles and axes as a description says."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from econ.workbook.page_plan import plans
from econ.workbook.style import COLOURS, FACE, LEGEND, NO_LEGEND, axis, title

Area = Callable[[Mapping[str, Any], str], Any]
"""From a series and which of its cells ("category", "value") to where they stand."""
OWN = frozenset({"name", "table", "at", "category", "value", "colour", "width", "marker", "tag", "most"})
"""Words of a series that are ours; all others go to the library as they are."""


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
