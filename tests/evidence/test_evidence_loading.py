"""Bad tables are refused, and the message names the file, the line and what is wrong."""

from __future__ import annotations

import pytest

from econ.errors import FactorError
from econ.evidence import curves, factors, substances
from econ.evidence.factors import FACTORS
from econ.evidence.facts import ORIGIN, Source, columns_of, load_sources
from econ.evidence.substances import BONES, CROPS, FUELS, GWPS, LIMITS, SOIL

KNOWN = {"plain_book": Source("plain_book", "A plain book", "1999", "")}
TAIL = "plain_book,p. 1,primary,2026-11,,"
GOOD = f"ash_share,Ash,30,15,35,extremes,%,{TAIL}"


@pytest.fixture
def table(tmp_path):
    def write(columns, *rows):
        path = tmp_path / "facts.csv"
        path.write_text("\n".join([",".join(columns), *rows, ""]), encoding="utf-8")
        return path

    return write


def test_good_row(table):
    found = FACTORS.load(table(columns_of(FACTORS.kind), GOOD), KNOWN)["ash_share"]
    assert (found.value, found.low, found.high, found.unit) == (30, 15, 35, "%")
    assert found.source is KNOWN["plain_book"]


def test_range_may_be_open_at_either_end(table):
    found = FACTORS.load(table(columns_of(FACTORS.kind), f"ash_share,Ash,30,,35,chosen,%,{TAIL}"), KNOWN)[
        "ash_share"
    ]
    assert (found.low, found.high) == (None, 35)


@pytest.mark.parametrize(
    ("row", "complaint"),
    [
        (f"ash_share,Ash,40,15,35,chosen,%,{TAIL}", "outside its range"),
        (f"ash_share,Ash,10,15,35,chosen,%,{TAIL}", "outside its range"),
        (f"ash_share,Ash,30,31,,chosen,%,{TAIL}", "outside its range"),
        (f"ash_share,Ash,30,,29,chosen,%,{TAIL}", "outside its range"),
        (f"ash_share,Ash,,15,35,chosen,%,{TAIL}", "value is empty"),
        (f"ash_share,Ash,thirty,15,35,chosen,%,{TAIL}", "not a number"),
        (f"ash_share,Ash,nan,,,,%,{TAIL}", "not a number"),
        (f"ash_share,Ash,inf,,,,%,{TAIL}", "not a number"),
        (f"ash_share,Ash,30,15,x,chosen,%,{TAIL}", "not a number"),
        (f"ash_share,,30,15,35,chosen,%,{TAIL}", "label is empty"),
        (f"ash_share,Ash,30,15,35,chosen,,{TAIL}", "unit is empty"),
        (f"ash_share,Ash,30,15,35,,%,{TAIL}", "ends '' for the range"),
        (f"ash_share,Ash,30,,,chosen,%,{TAIL}", "ends 'chosen' for the range"),
        (f"ash_share,Ash,30,15,35,guess,%,{TAIL}", "ends 'guess'"),
        ("ash_share,Ash,30,,,,%,other_book,p. 1,primary,2026-11,,", "not in sources.csv"),
        ("ash_share,Ash,30,,,,%,,p. 1,primary,2026-11,,", "source is empty"),
        ("ash_share,Ash,30,,,,%,plain_book,,primary,2026-11,,", "locator is empty"),
        ("ash_share,Ash,30,,,,%,plain_book,  ,primary,2026-11,,", "locator is empty"),
        ("ash_share,Ash,30,,,,%,plain_book,p. 1,seen,2026-11,,", "not one of primary, copy, memory, assumed"),
        ("ash_share,Ash,30,,,,%,plain_book,p. 1,,,,", "rung is empty"),
        ("ash_share,Ash,30,,,,%,plain_book,p. 1,primary,,,", "rung primary with the date read ''"),
        ("ash_share,Ash,30,,,,%,plain_book,p. 1,copy,last May,,", "date read 'last May'"),
        ("ash_share,Ash,30,,,,%,plain_book,p. 1,memory,2026-11,,", "rung memory with the date read"),
        ("ash_share,Ash,30,,,,%,plain_book,p. 1,primary,2026-11,no_such,", "parts no_such are not other factors"),
        ("ash_share,Ash,30,,,,%,plain_book,p. 1,primary,2026-11,ash_share,", "are not other factors"),
        ("ash_share,Ash,30,,,,%,plain_book,p. 1,copy,2026-11,fat_share,", "the lowest of its parts is primary"),
        (f"ash,Ash,30,,,,%,{TAIL}", "no underscore"),
        (f"Ash_share,Ash,30,,,,%,{TAIL}", "not lower_snake"),
        (f"ash-share,Ash,30,,,,%,{TAIL}", "not lower_snake"),
        (f"_ash,Ash,30,,,,%,{TAIL}", "not lower_snake"),
        (f"ash_share,Ash,30,,,,%,{TAIL},surplus", "14 cells under 13 columns"),
        ("ash_share,Ash,30", "3 cells under 13 columns"),
    ],
)
def test_bad_factor_row_is_refused_by_line(table, row, complaint):
    with pytest.raises(FactorError, match=complaint) as refused:
        FACTORS.load(table(columns_of(FACTORS.kind), f"fat_share,Fat,15,,,,%,{TAIL}", row), KNOWN)
    assert str(refused.value).startswith("facts.csv line 3")


def test_same_id_twice_is_refused(table):
    with pytest.raises(FactorError, match="line 3: 'ash_share' stands twice"):
        FACTORS.load(table(columns_of(FACTORS.kind), GOOD, GOOD), KNOWN)


