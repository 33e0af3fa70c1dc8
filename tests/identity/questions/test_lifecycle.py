"""The life-cycle comparison: cash flows summed by hand, energy from the losses, break-even values put back in."""

from __future__ import annotations

import numpy as np
import pytest

from wetpath.edge.files import loads_document
from wetpath.errors import InputError
from wetpath.questions.lifecycle.scope import LifeCycleScope
from wetpath.questions.lifecycle.study import LifeCycle, compare
from wetpath.rating.rate import Rating
from wetpath.services.demo import enquiry_path
from wetpath.services.rating import load_service

SCOPE = enquiry_path("cold_water").parent.parent / "life_cycle.toml"


@pytest.fixture(scope="module")
def rating() -> Rating:
    return load_service(enquiry_path("butane_reflux")).rate()


@pytest.fixture(scope="module")
def text() -> str:
    return SCOPE.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def found(rating: Rating, text: str) -> LifeCycle:
    return compare(rating, loads_document(text, LifeCycleScope))


def test_energy_is_that_of_the_losses(rating: Rating, found: LifeCycle) -> None:
    """The sealed pump leaves out coupling and circulation and adds what its seal takes."""
    losses, seconds, efficiency = rating.losses, 8000 * 3600.0, rating.situation.driver.efficiency
    case = [case.role for case in rating.enquiry.cases].index("normal")
    assert found.energy_seal_less == pytest.approx(losses.shaft[case] / efficiency * seconds)
    plain = losses.hydraulic[case] + losses.wet_end[case] + losses.dry_side[case] + 900.0
    assert found.energy_sealed == pytest.approx((plain / efficiency + 300.0) * seconds)


def test_present_values_are_the_sum_of_the_discounted_payments(found: LifeCycle) -> None:
    year = np.arange(1, 16)
    energy = found.energy_seal_less / 3.6e6 * 0.14 * 1.02 ** (year - 1) / 1.06**year
    assert found.seal_less.energy == pytest.approx(energy.sum(), rel=1e-12)
    repairs = 8000 / 24000 * 8200.0 / 1.06**year
    assert found.sealed.repairs == pytest.approx(repairs.sum(), rel=1e-12)
    downtime = 8000 / 24000 * 16 * 900.0 / 1.06**year
    assert found.sealed.downtime == pytest.approx(downtime.sum(), rel=1e-12)
    assert found.sealed.total == pytest.approx(sum(vars(found.sealed).values()))


def test_emissions_are_the_published_average_factor(found: LifeCycle, against) -> None:
    """EPA-453/R-95-017, refinery average factor of pump seals in light liquid service, recalled: 0.114 kg/h."""
    against("epa-453-r-95-017", "recalled", "refinery pump seal, light liquid, 8000 h", found.emitted, 0.114 * 8000,
            rel=1e-12, unit="kg")


@pytest.mark.parametrize("number", range(4))
def test_at_a_break_even_both_cost_the_same(rating: Rating, text: str, found: LifeCycle, number: int) -> None:
    one = found.break_evens[number]
    assert one.value is not None
    changes = (('time_between_repairs = "24000 h"', f'time_between_repairs = "{one.value} h"'),
               ('time_between_repairs = "48000 h"', f'time_between_repairs = "{one.value} h"'),
               ("energy_price = 0.14", f"energy_price = {one.value}"),
               ("purchase = 24000.0", f"purchase = {one.value}"))
    changed = text.replace(*changes[number])
    assert changed != text
    again = compare(rating, loads_document(changed, LifeCycleScope))
    assert again.advantage == pytest.approx(0.0, abs=1e-3)


def test_the_tornado_is_the_comparison_again(rating: Rating, text: str, found: LifeCycle) -> None:
    swing = next(one for one in found.tornado if one.name == "price of energy")
    again = compare(rating, loads_document(text.replace("energy_price = 0.14", "energy_price = 0.175"), LifeCycleScope))
    assert swing.higher == pytest.approx(again.advantage, rel=1e-12)
    assert all(one.width >= other.width for one, other in zip(found.tornado, found.tornado[1:], strict=False))


def test_no_life_is_invented(rating: Rating, text: str) -> None:
    bare = text.replace('time_between_repairs = "24000 h"\n', "")
    found = compare(rating, loads_document(bare, LifeCycleScope))
    assert found.sealed.repairs == 0
    assert any("no time between repairs is given for the sealed pump" in one for one in found.warnings)
    assert found.break_evens[0].given is None


def test_hours_of_the_cases_must_agree(rating: Rating, text: str) -> None:
    wrong = text + '\n[case_hours]\n"A normal" = "5000 h"\n'
    with pytest.raises(InputError, match=r"add up to 5000 h"):
        compare(rating, loads_document(wrong, LifeCycleScope))
