"""Cells as people type them: cell text -> value, unit, what is said; and every sentence of the reader."""

from __future__ import annotations

import datetime as dt
import math
import re

import pytest
from conftest import ROOT

from econ.errors import InputFault, InputFaults
from econ.inputs import cells
from econ.inputs.as_typed import decimal_commas, plain_figure, read_number, signed_figure
from econ.inputs.build import build
from econ.inputs.cells import Manner, as_number
from econ.inputs.examples import example
from econ.inputs.put_over import put_over
from econ.inputs.records import ErrorCell, Scenario, Typed, TypedLine, TypedTable, Uncalculated
from econ.inputs.rows import Row
from econ.inputs.schema import rows
from econ.workbook.read import read_typed

PLANT = example("thistle-flat")

SAYS = [
    # cell text, value, ends, unit words
    ("38000", 38000, None, ""),
    (" 12 ", 12, None, ""),
    ("$38,000", 38000, None, ""),
    ("38k", 38000, None, ""),
    ("6,500", 6500, None, ""),
    ("1,234,567.5", 1234567.5, None, ""),
    ("1 000", 1000, None, ""),
    ("6'500", 6500, None, ""),
    (".5", 0.5, None, ""),
    ("1/2", 0.5, None, ""),
    ("1 1/2 cords", 1.5, None, "cords"),
    ("5%", 5, None, "%"),
    ("1,000 lbs", 1000, None, "lbs"),
    ("24gal", 24, None, "gal"),
    ("2-3", 2.5, (2, 3), ""),
    ("2 to 3 hours", 2.5, (2, 3), "hours"),
    ("$2–3 per lb", 2.5, (2, 3), "per lb"),
    ("about 400", 400, None, ""),
    ("~ 3 hrs", 3, None, "hrs"),
    ("-5", -5, None, ""),
    ("none", 0, None, ""),
    ("3e2", 300, None, ""),
    ("60,-", 60, None, ""),
    ("60.-- EUR", 60, None, "EUR"),
    ("900 EUR", 900, None, "EUR"),
    ("85 kWh - 110 kWh", 97.5, (85, 110), "kWh"),
    ("85 kWh to 110 kWh", 97.5, (85, 110), "kWh"),
    ("38k - 40k", 39000, (38000, 40000), ""),
    ("40 € – 50 €", 45, (40, 50), "€"),
    ("½", 0.5, None, ""),
    ("2 ½ hrs", 2.5, None, "hrs"),
    ("3½", 3.5, None, ""),
    ("12K", 12000, None, ""),
    ("$12 k", 12000, None, ""),
    ("900 K", 900, None, "K"),
    ("38 thousand", 38000, None, ""),
    ("1.2 million", 1.2e6, None, ""),
    ("5 million Btu", 5, None, "million Btu"),
    ("1E+3", 1000, None, ""),
    ("30-38k", 34000, (30000, 38000), ""),
    ("500-38k", 19250, (500, 38000), ""),
    ("between 30,000 and 38,000", 34000, (30000, 38000), ""),
    ("from 3 to 4 hrs", 3.5, (3, 4), "hrs"),
    ("approx. 30", 30, None, ""),
    ("5 +/- 1", 5, (4, 6), ""),
    ("500 °C ± 20", 500, (480, 520), "°C"),
    ("7 % ± 1 %", 7, (6, 8), "%"),
    ("7%-8%", 7.5, (7, 8), "%"),
    ("$.10", 0.1, None, ""),
    ("35 ¢", 0.35, None, ""),
    ("35 cents per lb", 0.35, None, "per lb"),
    ("30-40 ct/kWh", 0.35, (0.3, 0.4), "/kWh"),
    ("US$38,000", 38000, None, ""),
    ("18 dollars an hour", 18, None, "$ an hour"),
    ("free", 0, None, ""),
    ("\u200f38000", 38000, None, ""),  # marks of direction and of no width come along with a paste
    ("\ufeff38\u2009000\u200e USD", 38000, None, "USD"),
    ("+38000", 38000, None, ""),
    ("'38000", 38000, None, ""),
    ("(3 %)", -3, None, "%"),  # below zero, as accountants write it
    ("($1,200)", -1200, None, ""),
]  # fmt: skip


@pytest.mark.parametrize(("text", "value", "ends", "unit"), SAYS, ids=[row[0] for row in SAYS])
def test_what_a_cell_says(text: str, value: float, ends: tuple[float, float] | None, unit: str) -> None:
    found = read_number(text)
    assert found is not None
    assert (found.value, found.ends, found.unit) == (pytest.approx(value), ends, unit)


