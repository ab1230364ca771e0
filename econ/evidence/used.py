"""The facts that an answer leans on, for the page of sources and the count of unverified ones."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from econ.evidence.bone_kinds import Composition, composition
from econ.evidence.climate import Fuel, Gwp, fuel, gwp
from econ.evidence.factors import factor
from econ.evidence.facts import MARKS, Origin

FACTORS = (
    "ash_p", "ash_ca", "ash_co2", "residue_rel", "coll_n", "prot_c", "fat_c", "residue_n", "av_label", "rho_char",
    "c_co2", "n_n2o", "hc_lim", "hc_half",
    "kiln_ch4v_retort", "kiln_n2o_n", "grid_us", "app_rate",
    "cp_bone", "cp_steel_mean", "steel_per_load", "t_gas_onset", "hv_fat", "hv_prot", "hv_residue", "fat_drip",
    "eff_kiln", "rho_raw", "keeping_uncooled",
    "h_hap", "hc_mineral", "cmp_ch4", "cmp_n2o", "cmp_ch4_dry", "cmp_n2o_dry", "cmp_n_kept",
    "n_fert", "lf_doc", "lf_docf", "lf_mcf", "lf_mcf_pit", "lf_f", "lf_ox", "lf_k", "lf_capture", "rnd_ghg",
    "rend_meal", "rend_tallow", "rnd_meal_credit", "rnd_tallow_credit", "tsp_p2o5", "haul_fuel_use", "truck_tkm",
    "truck_rigid_tkm", "truck_van_tkm",
)  # fmt: skip
"""Factors that the model reads whatever the scenario."""


@dataclass(frozen=True, slots=True)
class Used:
    """One fact in use, ready to print."""

    label: str
    value: float | None
    low: float | None
    high: float | None
    unit: str
    mark: str
    source: str
    locator: str
    note: str
    is_verified: bool


def used(kinds: Iterable[str], fuels: Iterable[str], gwp_set: str, more: Iterable[str] = ()) -> tuple[Used, ...]:
    """Every fact that a scenario with these bones, fuels and warming potentials leans on.

    `more` names the factors that only some choices read.
    """
    found = [
        Used(f.label, f.value, f.low, f.high, f.unit, f.mark, f.source.text, f.locator, f.note, f.is_verified)
        for f in map(factor, (*FACTORS, *more))
    ]
    for kind in dict.fromkeys(kinds):
        made = composition(kind)
        found += [
            _row(f"{made.label}: {name}", share.value, share.low, share.high, "kg/kg fresh", made)
            for name, share in made.components().items()
        ]
    edition = gwp(gwp_set)
    for name, warming in (("biogenic methane", edition.ch4_biogenic), ("N2O", edition.n2o)):
        label = f"Warming potential of {name}, {gwp_set}, 100 years"
        found.append(_row(label, warming.value, warming.low, warming.high, "kg CO2e/kg", edition))
    for kind in dict.fromkeys(fuels):
        burnt = fuel(kind)
        found.append(
            _row(f"{burnt.label}: lower heat", burnt.lhv_mj_per_unit, None, None, f"MJ/{burnt.measure}", burnt)
        )
        found.append(
            _row(f"{burnt.label}: burning", burnt.co2e_kg_per_unit(edition), None, None,
                 f"kg CO2e/{burnt.measure}", burnt)
        )  # fmt: skip
    return (*found, *_curves())


def _row(
    label: str, value: float, low: float | None, high: float | None, unit: str, row: Composition | Gwp | Fuel
) -> Used:
    return Used(label, value, low, high, unit, row.mark, row.source.text, row.locator, row.note, row.is_verified)


def _curves() -> list[Used]:
    """The tables over temperature and soil, a line each row."""
    from econ.evidence import curves

    kept = curves.retention()
    steam = curves.steam()
    classes = curves.persistence_classes()
    by_hc = curves.persistence_by_hc()
    at_peak = [f"{at:.0f} °C" for at in kept.peak_c]
    lines = [
        f"Share lasting 100 years = {c:g} - {m:g} × H/C_org, soil {soil:.0f} °C"
        for soil, c, m in zip(by_hc.soil_c, by_hc.intercept_c, by_hc.slope_m, strict=True)
    ]
    return [
        *_table([f"Residue per kg protein at {at}" for at in at_peak], kept.residue_frac, "kg/kg", kept.origins),
        *_table(
            [f"Heat of water of 20 °C to steam of {at:.0f} °C" for at in steam.at_c],
            steam.heat_mj,
            "MJ/kg",
            steam.origins,
        ),
        *_table([f"Mineral kept at {at}" for at in at_peak], kept.mineral_kept_frac, "kg/kg", kept.origins),
        *_table(
            [f"Share lasting 100 years, class {name}" for name in classes.names],
            classes.persist_frac,
            "kg/kg",
            classes.origins,
        ),
        *_table(lines, [None] * len(lines), "kg/kg", by_hc.origins),
    ]


def _table(
    labels: Iterable[str], values: Iterable[float | None], unit: str, origins: Iterable[Origin]
) -> list[Used]:
    return [
        _origin(label, value, unit, origin) for label, value, origin in zip(labels, values, origins, strict=True)
    ]


def _origin(label: str, value: float | None, unit: str, origin: Origin) -> Used:
    known = origin.status in {"verified", "exact"}
    number = None if value is None else float(value)
    return Used(label, number, None, None, unit, MARKS[origin.status], origin.source.text, origin.locator,
                origin.note, known)  # fmt: skip