def test_other_header_is_refused(table):
    with pytest.raises(FactorError, match="header"):
        FACTORS.load(table(("id", "label"), "a_b,c"), KNOWN)


def test_empty_file_is_refused(tmp_path):
    (tmp_path / "facts.csv").touch()
    with pytest.raises(FactorError, match="header"):
        FACTORS.load(tmp_path / "facts.csv", KNOWN)


@pytest.mark.parametrize(
    ("row", "complaint"),
    [
        (",A book,1999,", "key is empty"),
        ("a_book,,1999,", "text is empty"),
        ("a_book,A book,,", "year is empty"),
        ("A book,A book,1999,", "not lower_snake"),
    ],
)
def test_bad_source_is_refused(table, row, complaint):
    with pytest.raises(FactorError, match=complaint):
        load_sources(table(("key", "text", "year", "url"), row))


@pytest.mark.parametrize(
    ("shares", "complaint"),
    [
        ("0.5,,,0.2,,,0.2,,,0.2,,", "add up to 1.1"),
        ("0.5,,,0.1,,,0.1,,,0.2,,", "add up to 0.9"),
        ("0.5,,,-0.1,,,0.3,,,0.3,,", "a share is negative"),
        ("0.5,0.6,0.7,0.1,,,0.2,,,0.2,,", "outside its range"),
        ("0.49,0.4,0.49,0.1,,,0.2,,,0.2,,", "scaled to a sum of 1"),
    ],
)
def test_bad_composition_is_refused(table, shares, complaint):
    with pytest.raises(FactorError, match=complaint):
        BONES.load(table(columns_of(BONES.kind), f"beef,Beef,{shares},{TAIL}"), KNOWN)


@pytest.mark.parametrize(
    ("facts", "row", "complaint"),
    [
        (FUELS, f"peat,Peat,kg,20,19,1,0,1,1,0.1,0,{TAIL}", "lower heat above"),
        (FUELS, f"peat,Peat,kg,18,19,-1,0,1,1,0.1,0,{TAIL}", "negative"),
        (FUELS, f"peat,Peat,kg,0,19,1,0,1,1,0.1,0,{TAIL}", "lower heat"),
        (FUELS, f"peat,Peat,bag,18,19,1,0,1,1,0.1,0,{TAIL}", "measure 'bag' is not one of"),
        (FUELS, f"peat,Peat,kg,18,19,1,0,1,1,-0.1,0,{TAIL}", "negative"),
        (GWPS, f"ar7,27,28,30,30,,,273,,,{TAIL}", "outside its range"),
        (LIMITS, f"rule_one,Cd,1,ppm,wet,,{TAIL}", "basis 'wet' is not one of"),
        (CROPS, f"plum,Plums,1,2,3,{TAIL}", "outside its range"),
        (SOIL, f"olsen,20,10,ppm,high,{TAIL}", "not below"),
    ],
)
def test_bad_wide_row_is_refused(table, facts, row, complaint):
    with pytest.raises(FactorError, match=complaint):
        facts.load(table(columns_of(facts.kind), row), KNOWN)


HOUSE = "house,model,assumed,,,"


@pytest.mark.parametrize(
    ("kind", "rows", "complaint"),
    [
        (
            curves.Retention,
            [f"500,0.3,0.9,0.6,0.9,{HOUSE}", f"400,0.4,0.9,0.6,0.9,{HOUSE}"],
            "does not ascend",
        ),
        (curves.Retention, [f"500,1.3,0.9,0.6,0.9,{HOUSE}"], "outside 0 to 1"),
        (curves.Retention, [f"500,-0.3,0.9,0.6,0.9,{HOUSE}"], "outside 0 to 1"),
        (
            curves.PersistenceClasses,
            [f"low,,450,0.6,15,{HOUSE}", f"high,600,,0.8,10,{HOUSE}"],
            "gap or overlap",
        ),
        (curves.PersistenceClasses, [f"low,100,,0.6,15,{HOUSE}"], "gap or overlap"),
        (
            curves.PersistenceByHc,
            [f"10,1.1,0.5,0.1,{HOUSE}", f"10,1.1,0.5,0.1,{HOUSE}"],
            "does not ascend",
        ),
        (curves.SoilFactors, [f",,0.6,0.7,0.8,{HOUSE}"], "outside its range"),
    ],
)
def test_bad_curve_is_refused(table, kind, rows, complaint):
    columns = (*(column for own in kind.plan().values() for column in own), *ORIGIN)
    with pytest.raises(FactorError, match=complaint):
        curves.load(kind, table(columns, *rows))


@pytest.mark.parametrize(
    ("ask", "answer"),
    [
        (lambda: factors.factor("char_korg"), "no factor 'char_korg'; did you mean .*char_corg"),
        (lambda: substances.composition("beef_mix"), "no kind of bone 'beef_mix'; did you mean beef_mixed"),
        (lambda: substances.fuel("coal"), "no fuel 'coal'"),
        (lambda: substances.gwp("sar"), "no set of warming potentials 'sar'; did you mean .*ar6"),
        (lambda: substances.crop_removal("aple"), "did you mean apple"),
        (lambda: substances.soil_readings("olsen"), "no soil test 'olsen'"),
    ],
)
def test_unknown_names_are_told_what_comes_close(ask, answer):
    with pytest.raises(FactorError, match=answer):
        ask()


def test_hyphen_and_capitals_find_the_same_row():
    assert substances.fuel("Natural-Gas") is substances.fuel("natural_gas")
    assert substances.composition("beef-mixed") is substances.composition("beef_mixed")
    assert factors.factor(" CHAR_CORG ") is factors.factor("char_corg")
