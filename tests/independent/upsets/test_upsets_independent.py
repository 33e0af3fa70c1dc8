"""The pump in time against another integrator, against the steady solve, and against the study of the coupling."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

import wetpath as wp
from wetpath.circulation import annulus_cells as ring
from wetpath.circulation import solve
from wetpath.questions.coupling_study.conditions import Conditions
from wetpath.questions.coupling_study.out_of_step import _Slipping
from wetpath.upsets import Upset, simulate
from wetpath.upsets import right_side as rhs
from wetpath.upsets.knots import Factors
from wetpath.upsets.simulation import beginning, follow, prepare


@pytest.fixture(scope="module")
def butane():
    return wp.rate(wp.demo_enquiry("butane_reflux"), pump=wp.demo_pump("medium"))


def test_same_course_with_an_implicit_runge_kutta_method(butane):
    """Radau IIA against LSODA through boiling and loss of the liquid; both at 1e-7 or tighter."""
    course, knots, liquid = prepare(butane, [Upset("suction pressure decay")], 0, 150.0, Factors())
    times = np.array([0.0, 50.0, 90.0, 100.0, 120.0, 150.0])
    ours = follow(course, knots, liquid, times)
    assert np.isinf(ours.slips_at)
    other = solve_ivp(rhs.rates, (0.0, 150.0), beginning(course, knots), method="Radau", t_eval=times, rtol=1e-7,
                      atol=1e-7, max_step=1.0, args=(knots.table, knots.time, knots.constants, liquid.arrays, False))
    np.testing.assert_allclose(ours.states[:, :rhs.OUTER], other.y.T[:, :rhs.OUTER], rtol=2e-5)
    np.testing.assert_allclose(ours.states[:, rhs.VAPOUR], other.y.T[:, rhs.VAPOUR], atol=1e-4)


@pytest.mark.parametrize(("upset", "change"), [
    (Upset("hot slug", values={"rise": 10.0, "fall": 0.0}), {"temperature": lambda inputs: inputs.temperature + 10.0}),
    (Upset("below minimum flow", values={"share": 0.7}), {"flow": lambda inputs: 0.7 * inputs.flow})])
def test_end_of_an_upset_is_the_steady_state_there(upset, change):
    """Long after a mild change the wall and the liquid are where the steady solve of the changed case puts them.

    What is left is that the lumped heat capacities and the contact of wall and liquid are those of the rated state.
    """
    water = wp.rate(wp.demo_enquiry("cold_water"), pump=wp.demo_pump("large"))
    line = simulate(water, [upset], duration=3600.0)
    inputs = water.inputs
    changed = inputs.changed(**{name: make(inputs) for name, make in change.items()})
    solved = water.situation.models[0].solve(changed)
    wall = solved.solution.states.cells[0, ring.CELL_WALL].mean()
    rated = water.situation.cells[0, ring.CELL_WALL].mean()
    moved = line.shell_wall[-1].mean() - line.shell_wall[0].mean()
    assert moved == pytest.approx(wall - rated, abs=0.1 + 0.1 * abs(wall - rated))
    assert line.torque[-1] == pytest.approx(solved.solution.states.scalars[0, solve.TORQUE], rel=0.01)


def test_drifting_speed_is_that_of_the_study_of_the_coupling(butane):
    """The pump out of step settles where the currents in its sheath carry it; the study finds it as a root.

    Within the few kelvin that magnets and wall have drifted here.
    """
    course, knots, liquid = prepare(butane, [Upset("magnets pulled out", start=0.0)], 0, 120.0, Factors())
    knots.table[:, rhs.SUCTION_P] += 20e5      # no vapour, which would unload the pump
    states = follow(course, knots, liquid, np.linspace(0.0, 120.0, 121)).states
    c = knots.constants
    last = states[-1]
    told = Conditions(torque=float(knots.table[-1, rhs.TORQUE]), speed=float(c[rhs.RATED_SPEED]),
                      liquid=float(last[:rhs.BANDS].mean()), inner_magnets=float(last[rhs.INNER]),
                      outer_magnets=float(last[rhs.OUTER]))
    study = _Slipping.of(butane.pump, told).drifting_speed()
    assert study > 10
    assert last[rhs.SPIN] * c[rhs.RATED_SPEED] == pytest.approx(study, rel=0.03)
