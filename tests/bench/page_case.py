"""From a slider to the new answer on the page: 2,000 simulation runs, cold and warm, in Chromium."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from chromium import browser

from econ.answer.appraisal import appraise
from econ.inputs.records import Scenario
from econ.page.document import document

PROGRAM = """() => {
  const moved = () => Object.fromEntries([[DATA.sliders[0].at, DATA.x[DATA.sliders[0].at] * 0.97]]);
  const once = () => { const start = performance.now(); answer(moved(), 2000); return performance.now() - start; };
  const first = once(), more = Array.from({length: 9}, once).sort((a, b) => a - b);
  return [first, more[4]];
}"""


def page_ms(scenario: Scenario) -> tuple[float, float]:
    """Milliseconds of the first move and of the median of nine more."""
    with browser() as found:
        tab = found.new_page()
        tab.set_content(document(appraise(scenario)))
        tab.wait_for_selector("body.live", timeout=60_000)
        cold, warm = tab.evaluate(PROGRAM)
        return float(cold), float(warm)
