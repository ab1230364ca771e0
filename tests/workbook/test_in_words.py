"""Formulas in words: what each kind of printed formula says."""

import pytest

from econ.workbook.trace import within, words_of

LABELS = {
    "bones_kg": "bones received",
    "out_share": "share kept out",
    "a_1": "a",
    "b_1": "b",
    "C7": "net cash",
}

SAID = {
    "bones_kg*out_share": "bones received × share kept out",
    "bones_kg-(bones_kg*out_share)": "bones received − bones received × share kept out",
    "(a_1-b_1)-(a_1+b_1)": "a − b − (a + b)",
    "a_1/(b_1*C7)": "a ÷ (b × net cash)",
    "a_1/MAX(b_1,1e-09)": "a ÷ b",
    "a_1+0": "a",
    "-INT(-(((a_1/b_1)-1e-09)))": "a ÷ b, rounded up",
    "INT((a_1+1e-09))*2": "(a, rounded down) × 2",
    "MIN(a_1,b_1)": "the smaller of a and b",
    "MAX((1-a_1),0)": "1 − a, at least zero",
    "a_1*IF(b_1>0,1,0)": "a × (1 where b is above 0, else 0)",
    'IF(a_1=1,b_1,"never")': "b where a is 1, else “never”",
    "a_1*1000": "a × 1,000",
}


@pytest.mark.parametrize(("formula", "words"), SAID.items())
def test_a_formula_is_said_in_the_labels_of_its_cells(formula: str, words: str) -> None:
    assert words_of(formula, LABELS.__getitem__) == words


@pytest.mark.parametrize(
    ("label", "inside"),
    [("Bones received", "bones received"), ("P2O5 in char", "P2O5 in char"), ("A full load", "a full load"),
     ("N2O up the stack", "N2O up the stack"), ("H/C_org", "H/C_org")],
)  # fmt: skip
def test_a_label_inside_a_sentence_begins_small_unless_it_is_a_sign(label: str, inside: str) -> None:
    assert within(label) == inside
