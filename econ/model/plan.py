"""The choices of a scenario: what is never an array."""

from __future__ import annotations

from dataclasses import dataclass

from econ.inputs.records import Scenario
from econ.inputs.rows import MONTHS
from econ.model.plan_parts import MatterPlan, PlantingPlan, Way, streams, ways


@dataclass(frozen=True, slots=True)
class Item:
    """One piece of other equipment: its block number, year of purchase, tax method, whether it has a life."""

    number: int
    year: int
    method: str
    has_life: bool

    @classmethod
    def of(cls, scenario: Scenario, n: int) -> Item:
        """Item `n` of a scenario."""
        return cls(
            n,
            _whole(scenario, f"equipment.{n}.year_bought", 0),
            scenario.choice(f"equipment.{n}.depreciation"),
            scenario.has(f"equipment.{n}.life"),
        )


def _whole(scenario: Scenario, key: str, blank: int) -> int:
    return int(scenario[key].number) if scenario.has(key) else blank


CONTRACT = ("contract.fixed", "contract.per_mass", "contract.per_piece")
"""The amounts of a hauler's contract; any of them makes the saving computed where none is typed."""


def by_contract(scenario: Scenario) -> bool:
    """Whether the saved bill is computed from the hauler's contract: no saving typed, and some amount of it."""
    return not scenario.has("current.saving") and any(scenario.has(key) for key in CONTRACT)


@dataclass(frozen=True, slots=True)
class Plan:
    """Structure and choices that shape the model; a question evaluates once per plan.

    `streams`, `fuels` and `tiers` are the numbers of the filled blocks; `rest_tier` is the tier whose
    share is whatever the others leave; the last tier also takes what the others cannot sell. `tasks` are
    those with hours, `watching` those among them that are idle watching. `loan_years` is 0 where there is no
    loan; `own_use_counts` says that a soil test below optimum stands behind own use.
    """

    streams: tuple[int, ...]
    kinds: tuple[str, ...]
    fuels: tuple[int, ...]
    fuel_kinds: tuple[str, ...]
    tiers: tuple[int, ...]
    rest_tier: int
    measured_yield: bool
    measured_carbon: bool
    measured_available: bool
    years: int
    is_real: bool
    losses_offset: bool
    persistence: str
    gwp_set: str
    has_hc: bool
    matter: MatterPlan
    planting: PlantingPlan
    corrects_hc: bool
    lab_corrected_hc: bool
    soil_is_mineral: bool
    today: str
    compost_basis: str
    compost_n2o_by_n: bool
    compost_n_typed: bool
    scope_is_rest: bool
    vehicle: str
    tested_ch4: bool
    tested_n2o: bool
    carbon_price: bool
    carbon_protocol: bool
    fuel_modelled: bool
    hours_by_task: bool
    tasks: tuple[int, ...]
    watching: tuple[int, ...]
    clock: bool
    shifts: bool
    seasonal: bool
    weather: bool
    larger: bool
    kiln_method: str
    items: tuple[Item, ...]
    wear: tuple[int, ...]
    estimate_class: str
    by_contract: bool
    fixed_stays: bool
    has_grant: bool
    grant_excluded: bool
    grant_year: int
    grant_awarded: bool
    loan_years: int
    loan_term: int
    loan_grace: int
    rest_at_p_value: bool
    own_use_counts: bool
    first_month: int
    ways: tuple[Way, ...]

    @property
    def by_month(self) -> bool:
        """Whether months differ, in supply or in fuel."""
        return self.seasonal or self.weather

    @classmethod
    def of(cls, scenario: Scenario) -> Plan:
        """The plan of a scenario."""
        filled = streams(scenario)
        modelled = not scenario.has("fuel.1.per_batch")
        fuels = (*((1,) if modelled else ()), *scenario.active("fuel", "per_batch"))
        tasks = scenario.active("task", "hours")
        tiers = scenario.active("product", "price")
        blank = [n for n in tiers if not scenario.has(f"product.{n}.share")]
        return cls(
            streams=filled,
            kinds=tuple(scenario.choice(f"bones.{n}.kind") for n in filled),
            fuels=fuels,
            fuel_kinds=tuple(scenario.choice(f"fuel.{n}.kind") for n in fuels),
            tiers=tiers,
            rest_tier=blank[0] if blank else tiers[-1],
            measured_yield=scenario.has("kiln.char_yield"),
            measured_carbon=scenario.has("carbon.organic_share"),
            measured_available=scenario.has("product.available_p2o5_share"),
            years=int(scenario["money.study_years"].number),
            is_real=scenario.choice("money.basis") == "real",
            losses_offset=scenario.choice("money.tax_losses") == "other-income",
            persistence=scenario.choice("carbon.persistence_method"),
            gwp_set=scenario.choice("carbon.gwp_set"),
            has_hc=scenario.has("carbon.h_corg"),
            matter=MatterPlan.of(scenario),
            planting=PlantingPlan.of(scenario),
            fuel_modelled=modelled,
            hours_by_task=not scenario.has("labour.hours_per_batch"),
            tasks=tasks,
            watching=tuple(n for n in tasks if scenario.choice(f"task.{n}.watching") == "yes"),
            clock=scenario.has("cycle.fire_hours"),
            shifts=scenario.has("cycle.fire_hours") and scenario.has("shift.hours_per_day"),
            seasonal=scenario.has("supply.jan_share"),
            weather=any(scenario.has(f"weather.{month}_factor") for month in MONTHS),
            larger=scenario.has("kiln.larger_load"),
            corrects_hc=scenario.choice("carbon.use_corrected") == "yes"
            and scenario.choice("carbon.lab_corrected") != "yes",
            lab_corrected_hc=scenario.choice("carbon.lab_corrected") == "yes",
            soil_is_mineral=scenario.choice("carbon.soil_kind") == "mineral",
            today=scenario.choice("current.option"),
            compost_basis=scenario.choice("handling.compost_basis"),
            compost_n2o_by_n=scenario["handling.compost_n2o"].is_default,
            compost_n_typed=not scenario["handling.compost_n_kept"].is_default,
            scope_is_rest=scenario["carbon.in_scope_share"].is_default,
            vehicle=scenario.choice("haul.vehicle"),
            tested_ch4=scenario.has("carbon.test_ch4"),
            tested_n2o=scenario.has("carbon.test_n2o"),
            carbon_price=scenario.has("carbon.price"),
            carbon_protocol=scenario.has("carbon.protocol"),
            kiln_method=scenario.choice("kiln.depreciation"),
            items=tuple(Item.of(scenario, n) for n in scenario.active("equipment", "cost")),
            wear=scenario.active("wear", "cost"),
            estimate_class=scenario.choice("capital.estimate_class"),
            has_grant=scenario.has("grant.share") or not scenario["money.grant"].is_default,
            grant_excluded=scenario.choice("grant.treatment") == "excluded",
            grant_awarded=scenario.choice("grant.status") == "awarded",
            by_contract=by_contract(scenario),
            fixed_stays=scenario.choice("contract.falls_away") == "by-amount",
            grant_year=_whole(scenario, "grant.year", 1),
            loan_years=min(_whole(scenario, "loan.years", 0), int(scenario["money.study_years"].number)),
            loan_term=_whole(scenario, "loan.years", 0),
            loan_grace=_whole(scenario, "loan.grace_months", 0),
            rest_at_p_value=scenario.choice("market.rest") == "p-value",
            own_use_counts=scenario.choice("own_use.soil_test") == "below-optimum",
            first_month=_whole(scenario, "market.first_month", 1),
            ways=ways(scenario),
        )
