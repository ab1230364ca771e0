"""Two pages that are the same for every plant: what to know before the first batch, and what to settle."""

from __future__ import annotations

from econ.answer.safety import advice
from econ.workbook.desk import Desk
from econ.workbook.page_plan import Found, Slot


def before_batch(desk: Desk) -> Found:
    """Hazards and rules, whatever was filled."""
    return {"known": [(known.about, known.text) for known in advice("before")]}


def to_settle(desk: Desk) -> Found:
    """Whom to ask for what by when, with a box to tick; two columns stay free for the answer."""
    return {"asked": [("☐", *asked, *[Slot(None, "input_text")] * 2) for asked in advice("settle")]}
