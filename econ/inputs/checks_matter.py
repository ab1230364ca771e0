"""Faults and cautions on bones, composition, phosphate and finishing that the typed rows alone show."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from econ import evidence
from econ.errors import InputFault
from econ.evidence import stoichiometry
from econ.inputs import bone_shares
from econ.inputs.records import Caution, Entry

Entries = Mapping[str, Entry]

COMPONENTS = ("water", "fat", "protein", "ash")

MAY_BE_CATTLE = {"beef-mixed", "beef-femur", "green-bone", "meaty-trim"}
CA_PER_P = (1.9, 2.4)
"""Calcium to phosphorus by mass that bone mineral can have; hydroxyapatite has 2.157."""
SRM = (
    "Skull and most of the backbone of cattle of 30 months and over are specified risk material (US: 9 CFR "
    "310.22): keep them out of the kiln unless your authority agrees. No kiln of this kind is claimed to "
    "inactivate prions."
)


def streams(entries: Entries) -> list[int]:
    """Numbers of the streams that hold a mass or heads."""
    return sorted(
        {
            entry.row.number
            for key, entry in entries.items()
            if entry.row.block == "bones" and key.endswith((".mass", ".heads")) and entry.value is not None
        }
    )


def faults(entries: Entries) -> list[InputFault]:
    """Contradictions between rows about matter."""
    return [
        *_heads(entries),
        *bone_shares.faults(entries),
        *_mineral(entries),
        *_phosphorus(entries),
        *_calcium(entries),
        *_label(entries),
        *_finishing(entries),
    ]


def warnings(entries: Entries) -> list[Caution]:
    """Cautions about matter."""
    return [
        *bone_shares.cautions(entries),
        *_risk_material(entries),
        *_both_ways(entries),
        *_ratio(entries),
        *_soil(entries),
        *_grain(entries),
    ]


def _heads(entries: Entries) -> Iterator[InputFault]:
    for n in streams(entries):
        heads, per_head = entries[f"bones.{n}.heads"], entries[f"bones.{n}.bone_per_head"]
        if entries[f"bones.{n}.mass"].value is None and per_head.value is None:
            yield InputFault(
                per_head.where,
                f"{heads.number:g} animals a year and no bones of one animal",
                f"a weight for {per_head.row.label!r}: the kind of bones has no usual one",
            )


def _mineral(entries: Entries) -> Iterator[InputFault]:
    for key, most, words in (
        ("bones.ash_p_share", stoichiometry.P_IN_TRICALCIUM_PHOSPHATE, "20.0 % P of tricalcium phosphate"),
        ("bones.ash_ca_share", stoichiometry.CA_IN_HYDROXYAPATITE, "39.9 % Ca of hydroxyapatite"),
    ):
        entry = entries[key]
        if entry.value is not None and entry.number > most * (1 + 1e-9):
            yield InputFault(
                entry.where, f"{entry.number:.1%} of the mineral", f"at most the {words}; was it an oxide?"
            )


def _phosphorus(entries: Entries) -> Iterator[InputFault]:
    for key in ("product.available_p2o5_share", "product.total_p2o5_share"):
        entry = entries[key]
        if entry.value is None or entry.unit is None:
            continue
        as_p_frac = entry.number / stoichiometry.P2O5_PER_P
        if as_p_frac > stoichiometry.P_IN_HYDROXYAPATITE * (1 + 1e-9):
            typed = entry.unit.from_canonical(entry.number)
            meant = (
                f"{typed:.3g} % as P2O5 ({typed / stoichiometry.P2O5_PER_P:.3g} % P): choose the unit '% P2O5'"
                if entry.unit.short == "% P"
                else "at most 42.4 % P2O5"
            )
            yield InputFault(
                entry.where,
                f"{typed:.3g} {entry.unit.name}",
                f"no more than pure bone mineral holds (18.5 % P, 42.4 % P2O5); most likely {meant}",
            )


def _calcium(entries: Entries) -> Iterator[InputFault]:
    entry = entries["product.ca_share"]
    if entry.value is not None and entry.number > stoichiometry.CA_IN_HYDROXYAPATITE * (1 + 1e-9):
        as_ca = entry.number / stoichiometry.CAO_PER_CA
        yield InputFault(
            entry.where,
            f"{entry.number:.1%} calcium",
            f"at most the 39.9 % of pure bone mineral; read as CaO it would be {as_ca:.1%} Ca",
        )


def _label(entries: Entries) -> Iterator[InputFault]:
    entry = entries["product.available_p2o5_share"]
    read_from = entries["product.available_read_from"].value
    if entry.value is not None and entry.unit is not None and read_from == "label" and entry.unit.short == "% P":
        typed = entry.unit.from_canonical(entry.number)
        yield InputFault(
            entry.where,
            f"{typed:.3g} % P read off a label",
            "the unit '% P2O5': a label like 0-12-0 states P2O5, and as P it would count 2.29 times too much",
        )


def _finishing(entries: Entries) -> Iterator[InputFault]:
    dust, fines = entries["finish.dust_share"], entries["finish.fines_share"]
    lost = math.fsum(entry.number for entry in (dust, fines) if entry.value is not None)
    if lost >= 1:
        yield InputFault(fines.where, f"{lost:.0%} of the char as dust and fines", "less than 100 % together")
    charge, ratio = entries["finish.charge"], entries["finish.charge_ratio"]
    if charge.value == "none" and not ratio.is_default and ratio.value:
        yield InputFault(
            charge.where or ratio.where,
            f"{ratio.number:g} kg put to a kg of char, and nothing it is charged with",
            "compost tea or compost",
        )
    if charge.value != "none" and ratio.is_default:
        yield InputFault(ratio.where, "char that is charged, and no amount", "kilograms put to a kg of dry char")


def _risk_material(entries: Entries) -> Iterator[Caution]:
    for n in streams(entries):
        kind, share = entries[f"bones.{n}.kind"], entries[f"bones.{n}.excluded_share"]
        older = entries[f"bones.{n}.older_share"]
        if older.value is not None and not share.is_default:
            part = older.number * evidence.factor("risk_bone").value / 100
            if share.number < part * (1 - 1e-9):
                yield Caution(
                    "srm-too-little",
                    f"Stream {n}: {older.number:.0%} of the cattle are 30 months and over, whose skull and "
                    f"backbone are about {part:.0%} of the bones, yet {share.number:.0%} is kept out. {SRM}",
                    share.where,
                )
        elif older.value is None and kind.value in MAY_BE_CATTLE and not (share.value or 0):
            yield Caution(
                "srm-none-excluded", f"Stream {n} may hold cattle and nothing is excluded. {SRM}", share.where
            )


def _both_ways(entries: Entries) -> Iterator[Caution]:
    for n in streams(entries):
        mass, heads, per_head = (entries[f"bones.{n}.{word}"] for word in ("mass", "heads", "bone_per_head"))
        if mass.value is None or heads.value is None or per_head.value is None:
            continue
        counted = heads.number * per_head.number
        if abs(counted - mass.number) > 0.1 * mass.number:
            yield Caution(
                "heads-against-weight",
                f"Stream {n}: heads × bone of one animal is {counted:,.0f} kg a year, the weight typed is "
                f"{mass.number:,.0f} kg. The weight is used.",
                heads.where,
            )


def _ratio(entries: Entries) -> Iterator[Caution]:
    phosphate, calcium = entries["product.total_p2o5_share"], entries["product.ca_share"]
    if phosphate.value is None or calcium.value is None or phosphate.number <= 0:
        return
    ratio = calcium.number / (phosphate.number / stoichiometry.P2O5_PER_P)
    if not CA_PER_P[0] <= ratio <= CA_PER_P[1]:
        yield Caution(
            "calcium-to-phosphorus",
            f"Calcium to phosphorus is {ratio:.2f} by weight; bone mineral has 1.9 to 2.4. Is one of the two an "
            "oxide, or the sample not bone char?",
            calcium.where,
        )


def _soil(entries: Entries) -> Iterator[Caution]:
    ph, typed = entries["fertiliser.soil_ph"], entries["fertiliser.soil_factor"]
    stop = evidence.factor("ph_stop").value
    if ph.value is None or ph.number <= stop:
        return
    text = (
        f"Above soil pH {stop:g} bone char hardly dissolves: its phosphate is worth nothing there as fertiliser."
    )
    if not typed.is_default and typed.number > 0:
        text = f"The soil has pH {ph.number:g} and {typed.number:.0%} of the phosphate is taken to work. {text}"
    yield Caution("soil-too-limy", text, ph.where)


def _grain(entries: Entries) -> Iterator[Caution]:
    size = entries["finish.particle_size"]
    least = evidence.factor("dust_flour_mm").value / 1000
    if size.value is not None and size.number <= least:
        yield Caution(
            "dust-may-burn",
            f"Ground to {size.number * 1000:.3g} mm the char is flour: below {least * 1000:.2f} mm (No. 40) "
            "dust of this kind counts as combustible until it is tested.",
            size.where,
        )
    if entries["finish.charge"].value == "tea":
        yield Caution(
            "compost-tea",
            "Brew tea with drinking water and without sugar; unless tested, treat what was charged with it like "
            "raw manure on food crops.",
            entries["finish.charge"].where,
        )
