"""Defaults that hang on another row: composition and bone per animal on the kind, water on what is mixed in."""

from __future__ import annotations

from dataclasses import replace

from econ import evidence
from econ.inputs.records import Entry

HEADS = {
    "beef-mixed": "head_beef",
    "beef-femur": "head_beef",
    "green-bone": "head_beef",
    "meaty-trim": "head_beef",
}
"""Kinds of bone for which the bone of one animal is known well enough to be a default."""
CHARGE_WATER = {"tea": "tea_water", "compost": "compost_water"}


def complete(entries: dict[str, Entry]) -> None:
    """Fill the rows whose default depends on other rows; rows that nothing asks for stay blank."""
    by_age = False
    for key, entry in list(entries.items()):
        if key.startswith("bones.") and key.endswith(".kind"):
            stream = key.removesuffix(".kind")
            _composition(entries, stream, str(entry.value))
            if entries[f"{stream}.heads"].value is not None and entries[f"{stream}.mass"].value is None:
                _from_factor(entries, f"{stream}.bone_per_head", HEADS.get(str(entry.value), ""))
            if entries[f"{stream}.older_share"].value is not None:
                by_age = by_age or entries[f"{stream}.excluded_share"].is_default
                at = f"{stream}.condemned_share"
                if entries[at].value is None:
                    entries[at] = replace(entries[at], value=0.0, low=0.0, high=0.0, known="default")
    if by_age:
        _from_factor(entries, "excluded.risk_part", "risk_bone")
    charge = str(entries["finish.charge"].value)
    if charge in CHARGE_WATER:
        _from_factor(entries, "finish.charge_water_share", CHARGE_WATER[charge])


def _composition(entries: dict[str, Entry], stream: str, kind: str) -> None:
    made_of = evidence.composition(kind)
    for name, share in made_of.components().items():
        at = f"{stream}.{name}_share"
        if entries[at].value is None:
            entries[at] = replace(
                entries[at], value=share.value, low=share.low, high=share.high,
                known=f"default: {made_of.mark}", source=made_of.source.text,
            )  # fmt: skip


def _from_factor(entries: dict[str, Entry], key: str, name: str) -> None:
    entry = entries[key]
    if not name or entry.value is not None:
        return
    found = evidence.factor(name)
    own = entry.row.unit_choices("currency")[0]
    low, value, high = (
        own.to_canonical(found.value if end is None else end) for end in (found.low, found.value, found.high)
    )
    entries[key] = replace(
        entry, value=value, low=low, high=high, known=f"default: {found.mark}",
        source=f"{found.source.text}, {found.locator}",
    )  # fmt: skip
