"""What the lab says of the char on a dry basis, what looks wrong in it, and limits of several sets of rules."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from econ import evidence
from econ.evidence import stoichiometry
from econ.evidence.agronomy import Limit
from econ.inputs.records import RECEIVED, Caution, Line, TableData
from econ.inputs.schema import table_plans
from econ.measured.sample import Sample, sample

SHARES = ("p2o5", "available", "ca", "c_total", "c_org", "h", "n")
TRACES = ("as", "cd", "co", "cr", "cu", "hg", "mo", "ni", "pb", "se", "zn", "pah16", "pah8")
CA_PER_P_LOW, CA_PER_P_HIGH = 1.9, 2.4
"""Calcium to phosphorus of bone mineral by mass, with room for the error of a lab (2.157 if pure)."""
HIGH_C_ORG_FRAC = 0.13


@dataclass(frozen=True, slots=True)
class AssayReading:
    """The assays as read: dry values of each line by name, samples by name, and what looks wrong.

    Shares and traces [kg per kg dry char], `h_corg` [mol/mol], `ca_per_p` [kg/kg], `ph`, and `moisture` [kg
    per kg as received].
    """

    data: TableData
    dry: tuple[Mapping[str, float], ...]
    samples: Mapping[str, Sample]
    cautions: tuple[Caution, ...]


def read_assay(data: TableData) -> AssayReading:
    """The reading of assays with at least one line."""
    dry = tuple(dry_values(line) for line in data.lines)
    samples = {}
    for name in (*SHARES, *TRACES, "h_corg", "ca_per_p", "ph", "moisture"):
        found = [(at, values[name]) for at, values in enumerate(dry) if name in values]
        if found:
            samples[name] = sample([value for _, value in found], [at for at, _ in found])
    said = [
        caution for line, values in zip(data.lines, dry, strict=True) for caution in _looks_wrong(line, values)
    ]
    return AssayReading(data, dry, samples, tuple(said))


def dry_values(line: Line) -> dict[str, float]:
    """One assay on a dry basis [kg/kg]: what is stated as received divided by its dry share."""
    moisture = line.number("assay.moisture")
    dry_share = 1 - moisture if line.text("assay.basis") == RECEIVED and moisture is not None else 1.0
    found = {
        name: value / dry_share
        for name in (*SHARES, *TRACES)
        if (value := line.number(f"assay.{name}")) is not None
    }
    for name in ("moisture", "ph"):
        if (plain := line.number(f"assay.{name}")) is not None:
            found[name] = plain
    if found.get("c_org") and "h" in found:
        found["h_corg"] = (found["h"] / stoichiometry.H_G_PER_MOL) / (found["c_org"] / stoichiometry.C_G_PER_MOL)
    if found.get("p2o5") and "ca" in found:
        found["ca_per_p"] = found["ca"] / (found["p2o5"] * stoichiometry.P_PER_P2O5)
    return found


def _caution(line: Line, word: str, key: str, text: str) -> Caution:
    return Caution(f"assay-{word}", text, line.at(f"assay.{key}"))


def _looks_wrong(line: Line, dry: Mapping[str, float]) -> Iterator[Caution]:
    say = partial(_caution, line)
    p2o5, available = dry.get("p2o5"), dry.get("available")
    if p2o5 is not None and p2o5 > stoichiometry.P2O5_IN_HYDROXYAPATITE:
        yield say(
            "p2o5-high", "p2o5", f"{p2o5:.1%} P2O5 of the dry char is more than pure bone mineral holds (42.4 %)."
        )
    if p2o5 is not None and available is not None and available > p2o5 * (1 + 1e-9):
        yield say("available-above-total", "available",
                  f"{available:.1%} available P2O5 is more than the {p2o5:.1%} in total.")  # fmt: skip
    if dry.get("ca", 0.0) > stoichiometry.CA_IN_HYDROXYAPATITE:
        yield say(
            "ca-high", "ca", f"{dry['ca']:.1%} calcium is more than pure bone mineral holds (39.9 %): as CaO?"
        )
    ratio = dry.get("ca_per_p")
    if ratio is not None and not CA_PER_P_LOW <= ratio <= CA_PER_P_HIGH:
        yield say("ca-per-p", "ca", f"Calcium to phosphorus is {ratio:.2f} by mass, bone mineral has 1.9 to 2.4: "
                  "one of the two is off, or in another unit.")  # fmt: skip
    yield from _carbon_looks_wrong(say, dry)
    if dry.get("pah8", 0.0) > dry.get("pah16", 1.0) * (1 + 1e-9):
        yield say("pah", "pah8", "The sum of 8 PAH is larger than the sum of 16.")
    lime = dry.get("ca", 0.0) * stoichiometry.CAO_PER_CA
    parts = (p2o5 or 0.0) + lime + math.fsum(dry.get(name, 0.0) for name in ("c_org", "h", "n"))
    if parts > 1.03:
        yield say("adds-up", "p2o5", f"P2O5, lime, organic carbon, hydrogen and nitrogen add up to {parts:.0%}.")


def _carbon_looks_wrong(say: Callable[[str, str, str], Caution], dry: Mapping[str, float]) -> Iterator[Caution]:
    organic, total = dry.get("c_org"), dry.get("c_total")
    if organic is not None and total is not None and organic > total * (1 + 1e-9):
        yield say(
            "organic-above-total", "c_org", f"{organic:.1%} organic carbon is more than the {total:.1%} in all."
        )
    if organic is not None and organic > HIGH_C_ORG_FRAC:
        yield say("organic-carbon-high", "c_org", f"{organic:.1%} organic carbon is high for bone char: is it "
                  "total carbon? Carbonate carbon does not count.")  # fmt: skip
    limit = evidence.factor("hc_lim").value
    if dry.get("h_corg", 0.0) > limit:
        yield say("h-corg-high", "h", f"H/C_org is {dry['h_corg']:.2f}, above {limit:g}. Hydrogen of the mineral "
                  "itself can add 0.2: ask the lab to take it out.")  # fmt: skip


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
