"""Slopes and changes: proof of the step, limits, and what each variable does to a sample."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

import wetpath
from wetpath.errors import InputError
from wetpath.liquids.lookup import liquid_state, saturation_temperature, vapour_pressure
from wetpath.questions.sensitivity.derivative import extrapolated_derivative, step_lengths
from wetpath.questions.sensitivity.evaluate import PULL_OUT_RATIO, QUANTITIES, evaluate
from wetpath.questions.sensitivity.sample import sample_of, scaled_liquid
from wetpath.questions.sensitivity.variable import variables_of
from wetpath.questions.sensitivity.worth import film_warnings, model_of_case, worth_of
from wetpath.rating.rate import Rating
from wetpath.services.rating import load_service

DEMO = Path(wetpath.__file__).parent / "data" / "demo"


@cache
def rating(name: str = "propane") -> Rating:
    return load_service(DEMO / "enquiries" / f"{name}.toml").rate()


def parts(name: str = "propane"):
    model, inputs = model_of_case(rating(name), 0)
    return model, inputs, {one.name: one for one in variables_of(model.pump, inputs)}


@pytest.mark.published("ridders-1982", status="derived")
@pytest.mark.parametrize(("function", "at", "slope"), [
    (np.exp, 1.0, np.e), (np.sin, 2.0, np.cos(2.0)), (np.log, 3.0, 1 / 3), (lambda x: 1 / (1 + x * x), 1.0, -0.5)])
def test_derivatives_of_known_functions(against, function, at, slope):
    steps = step_lengths(0.2)
    found = extrapolated_derivative(steps, function(at + steps), function(at - steps))
    against("ridders-1982", "derived", f"derivative at {at}", float(found.value), slope, rel=1e-11)
    assert abs(found.value - slope) <= 10 * found.error + 1e-13


def test_a_kink_within_the_longest_step_is_found_out():
    steps = step_lengths(0.2)

    def kinked(x):
        return x**3 + 5 * np.maximum(0.0, x - 1.13)

    found = extrapolated_derivative(steps, kinked(1 + steps), kinked(1 - steps))
    assert float(found.value) == pytest.approx(3.0, rel=1e-9)


def test_plain_differences_converge_with_the_square_of_the_step():
    """The proof of the step: each halving brings a plain difference four times nearer to the extrapolated slope."""
    worth = worth_of(rating("butane_reflux"), 1)
    for one in worth.effects:
        if one.variable.name in ("suction_pressure", "temperature", "feed_hole_diameter", "annulus_gap"):
            away = np.abs(one.derivative.differences[:3, :3] - one.slope[:3])
            curved = away[0] > 1e-5 * np.abs(one.slope[:3])
            assert (one.slope_error[:3] < 1e-6 * np.abs(one.slope[:3])).all()
            assert np.allclose(away[1][curved] / away[0][curved], 0.25, atol=0.02)
            assert curved.any() or one.variable.name == "suction_pressure"


def test_every_slope_is_known_to_a_millionth():
    worth = worth_of(rating("butane_reflux"))
    for one in worth.effects:
        matters = np.abs(one.linear) > 1e-6 * np.abs(worth.now)
        assert (one.slope_error[matters] < 1e-6 * np.abs(one.slope[matters])).all(), one.variable.name


def test_worth_of_directions():
    worth = worth_of(rating())
    change = {one.variable.name: one.change for one in worth.effects}
    assert (change["suction_pressure"][:4] > 0).all()
    assert change["suction_pressure"][0] == pytest.approx(1e5, rel=0.02)
    assert (change["temperature"][:4] > 0).all()             # a colder liquid
    assert (change["vapour_pressure_factor"][:4] < 0).all()
    assert change["npsh_factor"][3] < 0
    assert change["npsh_factor"][:3].tolist() == [0.0, 0.0, 0.0]
    assert change["shell_loss_factor"][2] < 0
    assert change["wall_heat_transfer_factor"][2] > 0
    governing = [abs(one.change[worth.governing]) for one in worth.effects]
    assert governing == sorted(governing, reverse=True)


def test_remanence_acts_twice_on_torque():
    model, inputs, variables = parts()
    sample = sample_of(model.machine, inputs, 2)
    variables["remanence_factor"].move(sample, np.array([0.0, 0.02]))
    ratio = evaluate(model, sample).worst[:, PULL_OUT_RATIO]
    # the torque through the coupling grows a little with the shell's loss
    assert ratio[1] / ratio[0] == pytest.approx(1.02**2, rel=2e-3)


def test_wall_heat_transfer_factor_is_one():
    """Put in as conductivity to the power 3/2, it comes out as the factor it is meant to be."""
    model, inputs, variables = parts()
    sample = sample_of(model.machine, inputs, 2)
    variables["wall_heat_transfer_factor"].move(sample, np.array([0.0, 0.3]))
    film = evaluate(model, sample).film
    assert film[1] / film[0] == pytest.approx(np.full(film.shape[1], 1.3), rel=2e-3)


def test_laminar_wall_heat_transfer_is_told():
    model, inputs, _ = parts()
    sample = sample_of(model.machine, inputs, 1)
    assert film_warnings(model, inputs, evaluate(model, sample)) == ()
    sample.viscosity[:] = 3000.0
    found = evaluate(model, sample)
    assert "laminar" in film_warnings(model, inputs, found)[0]


def test_vapour_pressure_factor_moves_only_the_margins():
    model, inputs, variables = parts()
    sample = sample_of(model.machine, inputs, 2)
    variables["vapour_pressure_factor"].move(sample, np.array([0.0, 0.1]))
    found = evaluate(model, sample)
    assert found.others[0, 1:].tolist() == found.others[1, 1:].tolist()
    states = rating().situation.solution.states
    lost = found.pressure_margin[0] - found.pressure_margin[1]
    assert lost == pytest.approx(0.1 * states.saturation[0], rel=1e-9)
    below = states.boiling[0] - (found.temperature_margin[0] - found.temperature_margin[1])
    assert model.liquid.vapour_pressure(below) * 1.1 == pytest.approx(states.pressure[0], rel=1e-9)


def test_scaled_liquid():
    table = rating().liquid.arrays
    factors = np.array([1.01, 1.02, 1.03, 1.04, 1.05])
    own, scaled = (np.array(liquid_state(one, 300.0, 2e6)) for one in (table, scaled_liquid(table, factors)))
    assert scaled / own == pytest.approx(np.array([1.01, 1.02, 1.02, 1.03, 1.04]), rel=1e-12)
    assert liquid_state(scaled_liquid(table, np.ones(5)), 300.0, 2e6) == liquid_state(table, 300.0, 2e6)
    told = vapour_pressure(scaled_liquid(table, factors), 300.0)
    assert told == pytest.approx(1.05 * vapour_pressure(table, 300.0), rel=1e-12)
    assert saturation_temperature(scaled_liquid(table, factors), told, 300.0) == pytest.approx(300.0, rel=1e-10)


@pytest.mark.parametrize("name", ["propane", "hot_water", "ammonia", "acrylic_ester_flushed", "cold_water"])
def test_nothing_changed_is_the_rating(name):
    """Every variable moved by nothing leaves all numbers as the rating has them, whatever the pump is made of."""
    rated = rating(name)
    model, inputs, variables = parts(name)
    sample = sample_of(model.machine, inputs, 1)
    for one in variables.values():
        one.move(sample, np.zeros(1))
    found = evaluate(model, sample).worst[0]
    situation = rated.situation
    expected = [situation.pressure_margin[0].min(), situation.temperature_margin[0].min(),
                situation.wall_margin[0].min(), situation.npsh_available[0] - rated.point.npsh_required[0],
                rated.losses.coupling_ratio[0], rated.losses.shaft[0]]
    assert found == pytest.approx(expected, rel=1e-9)


def test_variables_change_their_own_number_and_no_other_copy():
    model, inputs, variables = parts("hot_water")
    for name, one in variables.items():
        sample = sample_of(model.machine, inputs, 2)
        one.move(sample, np.array([0.0, one.worth]))
        columns = sample.inputs.__dataclass_fields__
        everything = [*sample.machine, *(getattr(sample.inputs, column) for column in columns), sample.head,
                      sample.efficiency, sample.npsh_required, sample.vapour_pressure,
                      sample.liquid_factors]
        before = [*model.machine, *(getattr(inputs, column) for column in columns)]
        assert all(np.array_equal(array[0], old[0], equal_nan=True)
                   for array, old in zip(everything, before, strict=False)), name
        assert any(not np.array_equal(array[0], array[1], equal_nan=True) for array in everything), name


def test_insulating_shell_has_no_loss_to_change():
    _, _, variables = parts("naphtha")
    conducting = {"shell_loss_factor", "resistivity_factor"}
    assert conducting <= set(variables) or not conducting & set(variables)
    pump = DEMO / "pumps" / "medium_ceramic.toml"
    ceramic = load_service(DEMO / "enquiries" / "butane_reflux.toml", pump=pump).rate()
    model, inputs = model_of_case(ceramic, 0)
    assert not conducting & {one.name for one in variables_of(model.pump, inputs)}
    assert len(QUANTITIES) == worth_of(ceramic).now.size


def test_unknown_case_is_refused():
    with pytest.raises(InputError, match="is not a case"):
        worth_of(rating(), "Z")
