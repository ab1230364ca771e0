"""Edges of classes that lie inside a range, where an answer jumps instead of sliding."""

from __future__ import annotations

from econ.evidence import curves, factor
from econ.inputs.records import Entry
from econ.model.plan import Plan


def edges_inside(entry: Entry, plan: Plan) -> tuple[float, ...]:
    """The class edges between low and high of an input, in its canonical unit; empty where there are none.

    Peak temperature: the edges of the classes of lasting carbon, where that method is chosen. H/C_org and
    soil temperature: the limits beyond which the other method gives no figure. A class holds its upper
    edge, so an edge counts from low (included) to high (left out).
    """
    if entry.low is None or entry.high is None:
        return ()
    return tuple(edge for edge in _edges(entry.row.key, plan) if entry.low <= edge < entry.high)


def _edges(key: str, plan: Plan) -> tuple[float, ...]:
    if key == "kiln.peak_temperature" and plan.persistence == "temperature-class":
        return tuple(float(edge) for edge in curves.persistence_classes().edges_c)
    if plan.persistence != "hydrogen-ratio":
        return ()
    if key == "carbon.h_corg":
        return (factor("hc_lim").value,)
    if key == "carbon.soil_temperature":
        soil_c = curves.persistence_by_hc().soil_c
        return float(soil_c[0]), float(soil_c[-1])
    return ()
