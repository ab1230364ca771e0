"""Tables over temperature, soil and pH as numpy arrays, for the model to look up or interpolate.

Arrays ascend in their first field, are read-only, and are shared: copy before you change one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from econ.errors import FactorError
from econ.evidence.facts import FOLDER, ORIGIN, Origin, Row, read_rows, shipped_sources

Numbers: TypeAlias = NDArray[np.float64]

RETENTION = ("peak_c", "residue_frac", "mineral_kept_frac", "residue_c_frac", "carbonate_kept_frac", *ORIGIN)
CLASSES = ("name", "above_c", "up_to_c", "persist_frac", "half_range_pct", *ORIGIN)
BY_SOIL = ("soil_c", "low", "medium", "high", "low_sd", "medium_sd", "high_sd", *ORIGIN)
HC = ("soil_c", "intercept_c", "slope_m", "one_char_sd", *ORIGIN)
STEAM = ("at_c", "heat_kj_per_kg", *ORIGIN)
SOIL = ("above_ph", "up_to_ph", "soil_factor", "low", "high", *ORIGIN)


@dataclass(frozen=True)
class Retention:
    """What of the bone stays in the char, by peak temperature: the house model, not a published table.

    peak_c [°C], 300 to 900; residue_frac [kg residue/kg protein]; mineral_kept_frac [kg/kg ash];
    residue_c_frac organic carbon [kg/kg residue]; carbonate_kept_frac [kg/kg of the CO2 in raw ash,
    which is the factor ash_co2]. Fat and water leave entirely; phosphorus and calcium stay entirely.
    """

    peak_c: Numbers
    residue_frac: Numbers
    mineral_kept_frac: Numbers
    residue_c_frac: Numbers
    carbonate_kept_frac: Numbers
    origins: tuple[Origin, ...]


@dataclass(frozen=True)
class Steam:
    """Heat to turn water of 20 °C into steam at one atmosphere, at_c [°C] 100 to 1000, heat_mj [MJ/kg]."""

    at_c: Numbers
    heat_mj: Numbers
    origins: tuple[Origin, ...]


@dataclass(frozen=True)
class PersistenceClasses:
    """Share of organic carbon left in soil after 100 years, by class of peak temperature.

    Class i spans edges_c[i - 1] < peak <= edges_c[i] [°C]: a temperature on an edge takes the lower class.
    persist_frac [kg/kg]; half_range_frac relative half-range (95 %) of persist_frac.
    """

    names: tuple[str, ...]
    edges_c: Numbers
    persist_frac: Numbers
    half_range_frac: Numbers
    origins: tuple[Origin, ...]

    def index(self, peak_c: ArrayLike) -> NDArray[np.intp]:
        """Return the class of each peak temperature [°C], 0 for char that is not hot enough to count."""
        return np.searchsorted(self.edges_c, np.asarray(peak_c, dtype=float), side="left")


@dataclass(frozen=True)
class PersistenceBySoil:
    """Mean share left after 100 years and the scatter of one char, by class of peak temperature and soil_c [°C].

    mean_frac and one_char_sd have a row a class (low, medium, high) and a column a soil temperature.
    """

    soil_c: Numbers
    mean_frac: Numbers
    one_char_sd: Numbers
    origins: tuple[Origin, ...]


@dataclass(frozen=True)
class PersistenceByHc:
    """Intercept c and slope m of the share left after 100 years, c - m × H/C_org, by soil_c [°C].

    one_char_sd is the scatter of one char about the line. Valid for H/C_org [mol/mol] up to 0.7 and soil from
    5 to 25 °C.
    """

    soil_c: Numbers
    intercept_c: Numbers
    slope_m: Numbers
    one_char_sd: Numbers
    origins: tuple[Origin, ...]


@dataclass(frozen=True)
class SoilFactors:
    """Share of the available phosphorus that works as TSP would in year 1, by soil pH, with low and high.

    Class i spans edges_ph[i - 1] < pH <= edges_ph[i].
    """

    edges_ph: Numbers
    soil_factor: Numbers
    low: Numbers
    high: Numbers
    origins: tuple[Origin, ...]


def _column(rows: Sequence[Row], name: str, *, most: float = np.inf, scale: float = 1.0) -> Numbers:
    """Return a read-only column, every number of which lies in 0..most, times scale."""
    found = np.array([row.number(name) for row in rows])
    for row, number in zip(rows, found, strict=True):
        if not 0 <= number <= most:
            raise FactorError(f"{row.where}: {name} {number:g} is outside 0 to {most:g}")
    found *= scale
    found.setflags(write=False)
    return found


def _axis(rows: Sequence[Row], name: str) -> Numbers:
    found = _column(rows, name)
    if np.any(np.diff(found) <= 0):
        raise FactorError(f"{rows[0].where}: {name} does not ascend")
    return found


def _edges(rows: Sequence[Row], above: str, up_to: str) -> Numbers:
    """Return the inner edges of classes that must follow each other without a gap, from -inf to inf."""
    spans = [row.between(above, up_to) for row in rows]
    lower = [-np.inf, *(span[1] for span in spans)]
    upper = [*(span[0] for span in spans), np.inf]
    if lower != upper:
        raise FactorError(f"{rows[0].where}: the classes of {above} leave a gap or overlap")
    edges = np.array(lower[1:-1])
    edges.setflags(write=False)
    return edges


def _origins(rows: Sequence[Row]) -> tuple[Origin, ...]:
    return tuple(row.origin(shipped_sources()) for row in rows)


def load_retention(path: Path) -> Retention:
    """Return the char model from a table with RETENTION columns."""
    rows = read_rows(path, RETENTION)
    residue, mineral, carbon, carbonate = (_column(rows, name, most=1.0) for name in RETENTION[1:5])
    return Retention(_axis(rows, "peak_c"), residue, mineral, carbon, carbonate, _origins(rows))


def load_steam(path: Path) -> Steam:
    """Return the heat of steam from a table with STEAM columns."""
    rows = read_rows(path, STEAM)
    return Steam(_axis(rows, "at_c"), _column(rows, "heat_kj_per_kg", scale=1e-3), _origins(rows))


def load_persistence_classes(path: Path) -> PersistenceClasses:
    """Return the classes of peak temperature from a table with CLASSES columns."""
    rows = read_rows(path, CLASSES)
    return PersistenceClasses(
        tuple(row.slug("name") for row in rows),
        _edges(rows, "above_c", "up_to_c"),
        _column(rows, "persist_frac", most=1.0),
        _column(rows, "half_range_pct", most=100.0, scale=0.01),
        _origins(rows),
    )


def load_persistence_by_soil(path: Path) -> PersistenceBySoil:
    """Return means and scatter by class and soil from a table with BY_SOIL columns."""
    rows = read_rows(path, BY_SOIL)
    means, scatter = (np.array([_column(rows, name, most=1.0) for name in BY_SOIL[at : at + 3]]) for at in (1, 4))
    for found in (means, scatter):
        found.setflags(write=False)
    return PersistenceBySoil(_axis(rows, "soil_c"), means, scatter, _origins(rows))


def load_persistence_by_hc(path: Path) -> PersistenceByHc:
    """Return intercepts, slopes and scatter from a table with HC columns."""
    rows = read_rows(path, HC)
    lines = _column(rows, "intercept_c"), _column(rows, "slope_m"), _column(rows, "one_char_sd", most=1.0)
    return PersistenceByHc(_axis(rows, "soil_c"), *lines, _origins(rows))


def load_soil_factors(path: Path) -> SoilFactors:
    """Soil factors from a table with SOIL columns."""
    rows = read_rows(path, SOIL)
    for row in rows:
        row.ranged("soil_factor", "low", "high")
    value, low, high = (_column(rows, name, most=1.0) for name in SOIL[2:5])
    return SoilFactors(_edges(rows, "above_ph", "up_to_ph"), value, low, high, _origins(rows))


@cache
def retention() -> Retention:
    """Return the char model that ships: 300 to 900 °C."""
    return load_retention(FOLDER / "retention.csv")


@cache
def persistence_classes() -> PersistenceClasses:
    """Classes none, low, medium and high of the inventory guidance; it has no row for bone."""
    return load_persistence_classes(FOLDER / "persistence_class.csv")


@cache
def persistence_by_soil() -> PersistenceBySoil:
    """Return means of the chars of three classes for soil of 5 to 25 °C; none of them is bone."""
    return load_persistence_by_soil(FOLDER / "persistence_soil.csv")


@cache
def persistence_by_hc() -> PersistenceByHc:
    """Return intercepts and slopes for soil of 5 to 25 °C."""
    return load_persistence_by_hc(FOLDER / "persistence_hc.csv")


@cache
def steam() -> Steam:
    """Heat of steam at one atmosphere, from water of 20 °C: 100 to 1000 °C."""
    return load_steam(FOLDER / "steam.csv")


@cache
def soil_factors() -> SoilFactors:
    """Soil factors by soil pH, 0 in the base above 6.1."""
    return load_soil_factors(FOLDER / "soil_factor.csv")
