"""What the kiln log says: yield, fuel and hours of a firing and of a tonne, and their trends."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from econ.inputs.records import Line, TableData
from econ.measured.sample import Sample, Trend, sample, trends

KG_PER_T = 1000.0
FUELS = (1, 2, 3)
USED = ("hours", *(f"fuel_{n}" for n in FUELS))


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
        """How many firings are in the log; a line without a number tells of a month without any."""
        return len(
            [line for line in self.data.lines if any(isinstance(one, float) for one in line.values.values())]
        )

    @property
    def dates(self) -> tuple[str, str] | None:
        """The first and the last date, or None where no firing has one."""
        found = sorted(text for line in self.data.lines if (text := line.text("log.date")))
        return (found[0], found[-1]) if found else None


def read_log(data: TableData) -> LogReading:
    """The reading of a log with at least one line."""
    measured = [_values(line) for line in data.lines]
    samples = {}
    for name in measured[0]:
        found = [(at, value) for at, values in enumerate(measured) if (value := values[name]) is not None]
        if found:
            samples[name] = sample([value for _, value in found], [at for at, _ in found])
    told: list[Trend] = []
    for name in ("yield", *USED):
        if name in samples:
            told += _trends(data, name, samples[name])
    pairs = [(char, bones) for line in data.lines
             if (char := dry_char_kg(line)) is not None and (bones := line.number("log.bones_in"))]  # fmt: skip
    totals = math.fsum(char for char, _ in pairs) / math.fsum(bones for _, bones in pairs) if pairs else None
    return LogReading(data, samples, tuple(told), totals)


def dry_char_kg(line: Line) -> float | None:
    """Char of a firing less its water [kg]; a blank water content means dry."""
    char = line.number("log.char_out")
    return None if char is None else char * (1 - (line.number("log.char_moisture") or 0.0))


def _values(line: Line) -> dict[str, float | None]:
    """Every measure of one firing by name, None where it was not measured."""
    bones, char, moisture = line.number("log.bones_in"), dry_char_kg(line), line.number("log.bones_moisture")
    share = None if char is None or not bones else char / bones
    of_dry = None if share is None or moisture is None else share / (1 - moisture)
    found = {"yield": share, "yield_of_dry": of_dry, "load": bones, "peak": line.number("log.peak")}
    for name in USED:
        used = found[name] = line.number(f"log.{name}")
        found[f"{name}_per_t"] = None if used is None or not bones else used / (bones / KG_PER_T)
    return found


def _trends(data: TableData, name: str, found: Sample) -> tuple[Trend, ...]:
    lines = [data.lines[at] for at in found.lines]
    over = {
        "load": [line.number("log.bones_in") for line in lines],
        "peak": [line.number("log.peak") for line in lines],
    }
    return trends(name, found.values, over)