@pytest.mark.parametrize(
    "text",
    [
        "forty",
        "6,5",
        "50/50",
        "2/2",
        "24/7",
        "3-2",
        "1.2.3",
        "1,00,000",
        "1e400",
        "",
        "-2-3",
        "$",
        "tons",
        "$0.35 cents",
        "5 ± 10 %",
        "38.500.00",
        "n/a",
        "TBD",
        "-",
        "?",
        ">38000",
        "up to 5",
        "ten",
        "=38",
    ],
)
def test_what_says_no_number_or_two(text: str) -> None:
    assert read_number(text) is None or read_number(text).unit  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("texts", "commas"),
    [
        (["6,5", "1,000"], True),
        (["6,5", "2.5"], False),
        (["1.234,50"], True),
        (["1,000", "6,500"], False),
        (["1,000.5"], False),
        ([], False),
        ([3.5, None, "12"], False),
    ],
)
def test_a_decimal_comma_is_seen_from_the_other_cells(texts: list[object], commas: bool) -> None:
    assert decimal_commas(texts) is commas
    if commas:
        assert read_number("6,500", commas).value == 6.5  # type: ignore[union-attr]
        assert read_number("6.500", commas).value == 6500  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("number", "shown"),
    [(0, "0"), (38000, "38,000"), (0.07, "0.07"), (-8.3333333e6, "-8,333,333"), (1e-9, "0.000000001"),
     (123.456789, "123.457"), (1e300, "a number of 301 digits")],
)  # fmt: skip
def test_figures_never_have_an_exponent(number: float, shown: str) -> None:
    assert plain_figure(number) == shown


def plant(**typed: Typed) -> Scenario:
    changed = {key.replace("__", "."): given for key, given in typed.items()}
    return build({**PLANT.rows, **changed}, PLANT.system, tables=PLANT.tables)


UNITS = [
    # key, value cell, unit cell, canonical as typed clean (value, unit), said
    ("kiln.price", "$38,000", "USD", (38000, "USD"), "read-as"),
    ("current.saving", "$450/month", "USD per month", (450, "USD per month"), "read-as"),
    ("current.saving", "5,400 a year", "USD per month", (5400, "USD per year"), "own unit"),
    ("fuel.1.price", "$2.40 a gallon", "USD per gal", (2.4, "USD per gal"), "read-as"),
    ("bones.1.mass", "1,000 lbs", "kg per week", (1000, "lb per week"), "own unit"),
    ("bones.1.mass", "1,000 lbs", "lb per week", (1000, "lb per week"), "read-as"),
    ("bones.1.mass", "6.5 tons", "short_ton per week", (6.5, "short_ton per week"), "read-as"),
    ("bones.1.mass", "6 tons a month", "tonne per year", (72, "tonne per year"), "own unit"),
    ("kiln.peak_temperature", "932 F", "degC", (932, "degF"), "own unit"),
    ("money.discount_rate", "7%", "fraction", (7, "%"), "own unit"),
    ("money.discount_rate", "7 percent", "%", (7, "%"), "read-as"),
    ("labour.hours_per_batch", "5 hrs", "hours", (5, "hours"), "read-as"),
    ("labour.hours_per_batch", "5 hours/batch", "hours", (5, "hours"), "read-as"),
    ("labour.hours_per_batch", "5 man-hours per batch", "hours", (5, "hours"), "read-as"),
    ("fuel.1.per_batch", "24 gallons a batch", "gal", (24, "gal"), "read-as"),
    ("bones.1.mass", "1,5 t", "lb per week", (1.5, "tonne per week"), "own unit"),
    ("bones.1.mass", "100#", "lb per week", (100, "lb per week"), "read-as"),
    ("bones.1.mass", "1000 lb weekly", "kg per week", (1000, "lb per week"), "own unit"),
    ("bones.1.mass", "450 kilos a month", "lb per week", (450, "kg per month"), "own unit"),
    ("product.1.price", "35¢/lb", "USD per lb", (0.35, "USD per lb"), "read-as"),
    ("product.1.price", "35 cents", "USD per lb", (0.35, "USD per lb"), "read-as"),
    ("kiln.peak_temperature", "932 degrees Fahrenheit", "degC", (932, "degF"), "own unit"),
    ("kiln.peak_temperature", "500ºC", "degF", (500, "degC"), "own unit"),
    ("running.insurance_per_year", "900 p.a.", "USD per year", (900, "USD per year"), "read-as"),
    ("kiln.price", "US$ 38,000", "USD", (38000, "USD"), "read-as"),
    ("carbon.grid_factor", "767 lb CO2/MWh", "kg per kWh", (767, "lb per MWh"), "own unit"),
    ("carbon.grid_factor", "0.4 kg CO2e per kWh", "kg per kWh", (0.4, "kg per kWh"), "read-as"),
]  # fmt: skip


