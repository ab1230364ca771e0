"""The page of a deep run on doubt: which inputs make up the variance of the answers."""

from __future__ import annotations

import math
from typing import Any

from econ.questions.found_deep import VARIED, WORTH_NAMING, Shares
from econ.workbook.desk import VARIANCE, Desk
from econ.workbook.page_plan import Found, Row, Slot, plans

CHARTED = 12


def variance(desk: Desk) -> Found:
    """Shares of variance of three answers by input, with standard errors; a chart of two of them."""
    assert desk.results.deep is not None
    found, words = desk.results.deep.shares, plans()[VARIANCE].words
    named = found.named()
    bars = min(len(named), CHARTED)
    return {
        "base": found.base,
        "least": WORTH_NAMING,
        "answers": [("", *(Slot(words["names"][answer], "column_right", 3) for answer in VARIED), "")],
        "shares": [_row(desk, found, place) for place in named],
        "others": [Row(_others(found, named, words["others"]), "total")] if named else (),
        "npv": bool(named) and found.by_measure["npv"] is not None,
        "npv_draw": {"size": [600, 140 + 20 * bars]},
        "npv_rows": 8 + bars,
        "net": bool(named) and found.by_measure["project_net_kg_co2e"] is not None,
        "net_draw": {"size": [600, 140 + 20 * len(named)]},
        "net_rows": 8 + len(named),
    }


def _row(desk: Desk, found: Shares, place: int) -> tuple[Any, ...]:
    """Alone, in all, and the larger standard error of each answer."""
    cells: list[Any] = []
    for answer in VARIED:
        one = found.by_measure[answer]
        error = None if one is None else max(float(one.first_error[place]), float(one.total_error[place]))
        cells += (
            [math.nan, None, None] if one is None else [float(one.first[place]), float(one.total[place]), error]
        )
    return label(desk, found.groups[place]), *cells, ", ".join(found.groups[place])


def _others(found: Shares, named: list[int], words: str) -> tuple[Any, ...]:
    """The sum of all shares that are not named."""
    unnamed = [k for k in range(len(found.groups)) if k not in named]
    measures = [found.by_measure[answer] for answer in VARIED]
    sums = [one and math.fsum(float(one.first[k]) for k in unnamed) for one in measures]
    return words.format(len(unnamed)), *(cell for one in sums for cell in (one, None, None)), ""


def label(desk: Desk, keys: tuple[str, ...]) -> str:
    """The inputs that stand as one, in words."""
    return " with ".join(desk.results.scenario[key].row.label for key in keys)
