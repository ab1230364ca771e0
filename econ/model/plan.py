"""The choices of a scenario, what is never an array: of the plant, its matter, other ways and planting."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from econ.fields import field, fields, record
from econ.inputs.records import CONTRACT, Scenario, by_age
from econ.inputs.rows import MONTHS

Kind = TypeVar("Kind")
WEATHER = tuple(f"weather.{month}_factor" for month in MONTHS)


def read(of: Callable[[Scenario], Any]) -> Any:
    """A field that `of` makes of a scenario."""
    return field(metadata={"read": lambda scenario, start: of(scenario)})


def has(*keys: str, some: bool = False) -> Any:
    """A field: whether all these rows (`some`: any of them) are filled; in a block, rows of the block."""
    of = any if some else all
    return field(metadata={"read": lambda scenario, start: of(scenario.has(start + key) for key in keys)})


def chosen(key: str, slug: str = "") -> Any:
    """A field: the choice of a row, or whether it is this one."""
    choice = field(metadata={"read": lambda scenario, start: scenario.choice(start + key)})
    return field(metadata={"read": lambda s, start: s.choice(start + key) == slug}) if slug else choice


def whole(key: str, blank: int = 0) -> Any:
    """A field: a whole number, and what a blank row means."""
    return field(metadata={"read": lambda scenario, start: int(scenario.number_or(start + key, blank))})


def plan_of(kind: type[Kind], scenario: Scenario, start: str = "", /, **more: Any) -> Kind:
    """A record whose fields say what they are read from; `start` is the block, `more` the other fields."""
    found = {one.name: one.metadata["read"](scenario, start) for one in fields(kind) if one.metadata}  # type: ignore[arg-type]
    return kind(**found, **more)


@record(frozen=True, slots=True)
class MatterPlan:
    """How the matter is entered and finished.

    `by_head` streams are heads × bone per head; `by_age` streams keep out the risk material of older cattle;
    `same_lot`: the assay is of the load whose char was weighed; `bulk` are the tiers that are not bagged.
    """

    by_head: tuple[int, ...] = read(lambda s: tuple(n for n in streams(s) if not s.has(f"bones.{n}.mass")))
    by_age: tuple[int, ...] = read(lambda s: tuple(n for n in streams(s) if by_age(s.entries, f"bones.{n}")))
    same_lot: bool = read(lambda s: s.choice("bones.assay_of_weighed_load") == "yes" and own_assay(s, streams(s)))
    measured_phosphate: bool = has("product.total_p2o5_share")
    measured_calcium: bool = has("product.ca_share")
    available_as_sold: bool = chosen("product.analysis_basis", "as-sold")
    soil_by_ph: bool = read(lambda s: s.has("fertiliser.soil_ph") and s["fertiliser.soil_factor"].is_default)
    charged: str = chosen("finish.charge")
    moisture_typed: bool = has("finish.sold_moisture")
    watered: bool = has("finish.added_water")
    bagged_by_weight: bool = has("finish.bag_weight")
    bulk: tuple[int, ...] = read(
        lambda s: tuple(n for n in s.active("product", "price") if s.choice(f"product.{n}.packing") == "bulk")
    )
    fat_priced: bool = has("fat.price")
    fines_priced: bool = has("finish.fines_price")

    @property
    def factors(self) -> tuple[str, ...]:
        """The factors of the evidence that these choices read on top of those every plant reads."""
        found = ["head_beef"] if self.by_head else []
        found += ["risk_bone"] if self.by_age else []
        found += {"compost": ["compost_water", "rho_compost"], "tea": ["tea_water"]}.get(self.charged, [])
        return (*found, *(f"soil_eff_{at}" for at in ("55", "61", "70", "above70") if self.soil_by_ph))


def streams(scenario: Scenario) -> tuple[int, ...]:
    """The numbers of the streams that hold a mass, or heads to compute it from."""
    return tuple(sorted({*scenario.active("bones", "mass"), *scenario.active("bones", "heads")}))


def own_assay(scenario: Scenario, numbers: tuple[int, ...]) -> bool:
    """Whether every stream carries an assay of the plant's own."""
    return all(not scenario[f"bones.{n}.ash_share"].is_default for n in numbers)


GATE_FEE = "gate-fee"
CHAR, TODAY = "char", "today"
"""Names of the two ways that are always compared."""
MONEY = ("fee", "yearly", "hours", "chips_price", "land_cost", "income", "capital")
"""Rows of which at least one makes a way comparable in money."""


@record(frozen=True, slots=True)
class Way:
    """One filled block: its number and kind; whether it has money, is part of the present mix, a life."""

    number: int
    kind: str = chosen("kind")
    priced: bool = has(*MONEY, some=True)
    in_mix: bool = has("share_today")
    buys: bool = has("capital")
    renews: bool = has("capital", "life")
    own_ghg: bool = has("ghg")
    own_p: bool = has("p_kept_share")
    own_n: bool = has("n_kept_share")
    own_leftover: bool = has("leftover_share")

    @property
    def is_rival(self) -> bool:
        """Whether the kiln is held against it: priced, and not the kiln itself with bones of others."""
        return self.priced and self.kind != GATE_FEE


