"""Coefficients per kilogram and per unit: what the workbook carries as marked values.

Arithmetic on quantities, `ledger.interp` and `ledger.step`, so it broadcasts over arrays and can be printed; the
live workbook shows the results as values, since tables and class edges do not make readable formulas.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from econ.evidence import curves, factors, substances
from econ.fields import record
from econ.finance import returns as finance
from econ.model.carbon import handling
from econ.model.ledger import Quantity, Values, interp, power, step, total
from econ.model.persistence import persistence
from econ.model.plan import Plan
from econ.model.process import START_C, climate, protein_gas_mj, solid_mj, steam_mj, wood_mj
from econ.units import unit

MONTHS = 24
"""Months that the lender sees one by one."""
SHARE_OF_CLASS = {"class-5": "high", "class-4": "high", "class-3": "value", "class-2": "low", "class-1": "low"}
"""Which end of the handbook's range of contingencies goes with an estimate class: assumed."""


def coefficients(p: Values, plan: Plan) -> dict[str, Quantity]:
    """Every coefficient by name [units: workbook/coefficients.csv; source: factors.csv]; `p` may be (cases,)."""
    found: dict[str, Quantity] = {
        "p2o5_per_p": substances.P2O5_PER_P,
        "co2_per_c": substances.CO2_PER_C_REPORTING,
        "n2o_per_n": substances.N2O_PER_N_REPORTING,
        **factors.as_they_are("always"),
    }
    if plan.matter.soil_by_ph:
        found["soil_factor_by_ph"] = soil_factor(p["fertiliser.soil_ph"])
    kept = retention_at(p["kiln.peak_temperature"], p["kiln.residue_ratio"])
    parts = {n: stream(p, n, kept) for n in plan.streams}
    found |= {f"bones_{n}_{name}": value for n, part in parts.items() for name, value in part.items()}
    if plan.larger:  # the six-tenths rule of chemical engineering: price goes with size to the power 0.6
        found["larger_price_ratio"] = power(p["kiln.larger_load"] / p["kiln.batch_load"], factor("six_tenths"))
    found |= _heat(p, plan, parts)
    if plan.estimate_class in SHARE_OF_CLASS:
        percent = getattr(factors.factor("capex_contingency"), SHARE_OF_CLASS[plan.estimate_class])
        found["contingency_of_class"] = percent / 100
    found |= repayment(p, plan) | planting(p, plan)
    return found | persistence(p, plan) | climate(p, plan) | handling(p, plan)


def factor(name: str) -> float:
    """The value of a factor of the evidence, in its own unit [see factors.csv]; the source stands beside it."""
    return factors.factor(name).value


def factors_of_class(estimate_class: str) -> tuple[str, ...]:
    """The factors that an estimate class calls for: its accuracy and the range of contingencies (AACE 18R-97)."""
    if estimate_class not in SHARE_OF_CLASS:
        return ()
    return ("capex_contingency", f"aace_{estimate_class.replace('-', '')}")


def soil_factor(soil_ph: Quantity) -> Quantity:
    """Share of the available P2O5 that works at a soil pH [kg/kg]: 0 above 6.1. Source: soil_factor.csv."""
    table = curves.soil_factors()
    return step(table.edges_ph, table.soil_factor, soil_ph)


@record(frozen=True, slots=True)
class Retention:
    """What stays at one peak temperature, or at several [kg/kg].

    residue per kg protein; mineral_kept per kg ash; residue_c organic carbon per kg residue; carbonate_kept share
    of the CO2 in raw ash.
    """

    residue: Quantity
    mineral_kept: Quantity
    residue_c: Quantity
    carbonate_kept: Quantity


def retention_at(peak_c: Quantity, residue_ratio: Quantity = 1.0) -> Retention:
    """What stays [kg/kg] at a peak of 300 to 900 °C. Source: house model (retention.csv), not a published table.

    `residue_ratio` moves the residue of protein: 1 as tabled, never above all protein.
    """
    table = curves.retention()
    columns = (table.residue_frac, table.mineral_kept_frac, table.residue_c_frac, table.carbonate_kept_frac)
    residue, mineral, carbon, carbonate = (interp(table.peak_c, column, peak_c) for column in columns)
    return Retention(np.minimum(residue * residue_ratio, 1.0), mineral, carbon, carbonate)


def carried(part: Values, kept: Retention, ash_co2: float, residue_n: float) -> dict[str, Quantity]:
    """What 1 kg of raw bones of shares `part` (water, fat, protein, ash) turns into [kg/kg]. Definition, by parts.

    char = ash × mineral kept + protein × residue; P and Ca stay entirely; every stream that leaves is computed
    from its own component, never as the rest. `ash_co2` CO2 in raw ash, `residue_n` nitrogen of the residue
    [kg/kg].
    """
    mineral = part["ash"] * kept.mineral_kept
    residue = part["protein"] * kept.residue
    carbonate_c = part["ash"] * ash_co2 / substances.CO2_PER_C
    return {
        "char_frac": mineral + residue,
        "solids_frac": part["ash"] + part["protein"],
        **{f"{name}_frac": part[name] for name in ("water", "fat", "protein", "ash")},
        "residue_frac": residue,
        "protein_gas_frac": part["protein"] * (1 - kept.residue),
        "mineral_lost_frac": part["ash"] * (1 - kept.mineral_kept),
        "n_char_frac": residue * residue_n,
        "organic_c_frac": residue * kept.residue_c,
        "carbonate_c_frac": carbonate_c * kept.carbonate_kept,
        "carbonate_c_raw_frac": carbonate_c,
    }


