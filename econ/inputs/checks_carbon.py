"""Faults and cautions on what may be claimed about carbon, from the typed rows alone."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Iterator, Mapping

from econ import evidence
from econ.errors import InputFault
from econ.inputs.defaults import C_PER_CACO3
from econ.inputs.records import Caution, Entry

Entries = Mapping[str, Entry]

WOOD_CHAR_C_FRAC = 0.50
"""Organic carbon above this cannot be bone char, which is some 85 to 90 % mineral."""
HIGH_C_ORG_FRAC = 0.13
MANURE_SLACK_FRAC = 0.005
HOT_PEAK_C = 700.0
"""A peak typed in °C above this may be one in °F: 900 °F is 482 °C."""
WARM_SOIL_C = 30.0
WOOD_STACK_CH4 = 0.03
"""Methane of a wood kiln is of this size per kg of char, several times what it is per kg of gas [kg/kg]."""
CLAIMS = re.compile(r"\b(offset\w*|carbon[ -]negative|carbon[ -]neutral\w*|net[ -]zero)\b", re.IGNORECASE)
END_USES = ("beds", "blends", "other")


def _assay(entries: Entries) -> tuple[Entry, Entry, Entry]:
    organic, total, carbonate = (entries[f"carbon.{name}_share"] for name in ("organic", "total", "caco3"))
    return organic, total, carbonate


def faults(entries: Entries) -> Iterator[InputFault]:
    """What no bone char can hold, and shares of end use above the whole."""
    yield from _organic_faults(entries)
    yield from _date_faults(entries)
    organic, total, carbonate = _assay(entries)
    if carbonate.value is not None and total.value is not None and carbonate.number * C_PER_CACO3 > total.number:
        yield InputFault(
            carbonate.where,
            f"carbonate that holds {carbonate.number * C_PER_CACO3:.2%} carbon",
            f"no more than the total carbon ({total.number:.2%})",
        )
    elif organic.value is not None and total.value is not None and organic.number > total.number * (1 + 1e-9):
        yield InputFault(
            organic.where, f"{organic.number:.2%} organic carbon", f"no more than the total ({total.number:.2%})"
        )
    uses = [entries[f"carbon.{name}_share"] for name in END_USES]
    scope = entries["carbon.in_scope_share"]
    if not scope.is_default:
        uses.append(scope)
    whole = math.fsum(use.number for use in uses if use.value is not None)
    if whole > 1 + 1e-9:
        yield InputFault(uses[-1].where, f"end uses that add up to {whole:.1%}", "no more than 100 %")


def _date_faults(entries: Entries) -> Iterator[InputFault]:
    """The date on which the method was fixed, where it is none."""
    entry = entries["claim.method_date"]
    try:
        dt.date.fromisoformat(str(entry.value or "2000-01-01")[:10])
    except ValueError:
        yield InputFault(
            entry.where, f"the text {str(entry.value)[:40]!r}", "a date as year-month-day: 2026-01-31"
        )


def _organic_faults(entries: Entries) -> Iterator[InputFault]:
    organic = entries["carbon.organic_share"]
    if organic.value is None:
        return
    manure = evidence.factor("ipcc_fc_manure").value
    if organic.number >= WOOD_CHAR_C_FRAC:
        yield InputFault(
            organic.where,
            f"{organic.number:.0%} organic carbon",
            "a lab figure for bone char, usually 5 to 12 %; 60 to 90 % is wood char",
        )
    elif abs(organic.number - manure) <= MANURE_SLACK_FRAC:
        yield InputFault(
            organic.where,
            f"{organic.number:.0%} organic carbon, the table's default for char of manure",
            "a lab figure for bone char, usually 5 to 12 %; bone has no row in that table",
        )


def cautions(entries: Entries) -> Iterator[Caution]:
    """What a reviewer would frown at."""
    yield from _organic_cautions(entries)
    scope = entries["carbon.in_scope_share"]
    if scope.is_default:
        yield Caution(
            "scope-assumed",
            "All char sold or used is taken to go on field, grassland or orchard soil. "
            "Only documented tonnes may be claimed.",
            scope.where,
        )
    yield from _temperatures(entries)
    stack = entries["carbon.stack_ch4"]
    if not stack.is_default and stack.number >= WOOD_STACK_CH4:
        yield Caution(
            "stack-methane-per-kg",
            f"{stack.number * 1000:,.0f} g methane per kg of gas-forming matter: figures of wood kilns are per kg "
            "of char, and bone gives far less gas per kg of char. Use 0.1 to 8.5, or a stack test.",
            stack.where,
        )
    for entry in entries.values():
        words = [entry.source, entry.remark, str(entry.value) if entry.row.kind == "text" else ""]
        if claim := next((found for text in words if (found := CLAIMS.search(text or ""))), None):
            yield Caution(
                "claim-wording",
                f"{claim[0]!r} is a claim that these figures cannot carry: avoided emissions are no removal, "
                "and neither is a credit before it is verified.",
                entry.where,
            )
            return


def _organic_cautions(entries: Entries) -> Iterator[Caution]:
    organic, total, carbonate = _assay(entries)
    if organic.value is not None and HIGH_C_ORG_FRAC < organic.number < WOOD_CHAR_C_FRAC:
        yield Caution(
            "organic-carbon-high",
            f"{organic.number:.1%} organic carbon is high for bone char: is it total carbon? "
            "Carbonate carbon does not count.",
            organic.where,
        )
    if total.value is None:
        return
    if organic.value is None:
        yield Caution(
            "total-carbon-alone",
            "Total carbon alone is not used: it holds carbonate carbon. Have carbonate measured too.",
            total.where,
        )
    elif carbonate.value is None and organic.number >= total.number * (1 - 1e-9):
        yield Caution(
            "total-taken-for-organic",
            "Organic carbon equals total carbon: bone char always holds carbonate, commonly 1 % of its mass as "
            "carbon. The removal is overstated by a tenth or so.",
            organic.where,
        )


def _temperatures(entries: Entries) -> Iterator[Caution]:
    peak, soil = entries["kiln.peak_temperature"], entries["carbon.soil_temperature"]
    if not peak.is_default and peak.unit and peak.unit.short == "degC" and peak.number > HOT_PEAK_C:
        as_f = (peak.number - 32) / 1.8
        yield Caution(
            "peak-unit",
            f"{peak.number:,.0f} °C is very hot for bone char. If it was read in °F it is {as_f:,.0f} °C, and the "
            "fraction remaining after 100 years of the carbon is lower.",
            peak.where,
        )
    if not soil.is_default and soil.number > WARM_SOIL_C:
        yield Caution(
            "soil-unit",
            f"Mean soil of {soil.number:,.0f} °C is hotter than any farmed soil: was it read in °F?",
            soil.where,
        )
