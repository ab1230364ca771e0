"""Choices of a plan by subject: matter, other ways, planting."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, fields
from typing import Any, TypeVar

from econ.inputs.records import Scenario, by_age

Kind = TypeVar("Kind")


def read(of: Callable[[Scenario], Any]) -> Any:
    """A field that `of` makes of a scenario."""
    return field(metadata={"read": lambda scenario, start: of(scenario)})


def has(*keys: str) -> Any:
    """A field: whether all these rows are filled; in a block, rows of the block."""
    return field(metadata={"read": lambda scenario, start: all(scenario.has(start + key) for key in keys)})


def chosen(key: str, slug: str = "") -> Any:
    """A field: the choice of a row, or whether it is this one."""

    def found(scenario: Scenario, start: str) -> str | bool:
        choice = scenario.choice(start + key)
        return choice == slug if slug else choice

    return field(metadata={"read": found})


def whole(key: str, blank: int = 0) -> Any:
    """A field: a whole number, and what a blank row means."""
    return field(metadata={"read": lambda scenario, start: int(scenario.number_or(start + key, blank))})


def plan_of(kind: type[Kind], scenario: Scenario, start: str = "", /, **more: Any) -> Kind:
    """A record whose fields say what they are read from; `start` is the block, `more` the other fields."""
    found = {one.name: one.metadata["read"](scenario, start) for one in fields(kind) if one.metadata}  # type: ignore[arg-type]
    return kind(**found, **more)


@dataclass(frozen=True, slots=True)
class MatterPlan:
    """How the matter is entered and finished.

    `by_head` streams are counted in heads × bone per head; `by_age` streams keep out the risk material of the
    older cattle; `same_lot` says that the assay is of the load whose char was weighed. `charged` is none, tea or
    compost; `bulk` are the tiers that are not bagged.
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


@dataclass(frozen=True, slots=True)
class Way:
    """One filled block: its number and kind; whether it has money, is part of the present mix, a life."""

    number: int
    kind: str
    priced: bool
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

    @classmethod
    def of(cls, scenario: Scenario, n: int) -> Way:
        """Way `n` of a scenario."""
        start = f"option.{n}."
        priced = any(scenario.has(start + word) for word in MONEY)
        return plan_of(cls, scenario, start, number=n, kind=scenario.choice(f"{start}kind"), priced=priced)


USUAL_WAY = {"trees": "hole", "rows": "row", "beds": "broadcast"}
USUAL_COUNT = {"hole": "tree", "row": "area", "deep": "area", "broadcast": "area"}
RATES = {"tree": "char_per_tree", "length": "char_per_length", "area": "char_per_area"}
"""What char is counted by, and the row that says how much of it."""
OF_FRUIT = frozenset({"apple", "cherry", "peach", "pear", "apricot"})
"""Fruit whose removal is also a factor of its own."""


@dataclass(frozen=True, slots=True)
class Ground:
    """One block of own planting: its number, what stands there, the way, and which of its rows are filled.

    `per` is what the char is counted by: tree, length or area. `rows` are the last words of the filled number
    rows; `crop` is the fruit, empty without one.
    """

    number: int
    kind: str
    way: str
    per: str
    blend: str
    crop: str
    rows: frozenset[str]

    @classmethod
    def of(cls, scenario: Scenario, n: int) -> Ground:
        """Block `n` of a scenario, blank choices filled in by what is usual."""

        def chosen(word: str, blank: str) -> str:
            value = scenario[f"planting.{n}.{word}"].value
            return value if isinstance(value, str) else blank

        start = f"planting.{n}."
        filled = frozenset(
            key.removeprefix(start)
            for key, entry in scenario.entries.items()
            if key.startswith(start) and entry.row.is_number and entry.value is not None
        )
        kind = chosen("kind", "trees")
        way = chosen("way", USUAL_WAY[kind])
        per = next((word for word, row in RATES.items() if row in filled), USUAL_COUNT[way])
        return cls(n, kind, way, per, chosen("blend", "none"), chosen("crop", ""), filled)

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


@dataclass(frozen=True, slots=True)
class PlantingPlan:
    """Filled blocks, filled rows of the injector, and whether their char leaves what is for sale."""

    grounds: tuple[Ground, ...]
    injector: frozenset[str]
    leaves_sales: bool

    @classmethod
    def of(cls, scenario: Scenario) -> PlantingPlan:
        """The planting of a scenario; no grounds where none is asked for."""
        rows = ("tank", "hopper", "speed", "width", "minutes_per_load", "diesel_use", "diesel_price")
        grounds = tuple(Ground.of(scenario, n) for n in scenario.active("planting", "count"))
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
