"""Temperature class and autoignition: states, margins of the practice, trips and levels."""

from dataclasses import replace

import numpy as np
import pytest
from demo_enquiries import CASE, check_of, enquiry, pump, rated

from wetpath.circulation import annulus_cells, solve
from wetpath.coupling.slip import slip_state
from wetpath.liquids.liquid import LiquidLimits
from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.physics.heat.shell_wall import wall_gradient_drop
from wetpath.rating.machine_arrays import coupling_geometry, remanences, response_for, shell_conductivity
from wetpath.rating.rate import rate
from wetpath.rating.surface_state import class_limit_asked

ALL_TRIPS = '[protection]\ntrips = ["low level", "low power", "shell temperature"]\n'


def asked(area="T4", trips="", **site):
    lines = "".join(f'{name} = "{value}"\n' for name, value in site.items())
    return enquiry(site=f'temperature_class = "{area}"\n{lines}', more=trips)


def surfaces(rating):
    return {one.name: one for one in rating.situation.surfaces.malfunctions}


@pytest.mark.published("iso-80079-36", status="recalled")
@pytest.mark.parametrize(("area", "celsius"), [
    ("T1", 440), ("T2", 290), ("T3", 195), ("T4", 130), ("T5", 95), ("T6", 80)])
def test_limits_of_the_classes_with_their_margins(against, area, celsius):
    against("iso-80079-36", "recalled", f"highest surface of class {area} after the margin",
            class_limit_asked(rated(asked=asked(area)).situation) - ZERO_CELSIUS, celsius, abs=1e-9, unit="degC")


def test_no_class_no_check():
    rating = rated()
    assert np.isnan(class_limit_asked(rating.situation))
    assert check_of(rating, "temperature_class_normal") is None
    assert check_of(rating, "temperature_class_malfunction") is None


def test_hottest_surface_in_normal_operation_is_the_outside_of_the_shell():
    rating = rated(asked=asked())
    normal, record = rating.situation.surfaces.normal, rating.situation.cells[0]
    part, ring = rating.pump.containment_shell, rating.pump.inner_ring
    cell = int(record[annulus_cells.CELL_WALL].argmax())
    flux = record[annulus_cells.CELL_TO_LIQUID, cell] / (np.pi * part.bore * ring.wet_length / record.shape[1])
    drop = wall_gradient_drop(flux, part.wall, rating.pump.shell_material.thermal_conductivity)
    assert normal.temperature[0] >= record[annulus_cells.CELL_WALL, cell] + drop - 1e-9
    assert normal.temperature[0] == pytest.approx(record[annulus_cells.CELL_WALL, cell] + drop, abs=0.2)
    assert normal.where == ("containment shell, outside",)
    assert normal.temperature[0] > rating.situation.solution.states.temperature.max()


def test_cold_liquid_in_warm_air_is_as_warm_as_the_air():
    cold = enquiry(site='air_highest = "52 degC"', cases=CASE.replace("60 degC", "5 degC"))
    surface = rated(asked=cold).situation.surfaces.normal
    assert surface.where == ("surroundings",)
    assert surface.temperature[0] == pytest.approx(ZERO_CELSIUS + 52)


def test_normal_operation_against_the_class():
    assert check_of(rated(asked=asked("T4")), "temperature_class_normal").holds.all()
    hot = enquiry(site='temperature_class = "T5"', cases=CASE.replace("60 degC", "105 degC"))
    check = check_of(rated(asked=hot), "temperature_class_normal")
    assert not check.holds[0]
    assert check.margin[0] == pytest.approx(ZERO_CELSIUS + 95 - check.actual[0])


def test_malfunctions_need_trips_unless_the_level_is_gc():
    bare = check_of(rated(asked=asked()), "temperature_class_malfunction")
    assert not bare.holds.any()
    assert bare.where[0].startswith("dry running")
    assert check_of(rated(asked=asked(trips=ALL_TRIPS)), "temperature_class_malfunction") is None
    assert check_of(rated(asked=asked(protection_level="Gc")), "temperature_class_malfunction") is None
    some = check_of(rated(asked=asked(trips='[protection]\ntrips = ["low power"]\n')), "temperature_class_malfunction")
    assert not some.holds.any()
    assert some.where[0].startswith("circulation lost")
    wide = rated(asked=asked("T2", '[protection]\ntrips = ["shell temperature"]\n'))
    left = check_of(wide, "temperature_class_malfunction")     # boiling at closed discharge stays below T2
    assert left.holds.all()
    assert left.where[0].startswith("valves closed")


def test_trips_that_the_class_leans_on_are_named():
    rating = rated(asked=asked(trips=ALL_TRIPS))
    told = next(one for one in rating.warnings if "depends on trips" in one)
    assert "low power, low level, shell temperature (dry running)" in told
    assert "least flow" not in told
    normal_only = rated(asked=asked(protection_level="Gc", trips=ALL_TRIPS))
    assert not any("depends on trips" in one for one in normal_only.warnings)