@pytest.mark.parametrize(("key", "text", "unit", "clean", "said"), UNITS, ids=[f"{r[1]} in {r[2]}" for r in UNITS])
def test_a_unit_in_the_cell_counts(key: str, text: str, unit: str, clean: tuple[float, str], said: str) -> None:
    name = key.replace(".", "__")
    found = plant(**{name: Typed(text, unit=unit, where="Sheet!B1")})
    meant = plant(**{name: Typed(clean[0], unit=clean[1], where="Sheet!B1")})
    assert found[key].number == pytest.approx(meant[key].number, rel=1e-15)
    (note,) = [caution.text for caution in found.warnings if caution.id == "read-as"]
    assert ("The unit in the cell counts, not the one in the unit column" in note) == (said == "own unit")


SOURCES = [
    # where from, how known as chosen, how known as counted
    ("a friend told me", "quoted", "guessed"),
    ("my neighbour", "measured", "guessed"),
    ("Heard at market", "published", "guessed"),
    ("guess", "measured", "guessed"),
    ("rumours", "quoted", "guessed"),
    ("somebody said so", "quoted", "guessed"),
    ("heard at market", "guessed", "guessed"),
    ("heard at market", "", ""),
    ("weighed on my neighbour's scale", "measured", "measured"),
    ("letter of the garden club", "quoted", "quoted"),
    ("dealer asked by telephone", "quoted", "quoted"),
    ("", "measured", "measured"),
]


@pytest.mark.parametrize(("source", "known", "counts"), SOURCES)
def test_hearsay_is_a_guess_whatever_was_chosen(source: str, known: str, counts: str) -> None:
    """A price that was only heard keeps no fact settled; it is said where that changes what was chosen."""
    typed = Typed(2.4, unit="USD per lb", known=known, source=source, where="Start here!B41")
    found = plant(product__1__price=typed)
    assert found["product.1.price"].known == counts
    said = [one for one in found.warnings if one.id == "hearsay"]
    assert [one.where for one in said] == ["Start here!B41"] * (known != counts)
    assert all(f"{source!r} is hearsay. It counts as guessed, not as {known}" in one.text for one in said)
    blank = Typed(unit="%", known=known, source=source, where="Kiln and crew!B9")
    assert "hearsay" not in {one.id for one in plant(kiln__core_share=blank).warnings}


def test_a_range_goes_to_low_and_high_and_is_said_back() -> None:
    found = plant(labour__hours_per_batch=Typed("4-6", unit="hours", where="Start here!B27"))
    entry = found["labour.hours_per_batch"]
    assert (entry.number, entry.low, entry.high) == (5, 4, 6)
    assert any("'4-6' was read as 5, low 4, high 6 (hour)" in caution.text for caution in found.warnings)


