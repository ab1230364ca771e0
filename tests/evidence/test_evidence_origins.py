"""Every row of a wide table says where it comes from and how well it is known."""

from __future__ import annotations

import pytest

from econ import evidence
from econ.evidence import curves


@pytest.mark.parametrize(
    "found",
    [
        *evidence.compositions(),
        *evidence.fuels(),
        *evidence.gwps(),
        *evidence.limits(),
        *evidence.crop_removals(),
        *evidence.soil_readings(),
        *evidence.sieves(),
        *curves.retention().origins,
        *curves.persistence_classes().origins,
        *curves.persistence_by_hc().origins,
        *curves.soil_factors().origins,
    ],
)
def test_every_wide_row_has_an_origin(found):
    assert found.locator
    assert found.source in evidence.sources()
    assert found.mark.split(" ")[0] in {"verified", "unverified"}
