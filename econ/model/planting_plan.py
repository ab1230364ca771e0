"""The choices about own planting: what is never an array."""

from __future__ import annotations

from dataclasses import dataclass

from econ.inputs.records import Scenario

USUAL_WAY = {"trees": "hole", "rows": "row", "beds": "broadcast"}
USUAL_COUNT = {"hole": "tree", "row": "area", "broadcast": "area"}
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
    def has_area(self) -> bool:
        """Whether the area is known, typed or by distances."""
        return "area" in self.rows or (self.has_length and "width" in self.rows)


@dataclass(frozen=True, slots=True)
class PlantingPlan:
    """Every filled block of own planting, and which rows of the injector are filled."""

    grounds: tuple[Ground, ...]
    injector: frozenset[str]

    @classmethod
    def of(cls, scenario: Scenario) -> PlantingPlan:
        """The planting of a scenario; no grounds where none is asked for."""
        rows = ("tank", "speed", "width", "minutes_per_load", "diesel_use", "diesel_price")
        return cls(
            tuple(Ground.of(scenario, n) for n in scenario.active("planting", "count")),
            frozenset(word for word in rows if scenario.has(f"injector.{word}")),
        )

    @property
    def factors(self) -> tuple[str, ...]:
        """The factors of the evidence that the filled blocks read."""
        found = ["m3_opt", "m3_env", "rho_compost"] if self.grounds else []
        for ground in self.grounds:
            if RATES[ground.per] not in ground.rows and ground.way != "broadcast":
                found.append("hole_char" if ground.per == "tree" else "row_rate")
            found += {"tea": ["tea_per_char"], "compost": ["compost_per_char"]}.get(ground.blend, [])
            found += [f"rem_{ground.crop}"] if ground.crop in OF_FRUIT else []
        return tuple(dict.fromkeys(found))
