"""Faults and cautions that concern several rows, or that need knowledge of the trade."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from econ import evidence
from econ.errors import InputFault
from econ.evidence import stoichiometry
from econ.scenario import checks_kiln
from econ.scenario.records import Caution, Entry, instances
from econ.scenario.rows.bones import COMPONENTS

Entries = Mapping[str, Entry]

WOOD_CHAR_C_FRAC = 0.50
"""Organic carbon above this cannot be bone char, which is some 85 to 90 % mineral."""
HIGH_C_ORG_FRAC = 0.13
HIGH_RATE_KG_PER_M2 = 0.2


def faults(entries: Entries) -> list[InputFault]:
    """Every contradiction between rows."""
    return [
        *_composition_faults(entries),
        *_share_faults(entries),
        *checks_kiln.faults(entries),
        *_phosphorus_faults(entries),
        *_carbon_faults(entries),
    ]


def warnings(entries: Entries) -> list[Caution]:
    """Every caution that the typed rows alone call for."""
    return [
        *_rough(entries),
        *_excluded_bones(entries),
        *_market(entries),
        *_carbon_cautions(entries),
        *_rate(entries),
        *checks_kiln.warnings(entries),
    ]


def _composition_faults(entries: Entries) -> Iterator[InputFault]:
    for n in instances(entries, "bones", "mass"):
        parts = [entries[f"bones.{n}.{name}_share"] for name in COMPONENTS]
        typed = [part for part in parts if not part.is_default]
        if typed and len(typed) < len(parts):
            yield InputFault(
                typed[0].where,
                f"an assay of stream {n} with {len(typed)} of 4 components",
                "water, fat, protein and ash, all four or none",
            )
        elif typed and not 0.98 <= (total := sum(part.number for part in parts)) <= 1.02:
            yield InputFault(parts[0].where, f"components that add up to {total:.1%}", "98 to 102 %")


def _share_faults(entries: Entries) -> Iterator[InputFault]:
    """Shares of the product tiers: one may be blank and takes the rest, all together make 100 %."""
    tiers = [entries[f"product.{n}.share"] for n in instances(entries, "product", "price")]
    typed = [tier for tier in tiers if tier.value is not None]
    total = sum(tier.number for tier in typed)
    blank = len(tiers) - len(typed)
    listed = ", ".join(tier.row.key for tier in tiers)
    where = tiers[0].where if tiers else "product.1.share"
    if blank > 1:
        yield InputFault(where, f"{blank} blank shares among {listed}", "at most one blank, which takes the rest")
    elif blank == 1 and total > 1 + 1e-9:
        yield InputFault(where, f"shares that add up to {total:.4g}", "no more than 100 % in the filled rows")
    elif blank == 0 and not math.isclose(total, 1.0, abs_tol=1e-6):
        yield InputFault(where, f"shares of {listed} that add up to {total:.2%}", "100 %, or one of them blank")


def _phosphorus_faults(entries: Entries) -> Iterator[InputFault]:
    entry = entries["product.available_p2o5_share"]
    if entry.value is None or entry.unit is None:
        return
    as_p_frac = entry.number / stoichiometry.P2O5_PER_P
    if as_p_frac > stoichiometry.P_IN_HYDROXYAPATITE * (1 + 1e-9):
        typed = entry.unit.from_canonical(entry.number)
        meant = (
            f"{typed:.3g} % as P2O5 ({typed / stoichiometry.P2O5_PER_P:.3g} % P): choose the unit '% P2O5'"
            if entry.unit.short == "% P"
            else "at most 42.4 % P2O5"
        )
        yield InputFault(
            entry.where,
            f"{typed:.3g} {entry.unit.name}",
            f"no more than pure bone mineral holds (18.5 % P, 42.4 % P2O5); most likely {meant}",
        )


def _carbon_faults(entries: Entries) -> Iterator[InputFault]:
    entry = entries["carbon.organic_share"]
    if entry.value is not None and entry.number >= WOOD_CHAR_C_FRAC:
        yield InputFault(
            entry.where,
            f"{entry.number:.0%} organic carbon",
            "a lab figure for bone char, usually 5 to 12 %; 60 to 90 % is wood char",
        )


def _rough(entries: Entries) -> Iterator[Caution]:
    blank = [
        entry.row.key
        for entry in entries.values()
        if entry.is_default
        and entry.has_range
        and entry.row.key != "carbon.persistence_position"
        and entry.row.key.removesuffix("_share").rpartition(".")[2] not in COMPONENTS
    ]
    if blank:
        yield Caution(
            "rough-answer",
            f"A rough answer: {len(blank)} uncertain numbers are defaults of kilncase, not yours "
            f"({', '.join(blank[:4])}{', ...' if len(blank) > 4 else ''}).",
        )


def _excluded_bones(entries: Entries) -> Iterator[Caution]:
    for n in instances(entries, "bones", "mass"):
        kind, share = entries[f"bones.{n}.kind"], entries[f"bones.{n}.excluded_share"]
        if "beef" in str(kind.value) and not (share.value or 0):
            yield Caution(
                "srm-none-excluded",
                f"Stream {n} is beef and nothing is excluded. Skull and most of the backbone of cattle of 30 "
                "months and over are specified risk material (US: 9 CFR 310.22): keep them out of the kiln "
                "unless your authority agrees. No kiln of this kind is claimed to inactivate prions.",
                share.where,
            )


def _market(entries: Entries) -> Iterator[Caution]:
    tiers = instances(entries, "product", "price")
    for n in tiers:
        limit = entries[f"product.{n}.market_limit"]
        if limit.value is None and (n != tiers[-1] or len(tiers) == 1):
            yield Caution(
                "no-market-limit",
                f"The price of tier {n} is applied to every tonne offered there: say how much sells at it.",
                limit.where,
            )


def _carbon_cautions(entries: Entries) -> Iterator[Caution]:
    organic = entries["carbon.organic_share"]
    if organic.value is not None and HIGH_C_ORG_FRAC < organic.number < WOOD_CHAR_C_FRAC:
        yield Caution(
            "organic-carbon-high",
            f"{organic.number:.1%} organic carbon is high for bone char: is it total carbon? "
            "Carbonate carbon does not count.",
            organic.where,
        )
    scope = entries["carbon.in_scope_share"]
    if scope.is_default:
        yield Caution(
            "scope-assumed",
            "All char sold or used is taken to go on field, grassland or orchard soil. "
            "Only documented tonnes may be claimed.",
            scope.where,
        )


def _rate(entries: Entries) -> Iterator[Caution]:
    rate = entries["market.label_rate"]
    if rate.value is not None and rate.number > HIGH_RATE_KG_PER_M2:
        p2o5 = rate.number * 1e4 * evidence.factor("char_p2o5").value / 100
        yield Caution(
            "rate-of-wood-char",
            f"{rate.number * 1e4:,.0f} kg of char per hectare brings about {p2o5:,.0f} kg P2O5 per hectare, "
            "decades of crop removal. Rates for wood char do not fit bone char.",
            rate.where,
        )
