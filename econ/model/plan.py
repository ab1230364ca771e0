"""The choices of a scenario: what is never an array."""

from __future__ import annotations

from dataclasses import dataclass

from econ.inputs.records import CONTRACT, Scenario
from econ.inputs.rows import MONTHS
from econ.model.plan_parts import MatterPlan, PlantingPlan, Way, chosen, has, plan_of, read, streams, whole


@dataclass(frozen=True, slots=True)
class Item:
    """One piece of other equipment: its block number, year of purchase, tax method, whether it has a life."""

    number: int
    year: int = whole("year_bought")
    method: str = chosen("depreciation")
    has_life: bool = has("life")


def by_contract(scenario: Scenario) -> bool:
    """Whether the saved bill is computed from the hauler's contract: no saving typed, and some amount of it."""
    return not scenario.has("current.saving") and any(scenario.has(key) for key in CONTRACT)


@dataclass(frozen=True, slots=True)
class Plan:
    """Structure and choices that shape the model; a question evaluates once per plan.

    `streams`, `fuels` and `tiers` are the numbers of the filled blocks; `rest_tier` is the tier whose share is
    whatever the others leave; the last tier also takes what the others cannot sell. `tasks` are those with hours,
    `watching` those among them that are idle watching. `loan_years` is 0 where there is no loan; `own_use_counts`
    says that a soil test below optimum stands behind own use.
    """

    streams: tuple[int, ...] = read(streams)
    kinds: tuple[str, ...] = read(lambda s: tuple(s.choice(f"bones.{n}.kind") for n in streams(s)))
    fuels: tuple[int, ...] = read(lambda s: _fuels(s))
    fuel_kinds: tuple[str, ...] = read(lambda s: tuple(s.choice(f"fuel.{n}.kind") for n in _fuels(s)))
    tiers: tuple[int, ...] = read(lambda s: s.active("product", "price"))
    rest_tier: int = read(lambda s: _rest_tier(s))
    measured_yield: bool = has("kiln.char_yield")
    measured_carbon: bool = has("carbon.organic_share")
    measured_available: bool = has("product.available_p2o5_share")
    years: int = whole("money.study_years")
    is_real: bool = chosen("money.basis", "real")
    losses_offset: bool = chosen("money.tax_losses", "other-income")
    persistence: str = chosen("carbon.persistence_method")
    gwp_set: str = chosen("carbon.gwp_set")
    has_hc: bool = has("carbon.h_corg")
    matter: MatterPlan = read(lambda s: plan_of(MatterPlan, s))  # noqa: RUF009
    planting: PlantingPlan = read(PlantingPlan.of)  # noqa: RUF009
    corrects_hc: bool = read(
        lambda s: s.choice("carbon.use_corrected") == "yes" and s.choice("carbon.lab_corrected") != "yes"
    )
    lab_corrected_hc: bool = chosen("carbon.lab_corrected", "yes")
    soil_is_mineral: bool = chosen("carbon.soil_kind", "mineral")
    today: str = chosen("current.option")
    compost_basis: str = chosen("handling.compost_basis")
    compost_n2o_by_n: bool = read(lambda s: s["handling.compost_n2o"].is_default)
    compost_n_typed: bool = read(lambda s: not s["handling.compost_n_kept"].is_default)
    scope_is_rest: bool = read(lambda s: s["carbon.in_scope_share"].is_default)
    vehicle: str = chosen("haul.vehicle")
    tested_ch4: bool = has("carbon.test_ch4")
    tested_n2o: bool = has("carbon.test_n2o")
    carbon_price: bool = has("carbon.price")
    carbon_protocol: bool = has("carbon.protocol")
    fuel_modelled: bool = read(lambda s: not s.has("fuel.1.per_batch"))
    hours_by_task: bool = read(lambda s: not s.has("labour.hours_per_batch"))
    tasks: tuple[int, ...] = read(lambda s: s.active("task", "hours"))
    watching: tuple[int, ...] = read(
        lambda s: tuple(n for n in s.active("task", "hours") if s.choice(f"task.{n}.watching") == "yes")
    )
    clock: bool = has("cycle.fire_hours")
    shifts: bool = has("cycle.fire_hours", "shift.hours_per_day")
    seasonal: bool = has("supply.jan_share")
    weather: bool = read(lambda s: any(s.has(f"weather.{month}_factor") for month in MONTHS))
    larger: bool = has("kiln.larger_load")
    kiln_method: str = chosen("kiln.depreciation")
    items: tuple[Item, ...] = read(
        lambda s: tuple(plan_of(Item, s, f"equipment.{n}.", number=n) for n in s.active("equipment", "cost"))
    )
    wear: tuple[int, ...] = read(lambda s: s.active("wear", "cost"))
    estimate_class: str = chosen("capital.estimate_class")
    by_contract: bool = read(by_contract)
    fixed_stays: bool = chosen("contract.falls_away", "by-amount")
    has_grant: bool = read(lambda s: s.has("grant.share") or not s["money.grant"].is_default)
    grant_excluded: bool = chosen("grant.treatment", "excluded")
    grant_year: int = whole("grant.year", 1)
    grant_awarded: bool = chosen("grant.status", "awarded")
    loan_years: int = read(lambda s: int(min(s.number_or(key, 0) for key in ("loan.years", "money.study_years"))))
    loan_term: int = whole("loan.years")
    loan_grace: int = whole("loan.grace_months")
    rest_at_p_value: bool = chosen("market.rest", "p-value")
    own_use_counts: bool = chosen("own_use.soil_test", "below-optimum")
    first_month: int = whole("market.first_month", 1)
    ways: tuple[Way, ...] = read(lambda s: tuple(Way.of(s, n) for n in s.active("option", "kind")))

    @property
    def by_month(self) -> bool:
        """Whether months differ, in supply or in fuel."""
        return self.seasonal or self.weather

    @classmethod
    def of(cls, scenario: Scenario) -> Plan:
        """The plan of a scenario."""
        return plan_of(cls, scenario)


def _fuels(scenario: Scenario) -> tuple[int, ...]:
    """The numbers of the fuels; the first stands without an amount where the heat of the load says it."""
    first = () if scenario.has("fuel.1.per_batch") else (1,)
    return (*first, *scenario.active("fuel", "per_batch"))


def _rest_tier(scenario: Scenario) -> int:
    tiers = scenario.active("product", "price")
    return next((n for n in tiers if not scenario.has(f"product.{n}.share")), tiers[-1])
