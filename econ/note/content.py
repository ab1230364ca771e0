"""The words and figures of the carbon note, taken from the same JSON that `kilncase run --json` prints."""

from __future__ import annotations

from typing import Any

from econ.answer.carbon_account import METHOD_WORDS, WITH_FORMULA, WITHOUT_FORMULA
from econ.answer.report import as_json
from econ.answer.results import Results
from econ.answer.weights import doubts
from econ.evidence.used import Used
from econ.note.grant import grant_parts
from econ.note.moving import moving
from econ.note.parts import Heading, Note, Part, Picture, Table, Text, blocks_png, factor, number
from econ.questions.found import Mover

BANNER = "DRAFT, NOT FOR SUBMISSION"
BLOCKS = {
    "removal": "Removal by durable carbon",
    "process": "Process emissions",
    "avoided": "Avoided emissions against current practice",
    "credits_lost": "Credits of current practice that are lost",
}
NOT_CLAIMED = (
    "not a carbon credit, offset or certificate, and no third party has verified it",
    "no carbon neutrality or 'carbon negative' product",
    "no removal for carbonate carbon, for char unsold, stored or used outside mineral field, "
    "grassland or orchard soil",
    "no persistence measured in bone char: the published methods rest on char of plants and manure",
    "no phosphorus availability beyond the assay or label named; no yield effect in a crop",
    "no inactivation of prions; no permit, label or grant rule is taken as met",
)


def note(results: Results, date: str) -> Note:
    """The whole note; `date` as YYYY-MM-DD is printed and enters nothing else."""
    contract = as_json(results)
    facts = moving(results)
    doubtful = doubts(results)
    code = contract["details"]["inputs_code"]
    parts: list[Part] = []
    if doubtful:
        parts += [Text(BANNER, "banner"), Text(_why_draft(doubtful))]
    parts += [
        *_counted(results, contract),
        *_method(results, contract),
        *_results(results, contract),
        *grant_parts(results),
        Heading("What this statement does not claim"),
        *(Text(f"{claim};" if claim != NOT_CLAIMED[-1] else f"{claim}.", "bullet") for claim in NOT_CLAIMED),
        Heading("Factors that move a figure of this note"),
        _factors(facts),
    ]
    under = f"{results.scenario.name}. Date {date}. Version code of the inputs {code}. Made by kilncase."
    return Note("Carbon note: bones to bone char", under, tuple(parts))


def _why_draft(doubtful: list[tuple[Mover, float]]) -> str:
    named = "; ".join(f"{mover.label} ({share:.0%} of the range)" for mover, share in doubtful)
    return (
        f"A figure quoted here rests by more than a tenth of its range on what was not checked in a source or is "
        f"assumed: {named}. Measure or replace each before submission."
    )


def _counted(results: Results, contract: dict[str, Any]) -> list[Part]:
    option = results.scenario["current.option"].row.option(results.plan.today)
    today = option.label if option else results.plan.today
    guessed = sum(entry.known == "guessed" for entry in results.scenario.entries.values())
    measured = sum(entry.known == "measured" for entry in results.scenario.entries.values())
    return [
        Heading("What was counted"),
        Text(
            f"One full plant year: {number(contract['bones_t_per_year'])} t of bones processed make "
            f"{number(contract['char_t_per_year'])} t of dry char. Counted: fuel burnt, methane and "
            "N2O of the stack, "
            "hauling, grinding and bags; organic carbon of char that goes on mineral field, "
            "grassland or orchard soil "
            f"({number(_figure(contract, 'char_in_scope_kg') / 1000)} t of char a year). Current "
            f"practice is: {today}. "
            "Bones are taken as a by-product without a burden of their own; making the kiln and shed "
            "is not counted, nor is biogenic CO2 of bone gas "
            "and wood. Nothing is counted twice: avoided emissions and lost credits stand apart from "
            "the removal. Of the "
            f"plant's own inputs {measured} are marked measured and {guessed} guessed."
        ),
    ]


def _method(results: Results, contract: dict[str, Any]) -> list[Part]:
    carbon, figures = contract["details"]["carbon"], results.figures
    method = carbon["persistence_method"]
    organic = (
        "from an assay or typed share" if results.plan.measured_carbon else "by material balance, not measured"
    )
    share = (
        None
        if not figures["organic_c_in_scope_kg"]
        else figures["durable_c_kg"] / figures["organic_c_in_scope_kg"]
    )
    return [
        Heading("Method"),
        Text(
            f"Organic carbon in the char ({organic}) that reaches soil in scope, times the share that lasts "
            f"{carbon['horizon_years']} years, times 44/12. The share comes from the "
            f"{METHOD_WORDS[method]}; neither "
            "published method has a row for bone, so both are used outside their data. Warming potentials: "
            f"{carbon['gwp_set']}, 100 years. Ranges: each input moves between its low and high at once "
            f"({results.chances.sampling.samples:,} simulation runs); low and high are P5 and P95. "
            "Removal and emissions "
            "are never added to avoided emissions except in the last two lines of the table, whose "
            "formulas are these."
        ),
        Text(
            "removal = C_org in scope × fraction remaining after 100 years × 44/12 = "
            f"{number(_tonnes(figures, 'organic_c_in_scope_kg'), 3)} t C"
            f" × {number(share, 3)} × 44/12 = {number(contract['removal_t_co2e_per_year'], 3)} t CO2e a year",
            "formula",
        ),
        Text(f"project net = {carbon['project_net']['formula']}", "formula"),
        Text(f"difference without displaced co-products = {WITHOUT_FORMULA}", "formula"),
        Text(f"difference with displaced co-products = {WITH_FORMULA}", "formula"),
    ]


