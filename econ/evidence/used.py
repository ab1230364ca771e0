"""Facts ready to print, beside the factors: a share of a kind of bone, a warming potential, a fuel, a whole curve.

And the edition of the data: a short code that changes with any figure, source or word of any table inside. Beside
it the code of the tables as they shipped, so that a table edited in an installed copy is noticed.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from econ.evidence.factors import RANGES, Used
from econ.evidence.facts import ORIGIN, RUNGS, WORDS, Source, Sourced
from econ.evidence.substances import composition, fuel, gwp
from econ.fields import replace
from econ.shipped import HOME, text


def of_bones(kind: str) -> Iterator[Used]:
    """The four shares of a kind of bone."""
    made = composition(kind)
    for name, share in made.components().items():
        label = f"{made.label}: {name}"
        yield _of(made, f"bones:{made.kind}:{name}", label, share.value, share.low, share.high, "kg/kg fresh")


def of_gwps(edition: str) -> Iterator[Used]:
    """The two potentials that the model reads: methane without its own CO2, and N2O."""
    found = gwp(edition)
    for gas, name, warming in (("ch4", "methane", found.ch4_biogenic), ("n2o", "N2O", found.n2o)):
        label = f"Warming potential of {name}, {edition}, 100 years"
        yield _of(found, f"gwp:{gas}", label, warming.value, warming.low, warming.high, "kg CO2e/kg")


def of_fuel(kind: str, edition: str) -> Iterator[Used]:
    """Heat, combustion and upstream of a fuel, left out what is zero; the grid has a row of its own."""
    burnt = fuel(kind)
    for name, value, unit in (
        ("lower heat", burnt.lhv_mj_per_unit, f"MJ/{burnt.measure}"),
        ("combustion", burnt.co2e_kg_per_unit(gwp(edition)), f"kg CO2e/{burnt.measure}"),
        ("upstream, of combustion", burnt.upstream_frac, "kg/kg"),
    ):
        if value and kind != "electricity":
            yield _of(burnt, f"fuel:{burnt.kind}:{name}", f"{burnt.label}: {name}", value, None, None, unit)


def _of(row: Sourced, name: str, label: str, value: float | None, low: float | None, high: float | None, unit: str,
        ends: str = "") -> Used:  # fmt: skip
    """A figure of a row."""
    return Used(name, label, value, low, high, ends, unit, **{one: getattr(row, one) for one in ORIGIN})


def of_range(label: str) -> Used | None:
    """The range that kilncase gave a number typed without one; None where the number is held."""
    one = next(one for one in RANGES.all() if one.label == label)
    if one.measure == "held":
        return None
    unit = "added to yours" if one.measure == "plus" else "times yours"
    return _of(one, f"range:{one.id}", f"Range where you gave none: {one.label}", None, one.low, one.high, unit)


def of_curve(name: str) -> Used:
    """A whole table as one fact: it stands on the lowest rung of its rows."""
    from econ.evidence import curves

    origins: tuple[Sourced, ...] = getattr(curves, name)().origins
    worst = max(origins, key=lambda one: list(RUNGS).index(one.rung))
    source = Source("", "; ".join(dict.fromkeys(origin.source.text for origin in origins)), "", "")
    whole = _of(worst, name, WORDS["curves"][name], None, None, None, "")
    return replace(whole, source=source, locator=f"table of {len(origins)} rows", parts=())


LENGTH = 8
ENDINGS = (".csv", ".toml")
SHIPPED = "edition.txt"
PAGES = "pages"
"""How pages look is no data."""


@cache
def edition() -> str:
    """Eight hexadecimal digits over the name and text of every table; ends of lines do not count."""
    digest = hashlib.sha256()
    for name, table in sorted(_tables(HOME, "")):
        content = table.read_bytes().replace(b"\r\n", b"\n")
        digest.update(f"{name} {len(content)}\n".encode() + content)
    return digest.hexdigest()[:LENGTH]


def _tables(folder: Path, within: str) -> Iterator[tuple[str, Path]]:
    for item in folder.iterdir():
        if item.is_dir() and item.name != PAGES:
            yield from _tables(item, f"{within}{item.name}/")
        elif item.name.endswith(ENDINGS):
            yield f"{within}{item.name}", item


def shipped_edition() -> str:
    """The code of the tables as they left the makers."""
    return text(SHIPPED, "evidence").strip()


def in_words() -> str:
    """The edition, and whether the tables are those that shipped."""
    own, theirs = edition(), shipped_edition()
    return own if own == theirs else f"{own} (edited here: this version shipped with {theirs})"
