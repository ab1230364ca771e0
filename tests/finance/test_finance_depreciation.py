"""Depreciation by the four methods, and the printed tables against first principles."""

from __future__ import annotations

import numpy as np
import pytest

from econ.finance.returns import depreciation

PRINTED = {  # IRS Publication 946, Table A-1, half-year convention; 7 and 15 years as reprinted in a textbook
    7: [14.29, 24.49, 17.49, 12.49, 8.93, 8.92, 8.93, 4.46],
    15: [5, 9.5, 8.55, 7.7, 6.93, 6.23, 5.9, 5.9, 5.91, 5.9, 5.91, 5.9, 5.91, 5.9, 5.91, 2.95],
}


@pytest.mark.parametrize("life", PRINTED)
def test_macrs_as_printed(life: int) -> None:
    assert depreciation("macrs", 100.0, 0.0, life) == pytest.approx(PRINTED[life], abs=1e-9)


@pytest.mark.parametrize(("life", "factor"), [(3, 2.0), (5, 2.0), (7, 2.0), (10, 2.0), (15, 1.5)])
def test_macrs_from_first_principles(life: int, factor: float) -> None:
    """Declining balance for half a first year, then the larger of it and the line; print rounds to 0.01."""
    book, expected = 100.0, []
    for year in range(life + 1):
        part = 0.5 if year == 0 else 1.0
        left = life - year + 0.5 if year else float(life)
        amount = min(part * max(book * factor / life, book / left), book)
        expected.append(amount)
        book -= amount
    assert depreciation("macrs", 100.0, 0.0, life) == pytest.approx(expected, abs=0.012)
    assert depreciation("macrs", 100.0, 0.0, life).sum() == pytest.approx(100.0, abs=1e-9)


def test_macrs_ignores_salvage() -> None:
    assert np.array_equal(depreciation("macrs", 100.0, 40.0, 5), depreciation("macrs", 100.0, 0.0, 5))


@pytest.mark.parametrize(
    ("life", "amounts"),
    [
        pytest.param(4, [25, 25, 25, 25], id="whole"),
        pytest.param(2.5, [40, 40, 20], id="half a last year"),
        pytest.param(0.5, [100], id="less than a year"),
    ],
)
def test_straight_line(life: float, amounts: list[float]) -> None:
    assert depreciation("straight-line", 110.0, 10.0, life) == pytest.approx(amounts)


def test_straight_line_takes_a_life_a_case() -> None:
    amounts = depreciation("straight-line", 100.0, 0.0, [1.0, 2.5])
    assert amounts == pytest.approx(np.array([[100, 40], [0, 40], [0, 20]]))


def test_declining_balance_by_hand() -> None:
    """1000 over 5 years at 40 %: 400, 240, 144, then the line over two years of 216: 108, 108."""
    assert depreciation("declining-balance", 1000, 0, 5) == pytest.approx([400, 240, 144, 108, 108])
    assert depreciation("declining-balance", 1000, 0, 5, switch=False) == pytest.approx(
        [400, 240, 144, 86.4, 51.84]
    )


def test_declining_balance_stops_at_salvage() -> None:
    assert depreciation("declining-balance", 1000, 500, 5) == pytest.approx([400, 100, 0, 0, 0])
    assert depreciation("declining-balance", 1000, 0, 2, factor=3.0) == pytest.approx([1000, 0])


def test_declining_balance_never_writes_back() -> None:
    """A salvage lost in the rounding of the cost once left a last amount of -8e-141."""
    assert depreciation("declining-balance", 1.0, 8e-141, 2).min() >= 0.0


def test_sum_of_years_by_hand() -> None:
    assert depreciation("sum-of-years", 700, 100, 3) == pytest.approx([300, 200, 100])


def test_cost_and_salvage_may_be_arrays() -> None:
    for method in ("straight-line", "declining-balance", "sum-of-years", "macrs"):
        amounts = depreciation(method, [100.0, 200.0], 10.0, 5)
        assert amounts.shape == (6 if method == "macrs" else 5, 2)


@pytest.mark.parametrize("method", ["straight-line", "declining-balance", "sum-of-years"])
def test_what_keeps_its_whole_worth_is_not_written_off(method: str) -> None:
    assert depreciation(method, 500, 500, 4) == pytest.approx([0, 0, 0, 0])
