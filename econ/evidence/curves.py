"""Tables over temperature, soil and pH as numpy arrays, for the model to look up or interpolate.

Arrays ascend in their first field, are read-only, and are shared: copy before you change one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from typing import Any, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from econ.errors import FactorError
from econ.evidence.facts import FOLDER, ORIGIN, Row, Sourced, check_range, read_rows, shipped_sources
from econ.fields import field, fields, record

Numbers: TypeAlias = NDArray[np.float64]
Kind = TypeVar("Kind", bound="Curve")


def _read_only(found: Numbers) -> Numbers:
    found.setflags(write=False)
    return found


def _column(rows: Sequence[Row], name: str, most: float = np.inf, scale: float = 1.0) -> Numbers:
    """Return a read-only column, every number of which lies in 0..most, times scale."""
    found = np.array([row.number(name) for row in rows])
    for row, number in zip(rows, found, strict=True):
        if not 0 <= number <= most:
            raise FactorError(f"{row.where}: {name} {number:g} is outside 0 to {most:g}")
    return _read_only(found * scale)


def _shares(rows: Sequence[Row], *names: str) -> Numbers:
    """Return columns of shares, a row each; one alone as it is."""
    found = np.array([_column(rows, name, most=1.0) for name in names])
    return _read_only(found if len(names) > 1 else found[0])


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
    return _read_only(np.array(lower[1:-1]))


def _ranged(rows: Sequence[Row], name: str) -> Numbers:
    for row in rows:
        check_range(row.where, row.number(name), row.number("low"), row.number("high"))
    return _shares(rows, name)


def of(read: Callable[..., Any], *columns: str) -> dict[str, Any]:
    """What a field is read by, and of which columns; of the one of its own name where none are named."""
    return {"read": read, "columns": columns}


@record(frozen=True, kw_only=True)
class Curve:
    """A table with the origins of its rows."""

    origins: tuple[Sourced, ...]

    @classmethod
    def plan(cls) -> dict[str, tuple[str, ...]]:
        """The columns of each field, in the order of the file."""
        return {one.name: one.metadata["columns"] or (one.name,) for one in fields(cls) if one.metadata}


@record(frozen=True, kw_only=True)
class Retention(Curve):
    """What of the bone stays in the char, by peak temperature: the house model, not a published table.

    peak_c [°C], 300 to 900; residue_frac [kg/kg protein]; mineral_kept_frac [kg/kg ash]; residue_c_frac organic
    carbon [kg/kg residue]; carbonate_kept_frac [kg/kg of the CO2 in raw ash, factor ash_co2]. Fat and water leave
    entirely; phosphorus and calcium stay entirely.
    """

    peak_c: Numbers = field(metadata=of(_axis))
    residue_frac: Numbers = field(metadata=of(_shares))
    mineral_kept_frac: Numbers = field(metadata=of(_shares))
    residue_c_frac: Numbers = field(metadata=of(_shares))
    carbonate_kept_frac: Numbers = field(metadata=of(_shares))


@record(frozen=True, kw_only=True)
class Steam(Curve):
    """Heat to turn water of 20 °C into steam at one atmosphere, at_c [°C] 100 to 1000, heat_mj [MJ/kg]."""

    at_c: Numbers = field(metadata=of(_axis))
    heat_mj: Numbers = field(metadata=of(lambda rows, name: _column(rows, name, scale=1e-3), "heat_kj_per_kg"))


@record(frozen=True, kw_only=True)
class PersistenceClasses(Curve):
    """Share of organic carbon left in soil after 100 years, by class of peak temperature.

    Class i spans edges_c[i - 1] < peak <= edges_c[i] [°C]. persist_frac [kg/kg]; half_range_frac relative
    half-range (95 %).
    """

    names: tuple[str, ...] = field(metadata=of(lambda rows, name: tuple(row.slug(name) for row in rows), "name"))
    edges_c: Numbers = field(metadata=of(_edges, "above_c", "up_to_c"))
    persist_frac: Numbers = field(metadata=of(_shares))
    half_range_frac: Numbers = field(metadata=of(lambda r, name: _column(r, name, 100.0, 0.01), "half_range_pct"))


@record(frozen=True, kw_only=True)
class PersistenceBySoil(Curve):
    """Mean share left after 100 years and the scatter of one char, by class of peak temperature and soil_c [°C].

    mean_frac and one_char_sd have a row a class (low, medium, high) and a column a soil temperature.
    """

    soil_c: Numbers = field(metadata=of(_axis))
    mean_frac: Numbers = field(metadata=of(_shares, "low", "medium", "high"))
    one_char_sd: Numbers = field(metadata=of(_shares, "low_sd", "medium_sd", "high_sd"))


@record(frozen=True, kw_only=True)
class PersistenceByHc(Curve):
    """Intercept c and slope m of the share left after 100 years, c - m × H/C_org, by soil_c [°C].

    one_char_sd is the scatter of one char about the line. Valid for H/C_org [mol/mol] up to 0.7 and soil from
    5 to 25 °C.
    """

    soil_c: Numbers = field(metadata=of(_axis))
    intercept_c: Numbers = field(metadata=of(_column))
    slope_m: Numbers = field(metadata=of(_column))
    one_char_sd: Numbers = field(metadata=of(_shares))


@record(frozen=True, kw_only=True)
class SoilFactors(Curve):
    """Share of the available phosphorus that works as TSP would in year 1, by soil pH, with low and high.

    Class i spans edges_ph[i - 1] < pH <= edges_ph[i].
    """

    edges_ph: Numbers = field(metadata=of(_edges, "above_ph", "up_to_ph"))
    soil_factor: Numbers = field(metadata=of(_ranged, "soil_factor"))
    low: Numbers = field(metadata=of(_shares))
    high: Numbers = field(metadata=of(_shares))


def load(kind: type[Kind], path: Path) -> Kind:
    """The curve of a table with the columns of `kind`; FactorError by file and line."""
    plan = kind.plan()
    rows = read_rows(path, (*(column for columns in plan.values() for column in columns), *ORIGIN))
    made = {one.name: one.metadata["read"](rows, *plan[one.name]) for one in fields(kind) if one.name in plan}
    return kind(**made, origins=tuple(row.origin(shipped_sources()) for row in rows))


def _shipped(kind: type[Kind], file: str) -> Callable[[], Kind]:
    """What reads a curve that ships, once."""
    return cache(lambda: load(kind, FOLDER / file))


retention = _shipped(Retention, "retention.csv")
"""The char model: 300 to 900 °C."""
persistence_classes = _shipped(PersistenceClasses, "persistence_class.csv")
"""Classes none, low, medium and high of the inventory guidance; it has no row for bone."""
persistence_by_soil = _shipped(PersistenceBySoil, "persistence_soil.csv")
"""Means of the chars of three classes for soil of 5 to 25 °C; none of them is bone."""
persistence_by_hc = _shipped(PersistenceByHc, "persistence_hc.csv")
"""Intercepts and slopes for soil of 5 to 25 °C."""
steam = _shipped(Steam, "steam.csv")
"""Heat of steam at one atmosphere, from water of 20 °C: 100 to 1000 °C."""
soil_factors = _shipped(SoilFactors, "soil_factor.csv")
"""Soil factors by soil pH, 0 in the base above 6.1."""
