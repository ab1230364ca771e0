"""What the kiln log and the lab assays say: samples by name, trends, what looks wrong, limits of several rules."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from econ import evidence
from econ.evidence import substances
from econ.evidence.substances import Limit
from econ.inputs.records import RECEIVED, Caution, Line, TableData
from econ.inputs.schema import table_plans
from econ.measured.sample import Sample, Trend, sample, trends

KG_PER_T = 1000.0
FUELS = (1, 2, 3)
USED = ("hours", *(f"fuel_{n}" for n in FUELS))
SHARES = ("p2o5", "available", "ca", "c_total", "c_org", "h", "n")
TRACES = ("as", "cd", "co", "cr", "cu", "hg", "mo", "ni", "pb", "se", "zn", "pah16", "pah8")
CA_PER_P_LOW, CA_PER_P_HIGH = 1.9, 2.4
"""Calcium to phosphorus of bone mineral by mass, with room for the error of a lab (2.157 if pure)."""
HIGH_C_ORG_FRAC = 0.13
FULL = 1.03
"""Parts of a char that add up to more are not all right."""
NEAR = 1 + 1e-9


@dataclass(frozen=True, slots=True)
class LogReading:
    """The log as read: samples by name, trends, and the yield of all weighed batches together.

    Samples: `yield` and `yield_of_dry` [kg dry char per kg bones, raw and dry], `hours` and `fuel_n` of a
    batch, `hours_per_t` and `fuel_n_per_t` of a tonne of raw bones, `load` [kg], `peak` [°C].
    """

    data: TableData
    samples: Mapping[str, Sample]
    trends: tuple[Trend, ...]
    yield_of_totals: float | None

    @property
    def n(self) -> int:
        """How many batches are in the log; a line without a number tells of a month without any."""
        return len(
            [line for line in self.data.lines if any(isinstance(one, float) for one in line.values.values())]
        )

    @property
    def dates(self) -> tuple[str, str] | None:
        """The first and the last date, or None where no batch has one."""
        found = sorted(text for line in self.data.lines if (text := line.text("log.date")))
        return (found[0], found[-1]) if found else None


def read_log(data: TableData) -> LogReading:
    """The reading of a log with at least one line."""
    measured = [_of_batch(line) for line in data.lines]
    samples = _samples(measured, measured[0])
    told: list[Trend] = []
    for name in ("yield", *USED):
        if name in samples:
            lines = [data.lines[at] for at in samples[name].lines]
            over = {word: [line.number(f"log.{key}") for line in lines]
                    for word, key in (("load", "bones_in"), ("peak", "peak"))}  # fmt: skip
            told += trends(name, samples[name].values, over)
    pairs = [(char, bones) for line in data.lines
             if (char := dry_char_kg(line)) is not None and (bones := line.number("log.bones_in"))]  # fmt: skip
    totals = math.fsum(char for char, _ in pairs) / math.fsum(bones for _, bones in pairs) if pairs else None
    return LogReading(data, samples, tuple(told), totals)


def _samples(lines: Sequence[Mapping[str, float | None]], names: Iterable[str]) -> dict[str, Sample]:
    """The sample of each measure that was taken, with the numbers of its lines."""
    found = {}
    for name in names:
        measured = {at: value for at, values in enumerate(lines) if (value := values.get(name)) is not None}
        if measured:
            found[name] = sample(tuple(measured.values()), tuple(measured))
    return found


def dry_char_kg(line: Line) -> float | None:
    """Char of a batch less its water [kg]; a blank water content means dry."""
    char = line.number("log.char_out")
    return None if char is None else char * (1 - (line.number("log.char_moisture") or 0.0))


def _of_batch(line: Line) -> dict[str, float | None]:
    """Every measure of one batch by name, None where it was not taken."""
    bones, char, moisture = line.number("log.bones_in"), dry_char_kg(line), line.number("log.bones_moisture")
    share = None if char is None or not bones else char / bones
    of_dry = None if share is None or moisture is None else share / (1 - moisture)
    found = {"yield": share, "yield_of_dry": of_dry, "load": bones, "peak": line.number("log.peak")}
    for name in USED:
        used = found[name] = line.number(f"log.{name}")
        found[f"{name}_per_t"] = None if used is None or not bones else used / (bones / KG_PER_T)
    return found


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
    said = [one for line, values in zip(data.lines, dry, strict=True) for one in _looks_wrong(line, values)]
    names = (*SHARES, *TRACES, "h_corg", "ca_per_p", "ph", "moisture")
    return AssayReading(data, dry, _samples(dry, names), tuple(said))


def dry_values(line: Line) -> dict[str, float]:
    """One assay on a dry basis [kg/kg]: what is stated as received divided by its dry share."""
    moisture = line.number("assay.moisture")
    dry_share = 1 - moisture if line.text("assay.basis") == RECEIVED and moisture is not None else 1.0
    parts = dict.fromkeys((*SHARES, *TRACES), dry_share) | {"moisture": 1.0, "ph": 1.0}
    found = {name: value / part for name, part in parts.items()
             if (value := line.number(f"assay.{name}")) is not None}  # fmt: skip
    if found.get("c_org") and "h" in found:
        found["h_corg"] = (found["h"] / substances.H_G_PER_MOL) / (found["c_org"] / substances.C_G_PER_MOL)
    if found.get("p2o5") and "ca" in found:
        found["ca_per_p"] = found["ca"] / (found["p2o5"] * substances.P_PER_P2O5)
    return found


def _looks_wrong(line: Line, dry: Mapping[str, float]) -> Iterator[Caution]:
    """What is out of the question or of the ordinary; nan, which nothing is above, where it was not measured."""
    p2o5, available, ca, ratio, organic, carbon, h_corg, pah8 = (
        dry.get(name, math.nan)
        for name in ("p2o5", "available", "ca", "ca_per_p", "c_org", "c_total", "h_corg", "pah8")
    )
    limit, pure = evidence.factor("hc_lim").value, substances
    lime = dry.get("ca", 0.0) * pure.CAO_PER_CA
    parts = dry.get("p2o5", 0.0) + lime + math.fsum(dry.get(name, 0.0) for name in ("c_org", "h", "n"))
    for is_wrong, word, key, text in (
        (p2o5 > pure.P2O5_IN_HYDROXYAPATITE, "p2o5-high", "p2o5",
         f"{p2o5:.1%} P2O5 of the dry char is more than pure bone mineral holds (42.4 %)."),
        (available > p2o5 * NEAR, "available-above-total", "available",
         f"{available:.1%} available P2O5 is more than the {p2o5:.1%} in total."),
        (ca > pure.CA_IN_HYDROXYAPATITE, "ca-high", "ca",
         f"{ca:.1%} calcium is more than pure bone mineral holds (39.9 %): as CaO?"),
        (ratio < CA_PER_P_LOW or ratio > CA_PER_P_HIGH, "ca-per-p", "ca",
         f"Calcium to phosphorus is {ratio:.2f} by mass, bone mineral has 1.9 to 2.4: one of the two is off, or "
         "in another unit."),
        (organic > carbon * NEAR, "organic-above-total", "c_org",
         f"{organic:.1%} organic carbon is more than the {carbon:.1%} in all."),
        (organic > HIGH_C_ORG_FRAC, "organic-carbon-high", "c_org",
         f"{organic:.1%} organic carbon is high for bone char: is it total carbon? Carbonate carbon does not "
         "count."),
        (h_corg > limit, "h-corg-high", "h",
         f"H/C_org is {h_corg:.2f}, above {limit:g}. Hydrogen of the mineral itself can add 0.2: ask the lab to "
         "take it out."),
        (pah8 > dry.get("pah16", 1.0) * NEAR, "pah", "pah8", "The sum of 8 PAH is larger than the sum of 16."),
        (parts > FULL, "adds-up", "p2o5",
         f"P2O5, lime, organic carbon, hydrogen and nitrogen add up to {parts:.0%}."),
    ):  # fmt: skip
        if is_wrong:
            yield Caution(f"assay-{word}", text, line.at(f"assay.{key}"))


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
        return WITHIN if self.highest <= self.allowed * NEAR else ABOVE

    @property
    def rules(self) -> str:
        """The set of rules in words."""
        return REGIMES[self.limit.regime][0]

    @property
    def whose(self) -> str:
        """Whether these rules are yours: who to ask."""
        return REGIMES[self.limit.regime][1]


def compared(reading: AssayReading) -> tuple[Compared, ...]:
    """Every limit beside the assays, set by set.

    Limits per 1 % of P2O5 count on the available P2O5, which is what a label guarantees, and on no less than the
    least multiplier of the rule.
    """
    highest = {name: max(found.values) / MG for name, found in reading.samples.items()}
    content = {name: reading.samples[name].mean for name in ("p2o5", "available") if name in reading.samples}

    def allowed(limit: Limit) -> float | None:
        if limit.basis == "product":
            return limit.value
        found = content.get("p2o5" if limit.basis == "p2o5_kg" else "available")
        return None if found is None else limit.mg_per_kg(found * 100)

    return tuple(
        Compared(limit, allowed(limit), highest.get(limit.substance.lower())) for limit in evidence.limits()
    )


def cautions(reading: AssayReading) -> Iterator[Caution]:
    """One caution for each set of rules of which an assay passes a limit."""
    above = [one for one in compared(reading) if one.verdict == ABOVE]
    for rules, whose in dict.fromkeys((one.rules, one.whose) for one in above):
        names = ", ".join(one.limit.substance for one in above if one.rules == rules)
        text = f"{names} of an assay is above the limit. {rules}: {whose}."
        yield Caution("assay-above-limit", text, table_plans()["assay"].sheet)
