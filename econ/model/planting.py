"""Own planting: the char that trees, rows and beds may have, the phosphorus it brings, the work and the worth.

The char of a block is what is asked for, cut to the most phosphate of one application: one question (`most_p2o5`)
for every block, for the label and for customers' ground. Total P2O5 is counted, not the available part: it is what
loads the soil. The char leaves the char for sale where the plan says so; nothing else here moves the money of the
plant. All char here is dry.
"""

from __future__ import annotations

import numpy as np

from econ.model.ledger import WHOLE, Book, Quantity, above, at_least, given, there, total
from econ.model.plan import RATES, Ground, Plan

PLAN_YEARS = 3
HA_M2 = 10_000.0
PPM = 1e6


def most_p2o5(
    b: Book, start: str, removal: Quantity, years: Quantity, test: Quantity = None, local: Quantity = None
) -> Quantity:
    """The most phosphate of one application [kg P2O5/ha], kept with its ceilings. Source: Sims 2002.

    removal: leaves with the crops [kg/ha a year]; years: to the next application; test: Mehlich-3 [mg/kg], None:
    no more than removal; local: what a local plan allows [kg/ha]. To `soil_test_short` build-up and removal, to
    `soil_test_none` removal, above it nothing, nor past `soil_test_none`; the least counts.
    """
    least = b.line(f"{start}_ceiling_removal_kg_per_ha", removal * years)
    if test is not None:
        none, per_test = b["soil_test_none"], b["p2o5_per_test_kg_per_ha"]
        short = np.maximum(b["soil_test_short"] - test, 0) * per_test
        build = b.line(f"{start}_build_kg_per_ha", short * np.minimum(years / b["soil_build_years"], 1))
        by_test = b.line(f"{start}_ceiling_test_kg_per_ha", (least + build) * (1 - above(test, none)))
        peak = b.line(f"{start}_ceiling_peak_kg_per_ha", np.maximum(none - test, 0) * per_test)
        least = np.minimum(by_test, peak)
    if local is not None:
        least = np.minimum(least, local)
    return b.line(f"{start}_most_p2o5_kg_per_ha", least)


def ground_of_customers(b: Book) -> None:
    """The label rate held to the same question: how often it may be repeated, the rate allowed [kg/m2].

    A customer's soil test is not known: an application may bring what crops remove until the next. A blank
    interval is the whole years that removal needs for the label rate; a shorter one lowers the rate. By weight as
    sold.
    """
    rate, removal = b["market.label_rate"], b["market.crop_removal"] * HA_M2
    share = np.maximum(b["sold_p2o5_share"], WHOLE)
    brings = b.line("label_p2o5_kg_per_ha", rate * HA_M2 * share)
    needs = b.line("label_repeat_years", np.maximum(np.ceil(brings / np.maximum(removal, WHOLE) - WHOLE), 1))
    years = b.line("label_interval_years", given(b, "label.interval", needs))
    b.line("label_allowed_kg_per_m2", np.minimum(rate, most_p2o5(b, "label", removal, years) / HA_M2 / share))


def doses(b: Book, plan: Plan) -> None:
    """Char of every block a year [kg]; P2O5 that raises Mehlich-3 by 1 mg/kg. Source: m3_build, soil_slice."""
    if not plan.planting.grounds:
        return
    layer = b.line("soil_layer_kg_per_m2", b["soil.density"] * 1000 * b["soil.sample_depth"])
    b.line("p2o5_per_test_kg_per_ha", b["soil.build"] * HA_M2 * layer / b["soil_slice_kg_per_m2"])
    blocks = [_Block(b, plan, ground) for ground in plan.planting.grounds]
    for block in blocks:
        block.asked()
        block.allowed()
    b.line("planting_char_kg", total(block["char_kg"] for block in blocks))


def plant(b: Book, plan: Plan) -> None:
    """What follows from the doses of the filled blocks, and all of them against the year's production."""
    if not plan.planting.grounds:
        return
    blocks = [_Block(b, plan, ground) for ground in plan.planting.grounds]
    for block in blocks:
        block.load()
        block.years()
        block.blend()
        block.work()
        block.worth()
    _together(b, blocks)


