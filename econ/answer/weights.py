"""What moves the answers most, as shares of their ranges: where better evidence would help first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from econ.answer.results import Results
from econ.questions.found import MUCH, QUOTED, Mover

NPV, NET = "npv", "project_net_kg_co2e"
FEW = 5


@dataclass(frozen=True, slots=True)
class Weight:
    """A fact or input moved alone over its range, as a share of the range of NPV and of net CO2e."""

    mover: Mover
    of_npv: float
    of_net: float

    @property
    def label(self) -> str:
        """Its words."""
        return self.mover.label

    @property
    def known(self) -> str:
        """How it is known: the rung of a fact, or the plant's own word."""
        return self.mover.known if self.mover.rung else f"yours: {self.mover.known}"

    def as_json(self) -> dict[str, Any]:
        """Plain values under the names of the contract."""
        return {"id": self.mover.id, "label": self.label, "how_known": self.known, "rung": self.mover.rung or None,
                "share_of_npv_range": self.of_npv, "share_of_net_co2e_range": self.of_net}  # fmt: skip


def weights(results: Results) -> list[Weight]:
    """Every fact and input that moves NPV or net CO2e, the heaviest of either first."""
    found = [
        Weight(mover, mover.share(NPV, *_range(results, NPV)), mover.share(NET, *_range(results, NET)))
        for mover in results.leaning.movers
    ]
    return sorted(
        (one for one in found if one.of_npv + one.of_net > 0), key=lambda one: -max(one.of_npv, one.of_net)
    )


def heaviest(results: Results, measure: str) -> list[tuple[Mover, float]]:
    """The five that move an answer most, the plant's own included, each with its share of the range."""
    span = _range(results, measure)
    return [(mover, mover.share(measure, *span)) for mover in results.leaning.most(measure)[:FEW]]


def heaviest_json(results: Results, measure: str) -> list[dict[str, Any]]:
    """The same as plain values."""
    return [
        {"id": mover.id, "label": mover.label, "how_known": mover.known, "rung": mover.rung or None,
         "share_of_range": share}
        for mover, share in heaviest(results, measure)
    ]  # fmt: skip


def doubts(results: Results) -> list[tuple[Mover, float]]:
    """What nobody read and moves a quoted figure by more than a tenth of its range, with the largest share."""
    found = []
    for mover in results.leaning.movers:
        share = max(mover.share(name, *_range(results, name)) for name in QUOTED)
        if not mover.is_read and share > MUCH:
            found.append((mover, share))
    return sorted(found, key=lambda pair: -pair[1])


def _range(results: Results, measure: str) -> tuple[float, float]:
    """Low and high of an answer over all ranges at once."""
    if measure == NPV:
        spread = results.chances.spreads[NPV]
        return spread.percentiles[10], spread.percentiles[90]
    low, _, high = results.carbon(measure)
    return low, high
