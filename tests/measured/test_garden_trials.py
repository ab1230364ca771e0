"""Garden trials from the table to the sentence: verdicts, sides, sizes, faults."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from measured_plants import table, with_data
from remembered import appraise

from econ.answer.label_statement import many, trial_said
from econ.errors import InputFaults
from econ.inputs.records import TypedTable
from econ.measured.garden_trials import NOT_SHOWN, SHOWN, Germination, Means, TrialsReading, read_trials

UNITS = {"trials.days_sprout": "days", "trials.days_fruit": "days", "trials.harvest": "lb"}
KG_PER_LB = 0.45359237


def trials(*lines: Mapping[str, object]) -> TypedTable:
    return table("trials", UNITS, lines)


def tray(side: str, sown: int, sprouted: int, trial: str = "t", detail: str = "") -> dict[str, object]:
    return {"trial": trial, "treatment": side, "detail": detail, "sown": sown, "sprouted": sprouted}


def bed(side: str, **more: float) -> dict[str, object]:
    return {"trial": "t", "treatment": side, **more}


def reading(*lines: Mapping[str, object], sets: tuple[str, ...] = ()) -> TrialsReading:
    found = read_trials(with_data({"trials": trials(*lines)}, *sets))
    assert found is not None
    return found


def germination(*lines: Mapping[str, object], sets: tuple[str, ...] = ()) -> Germination:
    (one,) = reading(*lines, sets=sets).comparisons
    assert one.germination is not None
    return one.germination


def test_ten_out_of_ten_against_nine_is_not_shown() -> None:
    found = germination(tray("with char", 10, 10), tray("without char", 10, 9))
    assert (found.verdict, found.p) == (NOT_SHOWN, 1.0)
    assert found.verdict == "not shown"
    assert trial_said(found, "may", "", "").endswith("The difference was not statistically significant.'")
    assert trial_said(found, "may-not").startswith("May not be said: that char does better or worse.")
    assert "One tray on a side" in trial_said(found, "doubts")


@pytest.mark.parametrize(("n", "sprouted", "verdict"), [(20, 17, NOT_SHOWN), (40, 34, SHOWN), (100, 85, SHOWN)])
def test_the_claim_of_the_trade(n: int, sprouted: int, verdict: str) -> None:
    """100 % against 85 %: common practice, no source; p about 0.23, 0.026, 3e-5."""
    found = germination(tray("with char", n, n), tray("without char", n, sprouted))
    assert found.verdict == verdict
    assert (found.asked, found.seeds) == (0.15, 52 if sprouted / n == 0.85 else None)
    assert "52 seeds a side" in trial_said(found, "needed", "")


def test_trays_that_scatter_take_a_difference_back() -> None:
    """40 of 40 against 34 of 40, p 0.026 by seeds; all six that failed stand in one tray: p 1 by trays."""
    ours = [tray("with char", 10, 10)] * 4
    even = [tray("without char", 10, up) for up in (9, 8, 9, 8)]
    odd = [tray("without char", 10, up) for up in (10, 10, 10, 4)]
    assert germination(*ours, *even).verdict == SHOWN
    found = germination(*ours, *odd)
    assert found.p == pytest.approx(0.0255, abs=0.0001)
    assert found.tray_p == 1.0
    assert found.verdict == NOT_SHOWN


def test_harm_is_said_as_harm() -> None:
    found = germination(tray("with char", 40, 20), tray("without char", 40, 38))
    assert found.verdict == SHOWN
    assert not found.is_better
    assert "WORSE" in trial_said(found, "may-not")


def test_the_difference_to_show_is_a_row() -> None:
    """From 90 % one cannot go up by 30 points: the size is for 90 % against 60 %, 36 a side (house arithmetic)."""
    lines = (tray("with char", 10, 10), tray("without char", 10, 9))
    assert germination(*lines, sets=("trials.germination_difference=30 %",)).seeds == 36


def means(*lines: Mapping[str, object]) -> Means:
    (one,) = reading(*lines).comparisons
    (found,) = one.means
    return found


def test_days_and_yields_by_shuffled_labels() -> None:
    """All four beds with char above all four without: 2 of 70 ways, p 0.0286. Yields in lb, held in kg."""
    found = means(*(bed("with char", harvest=x) for x in (5, 6, 7, 8)),
                  *(bed("without char", harvest=x) for x in (1, 2, 3, 4)))  # fmt: skip
    assert (found.of, found.verdict, found.is_better) == ("harvest", SHOWN, True)
    assert found.p == pytest.approx(2 / 70)
    assert found.gap == pytest.approx(4 * KG_PER_LB)
    assert found.asked == pytest.approx(0.2 * 2.5 * KG_PER_LB), "20 % of the mean without"
    slower = means(*(bed("with char", days_fruit=x) for x in (55, 56, 57, 58)),
                   *(bed("without char", days_fruit=x) for x in (51, 52, 53, 54)))  # fmt: skip
    assert (slower.verdict, slower.is_better) == (SHOWN, False)


def test_three_beds_a_side_can_never_show_anything() -> None:
    found = means(*(bed("with char", harvest=x) for x in (90, 91, 92)),
                  *(bed("without char", harvest=x) for x in (1, 2, 3)))  # fmt: skip
    assert (found.verdict, found.difference, found.can_show) == (NOT_SHOWN, None, False)
    assert "at least 4 a side" in trial_said(found, "doubts")


def test_each_treatment_is_compared_with_its_own_trial() -> None:
    found = reading(
        tray("with char", 20, 19, "a", "char and tea"), tray("with char", 20, 18, "a", "char alone"),
        tray("without char", 20, 15, "a"), tray("without char", 30, 30, "b"), tray("with char", 30, 29, "b"),
        tray("with char", 9, 9, "alone"),
    )  # fmt: skip
    assert [(one.trial, one.detail) for one in found.comparisons] == [
        ("a", "char and tea"), ("a", "char alone"), ("b", ""),
    ]  # fmt: skip
    assert [one.germination.without.sown for one in found.comparisons if one.germination] == [20, 20, 30]
    assert found.lonely == ("alone",)
    assert found.looks == 3
    assert "3 comparisons" in many(found)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (tray("with char", 10, 11), "11 sprouted of 10 sown"),
        ({"trial": "t", "treatment": "with char", "sprouted": 3}, "none sown"),
        ({"trial": "t", "sown": 3}, "treatment: blank. Choose one of"),
        (tray("half char", 10, 9), "half char"),
        ({"trial": "t", "treatment": "with char", "sown": 9.5}, "whole number"),
    ],
)
def test_lines_that_cannot_be(line: Mapping[str, object], said: str) -> None:
    with pytest.raises(InputFaults, match=said):
        with_data({"trials": trials(line)})


def test_trials_move_no_figure() -> None:
    lines = (tray("with char", 10, 10), tray("without char", 10, 9))
    with_them, without = appraise(with_data({"trials": trials(*lines)})), appraise(with_data({}))
    assert with_them.figures == pytest.approx(without.figures, rel=0, abs=0, nan_ok=True)
    assert with_them.to_json()["details"]["trials"][0]["germination"]["verdict"] == "not shown"
    assert without.to_json()["details"]["trials"] is None
    assert "trial-not-shown" in {caution.id for caution in with_them.cautions}
