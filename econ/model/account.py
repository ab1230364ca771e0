"""The four blocks apart, and the one line that sets the kiln against current practice.

Removal; process emissions; avoided emissions against the named baseline; credits lost. They meet only in
the difference to current practice, whose formula is spelled out, and never in a removal or project net.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from econ.model import handling
from econ.model.blanks import given
from econ.model.ledger import Book, Quantity

if TYPE_CHECKING:
    from econ.model.plan import Plan


def against_current_practice(b: Book, plan: Plan) -> None:
    """Avoided emissions, credits lost and the difference [kg CO2e a year], with and without credits."""
    ways = {
        "composting": handling.composting(b, plan),
        "landfill": handling.landfill(b),
        "rendering": handling.rendering(b),
    }
    own = handling.own_way(b)
    chosen: Quantity = ways.get(plan.today, own)
    today = b.line("avoided_handling_kg_co2e", chosen * 1.0)
    hauling = _hauling(b)
    avoided = b.line("avoided_kg_co2e", today + hauling)
    fertiliser = _fertiliser(b)
    lost = _credits_lost(b, plan)
    b.line("avoided_with_credits_kg_co2e", avoided + fertiliser)
    b.line("difference_kg_co2e", b["removal_kg_co2e"] - b["process_kg_co2e"] + avoided)
    b.line(
        "difference_with_credits_kg_co2e",
        b["removal_kg_co2e"] - b["process_kg_co2e"] + b["avoided_with_credits_kg_co2e"] - lost,
    )


def _hauling(b: Book) -> Quantity:
    """Trips of today's way that end with the bones, by the share of the bones that is fired."""
    trips = b["handling.haul_trips"] * b["bones_fired_share"]
    diesel_l = b.line("avoided_diesel_l", trips * b["handling.haul_distance"] * given(b, "haul.fuel_use"))
    upstream = 1 + b["carbon.upstream_share"]
    return b.line("avoided_haul_kg_co2e", diesel_l * b["diesel_co2e_per_l"] * upstream)


def _fertiliser(b: Book) -> Quantity:
    """Fertiliser displaced: available P2O5 that works, of char used where a soil test calls for it."""
    p2o5 = b.line("displaced_p2o5_kg", b["working_p2o5_kg"] * b["char_used_share"] * b["carbon.needs_p_share"])
    return b.line("displaced_kg_co2e", p2o5 * given(b, "carbon.displaced_factor"))


def _credits_lost(b: Book, plan: Plan) -> Quantity:
    """What current practice gave and the kiln ends: nitrogen of compost, or meal and tallow."""
    kept = b["n_lost_kg"] * given(b, "handling.compost_n_kept")
    nitrogen = b.line("compost_nitrogen_kg_co2e", kept * given(b, "handling.n_fertiliser"))
    lost = {"composting": nitrogen, "rendering": b["rendering_credits_kg_co2e"]}
    return b.line("credits_lost_kg_co2e", lost.get(plan.today, 0.0) * 1.0)
