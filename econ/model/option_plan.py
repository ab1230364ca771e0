"""The structure of the other ways: which are filled, of what kind, and what each can be compared in."""

from __future__ import annotations

from dataclasses import dataclass

from econ.inputs.records import Scenario

GATE_FEE = "gate-fee"
CHAR, TODAY = "char", "today"
"""Names of the two ways that are always compared."""
MONEY = ("fee", "yearly", "hours", "chips_price", "land_cost", "income", "capital")
"""Rows of which at least one makes a way comparable in money."""


@dataclass(frozen=True, slots=True)
class Way:
    """One filled block: its number and kind; whether it has money, is part of the present mix, a life."""

    number: int
    kind: str
    priced: bool
    in_mix: bool
    renews: bool
    own_ghg: bool
    own_p: bool
    own_n: bool
    own_leftover: bool

    @property
    def is_rival(self) -> bool:
        """Whether the kiln is held against it: priced, and not the kiln itself with bones of others."""
        return self.priced and self.kind != GATE_FEE

    @classmethod
    def of(cls, scenario: Scenario, n: int) -> Way:
        """Way `n` of a scenario."""

        def has(word: str) -> bool:
            return scenario.has(f"option.{n}.{word}")

        return cls(
            number=n,
            kind=scenario.choice(f"option.{n}.kind"),
            priced=any(has(word) for word in MONEY),
            in_mix=has("share_today"),
            renews=has("capital") and has("life"),
            own_ghg=has("ghg"),
            own_p=has("p_kept_share"),
            own_n=has("n_kept_share"),
            own_leftover=has("leftover_share"),
        )


def ways(scenario: Scenario) -> tuple[Way, ...]:
    """Every filled block of a scenario, by number."""
    return tuple(Way.of(scenario, n) for n in scenario.active("option", "kind"))
