"""The choices about bones, char and its finishing: what is never an array."""

from __future__ import annotations

from dataclasses import dataclass

from econ.inputs.records import Scenario


@dataclass(frozen=True, slots=True)
class MatterPlan:
    """How the matter is entered and finished.

    `by_head` streams are counted in heads × bone per head; `by_age` streams keep out the risk material
    of the older cattle; `same_lot` says that the assay is of the load whose char was weighed. `charged`
    is none, tea or compost; `bulk` are the tiers that are not bagged.
    """

    by_head: tuple[int, ...]
    by_age: tuple[int, ...]
    same_lot: bool
    measured_phosphate: bool
    measured_calcium: bool
    available_as_sold: bool
    soil_by_ph: bool
    charged: str
    moisture_typed: bool
    watered: bool
    bagged_by_weight: bool
    bulk: tuple[int, ...]
    fat_priced: bool
    fines_priced: bool

    @property
    def factors(self) -> tuple[str, ...]:
        """The factors of the evidence that these choices read on top of those every plant reads."""
        charge = {"compost": ("compost_water", "rho_compost"), "tea": ("tea_water",)}.get(self.charged, ())
        soil = ("soil_eff_55", "soil_eff_61", "soil_eff_70", "soil_eff_above70") if self.soil_by_ph else ()
        heads = ("head_beef",) if self.by_head else ()
        return (*heads, *(("risk_bone",) if self.by_age else ()), *charge, *soil)

    @classmethod
    def of(cls, scenario: Scenario) -> MatterPlan:
        """The matter plan of a scenario."""
        filled = streams(scenario)
        tiers = scenario.active("product", "price")
        return cls(
            by_head=tuple(n for n in filled if not scenario.has(f"bones.{n}.mass")),
            by_age=tuple(n for n in filled if by_age(scenario, n)),
            same_lot=scenario.choice("bones.assay_of_weighed_load") == "yes" and own_assay(scenario, filled),
            measured_phosphate=scenario.has("product.total_p2o5_share"),
            measured_calcium=scenario.has("product.ca_share"),
            available_as_sold=scenario.choice("product.analysis_basis") == "as-sold",
            soil_by_ph=scenario.has("fertiliser.soil_ph") and scenario["fertiliser.soil_factor"].is_default,
            charged=scenario.choice("finish.charge"),
            moisture_typed=scenario.has("finish.sold_moisture"),
            watered=scenario.has("finish.added_water"),
            bagged_by_weight=scenario.has("finish.bag_weight"),
            bulk=tuple(n for n in tiers if scenario.choice(f"product.{n}.packing") == "bulk"),
            fat_priced=scenario.has("fat.price"),
            fines_priced=scenario.has("finish.fines_price"),
        )


def streams(scenario: Scenario) -> tuple[int, ...]:
    """The numbers of the streams that hold a mass, or heads to compute it from."""
    return tuple(sorted({*scenario.active("bones", "mass"), *scenario.active("bones", "heads")}))


def by_age(scenario: Scenario, n: int) -> bool:
    """Whether the share kept out of stream n follows from the age of the cattle."""
    return scenario.has(f"bones.{n}.older_share") and scenario[f"bones.{n}.excluded_share"].is_default


def own_assay(scenario: Scenario, numbers: tuple[int, ...]) -> bool:
    """Whether every stream carries an assay of the plant's own."""
    return all(not scenario[f"bones.{n}.ash_share"].is_default for n in numbers)
