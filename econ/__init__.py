"""kilncase: what a retort kiln for butchery bones costs, yields, stores and saves.

>>> import econ
>>> results = econ.appraise(econ.read_scenario("my-plant.xlsx"))  # doctest: +SKIP
>>> econ.write_results(results, "my-plant.results.xlsx")  # doctest: +SKIP
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from econ.answer.appraisal import appraise as appraise
    from econ.workbook.read import read_scenario as read_scenario
    from econ.workbook.results_book import write_results as write_results

_HOMES = {
    "appraise": "econ.answer.appraisal",
    "read_scenario": "econ.workbook.read",
    "write_results": "econ.workbook.results_book",
}

__all__ = ["appraise", "read_scenario", "write_results"]


def __getattr__(name: str) -> Any:
    """Load one of the three steps on first use, so that `import econ` stays cheap."""
    if name not in _HOMES:
        raise AttributeError(f"module 'econ' has no attribute {name!r}")
    from importlib import import_module

    module = import_module(_HOMES[name])
    globals()[name] = getattr(module, name)
    return globals()[name]