def stream(p: Values, n: int, kept: Retention) -> dict[str, Quantity]:
    """What 1 kg of bones of stream n turns into [kg/kg], shares scaled to add up to 1. Source: `retention_at`."""
    parts = {name: p[f"bones.{n}.{name}_share"] for name in ("water", "fat", "protein", "ash")}
    whole = total(parts.values())
    shares = {name: part / whole for name, part in parts.items()}
    return carried(shares, kept, ash_co2=factor("ash_co2") / 100, residue_n=factor("residue_n") / 100)


def _heat(p: Values, plan: Plan, parts: Mapping[int, Values]) -> dict[str, Quantity]:
    """Heat of water, solids and steel in both stages, and of the gases [MJ/kg]; of each fuel [MJ a unit]."""
    peak = p["kiln.peak_temperature"]
    end = np.minimum(peak, factor("t_gas_onset"))
    found: dict[str, Quantity] = {
        "drying_water_mj": steam_mj(end),
        "drying_solids_mj": solid_mj("cp_bone", START_C, end),
        "drying_steel_mj": solid_mj("cp_steel_mean", START_C, end),
        "after_water_mj": steam_mj(peak) - steam_mj(end),
        "after_solids_mj": solid_mj("cp_bone", end, peak),
        "after_steel_mj": solid_mj("cp_steel_mean", end, peak),
    }
    for n, part in parts.items():
        found[f"bones_{n}_protein_mj"] = protein_gas_mj(part["protein_frac"], part["residue_frac"])
    for n, kind in zip(plan.fuels, plan.fuel_kinds, strict=True):
        burnt, moisture = substances.fuel(kind), p.get(f"fuel.{n}.moisture")
        by_table = burnt.lhv_mj_per_unit / unit(burnt.measure).factor
        is_wet = kind == "cordwood" and moisture is not None
        found[f"fuel_{n}_lower_mj"] = wood_mj(moisture) if is_wet else by_table
    return found


def repayment(p: Values, plan: Plan) -> dict[str, Quantity]:
    """Interest and principal of each year, payments of 24 months [1], for 1 borrowed. Source: `level_payments`.

    The loan bears a twelfth of its yearly rate each month; months of interest only come first, then level
    payments. A loan that outlives the study is repaid with its last year. Empty where there is none.
    """
    if not plan.loan_years:
        return {}
    rows = finance.level_payments(1.0, p["loan.rate"] / 12, 12 * plan.loan_term, plan.loan_grace)
    payment, interest, principal, balance = zip(*rows, strict=True)
    found: dict[str, Quantity] = {}
    for year in range(1, plan.loan_years + 1):
        months = slice(12 * year - 12, 12 * year)
        found[f"loan_interest_{year}"] = total(interest[months])
        found[f"loan_repaid_{year}"] = total(principal[months])
    if plan.loan_term > plan.loan_years:
        last = f"loan_repaid_{plan.loan_years}"
        found[last] = found[last] + balance[12 * plan.loan_years - 1]
    years, months_seen = range(1, min(3, plan.loan_years - 1) + 1), range(min(MONTHS, 12 * plan.loan_years))
    found |= {f"loan_left_{year}": balance[12 * year - 1] for year in years}
    return found | {f"loan_month_{m + 1}": payment[m] for m in months_seen}


def planting(p: Values, plan: Plan) -> dict[str, Quantity]:
    """Coefficients of filled blocks of planting [kg, L, m² as named]; none without any. Source: factors.csv."""
    if not plan.planting.grounds:
        return {}
    compost_dry = factor("rho_compost") * (1 - factor("compost_water") / 100)
    found: dict[str, Quantity] = {
        **factors.as_they_are("planting"),
        "soil_test_short": substances.soil_readings("mehlich3")[0].up_to,
        "soil_slice_kg_per_m2": unit("lb per acre").to_canonical(factor("soil_slice")),
        "planting_compost_p2o5_kg_per_m3": compost_dry * factor("compost_p2o5") / 100,
        "planting_row_kg_per_m2": unit("kg per ha").to_canonical(factor("row_rate")),
    }
    for ground in plan.planting.grounds:
        start = f"planting_{ground.number}"
        if ground.crop:
            found[f"{start}_crop_p_per_kg"] = substances.crop_removal(ground.crop).p_kg_per_t / 1000
        if "soil_ph" in ground.rows:
            found[f"{start}_soil_factor"] = soil_factor(p[f"planting.{ground.number}.soil_ph"])
    return found
