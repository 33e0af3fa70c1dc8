"""Compiled loops over cases against the textbook formulas they are made of, called on whole arrays."""

import numpy as np
import pytest
from demo_models import inputs as demo_inputs
from demo_models import model as demo_model

from wetpath.circulation import solve
from wetpath.circulation.rotor_loads import RADIAL_FORCE
from wetpath.physics.constants import STANDARD_GRAVITY, ZERO_CELSIUS
from wetpath.physics.film.film_regime import film_ratio, film_reynolds, laminar_limit, turbulent_axial_resistance
from wetpath.physics.film.journal_film import eccentricity_ratio, fine_row, least_film, sommerfeld_number
from wetpath.physics.film.loaded_films import (
    ECCENTRICITY,
    RATIO,
    REYNOLDS,
    THICKNESS,
    FilmShapes,
    loaded_films,
)
from wetpath.physics.pump.radial_thrust import (
    partial_flow_exponent,
    radial_force,
    single_volute_factor_by_exponent,
)
from wetpath.physics.pump.specific_speed import specific_speed_us
from wetpath.physics.pump.viscosity_correction import (
    efficiency_factor,
    flow_factor,
    head_factor,
    viscosity_parameter,
)
from wetpath.rating.bearing_state import _side_forces, magnet_stiffness
from wetpath.rating.operating_point import operating_point
from wetpath.rating.thrust_state import axial_thrust


@pytest.fixture(scope="module")
def model():
    return demo_model("medium", "n-Butane")


@pytest.fixture(scope="module")
def solved(model):
    return model.solve(demo_inputs(model, share=np.array([0.2, 0.7, 1.1]), temperature=np.full(3, 300.0), above=5e5))


@pytest.mark.parametrize("viscosity", [1e-6, 2e-5, 3e-4])      # without correction, with it, beyond its end
def test_operating_points(model, viscosity):
    pump, tested = model.pump, model.pump.impeller.tested
    curve, flow, speed = tested.curve, np.array([0.0, 0.006, 0.012, 0.03]), np.full(4, 250.0)
    point = operating_point(pump, flow, speed, np.full(4, viscosity))
    faster, trim = speed / tested.speed, pump.impeller.diameter / tested.diameter
    best_flow, best_head = curve.best_flow * faster * trim, curve.best_head * faster**2 * trim**2
    parameter = viscosity_parameter(viscosity, best_flow, best_head, speed)
    held = np.minimum(parameter, 39.99)
    water = flow / flow_factor(held)
    at_test, for_head = water / (faster * trim), head_factor(flow_factor(held), water / best_flow)
    head = curve.head(at_test) * faster**2 * trim**2 * for_head
    assert point.head == pytest.approx(np.maximum(head, 0.1), rel=1e-12)
    assert point.viscosity_parameter == pytest.approx(parameter, rel=1e-12)
    running = point.efficiency > 0.02
    assert running.any()
    assert point.efficiency[running] == pytest.approx(
        (curve.efficiency(at_test) * efficiency_factor(held))[running], rel=1e-12)
    work = STANDARD_GRAVITY * flow * point.head / point.efficiency
    assert point.power_over_density[running] == pytest.approx(work[running], rel=1e-12)


def test_films():
    radius, clearance, length, roughness = (np.array(pair) for pair in (
        (0.02, 0.03), (30e-6, 60e-6), (0.03, 0.045), (0.4e-6, 0.8e-6)))
    rows = [fine_row(0.75), fine_row(0.75)]
    laminar = laminar_limit(radius, clearance)
    shapes = FilmShapes(radius, clearance, length, roughness, np.array([1.0, 2.0]), laminar,
                        np.array([row.eccentricity for row in rows]), np.array([row.sommerfeld for row in rows]))
    viscosity, density = np.full((4, 2), 3e-4), np.full((4, 2), 800.0)
    speed, load = np.array([100.0, 300.0, 300.0, 300.0]), np.array([[5.0, 5.0], [300.0, 50.0], [3e3, 3e3], [0.0, 1.0]])
    with np.errstate(divide="ignore"):
        found = loaded_films(shapes, viscosity, density, speed, load)
        reynolds = film_reynolds(density, viscosity, speed[:, None], radius, clearance)
        number = sommerfeld_number(viscosity * turbulent_axial_resistance(reynolds, laminar), speed[:, None],
                                   load * np.array([1.0, 2.0]), radius, length, clearance)
    ratio = np.stack([eccentricity_ratio(number[:, place], rows[place]) for place in (0, 1)], axis=1)
    assert (reynolds > laminar).any()
    assert found[REYNOLDS] == pytest.approx(reynolds, rel=1e-12)
    assert found[ECCENTRICITY] == pytest.approx(ratio, rel=1e-12)
    assert found[THICKNESS] == pytest.approx(least_film(clearance, ratio), rel=1e-11)
    assert found[RATIO] == pytest.approx(film_ratio(least_film(clearance, ratio), roughness, 0.0), rel=1e-11)


def test_forces_on_the_rotor(model, solved):
    pump, scalars = model.pump, solved.solution.states.scalars
    assert pump.casing.volute == "single"
    best, given = pump.impeller.tested.curve, pump.impeller.radial_force_factor
    exponent = partial_flow_exponent(specific_speed_us(pump.impeller.tested.speed, best.best_flow, best.best_head))
    expected = radial_force(single_volute_factor_by_exponent(solved.point.flow_share, given, exponent),
                            scalars[:, solve.DENSITY_IN], solved.point.head, pump.impeller.diameter,
                            pump.impeller.outlet_width)
    assert _side_forces(pump, solved)[RADIAL_FORCE] == pytest.approx(expected, rel=1e-12)
    assert (magnet_stiffness(pump, solved) > 0).all()
    thrust = axial_thrust(pump, solved, pump.impeller.rear_ring_clearance)
    eye = np.pi / 4 * pump.impeller.eye_diameter**2
    assert thrust.momentum == pytest.approx(
        -scalars[:, solve.DENSITY_IN] * solved.inputs.flow**2 / eye, rel=1e-12)
    assert (scalars[:, solve.INNER_RING] > ZERO_CELSIUS).all()
