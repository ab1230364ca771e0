"""What the kiln log and the lab assays say: samples by name, trends, what looks wrong, limits of several rules."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from econ.evidence import substances
from econ.fields import record
from econ.inputs.check_rules import Scope, holds, rules
from econ.inputs.records import RECEIVED, Caution, Line, TableData
from econ.inputs.schema import table_plans
from econ.measured.sample import Sample, Trend, sample, trends
from econ.shipped import described

KG_PER_T = 1000.0
FUELS = (1, 2, 3)
USED = ("hours", *(f"fuel_{n}" for n in FUELS))
SHARES = ("p2o5", "available", "ca", "c_total", "c_org", "h", "n")
TRACES = ("as", "cd", "co", "cr", "cu", "hg", "mo", "ni", "pb", "se", "zn", "pah16", "pah8")
TABLE = Path(__file__).parent / "cautions.csv"
NEAR = 1 + 1e-9
REGIMES: dict[str, list[str]] = described("words", "measured")["regimes"]
"""What each set of rules is called, and whether it is yours."""
MG = 1e-6
WITHIN, ABOVE, MISSING = "within", "above the limit", "not measured"


@record(frozen=True, slots=True)
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
        holds = [any(isinstance(one, float) for one in line.values.values()) for line in self.data.lines]
        return holds.count(True)


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


@record(frozen=True, slots=True)
class AssayReading:
    """The assays as read [kg per kg dry char], with `h_corg` [mol/mol], `ca_per_p` [kg/kg], `ph`, `moisture`."""

    data: TableData
    dry: tuple[Mapping[str, float], ...]
    samples: Mapping[str, Sample]
    cautions: tuple[Caution, ...]


def read_assay(data: TableData) -> AssayReading:
    """The reading of assays with at least one line."""
    dry = tuple(dry_values(line) for line in data.lines)
    said: list[Caution] = []
    for line, values in zip(data.lines, dry, strict=True):
        lime = values.get("ca", 0.0) * substances.CAO_PER_CA
        parts = values.get("p2o5", 0.0) + lime + math.fsum(values.get(name, 0.0) for name in ("c_org", "h", "n"))
        said += told("assay", line.at, parts=parts, **values)
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


def told(about: str, place: str | Callable[[str], str], **names: Any) -> Iterator[Caution]:
    """What the rows of `cautions.csv` on a subject say where their condition holds, each at its place."""
    scope = Scope({}, names, {})
    for rule in rules(TABLE):
        if rule.about == about and holds(rule.when, scope):
            yield rule.caution(scope, place if isinstance(place, str) else place(rule.where))


@record(frozen=True, slots=True)
class Compared:
    """One limit beside the highest of the assays [mg per kg dry char], each None where it was not measured."""

    limit: substances.Limit
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

    Per 1 % of P2O5 they count on the available P2O5 of a label, and on no less than the rule's least multiplier.
    """
    highest = {name: max(found.values) / MG for name, found in reading.samples.items()}
    content = {name: reading.samples[name].mean for name in ("p2o5", "available") if name in reading.samples}

    def allowed(limit: substances.Limit) -> float | None:
        if limit.basis == "product":
            return limit.value
        found = content.get("p2o5" if limit.basis == "p2o5_kg" else "available")
        return None if found is None else limit.mg_per_kg(found * 100)

    return tuple(
        Compared(limit, allowed(limit), highest.get(limit.substance.lower())) for limit in substances.limits()
    )


def cautions(reading: AssayReading) -> Iterator[Caution]:
    """One caution for each set of rules of which an assay passes a limit."""
    above = [one for one in compared(reading) if one.verdict == ABOVE]
    for words, whose in dict.fromkeys((one.rules, one.whose) for one in above):
        names = ", ".join(one.limit.substance for one in above if one.rules == words)
        yield from told("limits", table_plans()["assay"].sheet, substances=names, rules=words, whose=whose)