class _Block:
    """One block of planting in the book: its rows `planting.1.…`, its figures `planting_1_…`."""

    def __init__(self, b: Book, plan: Plan, ground: Ground) -> None:
        self.b, self.ground, self.injector = b, ground, plan.planting.injector
        self.start = f"planting_{ground.number}"

    def __getitem__(self, word: str) -> Quantity:
        return self.b[f"{self.start}_{word}"]

    def line(self, word: str, value: Quantity) -> Quantity:
        """Write a figure of this block."""
        return self.b.line(f"{self.start}_{word}", value)

    def row(self, word: str) -> Quantity:
        """A row of this block that is filled."""
        return self.b[f"planting.{self.ground.number}.{word}"]

    def row_or(self, word: str, blank: Quantity) -> Quantity:
        """A row of this block, or what is usual."""
        return self.row(word) if word in self.ground.rows else blank

    def asked(self) -> None:
        """Ground covered [m, m2], and the char of one application as asked for [kg]."""
        b, ground, count = self.b, self.ground, self.row("count")
        if ground.has_length:
            self.line("length_m", count * self.row("spacing" if ground.kind == "trees" else "length"))
        if "area" in ground.rows:
            area = self.row("area")
        elif ground.has_length and (ground.kind != "trees" or "width" in ground.rows):
            area = self["length_m"] * self.row_or("width", b["planting_row_m"])
        else:
            area = count * b["planting_tree_m2"]
        self.line("area_m2", area)
        covered = {"tree": count, "length": b.optional(f"{self.start}_length_m"), "area": area}[ground.per]
        if RATES[ground.per] in ground.rows:
            rate = self.row(RATES[ground.per])
        elif ground.per == "tree":
            rate = b["planting_hole_kg"]
        else:
            rate = b["planting_row_kg_per_m2"] if ground.in_row else b["market.label_rate"] / b["as_sold_per_kg"]
        self.line("dressing_kg", rate * covered)

    def allowed(self) -> None:
        """The phosphate of that application beside its ceilings, the char that may be applied, when the next."""
        b, ground = self.b, self.ground
        per_kg: Quantity = b["char_p2o5_share"]
        if ground.blend == "compost":
            volumes = self.row_or("compost_volumes", b["planting_compost_volumes"])
            per_kg = per_kg + volumes / b["char_kg_per_m3"] * b["planting_compost_p2o5_kg_per_m3"]
        per_kg = self.line("p2o5_per_kg", per_kg)
        area = np.maximum(self["area_m2"], WHOLE) / HA_M2
        dressing = self["dressing_kg"]
        asked = self.line("p2o5_kg_per_ha", self.line("p2o5_kg", dressing * per_kg) / area)
        taken = self._removal()
        self.line("years_of_removal", asked / np.maximum(taken, WHOLE))
        years = self.row_or("years_between", 1.0)
        test = self.row("soil_test") * PPM if "soil_test" in ground.rows else None
        local = self.row("local_most") * HA_M2 if "local_most" in ground.rows else None
        most = most_p2o5(b, self.start, taken, years, test, local)
        wait: Quantity = 0.0
        if test is not None:
            per_test = b["p2o5_per_test_kg_per_ha"]
            self.line("test_after", test + asked / per_test)
            wait = np.maximum(test - b["soil_test_none"], 0) * per_test / np.maximum(taken, WHOLE)
        self.line("next_years", np.maximum(years, wait))
        self.line("may_spread", at_least(most, asked - WHOLE * asked))
        allowed = self.line("allowed_kg", np.minimum(dressing, most * area / np.maximum(per_kg, WHOLE)))
        self.line("char_kg", allowed / years)

    def _removal(self) -> Quantity:
        """Phosphate that leaves with the crop in a year [kg P2O5/ha]: the crop named, else what is usual."""
        b, ground = self.b, self.ground
        usual = b["orchard_removal_kg_per_ha"] if ground.kind == "trees" else b["garden_removal_kg_per_ha"]
        if ground.crop and "crop_yield" in ground.rows:
            p = self.line("removal_p_kg_per_ha", self.row("crop_yield") * HA_M2 * self["crop_p_per_kg"])
            usual = p * b["p2o5_per_p"]
        return self.line("removal_kg_per_ha", usual)

    def load(self) -> None:
        """What is applied, as it may be: by tree, by length of furrow and by area."""
        b, allowed, per_kg = self.b, self["allowed_kg"], self["p2o5_per_kg"]
        if self.ground.kind == "trees":
            grams = self.line("char_g_per_tree", allowed / np.maximum(self.row("count"), WHOLE) * 1000)
            self.line("p_g_per_tree", self.line("p2o5_g_per_tree", grams * per_kg) / b["p2o5_per_p"])
        if self.ground.has_length:
            self.line("char_kg_per_m", allowed / np.maximum(self["length_m"], WHOLE))
        rate = self.line("char_kg_per_ha", allowed / np.maximum(self["area_m2"], WHOLE) * HA_M2)
        self.line("p_kg_per_ha", self.line("applied_p2o5_kg_per_ha", rate * per_kg) / b["p2o5_per_p"])
        self.line("available_kg_per_ha", rate * b["char_available_share"])

    def years(self) -> None:
        """Char of each of three years: an application in the first year chosen, then every so many years."""
        first, years = self.row_or("first_year", 1.0), self.row_or("years_between", 1.0)
        done: Quantity = 0.0
        for year in range(1, PLAN_YEARS + 1):
            so_far = np.maximum(np.floor((year - first) / years + 1), 0)
            self.line(f"plan_{year}_kg", self["allowed_kg"] * (so_far - done))
            done = so_far

    def blend(self) -> None:
        """Compost [m3], tea [L] and loads of tank or spreader for one application."""
        b, char, mixed = self.b, self["allowed_kg"], self.ground.blend
        mass: Quantity = char
        if mixed == "compost":
            volumes = self.row_or("compost_volumes", b["planting_compost_volumes"])
            compost = self.line("compost_m3", char / b["char_kg_per_m3"] * volumes)
            mass = char + compost * b["compost_kg_per_m3"]
        if mixed == "tea":
            tea = self.line("tea_l", char * self.row_or("tea_per_char", b["planting_tea_l_per_kg"]))
            mass = char + tea  # a litre of tea is near a kilogram
        self.line("mixed_kg", mass)
        if mixed == "tea" and "tank" in self.injector:
            self.line("loads", np.ceil(self["tea_l"] / b["injector.tank"] - WHOLE))
        elif mixed != "tea" and "hopper" in self.injector:
            self.line("loads", np.ceil(mass / b["injector.hopper"] - WHOLE))

    def _distance(self) -> Quantity | None:
        """Driving of one application [m]: along rows, or over the area at the working width; None if unknown."""
        ground = self.ground
        if ground.in_row and ground.has_length:
            return self["length_m"]
        if ground.way != "broadcast" or not ground.has_area:
            return None
        if "width" in self.injector:
            return self["area_m2"] / self.b["injector.width"]
        return self["area_m2"] / self.row("width") if "width" in ground.rows else None

    def work(self) -> None:
        """Hours by hand, driving and filling a year, their cost, and diesel; none where nothing may be applied."""
        b, has, distance = self.b, self.injector, self._distance()
        part = above(self["allowed_kg"], 0) / self.row_or("years_between", 1.0)
        hours: list[Quantity] = []
        if "minutes_each" in self.ground.rows:
            hours.append(self.line("hand_hours", self.row("minutes_each") / 60 * self.row("count") * part))
        if "speed" in has and distance is not None:
            driving = tractor = self.line("driving_hours", distance / b["injector.speed"] * part)
            loads = b.optional(f"{self.start}_loads")
            if loads is not None and "minutes_per_load" in has:
                tractor = driving + self.line("filling_hours", loads * b["injector.minutes_per_load"] / 60 * part)
            if self.ground.blend == "tea":
                minutes = np.maximum(distance / b["injector.speed"] * 60, WHOLE)
                self.line("litres_per_minute", self["tea_l"] / minutes)
            hours.append(self.line("tractor_hours", tractor))
            if "diesel_use" in has:
                diesel = self.line("diesel_l", tractor * b["injector.diesel_use"])
                if "diesel_price" in has:
                    self.line("diesel_cost", diesel * b["injector.diesel_price"])
        self.line("labour_cost", self.line("hours", total(hours)) * b["cost_per_hour"])

    def worth(self) -> None:
        """Worth a year at the fertiliser replaced: zero unless a soil test is short; a second year if typed."""
        b, ground = self.b, self.ground
        factor = self["soil_factor"] if "soil_ph" in ground.rows else b["soil_factor_used"]
        working = self.line("working_p2o5_kg", self["char_kg"] * b["char_available_share"] * factor)
        for later in there(b, "soil.second_year_share"):
            working = working + self.line("second_year_p2o5_kg", working * later)
        short = 1 - above(self.row("soil_test") * PPM, b["soil_test_short"]) if "soil_test" in ground.rows else 0.0
        worth = self.line("worth", working * b["fertiliser.p2o5_price"] * self.line("p_is_short", short))
        paid = there(b, f"{self.start}_labour_cost", f"{self.start}_diesel_cost")
        self.line("worth_less_work", worth - total(paid))


def _together(b: Book, blocks: list[_Block]) -> None:
    """All blocks against the year's production and what is set aside [kg dry char a year]."""
    char, made = b["planting_char_kg"], b["char_finished_kg"]
    per_batch = b["char_kg"] / np.maximum(b["firings_per_year"], 1)
    b.line("planting_batches", np.ceil(char / np.maximum(per_batch, WHOLE)))
    b.line("planting_share", char / np.maximum(made, WHOLE))
    b.line("planting_beyond_made_kg", np.maximum(char - made, 0))
    aside = total(there(b, "own_use_kg")) / b["as_sold_per_kg"]
    b.line("planting_not_set_aside_kg", np.maximum(char - aside, 0))
    for word in ("hours", "worth", "worth_less_work", *(f"plan_{year}_kg" for year in range(1, PLAN_YEARS + 1))):
        b.line(f"planting_{word}", total(block[word] for block in blocks))
