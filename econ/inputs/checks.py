"""Faults and cautions that concern several rows, or that need knowledge of the trade."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from econ import evidence
from econ.errors import InputFault
from econ.evidence.default_ranges import how_known
from econ.inputs import checks_carbon, checks_kiln, checks_matter, checks_ranges
from econ.inputs.checks_matter import COMPONENTS
from econ.inputs.checks_money import money_faults, money_warnings, option_faults, planting_faults
from econ.inputs.checks_sense import questions, quiet_zeros
from econ.inputs.records import Caution, Entry, instances

Entries = Mapping[str, Entry]

HIGH_RATE_KG_PER_M2 = 0.2
HOUSE = {
    "carbon.persistence_position",
    "bones.ash_p_share",
    "bones.ash_ca_share",
    "kiln.residue_ratio",
    "kiln.fat_drip_share",
    "finish.dust_share",
    "product.soluble_share",
}
"""Defaults that few plants can better; the count of unverified factors speaks for them."""


def faults(entries: Entries) -> list[InputFault]:
    """Every contradiction between rows."""
    return [
        *checks_matter.faults(entries),
        *_share_faults(entries),
        *_all_of_it(entries),
        *checks_kiln.faults(entries),
        *checks_carbon.faults(entries),
        *money_faults(entries),
        *option_faults(entries),
        *checks_ranges.faults(entries),
        *planting_faults(entries),
    ]


def warnings(entries: Entries) -> list[Caution]:
    """Every caution that the typed rows alone call for."""
    return [
        *questions(entries),
        *quiet_zeros(entries),
        *_rough(entries),
        *checks_matter.warnings(entries),
        *_market(entries),
        *checks_carbon.cautions(entries),
        *_rate(entries),
        *checks_kiln.warnings(entries),
        *money_warnings(entries),
        *checks_ranges.warnings(entries),
    ]


def _share_faults(entries: Entries) -> Iterator[InputFault]:
    """Shares of the product tiers: one may be blank and takes the rest, all together make 100 %."""
    tiers = [entries[f"product.{n}.share"] for n in instances(entries, "product", "price")]
    if not tiers:  # no price yet: its own row says so
        return
    typed = [tier for tier in tiers if tier.value is not None]
    total = math.fsum(tier.number for tier in typed)
    blank = len(tiers) - len(typed)
    where = tiers[0].where
    if blank > 1:
        yield InputFault(
            where, f"{blank} of {len(tiers)} tiers without their share", "at most one blank, which takes the rest"
        )
    elif blank == 1 and total > 1 + 1e-9:
        yield InputFault(where, f"shares that add up to {total:.2%}", "no more than 100 % in the filled rows")
    elif blank == 0 and not math.isclose(total, 1.0, abs_tol=1e-6):
        yield InputFault(
            where, f"shares of {len(tiers)} tier(s) that add up to {total:.2%}", "100 %, or one of them blank"
        )


def _all_of_it(entries: Entries) -> Iterator[InputFault]:
    """That all of it sells may only be said where buyers have said so: the price has evidence."""
    for n in instances(entries, "product", "price"):
        limit, price = entries[f"product.{n}.market_limit"], entries[f"product.{n}.price"]
        if limit.said and how_known(price.known) not in ("measured", "quoted"):
            yield InputFault(
                limit.where or limit.row.key,
                f"the words {limit.said!r} beside a price that is {how_known(price.known)}",
                "a price known from sales or written offers (how known: measured or quoted), or how much sells",
            )


def _rough(entries: Entries) -> Iterator[Caution]:
    blank = [
        entry.row.label
        for entry in entries.values()
        if entry.is_default
        and entry.has_range
        and entry.row.key not in HOUSE
        and entry.row.key.removesuffix("_share").rpartition(".")[2] not in COMPONENTS
    ]
    if blank:
        yield Caution(
            "rough-answer",
            f"A rough answer: {len(blank)} uncertain numbers are defaults of kilncase, not yours "
            f"({'; '.join(blank[:4])}{'; ...' if len(blank) > 4 else ''}).",
        )


def _market(entries: Entries) -> Iterator[Caution]:
    tiers = instances(entries, "product", "price")
    for n in tiers:
        limit = entries[f"product.{n}.market_limit"]
        counted = limit.value is not None or entries[f"product.{n}.customers"].value is not None
        if not counted and not limit.said and (n != tiers[-1] or len(tiers) == 1):
            yield Caution(
                "no-market-limit",
                f"The price of tier {n} is applied to every tonne offered there: say how much sells at it.",
                limit.where,
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
