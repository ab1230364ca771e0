"""What an optional carbon row means where it is blank: a factor of the evidence, with its range."""

from __future__ import annotations

from dataclasses import dataclass, replace

from econ import evidence
from econ.inputs.records import Scenario
from econ.model.ledger import Book, Quantity
from econ.model.plan import Plan


@dataclass(frozen=True, slots=True)
class Blank:
    """The factor that stands in for a blank row, and the factor from its unit to the model's."""

    row: str
    factor: str
    scale: float = 1.0

    @property
    def coefficient(self) -> str:
        """The name under which the model reads the factor."""
        return self.row.replace(".", "_") + "_if_blank"

    def ends(self) -> tuple[float, float, float]:
        """Low, value and high in the model's unit; all the same where no range is known."""
        found = evidence.factor(self.factor)
        low = found.value if found.low is None else found.low
        high = found.value if found.high is None else found.high
        return low * self.scale, found.value * self.scale, high * self.scale


_ALWAYS = (
    Blank("handling.compost_n_kept", "cmp_n_kept"),
    Blank("handling.n_fertiliser", "n_fert"),
    Blank("handling.lf_doc", "lf_doc_bone"),
    Blank("handling.lf_docf", "lf_docf"),
    Blank("handling.lf_mcf", "lf_mcf"),
    Blank("handling.lf_gas", "lf_f"),
    Blank("handling.lf_capture", "lf_capture"),
    Blank("handling.lf_ox", "lf_ox"),
    Blank("handling.lf_decay", "lf_k"),
    Blank("handling.rendering", "rnd_ghg", 1e-3),
    Blank("handling.meal_credit", "rnd_meal_credit"),
    Blank("handling.tallow_credit", "rnd_tallow_credit"),
    Blank("carbon.displaced_factor", "tsp_p2o5"),
    Blank("haul.fuel_use", "haul_fuel_use", 1e-3),
)


def blanks(plan: Plan) -> tuple[Blank, ...]:
    """Every stand-in of a plan; those of composting hang on the basis chosen."""
    dry = "" if plan.compost_basis == "wet" else "_dry"
    return (
        *_ALWAYS,
        Blank("handling.compost_ch4", f"cmp_ch4{dry}", 1e-3),
        Blank("handling.compost_n2o", "cmp_n2o_per_n", 1e-3),
    )


def given(b: Book, row: str, otherwise: str = "") -> Quantity:
    """The row's number, or the coefficient that stands in for it where it is blank."""
    value = b.optional(row)
    return b[otherwise or Blank(row, "").coefficient] if value is None else value


def filled(scenario: Scenario, plan: Plan) -> Scenario:
    """The scenario with every blank row that a factor stands in for filled by it, so that it can be moved."""
    entries = dict(scenario.entries)
    for one in blanks(plan):
        entry = entries.get(one.row)
        if entry is not None and entry.value is None:
            low, value, high = one.ends()
            mark = f"default: {evidence.factor(one.factor).mark}"
            entries[one.row] = replace(
                entry, value=value, low=low, high=high, known=mark, is_default=True, factor=one.factor
            )
    return replace(scenario, entries=entries)
