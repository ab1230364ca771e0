"""The tables of checks: every row can be read, and names only rows, figures and functions that exist."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from plants import plant

from econ.answer.base_case import TABLE, base_case, scope_of
from econ.errors import FactorError, InputFault
from econ.evidence.facts import columns_of
from econ.inputs import checks
from econ.inputs.check_rules import Rule, Scope, rules, walk
from econ.inputs.expressions import Expression, expression
from econ.inputs.records import Caution
from econ.inputs.schema import blocks, rows, table_plans
from econ.measured import readings
from econ.model import ledger as lines

TABLES = {"checks": checks.TABLE, "cautions": TABLE, "measured": readings.TABLE}
OF_SAMPLES = {
    *readings.SHARES, *readings.TRACES, "h_corg", "ca_per_p", "ph", "moisture", "parts", "samples", "outlier",
    "trial", "trials", "substances", "rules", "whose", "name", "low", "high", "asked",
}  # fmt: skip
"""What is given beside the rows of the third table."""


def codes(rule: Rule) -> Iterator[Expression]:
    if rule.when is not None:
        yield rule.when
    for sentence in (rule.text, rule.do):
        yield from (code for _, code, _ in sentence.pieces if code is not None)


def parts(rule: Rule) -> Iterator[ast.AST]:
    """Every part of every expression of a rule."""
    return (part for code in codes(rule) for part in ast.walk(ast.parse(code.text)))


@pytest.mark.parametrize("table", TABLES)
def test_expressions_name_what_exists(table: str) -> None:
    """A figure that is not there makes a condition false, so a slip of the pen would never be noticed."""
    base = base_case(plant())
    scope = Scope(base.scenario.entries, base.figures, {})
    if table == "cautions":
        scope = scope_of(base.scenario, base.plan, base.figures)
    known = {*scope, *lines._table(), "this", "n", "last", "count", "class_words", "accuracy_low", "accuracy_high"}
    if table == "measured":
        known = {*Scope({}, {}, {}), *OF_SAMPLES}
    for rule in rules(TABLES[table]):
        unknown = {part.id for part in parts(rule) if isinstance(part, ast.Name)} - known
        assert not unknown, f"{rule.id}: no row, figure or function of that name (see check_rules.py): {unknown}"


@pytest.mark.parametrize("table", TABLES)
def test_keys_are_rows(table: str) -> None:
    columns = {column.key for plan in table_plans().values() for column in plan.columns}
    for rule in rules(TABLES[table]):
        keys = {
            *rows(),
            *(columns if table == "measured" or rule.where.startswith(("@log.use", "@assay.use")) else ()),
        }
        block = rule.each.partition(":")[0]
        if block in blocks():
            own = {f"own.{row.key}" for row in blocks()[block].rows}
        else:
            plan = table_plans().get(rule.each.removeprefix("lines "))
            own = (
                set() if plan is None else {column.key.replace(f"{plan.name}.", "own.") for column in plan.columns}
            )
        texts = {
            part.value for part in parts(rule) if isinstance(part, ast.Constant) and isinstance(part.value, str)
        }
        named = {text for text in texts if "." in text}
        for text in named | {rule.where.removeprefix("@")}:
            starts = any(key.startswith(text) for key in keys) or text == "own."
            is_every = any(text == f"{name}.{row.key}" for name, one in blocks().items() for row in one.rows)
            fits = (
                text in keys | own | {"this", ""} | (table_plans().keys() if table == "measured" else set())
                or text.startswith(("plan.", "tag.", "first("))
                or starts
                or is_every
            )
            assert fits or " " in text, f"{rule.id}: {text} is the key of no row"


def table(tmp_path: Path, *lines: str) -> Path:
    path = tmp_path / "some.csv"
    path.write_text("\n".join([",".join(columns_of(Rule)), *lines]) + "\n", encoding="utf-8")
    return path


def said(path: Path, **figures: float) -> list[str]:
    found = walk(rules(path), {}, Scope(plant().entries, figures, {}))
    return [one.text if isinstance(one, Caution) else str(one) for _, one in found]


def test_a_bad_row_is_named_by_file_and_line(tmp_path: Path) -> None:
    with pytest.raises(FactorError, match=r"some\.csv line 3"):
        rules(table(tmp_path, "a,,,1 > 0,,Text.,", "b,,,1 >,,Text.,"))


def test_a_condition_over_a_blank_row_or_a_missing_figure_does_not_hold(tmp_path: Path) -> None:
    path = table(
        tmp_path, "a,,,carbon.h_corg < 9,,Never.,", "b,,,no_figure < 9,,Never.,", "c,,,x < 9,,x is {x:.1f}.,"
    )
    assert said(path, x=3.0) == ["x is 3.0."]


def test_an_instance_is_asked_on_its_own_and_a_sentence_is_said_once(tmp_path: Path) -> None:
    path = table(
        tmp_path, "a,,bones:,filled('own.kind'),,Stream {n}.,", "b,,bones:,filled('own.kind'),,Bones.,Do."
    )
    assert said(path)[0] == "Stream 1."
    assert said(path).count("Bones. Do.") == 1


def test_an_error_names_the_cell(tmp_path: Path) -> None:
    ((_, found),) = walk(
        rules(table(tmp_path, "error,,,kiln.life > 0,@kiln.life,life {kiln.life:g},less")), {},
        Scope(plant().entries, {}, {}),
    )  # fmt: skip
    assert isinstance(found, InputFault)
    assert found.where == plant().entries["kiln.life"].place


@pytest.mark.parametrize(
    "text", ["().__class__", "[x for x in y]", "lambda: 1", "f(x=1)", "x ** 9", "x[0]", "1 >"]
)
def test_the_language_of_the_tables_holds_no_more_than_it_needs(text: str) -> None:
    with pytest.raises(FactorError, match=r"a\.csv line 1"):
        expression(text, "a.csv line 1")


MEANT = ("1 < x <= 3", "not (x > 2 or y)", "'a' if x == 3 else 'b'", "x in (2, 3) and -x / 2 < -1", "-x / 2 - 1")


@pytest.mark.parametrize("text", MEANT)
def test_expressions_mean_what_they_mean_in_python(text: str) -> None:
    for x in (1.0, 2.0, 3.0):
        scope = {"x": x, "y": 0}
        assert expression(text, "").code(scope) == eval(text, dict(scope))