USUAL_WAY = {"trees": "hole", "rows": "row", "beds": "broadcast"}
USUAL_COUNT = {"hole": "tree", "row": "area", "deep": "area", "broadcast": "area"}
RATES = {"tree": "char_per_tree", "length": "char_per_length", "area": "char_per_area"}
"""What char is counted by, and the row that says how much of it."""
OF_FRUIT = frozenset({"apple", "cherry", "peach", "pear", "apricot"})
"""Fruit whose removal is also a factor of its own."""


@record(frozen=True, slots=True)
class Ground:
    """One block of own planting: what stands there, the way, what char is counted by (tree, length or area).

    `rows` are the last words of the filled number rows; `crop` is the fruit, empty without one.
    """

    number: int
    kind: str
    way: str
    per: str
    blend: str
    crop: str
    rows: frozenset[str]

    @classmethod
    def of(cls, scenario: Scenario, n: int, filled: frozenset[str]) -> Ground:
        """Block `n` of a scenario and its filled number rows, blank choices filled in by what is usual."""
        start = f"planting.{n}."
        kind, way, blend, crop = (scenario[start + word].value for word in ("kind", "way", "blend", "crop"))
        kind = str(kind or "trees")
        way = str(way or USUAL_WAY[kind])
        per = next((word for word, row in RATES.items() if row in filled), USUAL_COUNT[way])
        return cls(n, kind, way, per, str(blend or "none"), str(crop or ""), filled)

    @property
    def has_length(self) -> bool:
        """Whether the length of all rows is known."""
        return ("spacing" if self.kind == "trees" else "length") in self.rows

    @property
    def in_row(self) -> bool:
        """Whether the char is placed along the rows."""
        return self.way in {"row", "deep"}

    @property
    def has_area(self) -> bool:
        """Whether the area is known, typed or by distances."""
        return "area" in self.rows or (self.has_length and "width" in self.rows)


SOIL = ("m3_opt", "m3_env", "m3_build", "soil_slice", "soil_depth", "soil_rho", "build_years", "rem_orchard",
        "rho_compost", "compost_water", "compost_p2o5", "tree_ground", "row_ground")  # fmt: skip
"""The factors that every block reads."""


@record(frozen=True, slots=True)
class PlantingPlan:
    """Filled blocks, filled rows of the injector, and whether their char leaves what is for sale."""

    grounds: tuple[Ground, ...]
    injector: frozenset[str]
    leaves_sales: bool

    @classmethod
    def of(cls, scenario: Scenario) -> PlantingPlan:
        """The planting of a scenario; no grounds where none is asked for."""
        rows = ("tank", "hopper", "speed", "width", "minutes_per_load", "diesel_use", "diesel_price")
        words = [key.split(".") for key in scenario.numbers() if key.startswith("planting.")]
        grounds = tuple(Ground.of(scenario, n, frozenset(word for _, at, word in words if at == str(n)))
                        for n in scenario.active("planting", "count"))  # fmt: skip
        switched = scenario.choice("own_use.from_planting") != "no" and not scenario.has("own_use.mass")
        filled = frozenset(word for word in rows if scenario.has(f"injector.{word}"))
        return cls(grounds, filled, bool(grounds) and switched)

    @property
    def factors(self) -> tuple[str, ...]:
        """The factors of the evidence that the filled blocks read."""
        found = [*SOIL] if self.grounds else []
        for ground in self.grounds:
            if RATES[ground.per] not in ground.rows and ground.way != "broadcast":
                found.append("hole_char" if ground.per == "tree" else "row_rate")
            found += {"tea": ["tea_per_char"], "compost": ["compost_per_char"]}.get(ground.blend, [])
            found += [f"rem_{ground.crop}"] if ground.crop in OF_FRUIT else []
        return tuple(dict.fromkeys(found))


@record(frozen=True, slots=True)
class Item:
    """One piece of other equipment: its block number, year of purchase, tax method, whether it has a life."""

    number: int
    year: int = whole("year_bought")
    method: str = chosen("depreciation")
    has_life: bool = has("life")


@record(frozen=True, slots=True)
class Plan:
    """Structure and choices that shape the model; a question evaluates once per plan.

    `streams`, `fuels`, `tiers` and `tasks` are numbers of filled blocks; `rest_tier` has the share that the others
    leave, the last tier also what they cannot sell; `watching` are idle tasks. `loan_years` is 0 without a loan;
    `own_use_counts` says that a soil test below optimum stands behind own use.
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
    matter: MatterPlan = read(lambda s: plan_of(MatterPlan, s))
    planting: PlantingPlan = read(PlantingPlan.of)
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
    weather: bool = has(*WEATHER, some=True)
    by_month: bool = has("supply.jan_share", *WEATHER, some=True)
    larger: bool = has("kiln.larger_load")
    kiln_method: str = chosen("kiln.depreciation")
    items: tuple[Item, ...] = read(
        lambda s: tuple(plan_of(Item, s, f"equipment.{n}.", number=n) for n in s.active("equipment", "cost"))
    )
    wear: tuple[int, ...] = read(lambda s: s.active("wear", "cost"))
    estimate_class: str = chosen("capital.estimate_class")
    by_contract: bool = read(lambda s: not s.has("current.saving") and any(map(s.has, CONTRACT)))
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
    ways: tuple[Way, ...] = read(
        lambda s: tuple(plan_of(Way, s, f"option.{n}.", number=n) for n in s.active("option", "kind"))
    )

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