def test_a_trip_slower_than_the_dry_shell_is_pointed_out():
    for trips, slow in (('"low level", "shell temperature"', False), ('"shell temperature"', True)):
        rating = rated(asked=asked(trips=f"[protection]\ntrips = [{trips}]\n"))
        assert rating.situation.surfaces.dry_time[0] < 10
        assert any("running dry the shell reaches" in one for one in rating.warnings) == slow


def test_dry_wall_gives_its_heat_to_the_air():
    rating = rated(asked=asked())
    dry = surfaces(rating)["dry running"].temperature[0]
    pumps, scalars = rating.pump, rating.situation.scalars[0]
    response = response_for(pumps)
    inner, outer = remanences(pumps)
    heat = response.cell_loss(
        0.0, rating.inputs.speed[0], shell_conductivity(pumps),
        inner * pumps.inner_magnet.remanence_at(scalars[solve.INNER_RING]) / pumps.inner_magnet.remanence,
        outer * pumps.outer_magnet.remanence_at(scalars[solve.OUTER_RING]) / pumps.outer_magnet.remanence)
    part = pumps.containment_shell
    outside = np.pi * (part.bore + 2 * part.wall) * np.diff(response.cell_edges)
    slope = pumps.shell_material.resistivity_coefficient
    flux = (heat / outside).max() / (1 + slope * (dry - ZERO_CELSIUS - 20))
    assert part.air_side_coefficient * (dry - rating.situation.demands.air_highest) == pytest.approx(flux, rel=1e-9)


def test_dry_wall_without_air_or_without_heat():
    bare = 'corrosion_allowance = "0.4 mm"'
    insulated = pump("medium", (bare, f'{bare}\nair_side_coefficient = "0 W/(m2 K)"'))
    assert np.isinf(surfaces(rated(insulated, asked()))["dry running"].temperature).all()
    ceramic = rated(pump("medium_ceramic"), asked())
    assert np.isnan(surfaces(ceramic)["dry running"].temperature).all()
    assert any("a shell that does not conduct" in one for one in ceramic.warnings)
    unknown = check_of(ceramic, "temperature_class_malfunction")
    assert unknown.unknown.all()
    assert not unknown.holds.any()


def test_slipping_rings_heat_the_shell_less_as_the_coupling_model_says():
    """With the inner ring at rest only the outer field turns: by superposition a quarter to a third of the heat."""
    rating = rated()
    pumps, scalars = rating.pump, rating.situation.scalars[0]
    strength = [base * grade.remanence_at(scalars[column]) / grade.remanence for base, grade, column in zip(
        remanences(pumps), (pumps.inner_magnet, pumps.outer_magnet), (solve.INNER_RING, solve.OUTER_RING), strict=True)]
    slipping = slip_state(coupling_geometry(pumps), response_for(pumps), (strength[0], strength[1]),
                          outer_speed=rating.inputs.speed[0], shell_conductivity=shell_conductivity(pumps))
    together = response_for(pumps).cell_loss(0.0, rating.inputs.speed[0], shell_conductivity(pumps), *strength)
    ratio = rating.situation.surfaces.slip_heat_ratio[0]
    assert ratio == pytest.approx(slipping.shell_loss.sum() / together.sum(), rel=1e-9)
    assert 0.2 < ratio < 0.36


def test_closed_valves_boil_at_the_shut_off_pressure():
    rating = rated(asked=asked())
    weight = rating.situation.scalars[:, solve.DENSITY_IN] * 9.80665
    closed = rating.inputs.pressure + weight * rating.point.shut_off_head
    assert surfaces(rating)["valves closed"].temperature == pytest.approx(rating.liquid.saturation_temperature(closed))


@pytest.mark.parametrize(("ignition", "level", "holds", "limit"), [
    (85.0, "Gb", True, 75.0), (70.0, "Gb", False, 60.0), (75.0, "Ga", False, 60.0), (90.0, "Ga", True, 72.0)])
def test_autoignition(ignition, level, holds, limit):
    """Surface at some 64 degC: 10 K below the ignition temperature, and 80 % of it in Celsius for level Ga."""
    water = rated(asked=asked("T3")).liquid
    burning = replace(water, limits=LiquidLimits(autoignition=ZERO_CELSIUS + ignition))
    rating = rate(pump(), asked("T3", protection_level=level), burning, full=False)
    check = check_of(rating, "autoignition")
    assert check.limit[0] == pytest.approx(ZERO_CELSIUS + limit)
    assert check.holds[0] == holds
    assert check_of(rated(asked=asked("T3")), "autoignition") is None
