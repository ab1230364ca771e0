"""kilncase: what a retort kiln for butchery bones costs, yields, stores and saves.

>>> import econ
>>> plant = econ.scenario({"bones.1.mass": "1900 lb per week"}, base="thistle-flat")
>>> answer = econ.appraise(plant.with_values({"kiln.price": 42000}))
>>> answer.figures["npv"] < econ.appraise(plant).figures["npv"]
True
"""

from __future__ import annotations

TYPE_CHECKING = False  # typing itself would load: `import econ` stays cheap
if TYPE_CHECKING:
    from typing import Any

    from econ.door.answers import Answer, Plant, appraise, appraise_many, read_scenario, scenario
    from econ.workbook.results_book import write_results

    __version__: str

__all__ = ["Answer", "Plant", "appraise", "appraise_many", "read_scenario", "scenario", "write_results"]


def __getattr__(name: str) -> Any:
    """Load a name on first use, so that `import econ` stays cheap."""
    if name == "__version__":
        from importlib.metadata import version

        return version("kilncase")
    if name not in __all__:
        raise AttributeError(f"module 'econ' has no attribute {name!r}")
    from importlib import import_module

    home = "econ.workbook.results_book" if name == "write_results" else "econ.door.answers"
    globals()[name] = getattr(import_module(home), name)
    return globals()[name]