REFUSED = [
    ("kiln.price", "€400", "USD", "an amount with '€'", "this row is in USD"),
    ("bones.1.mass", "$400", "lb per week", "an amount with '$'", "this row is in pound"),
    ("bones.1.mass", "5 tons", "lb per week", "'tons'", "Which ton, short (2,000 lb) or metric (1,000 kg)?"),
    ("bones.1.mass", "5 furlongs", "lb per week", "the words 'furlongs' behind a number", "pound (lb) per week"),
    ("kiln.price", "forty", "USD", "the text 'forty'", "a number (USD)"),
    ("kiln.price", "12 or 15", "USD", "the words 'or 15' behind a number", "USD"),
    ("kiln.price", "€ 1.200,-", "USD", "an amount with '€'", "this row is in USD"),
    ("kiln.price", "C$38,000", "USD", "an amount with 'CAD'", "this row is in USD"),
    ("bones.1.mass", "35 ¢", "lb per week", "an amount with '¢'", "this row is in pound"),
    ("kiln.price", "38,000 (quote)", "USD", "the words '(quote)' behind a number", "Enter the number alone"),
    ("bones.1.mass", "2 x 40 lb", "lb per week", "the words 'x 40 lb'", "Enter the number alone"),
    ("kiln.price", "n/a", "USD", "the text 'n/a'", "Enter a number (USD): your best guess, with a low and a high"),
    ("kiln.price", "TBD", "USD", "the text 'TBD'", "your best guess"),
    ("kiln.price", "-", "USD", "the text '-'", "your best guess"),
    ("kiln.downtime_share", "?", "%", "the text '?'", "Enter a number (%), or leave the cell blank"),
    ("kiln.price", ">38000", "USD", "the text '>38000'", "without a sign, and a low and a high beside it"),
    ("kiln.price", "up to 38000", "USD", "the text 'up to 38000'", "a low and a high beside it"),
    ("kiln.price", ErrorCell("#REF!"), "USD", "the error value #REF!", "or mend the formula"),
    ("kiln.price", Uncalculated(), "USD", "a formula that was never calculated", "or open and save it"),
    ("labour.hours_per_batch", dt.time(4, 30), "hours", "the date or time 04:30:00", "write 4.5"),
    ("kiln.peak_temperature", "20 F", "degF", "20", "of at least 212 degrees Fahrenheit (°F)"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("key", "text", "unit", "says", "asks"), REFUSED, ids=[str(row[1])[:20] for row in REFUSED]
)
def test_what_is_odd_about_a_cell_is_named(key: str, text: object, unit: str, says: str, asks: str) -> None:
    with pytest.raises(InputFaults) as refused:
        plant(**{key.replace(".", "__"): Typed(text, unit=unit, where="Sheet!B1")})
    words = str(refused.value)
    assert words.startswith(f"Sheet B1, {rows()[key].label}: ")
    assert says in words
    assert asks in words


@pytest.mark.parametrize("unit", ["tons/yr", "tons per week", "ton"])
def test_a_ton_in_the_unit_column_is_asked_about(unit: str) -> None:
    with pytest.raises(InputFaults, match=r"Which ton, short \(2,000 lb\) or metric"):
        plant(bones__1__mass=Typed(5, unit=unit, where="Sheet!B1"))


def test_a_bare_t_is_read_as_a_tonne_and_said() -> None:
    found = plant(bones__1__mass=Typed(20, unit="t/yr", where="Sheet!B1"))
    assert found["bones.1.mass"].number == pytest.approx(20_000)
    assert any("'t/yr' was read as tonne" in caution.text for caution in found.warnings)


IN_EUR = [
    # key, what is typed in a plant whose sheet holds a decimal comma, number, unit
    ("kiln.price", "41.500 €", 41500, "EUR"),
    ("kiln.price", "900 EUR", 900, "EUR"),
    ("kiln.price", "60,-", 60, "EUR"),
    ("contract.per_mass", "€ 95 per tonne", 95, "EUR per tonne"),
    ("fuel.1.price", "0,28 €/kWh", 0.28, "EUR per kWh"),
]


@pytest.mark.parametrize(("key", "text", "number", "unit"), IN_EUR, ids=[row[1] for row in IN_EUR])
def test_euros_as_typed(key: str, text: str, number: float, unit: str) -> None:
    row = rows()[key]
    typed = Typed(text, unit=row.unit_choices("EUR")[0].short, where="Sheet!B1")
    found = as_number(row, typed, Manner(True, "metric", "EUR"), [])
    assert (found.value, found.unit) == (pytest.approx(number), unit)
    if "€" in text:
        with pytest.raises(InputFault, match=r"an amount with '€'\. Enter a number; this row is in USD"):
            as_number(row, Typed(text, where="Sheet!B1"), Manner(True, "metric", "USD"), [])


def test_a_point_before_three_digits_of_euros_is_asked_about() -> None:
    with pytest.raises(InputFault, match=r"'41\.500 €'\. Write 41500 or 41\.5"):
        as_number(rows()["kiln.price"], Typed("41.500 €", where="S!B1"), Manner(False, "metric", "EUR"), [])


@pytest.mark.parametrize("text", ["0,3 t", "ca. 0,3 t"])
def test_a_comma_that_is_not_read_says_how_to_write(text: str) -> None:
    """The sheet shows a decimal point elsewhere."""
    with pytest.raises(InputFault, match=r"write 0\.3, with a point"):
        cells.number(rows()["kiln.batch_load"], text, None, "Sheet!B1")


@pytest.mark.parametrize(
    ("text", "slug"),
    [
        ("pork", "sheep-pig-limb"),
        ("Pig bones", "sheep-pig-limb"),
        ("chicken", "poultry"),
        ("beef bones", "beef-mixed"),
    ],
)
def test_kinds_of_bones_as_people_say(text: str, slug: str) -> None:
    assert cells.choice(rows()["bones.1.kind"], text, "Sheet!B1") == slug


@pytest.mark.parametrize(
    ("item", "slug"), [(True, "yes"), (False, "no"), ("Y", "yes"), ("true", "yes"), ("n", "no")]
)
def test_yes_and_no_as_programs_and_people_write_them(item: object, slug: str) -> None:
    assert cells.choice(rows()["carbon.afterburner"], item, "Sheet!B1") == slug


# Another currency chosen on the first sheet of a workbook whose units name the old one


def in_euros(**typed: Typed) -> InputFaults:
    """A whole blank made in USD, US units, with EUR chosen."""
    blank = read_typed(ROOT / "templates" / "blank-us.xlsx")
    changed = {key.replace("__", "."): given for key, given in typed.items()}
    chosen = {"plant.currency": Typed("EUR", where="Start here!B6")}
    with pytest.raises(InputFaults) as refused:
        build({**blank.rows, **chosen, **changed}, "us", tables=blank.tables)
    return refused.value


def test_a_blank_takes_another_currency() -> None:
    found = in_euros()
    assert {fault.wrong for fault in found.faults} == {"blank"}
    assert not found.cautions


def test_units_of_the_old_currency_with_a_value_are_one_caution() -> None:
    found = in_euros(kiln__price=Typed(4e4, unit="USD"), labour__wage=Typed(20, unit="USD per hour"))
    assert {fault.wrong for fault in found.faults} == {"blank"}
    assert found.cautions == ("Units that say USD were read as EUR: nothing is converted.  [Start here!B6]",)


def test_a_third_currency_typed_in_one_row_stays_an_error() -> None:
    found = in_euros(kiln__price=Typed(4e4, unit="GBP"))
    assert [fault.wrong for fault in found.faults if fault.wrong != "blank"] == ["the text 'GBP' as the unit"]


def test_a_value_set_over_a_unit_of_the_old_currency_keeps_its_period() -> None:
    old = {"plant.currency": Typed("euro"), "current.saving": Typed(5, unit="USD per year")}
    assert put_over(old, ["current.saving=7"])[0]["current.saving"].unit == "EUR per year"


# Every sentence that the reader can emit

ODD_CELLS: list[object] = [
    "forty", "5 furlongs", "€5", "$5", "2-3 x", "{=A1}", True, -1e7, 1e12, -1e300, 1e300, 10**400, math.inf,
    math.nan, 0, 0.5, dt.date(2026, 2, 3), dt.timedelta(hours=2),
    ErrorCell("#DIV/0!"), Uncalculated(), None, "", "5 tons", [],
]  # fmt: skip
BAD_WORDS = re.compile(r"e\+|\bnan\b|\{|\binf\b")
KEY = re.compile(r"\b[a-z_]+(?:\.[0-9a-z_]+)+\b")


def sentences(typed: dict[str, Typed]) -> list[str]:
    try:
        return [caution.text for caution in build(typed, "us").warnings]
    except InputFaults as several:
        return [*map(str, several.faults), *several.cautions]


def typed_everywhere(row: Row, item: object, column: str) -> Typed:
    base = PLANT.rows.get(row.key, Typed(1 if row.is_number else None, unit=row.units[0] if row.units else None))
    given = {"value": base.value, "low": base.low, "high": base.high, "unit": base.unit} | {column: item}
    return Typed(**given, where=f"{row.sheet}!B1")


@pytest.mark.parametrize("column", ["value", "low", "unit"])
@pytest.mark.parametrize("item", ODD_CELLS, ids=[f"{type(item).__name__} {item}"[:20] for item in ODD_CELLS])
def test_every_sentence_of_the_reader_is_for_a_person(item: object, column: str) -> None:
    """The same odd cell in every row at once: no exponent, no nan, no brace, no key."""
    said = sentences({key: typed_everywhere(row, item, column) for key, row in rows().items()})
    wrong = [
        text
        for text in said
        if BAD_WORDS.search(text.replace("'{=A1}'", "")) or any(found in rows() for found in KEY.findall(text))
    ]
    assert not wrong, "\n".join(wrong[:10])


def test_an_untouched_blank_is_told_only_what_to_fill() -> None:
    """Each fault is about an empty cell; none about what follows from it."""
    with pytest.raises(InputFaults) as refused:
        build({}, "us")
    assert all(fault.wrong == "blank" for fault in refused.value.faults)
    advice = {fault.where: fault.do for fault in refused.value.faults}
    misleading = [row.label for row in rows().values() if row.zero_misleads and row.required]
    assert misleading
    assert not [
        place for place, asked in advice.items() for label in misleading if label in place and "0" in asked
    ]


@pytest.mark.parametrize(
    ("number", "shown"), [(999.7, "1,000"), (22.44, "22.4"), (60_000, "60,000"), (0.00012, "0.00012")]
)
def test_three_figures_never_have_an_exponent(number: float, shown: str) -> None:
    assert plain_figure(number, 3) == shown


@pytest.mark.parametrize(
    ("number", "shown"),
    [(-0.0000412, "-0.000041"), (0.00002, "+0.00002"), (0.0, "+0"), (12_345.0, "+12,000"), (-1.0, "-1")],
)
def test_an_end_of_an_interval_has_its_sign_and_no_exponent(number: float, shown: str) -> None:
    assert signed_figure(number, 2) == shown


def test_a_date_is_explained() -> None:
    with pytest.raises(InputFault, match="spreadsheet programs turn 2-3 and 1/2 into a date"):
        cells.number(rows()["labour.hours_per_batch"], dt.date(2026, 2, 3), None, "Sheet!B1")


def test_a_table_has_no_low_and_high_beside_a_cell() -> None:
    """A lab writes "<0.5" below its detection limit; the sheet says to enter the limit."""
    line = TypedLine({"assay.cd": "<0.5"}, {"assay.cd": "Lab assay!N7"})
    with pytest.raises(InputFaults, match=r"without a sign, as 0\.1 for 'less than 0.1'"):
        build(PLANT.rows, PLANT.system, tables={"assay": TypedTable({"assay.cd": "mg/kg"}, (line,))})


def test_money_and_decimal_commas_are_read_in_tables_as_on_other_sheets() -> None:
    cells_typed = ({"hauled.cost": "$140", "hauled.mass": "226,5"}, {"hauled.cost": "95", "hauled.mass": "1.200"})
    lines = tuple(TypedLine(one, {key: f"Hauler invoices!{key}" for key in one}) for one in cells_typed)
    table = TypedTable({"hauled.cost": "USD", "hauled.mass": "kilogram (kg)"}, lines)
    found = build(PLANT.rows, PLANT.system, tables={"hauled": table})
    first, second = found.tables["hauled"].lines
    assert any("'1.200' was read as 1,200 (kilogram (kg))." in one.text for one in found.warnings)
    assert (first.number("hauled.cost"), first.number("hauled.mass")) == (140.0, 226.5)
    assert (second.number("hauled.cost"), second.number("hauled.mass")) == (95.0, 1200.0)


def test_what_was_read_is_said_with_its_cell_beside_errors() -> None:
    lines = tuple(
        TypedLine({"log.hours": text}, {"log.hours": f"Kiln log!G{at}"}) for at, text in ((7, "4 1/2"), (8, "x"))
    )
    with pytest.raises(InputFaults) as caught:
        build(PLANT.rows, PLANT.system, tables={"log": TypedTable({"log.hours": "hour"}, lines)})
    assert "Labour hours: '4 1/2' was read as 4.5 (hour).  [Kiln log!G7]" in caught.value.cautions


def test_a_number_without_a_unit_is_not_said_to_have_one() -> None:
    typed = {**PLANT.rows, "bones.1.mass": Typed("2,400", "", where="Start here!B10")}
    with pytest.raises(InputFaults, match="no unit") as caught:
        build(typed, PLANT.system)
    assert any(
        one.startswith("Bones you have (stream 1): '2,400' was read as 2,400.") for one in caught.value.cautions
    )


def test_a_cell_of_a_table_is_read_and_said_back() -> None:
    """Kiln log: pounds typed into a column of kilograms count as pounds (0.45359237 kg, NIST SP 811)."""
    line = TypedLine({"log.bones_in": "1,000 lbs", "log.hours": "4"}, {"log.bones_in": "Kiln log!C9"})
    table = TypedTable({"log.bones_in": "kilogram (kg)", "log.hours": "hour"}, (line,))
    found = build(PLANT.rows, PLANT.system, tables={"log": table})
    assert found.tables["log"].lines[0].number("log.bones_in") == pytest.approx(453.59237)
    said = {caution.where: caution.text for caution in found.warnings if caution.id == "read-as"}
    assert "'1,000 lbs' was read as 1,000 (pound (lb))" in said["Kiln log!C9"]