def _tonnes(figures: Any, name: str) -> float:
    return float(figures[name]) / 1000


def _figure(contract: dict[str, Any], name: str) -> float:
    value = contract["details"]["figures"][name]
    return 0.0 if value is None else float(value)


def _results(results: Results, contract: dict[str, Any]) -> list[Part]:
    carbon = contract["details"]["carbon"]
    difference = carbon["difference_to_current_practice"]
    lines = [(label, carbon["blocks"][name]) for name, label in BLOCKS.items()]
    lines += [
        ("Project net: removal less process emissions", carbon["project_net"]),
        ("Difference to current practice, without displaced co-products", difference["without_credits"]),
        ("The same with displaced co-products and displaced fertiliser", difference["with_credits"]),
    ]
    bones_t = results.figures["bones_fired_kg"] / 1000
    rows = tuple((label, *_measures(found, bones_t)) for label, found in lines)
    table = Table(
        "Greenhouse gases of a full year, with ranges; a minus is a net source",
        ("Block", "Low, P5 [t CO2e]", "Median [t CO2e]", "High, P95 [t CO2e]", "[kg CO2e/t bones]"),
        rows,
        (2.9, 0.85, 0.95, 0.85, 0.95),
    )
    net = carbon["project_net"]["t_co2e_per_year"]
    said = _verdict(net)
    blocks = carbon["blocks"]
    alt = "Bars of t CO2e a year, low to high: " + "; ".join(
        f"{BLOCKS[name].lower()} {', '.join(_measures(blocks[name], bones_t)[:3])}" for name in BLOCKS
    )
    picture = Picture("The four blocks, each alone; whiskers from low to high", f"{alt}.", blocks_png(blocks))
    return [
        Heading("Results"),
        Text(said),
        table,
        Text(_against_today(difference)),
        picture,
        Text(_methods(carbon)),
    ]


def _measures(found: dict[str, Any], bones_t: float) -> tuple[str, str, str, str]:
    """Low, median and high in tonnes, and the median per tonne of bones."""
    span = found["t_co2e_per_year"]
    largest = max((abs(span[end]) for end in ("low", "middle", "high") if span[end] is not None), default=0.0)
    digits = 0 if largest >= 1000 else 1 if largest >= 10 else 2
    low, middle, high = (number(span[end], digits) for end in ("low", "middle", "high"))
    per_bones = None if span["middle"] is None or not bones_t else span["middle"] * 1000 / bones_t
    return low, middle, high, number(per_bones)


def _verdict(net: dict[str, float | None]) -> str:
    low, middle, high = net["low"], net["middle"], net["high"]
    if middle is None or low is None or high is None:
        return "The removal is not reported, and with it every figure that rests on it."
    kind = "source of greenhouse gas" if middle < 0 else "store"
    crosses = " The range crosses zero: the sign is not established." if low < 0 < high else ""
    return (
        f"Removal less process emissions is {number(middle)} t CO2e a year ({number(low)} to "
        f"{number(high)}): by itself "
        f"the kiln is a net {kind}.{crosses}"
    )


def _against_today(difference: dict[str, Any]) -> str:
    """What the last two lines of the table mean, in words."""
    parts = []
    for name, words in (("without_credits", "without displaced co-products"), ("with_credits", "with them")):
        middle = difference[name]["t_co2e_per_year"]["middle"]
        if middle is None:
            parts.append(f"{words}: not reported")
        else:
            change = "lowers" if middle > 0 else "raises"
            parts.append(f"{words} the kiln {change} emissions by {number(abs(middle))} t CO2e a year")
    return (
        f"Against current practice, {'; '.join(parts)}. Displaced co-products are what today's outlet makes "
        "that others then "
        "need not make, such as meal and tallow; they end with the kiln. The removal is a 100-year "
        "figure; what is "
        "avoided falls in the year of handling, or over decades from a landfill."
    )


def _methods(carbon: dict[str, Any]) -> str:
    parts = []
    for name, words in METHOD_WORDS.items():
        span = carbon["methods"][name]["removal_t_co2e_per_year"]
        if span["middle"] is None:
            parts.append(f"{words}: not reported ({carbon['methods'][name]['reason']})")
        else:
            parts.append(f"{words}: {' / '.join(number(span[end]) for end in ('low', 'middle', 'high'))}")
    return (
        f"Removal by each method, low / middle / high in t CO2e a year: {'; '.join(parts)}. The one "
        "in use was chosen "
        "before the result, as an input."
    )


def _factors(facts: tuple[Used, ...]) -> Table:
    rows = tuple(
        (
            fact.label,
            f"{factor(fact.value)} {fact.unit}".strip(),
            "" if fact.low is None or fact.high is None else f"{factor(fact.low)} to {factor(fact.high)}",
            fact.mark,
            f"{fact.source}; {fact.locator}" if fact.locator else fact.source,
        )
        for fact in facts
    )
    return Table(
        "Every factor behind the figures, with its range, mark, source and place in it",
        ("Factor", "Value", "Range", "Mark", "Source and place"),
        rows,
        (1.7, 0.95, 0.75, 0.95, 2.5),
        small=True,
    )
