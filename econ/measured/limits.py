"""The lab's figures against the limits of several sets of rules; which of them hold is for the state to say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from econ import evidence
from econ.evidence.agronomy import Limit
from econ.inputs.records import Caution
from econ.inputs.schema import table_plans
from econ.measured.assay import AssayReading

REGIMES = {
    "aapfco_suip25": ("Model rule of US control officials (per 1 % P2O5)", "ask your state: many have adopted it"),
    "california": ("California (per 1 % available P2O5)", "only if sold in California"),
    "us_503": ("US biosolids rule, where a state sends organic products there", "ask your state"),
    "ebc_agro": ("European char certificate, agronomic class", "only if you certify; bones are not named"),
    "eu_pfc1": ("EU inorganic fertilisers (PFC 1(C)(I))", "only if sold in the EU"),
    "eu_cmc14": ("EU pyrolysis materials", "animal by-products are shut out of this class"),
}
"""What each set of rules is called, and whether it is yours."""

MG = 1e-6
WITHIN, ABOVE, MISSING = "within", "above the limit", "not measured"


@dataclass(frozen=True, slots=True)
class Compared:
    """One limit beside the highest of the assays, both in mg per kg of dry char.

    `allowed` is None where it hangs on a P2O5 content that was not measured, `highest` None where the
    substance was not.
    """

    limit: Limit
    allowed: float | None
    highest: float | None

    @property
    def verdict(self) -> str:
        """Within, above, or not measured."""
        if self.allowed is None or self.highest is None:
            return MISSING
        return WITHIN if self.highest <= self.allowed * (1 + 1e-9) else ABOVE

    @property
    def rules(self) -> str:
        """The set of rules in words."""
        return REGIMES[self.limit.regime][0]

    @property
    def whose(self) -> str:
        """Whether these rules are yours: who to ask."""
        return REGIMES[self.limit.regime][1]


def compared(reading: AssayReading) -> tuple[Compared, ...]:
    """Every limit beside the assays, set by set."""
    highest = {name: max(found.values) / MG for name, found in reading.samples.items()}
    content = {name: reading.samples[name].mean for name in ("p2o5", "available") if name in reading.samples}
    return tuple(
        Compared(limit, allowed_mg_per_kg(limit, content), highest.get(limit.substance.lower()))
        for limit in evidence.limits()
    )


def allowed_mg_per_kg(limit: Limit, content: Mapping[str, float]) -> float | None:
    """A limit as mg per kg of dry char, for the P2O5 contents of the char [kg/kg dry].

    Limits per 1 % of P2O5 count on the available P2O5, which is what a label guarantees, and on no less than
    the least multiplier of the rule.
    """
    if limit.basis == "product":
        return limit.value
    if limit.basis == "p2o5_kg":
        return limit.value * content["p2o5"] if "p2o5" in content else None
    if "available" not in content:
        return None
    return limit.value * max(content["available"] * 100, limit.min_p2o5_pct)


def cautions(reading: AssayReading) -> Iterator[Caution]:
    """One caution for each set of rules of which an assay passes a limit."""
    above = [one for one in compared(reading) if one.verdict == ABOVE]
    for rules, whose in dict.fromkeys((one.rules, one.whose) for one in above):
        names = ", ".join(one.limit.substance for one in above if one.rules == rules)
        yield Caution(
            "assay-above-limit",
            f"{names} of an assay is above the limit. {rules}: {whose}.",
            table_plans()["assay"].sheet,
        )
