"""Anywhere in the allowed inputs a case ends with an outcome and with numbers, never with an exception or NaN."""

import demo_models as demo
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetpath.circulation import solve
from wetpath.circulation.outcome import Outcome

BATCH = 12
share = st.floats(0.01, 1.6)
rpm = st.floats(300.0, 3600.0)
#: Share of the way through the liquid's table.
warmth = st.floats(0.0, 1.0)
above = st.one_of(st.floats(-1e5, 1e5), st.floats(-1e5, 30e5))
case = st.tuples(share, rpm, warmth, above)


@pytest.mark.parametrize("pump", ["medium", "medium_suction", "medium_plugged", "small"])
@pytest.mark.parametrize("liquid", ["n-Butane", "Water", "Propane", "Toluene"])
@settings(max_examples=12, deadline=None)
@given(data=st.lists(case, min_size=BATCH, max_size=BATCH))
def test_every_case_ends_with_an_outcome(pump, liquid, data):
    model = demo.model(pump, liquid)
    flow_share, turns, hot, extra = np.array(data).T
    low, high = model.liquid.temperature_range
    cases = demo.inputs(model, share=flow_share, temperature=low + hot * (high - low), above=extra,
                        speed=turns * np.pi / 30)
    solved = model.solve(cases, place_losses=True)
    found = solved.solution
    assert set(found.outcome.tolist()) <= {Outcome.LIQUID, Outcome.WALL_BOILING, Outcome.FLASHING, Outcome.NO_SOLUTION}
    for name, array in found.states._asdict().items():
        assert np.isfinite(array).all(), name
    closed = found.outcome != Outcome.NO_SOLUTION
    scalars = found.states.scalars
    assert (scalars[closed, solve.CONVERGED] == 1.0).all()
    # rounding of a pressure of 200 bar moves the flow through an open cavity at 300 r/min by up to 1e-8
    assert (scalars[closed, solve.MASS_RESIDUAL] < 1e-7).all()
    assert (scalars[closed, solve.HEAT_RESIDUAL] < 1e-6).all()
    lost = np.isfinite(found.lost_share)
    assert (lost == (found.outcome >= Outcome.FLASHING)).all()
    assert ((found.lost_share[lost] >= 0) & (found.lost_share[lost] <= 1)).all()


@pytest.mark.parametrize("liquid", ["n-Butane", "Water", "Ammonia", "Methanol"])
@settings(max_examples=15, deadline=None)
@given(data=st.lists(st.tuples(st.floats(0.05, 1.5), st.floats(300.0, 900.0), st.floats(0.3, 0.6),
                               st.floats(15e5, 30e5)),
                     min_size=BATCH, max_size=BATCH))
def test_a_slow_pump_far_from_boiling_is_liquid(liquid, data):
    """Little head, little heat, 15 bar and more above the vapour pressure: nothing can boil, nothing may fail."""
    model = demo.model("medium", liquid)
    flow_share, turns, hot, extra = np.array(data).T
    low, high = model.liquid.temperature_range
    cases = demo.inputs(model, share=flow_share, temperature=low + hot * (high - low), above=extra,
                        speed=turns * np.pi / 30)
    assert (model.solve(cases).solution.outcome == Outcome.LIQUID).all()
