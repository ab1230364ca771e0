"""What the kiln log says: yield, fuel and hours of a firing and of a tonne, and their trends."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from econ.inputs.records import Line, TableData
from econ.measured.sample import Sample, Trend, sample, trends

KG_PER_T = 1000.0
FUELS = (1, 2, 3)


@dataclass(frozen=True, slots=True)
class LogReading:
    """The log as read: samples by name, trends, and the yield of all weighed firings together.

    Samples: `yield` and `yield_of_dry` [kg dry char per kg bones, raw and dry], `hours` and `fuel_n` of a
    firing, `hours_per_t` and `fuel_n_per_t` of a tonne of raw bones, `load` [kg], `peak` [°C].
    """

    data: TableData
    samples: Mapping[str, Sample]
    trends: tuple[Trend, ...]
    yield_of_totals: float | None

    @property
    def n(self) -> int:
        """How many firings are in the log."""
        return len(self.data.lines)

    @property
    def dates(self) -> tuple[str, str] | None:
        """The first and the last date, or None where no firing has one."""
        found = sorted(text for line in self.data.lines if (text := line.text("log.date")))
        return (found[0], found[-1]) if found else None


def read_log(data: TableData) -> LogReading:
    """The reading of a log with at least one line."""
    samples = {}
    for name, measure in _measures().items():
        found = [(at, value) for at, line in enumerate(data.lines) if (value := measure(line)) is not None]
        if found:
            samples[name] = sample([value for _, value in found], [at for at, _ in found])
    told: list[Trend] = []
    for name in ("yield", "hours", *(f"fuel_{n}" for n in FUELS)):
        if name in samples:
            told += _trends(data, name, samples[name])
    return LogReading(data, samples, tuple(told), _totals(data))


def _measures() -> dict[str, Callable[[Line], float | None]]:
    found: dict[str, Callable[[Line], float | None]] = {
        "yield": _yield,
        "yield_of_dry": _yield_of_dry,
        "load": lambda line: line.number("log.bones_in"),
        "peak": lambda line: line.number("log.peak"),
    }
    for name in ("hours", *(f"fuel_{n}" for n in FUELS)):
        found[name] = _of_a_firing(f"log.{name}")
        found[f"{name}_per_t"] = _of_a_tonne(f"log.{name}")
    return found


def _of_a_firing(key: str) -> Callable[[Line], float | None]:
    return lambda line: line.number(key)


def _of_a_tonne(key: str) -> Callable[[Line], float | None]:
    def measure(line: Line) -> float | None:
        used, bones = line.number(key), line.number("log.bones_in")
        return None if used is None or not bones else used / (bones / KG_PER_T)

    return measure


def dry_char_kg(line: Line) -> float | None:
    """Char of a firing less its water [kg]; a blank water content means dry."""
    char = line.number("log.char_out")
    return None if char is None else char * (1 - (line.number("log.char_moisture") or 0.0))


def _yield(line: Line) -> float | None:
    char, bones = dry_char_kg(line), line.number("log.bones_in")
    return None if char is None or not bones else char / bones


def _yield_of_dry(line: Line) -> float | None:
    raw, moisture = _yield(line), line.number("log.bones_moisture")
    return None if raw is None or moisture is None else raw / (1 - moisture)


def _totals(data: TableData) -> float | None:
    pairs = [
        (char, bones)
        for line in data.lines
        if (char := dry_char_kg(line)) is not None and (bones := line.number("log.bones_in"))
    ]
    return math.fsum(char for char, _ in pairs) / math.fsum(bones for _, bones in pairs) if pairs else None


def _trends(data: TableData, name: str, found: Sample) -> tuple[Trend, ...]:
    lines = [data.lines[at] for at in found.lines]
    over = {
        "load": [line.number("log.bones_in") for line in lines],
        "peak": [line.number("log.peak") for line in lines],
    }
    return trends(name, found.values, over)
