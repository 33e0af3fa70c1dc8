"""What is kept of a pump: a changed pump, however it was changed, is worked out anew; a pump let go is forgotten."""

import gc

import numpy as np
import pytest
from demo_enquiries import enquiry, liquid, pump

from wetpath.machine.pump_file import PumpFile
from wetpath.rating.machine_arrays import (
    cold_pull_out,
    coupling_geometry,
    own_machine_arrays,
    remanences,
    response_for,
    shell_conductivity,
)
from wetpath.rating.per_pump import once_per_pump
from wetpath.rating.rate import rate


def longer_magnets(machine: PumpFile) -> PumpFile:
    """The pump with both rings a tenth longer, as a copy that takes over all that is stored in it."""
    return machine.model_copy(update={
        name: getattr(machine, name).model_copy(update={"length": 1.1 * getattr(machine, name).length})
        for name in ("inner_ring", "outer_ring")})


def shorter_by_file(machine: PumpFile) -> PumpFile:
    """The pump with both rings a tenth shorter, read as from a file."""
    document = machine.model_dump(by_alias=True)
    for name in ("inner_ring", "outer_ring"):
        document[name]["length"] = 0.9 * document[name]["length"]
    return PumpFile.model_validate(document)


@pytest.mark.parametrize(("changed", "longer"), [(longer_magnets, 1.1), (shorter_by_file, 0.9)])
def test_a_changed_pump_is_worked_out_anew(changed, longer):
    """Pull-out torque follows the length of the magnets nearly in proportion; the pump itself keeps its numbers."""
    first = pump("medium")
    before = rate(first, enquiry(), liquid(), full=False)
    other = changed(first)
    after = rate(other, enquiry(), liquid(), full=False)
    assert coupling_geometry(other).inner_length == pytest.approx(longer * coupling_geometry(first).inner_length)
    assert cold_pull_out(other)[1] / cold_pull_out(first)[1] == pytest.approx(longer, rel=0.03)
    assert after.losses.pull_out / before.losses.pull_out == pytest.approx(longer, rel=0.03)
    ratio = own_machine_arrays(other).torque[0, 0, 0] / own_machine_arrays(first).torque[0, 0, 0]
    assert ratio == pytest.approx(longer, rel=0.03)
    again = rate(first, enquiry(), liquid(), full=False)
    np.testing.assert_array_equal(again.losses.shaft, before.losses.shaft)


def test_a_better_conducting_shell_takes_more_loss_at_once():
    first = pump("medium")
    shell = first.containment_shell.model_copy(update={"resistivity": 0.5 / shell_conductivity(first)})
    other = first.model_copy(update={"containment_shell": shell})
    assert shell_conductivity(other) == pytest.approx(2 * shell_conductivity(first))
    losses = [float(rate(one, enquiry(), liquid(), full=False).losses.eddy[0]) for one in (first, other)]
    assert losses[1] / losses[0] == pytest.approx(2.0, rel=0.1)


def test_what_is_kept_is_what_would_be_derived():
    first = pump("medium")
    assert response_for(first) is response_for(first)
    np.testing.assert_array_equal(cold_pull_out(first), response_for(first).pull_out(*remanences(first)))


def test_it_is_derived_once_and_forgotten_with_the_pump():
    derived = []

    @once_per_pump
    def wall(machine):
        derived.append(machine.containment_shell.wall)
        return machine.containment_shell.wall

    first = pump("medium")
    one, two = first.model_copy(), first.model_copy()
    assert wall(one) == wall(one) == wall(two) == first.containment_shell.wall
    assert len(derived) == 2
    kept = wall.__closure__ and next(cell.cell_contents for cell in wall.__closure__
                                     if isinstance(cell.cell_contents, dict))
    assert len(kept) == 2
    del one
    gc.collect()
    assert list(kept) == [id(two)]
