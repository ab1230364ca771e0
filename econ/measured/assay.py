"""What the lab says of the char: every figure on a dry basis, and what looks wrong in it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from econ import evidence
from econ.evidence import stoichiometry
from econ.inputs.records import Caution
from econ.inputs.table_records import RECEIVED, Line, TableData
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
    """One assay on a dry basis: what is stated as received divided by its dry share."""
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
    parts = (p2o5 or 0.0) + lime + sum(dry.get(name, 0.0) for name in ("c_org", "h", "n"))
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
