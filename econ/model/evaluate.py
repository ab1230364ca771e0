"""The whole model in the order in which the matter flows: bones, char, market, running, carbon, money.

And which facts a plant's figures rest on: what the model reads, less what the plant types itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache

from econ.evidence import used
from econ.evidence.factors import Used, any_held, factor
from econ.inputs.records import Scenario
from econ.model import capacity, carbon, cashflow, lender, matter, money, operating, options, planting, process
from econ.model.coefficients import coefficients, factors_of_class
from econ.model.later import Later, Program
from econ.model.ledger import Arrays, Book, Quantity
from econ.model.persistence import corrected
from econ.model.plan import Plan

ALWAYS = (
    "coll_n", "prot_c", "fat_c", "ash_co2", "residue_n", "c_co2", "n_n2o", "h_hap", "hc_lim", "hc_mean_half",
    "cp_bone", "cp_steel_mean", "t_gas_onset", "hv_fat", "hv_prot", "hv_residue", "lf_mcf_pit", "rend_meal_water",
    "rend_meal_fat", "soy_protein", "rho_char", "sd_to_p90",
)  # fmt: skip
"""Factors behind lines that every plant has."""
ONES = dict.fromkeys(("kiln.bones_share", "kiln.number", "market.sales_share"), 1.0)
"""What questions move though a plant need not say it: at one it changes no figure, so one walk serves them all."""
CURVES = ("retention", "steam", "persistence_by_soil", "persistence_classes", "persistence_by_hc")


def walk(values: Mapping[str, Quantity], plan: Plan, ledger: Arrays) -> Book:
    """Every stage, over inputs and coefficients in `values`; the figures go to the ledger."""
    b = Book(values, ledger)
    fired = capacity.bones(b, plan)
    matter.char(b, plan, fired)
    process.batch(b, plan, fired)
    product = matter.finish(b, plan)
    matter.phosphate(b, plan)
    matter.analysis(b, plan)
    planting.ground_of_customers(b)
    planting.doses(b, plan)
    operating.sales(b, plan, product)
    operating.extra_costs(b)
    matter.costs(b, plan)
    unused = matter.unused(b)
    operating.fuel(b, plan, b["firings_per_year"])
    operating.labour(b, plan, b["firings_per_year"])
    operating.upkeep(b)
    operating.disposal(b, plan, b["bones_fired_share"], b["bones_excluded_kg"])
    scope = carbon.uses(b, plan, b["char_kg"], unused)
    corrected(b, plan)
    carbon.removal(b, plan, b["organic_c_kg"], scope)
    process.process(b, plan)
    carbon.net(b, b["removal_kg_co2e"], b["process_kg_co2e"])
    carbon.against_current_practice(b, plan)
    project = money.cash(b, plan)
    cashflow.profitability(b, plan, project)
    lender.views(b, plan, project)
    carbon.over_study(b, plan)
    options.compare(b, plan, project)
    planting.plant(b, plan)
    return b


def evaluate(numbers: Mapping[str, Quantity], plan: Plan, wanted: frozenset[str] | None = None) -> Arrays:
    """The kept figures (`wanted`, or all) over numbers, each a float or an array (cases,); pure.

    Units stand in words/*.csv, sources in the docstring of each stage; what rests on no array stays a scalar.
    """
    if wanted is None or any_held():  # a walk that serves once: notes would cost more than they spare
        ledger = Arrays()
        walk({**numbers, **coefficients(numbers, plan)}, plan, ledger)
        return ledger if wanted is None else ledger.only(wanted)
    return _program(plan, frozenset(ONES.keys() | numbers.keys()), wanted).run({**ONES, **numbers})


def hang_on(names: Iterable[str], plan: Plan, wanted: frozenset[str]) -> frozenset[str]:
    """Those of the inputs on which the `wanted` figures of a plan hang; all while a fact is held elsewhere."""
    if any_held():  # no notes are kept of such a walk
        return frozenset(names)
    return _program(plan, frozenset(ONES.keys() | set(names)), wanted).hangs_on


@lru_cache(maxsize=64)
def _program(plan: Plan, names: frozenset[str], wanted: frozenset[str]) -> Program:
    """The work behind figures over any values of the inputs that have these names."""
    return Program(*_walked(plan, names), wanted)


@lru_cache(maxsize=8)
def _walked(plan: Plan, names: frozenset[str]) -> tuple[dict[str, Later], Arrays]:
    """The walk over inputs that come later, some thousand notes."""
    inputs: dict[str, Later] = {key: Later() for key in names}
    walk({**inputs, **coefficients(inputs, plan)}, plan, kept := Arrays())
    return inputs, kept


def facts_read(scenario: Scenario, plan: Plan) -> tuple[Used, ...]:
    """Every fact in use, each once, in the order of its subject."""
    hauls = any(_filled(scenario, key) for key in ("haul.trips", "handling.haul_trips"))
    found: list[Used] = [factor(name) for name in dict.fromkeys(_factors(scenario, plan, hauls))]
    found += [used.of_curve(name) for name in CURVES]
    if plan.matter.soil_by_ph or any("soil_ph" in ground.rows for ground in plan.planting.grounds):
        found.append(used.of_curve("soil_factors"))
    for n, kind in zip(plan.streams, plan.kinds, strict=True):
        for fact in used.of_bones(kind):
            entry = scenario.entries.get(f"bones.{n}.{fact.id.split(':')[2]}_share")
            found += [fact] if entry is not None and entry.is_default and entry.value is not None else []
    found += used.of_gwps(plan.gwp_set)
    for kind in dict.fromkeys((*plan.fuel_kinds, *(("diesel",) if hauls else ()))):
        found += used.of_fuel(kind, plan.gwp_set)
    ranged = dict.fromkeys(entry.range_by for entry in scenario.entries.values() if entry.range_by)
    found += [one for label in ranged if (one := used.of_range(label))]
    return tuple({one.id: one for one in found}.values())


def _filled(scenario: Scenario, key: str) -> bool:
    return scenario.has(key) and scenario[key].number != 0


def _factors(scenario: Scenario, plan: Plan, hauls: bool) -> Iterator[str]:
    defaults = (one for one in scenario.entries.values() if one.is_default and one.factor)
    yield from (one.factor for one in defaults if one.row.key != "haul.fuel_use" or hauls)
    yield from (*ALWAYS, *plan.matter.factors, *plan.planting.factors, *factors_of_class(plan.estimate_class))
    asked = {
        "hv_wood_dry": any(scenario.has(f"fuel.{n}.moisture") for n in plan.fuels),
        "cmp_ch4": _filled(scenario, "handling.chips"),
        "cmp_n2o": _filled(scenario, "handling.chips"),
        "ef4_n2o": plan.compost_n_typed,
        "n_nh3": not plan.tested_n2o,
        "n_hcn": True,
        "six_tenths": plan.larger,
        process.VEHICLES[plan.vehicle]: _filled(scenario, "haul.mass"),
    }
    yield from (name for name, is_asked in asked.items() if is_asked)
