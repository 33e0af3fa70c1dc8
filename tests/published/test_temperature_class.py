"""Temperature classes of IEC 60079-0 with and without the margins of ISO 80079-36."""

import numpy as np
import pytest

from wetpath.physics.heat.temperature_class import class_limit, temperature_class

SURFACES = [82, 79, 96, 129, 132, 196, 289, 445, 455]
WITH = ["T5", "T6", "T4", "T4", "T3", "T2", "T2", "none", "none"]
WITHOUT = ["T6", "T6", "T5", "T4", "T4", "T3", "T2", "T1", "none"]


@pytest.mark.published("iso-80079-36", status="recalled")
@pytest.mark.published("iec-60079-0", status="read")
@pytest.mark.parametrize(
    ("surface", "with_margin", "without"), list(zip(SURFACES, WITH, WITHOUT, strict=True))
)
def test_class_of_a_surface(surface, with_margin, without):
    assert str(temperature_class(surface + 273.15, with_margin=True)) == with_margin
    assert str(temperature_class(surface + 273.15, with_margin=False)) == without


@pytest.mark.published("iec-60079-0", status="read")
def test_limits(against):
    for name, limit, reduced in (
        ("T1", 450, 440),
        ("T2", 300, 290),
        ("T3", 200, 195),
        ("T4", 135, 130),
        ("T5", 100, 95),
        ("T6", 85, 80),
    ):
        against(
            "iec-60079-0",
            "read",
            f"{name} limit",
            class_limit(name, with_margin=False) - 273.15,
            limit,
            abs=1e-9,
            unit="degC",
        )
        against(
            "iso-80079-36",
            "recalled",
            f"{name} limit less margin",
            class_limit(name, with_margin=True) - 273.15,
            reduced,
            abs=1e-9,
            unit="degC",
        )
        # at the limit itself the class holds
        assert str(temperature_class(class_limit(name, with_margin=True), with_margin=True)) == name


def test_batches_and_unknown_temperatures():
    assert temperature_class(np.array([np.nan, 300.0]), with_margin=False).tolist() == ["none", "T6"]
