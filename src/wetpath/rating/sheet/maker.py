"""The maker's side of the data sheet, from construction and guarantee values to bearings, pressure parts and driver."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wetpath.circulation import solve
from wetpath.edge import quantities as q
from wetpath.edge.tables import materials
from wetpath.physics.pump.acceptance import GRADES, acceptance_warnings, npsh_tolerance
from wetpath.physics.pump.hydraulic_power import hydraulic_power
from wetpath.rating.driver_state import TEST_WATER
from wetpath.rating.machine_arrays import remanences, response_for
from wetpath.rating.rate import Rating
from wetpath.rating.sheet.cells import (
    Block,
    Cell,
    Line,
    by_practice,
    computed,
    computed_line,
    given,
    known,
    line,
    tabled,
)
from wetpath.rating.sheet.settings import settings
from wetpath.words import joined, told

FILE = "pump-file"


def maker_blocks(rating: Rating) -> tuple[Block, ...]:
    """Blocks that the maker fills in, in the order of the sheet."""
    return (_construction(rating), _performance(rating), _guarantee(rating), _coupling(rating),
            _flow_limits(rating), _bearings(rating), _pressure_parts(rating), _driver(rating), settings(rating))


def _block(key: str, title: str, lines: Sequence[Line]) -> Block:
    return Block(key=key, title=title, party="maker", lines=tuple(lines))


def _words(key: str, title: str, value: str, note: str = "") -> Line:
    return line(key, title, None, given(value, FILE, note))


def _material(key: str, title: str, name: str) -> Line:
    found = materials().get(name)
    return _words(key, title, name, found.text if found else "not in the table of materials")


def _construction(rating: Rating) -> Block:
    pump = rating.pump
    casing, impeller, shell = pump.casing, pump.impeller, pump.containment_shell
    lines = [
        _words("pump", "pump", pump.name, pump.note),
        line("suction_bore", "suction flange, inside diameter", q.LENGTH, given(casing.suction_bore, FILE)),
        line("discharge_bore", "discharge flange, inside diameter", q.LENGTH, given(casing.discharge_bore, FILE)),
        _words("volute", "volute", casing.volute),
        line("impeller_diameter", "impeller, diameter fitted", q.LENGTH, given(impeller.diameter, FILE)),
        line("impeller_largest", "impeller, largest diameter", q.LENGTH, given(impeller.largest_diameter, FILE)),
        line("impeller_smallest", "impeller, smallest diameter", q.LENGTH, given(impeller.smallest_diameter, FILE)),
        _material("casing_material", "material of the casing", casing.material),
        _material("shell_material", "material of the containment shell", shell.material),
        line("shell_wall", "containment shell, wall", q.LENGTH, given(shell.wall, FILE)),
        line("shell_bore", "containment shell, inside diameter", q.LENGTH, given(shell.bore, FILE)),
        _words("shell_end", "containment shell, end", shell.end),
        _words("magnets", "magnets, inner and outer", f"{pump.inner_ring.magnets}, {pump.outer_ring.magnets}"),
        line("poles", "poles of the rings", None, given(f"{pump.inner_ring.poles}", FILE)),
        line("rotor_gap", "radial gap inside the shell", q.LENGTH, given(pump.rotor_gap, FILE)),
        _words("circulation", "circulation", joined("; ", (
            told("{branch}: {start} to {end}", branch=branch.name, start=branch.start, end=branch.end)
            for branch in pump.network.branches)),
            "stations by their names in the profile")]
    return _block("construction", "Construction and materials", lines)


def _performance(rating: Rating) -> Block:
    point, losses = rating.point, rating.losses
    return _block("performance", "Performance in the operating cases", [
        computed_line("head", "head", q.HEAD, point.head),
        computed_line("shut_off_head", "head at shut-off", q.HEAD, point.shut_off_head),
        computed_line("efficiency", "efficiency, over the power at the motor shaft", q.RATIO, losses.efficiency),
        computed_line("wet_end_efficiency", "efficiency of the wet end", q.RATIO, point.efficiency),
        computed_line("shaft_power", "power at the motor shaft", q.POWER, losses.shaft),
        computed_line("npsh_required", "NPSH3", q.HEAD, point.npsh_required),
        computed_line("best_flow", "flow of best efficiency", q.VOLUME_FLOW, point.best_flow),
        computed_line("flow_share", "flow over best-efficiency flow", q.RATIO, point.flow_share),
        computed_line("specific_speed", "specific speed, r/min, m3/s, m", None, point.specific_speed),
        computed_line("suction_specific_speed", "suction specific speed, r/min, m3/s, m", None,
                      point.suction_specific_speed)])


def _guarantee(rating: Rating) -> Block:
    """Guarantee values of the rated case, or of the first normal or other one, with their tolerances."""
    grade = rating.enquiry.acceptance_grade
    roles = [case.role for case in rating.enquiry.cases]
    case = next((roles.index(role) for role in ("rated", "normal") if role in roles), 0)
    point, losses, situation = rating.point, rating.losses, rating.situation
    water = float(situation.driver.water_power[case])
    shaft = float(losses.shaft[case])
    at_test = shaft if np.isnan(water) else water
    lines = [
        line("case", "operating case", None, given(rating.case_names[case], "enquiry")),
        line("grade", "acceptance grade of ISO 9906:2012", None,
             given(grade or None, "enquiry", "" if grade else "not agreed")),
        line("flow", "flow", q.VOLUME_FLOW, given(float(rating.inputs.flow[case]), "enquiry")),
        line("head", "head", q.HEAD, computed(float(point.head[case]))),
        line("power", "power at the motor shaft, with the liquid of the case", q.POWER, computed(shaft)),
        line("water_power", "the same with water at the works test", q.POWER, computed(
            at_test, "; ".join(acceptance_warnings(at_test)))),
        line("efficiency", "efficiency, over the power at the motor shaft", q.RATIO,
             computed(float(losses.efficiency[case]))),
        line("water_efficiency", "the same with water at the works test", q.RATIO, computed(
            float(losses.efficiency[case]) if np.isnan(water) else _output_on_water(rating, case) / water)),
        line("npsh", "NPSH3", q.HEAD, computed(float(point.npsh_required[case]), reason="not in the pump file"))]
    if grade:
        chosen = GRADES[grade]
        npsh = float(point.npsh_required[case])
        for name, band in (("flow", chosen.flow), ("head", chosen.head)):
            lines += [_tolerance(f"{name}_tolerance_low", told("{name}, tolerance, lower", name=name), band[0]),
                      _tolerance(f"{name}_tolerance_high", told("{name}, tolerance, upper", name=name), band[1])]
        lines += [_tolerance("power_tolerance", "power, tolerance, upper", chosen.power),
                  _tolerance("efficiency_tolerance", "efficiency, tolerance, lower", chosen.efficiency)]
        if np.isfinite(npsh):
            lines.append(line("npsh_tolerance", "NPSH3, tolerance, upper", q.HEAD, Cell(
                value=npsh_tolerance(npsh, chosen), basis="table", source="iso-9906-2012", status="recalled")))
    return _block("guarantee", "Guarantee values", lines)


def _output_on_water(rating: Rating, case: int) -> float:
    return float(hydraulic_power(rating.inputs.flow[case], rating.point.head[case], TEST_WATER))


def _tolerance(key: str, title: str, value: float) -> Line:
    return line(key, title, q.RATIO, Cell(value=value, basis="table", source="iso-9906-2012", status="recalled",
                                          note="share of the guaranteed value"))


def _coupling(rating: Rating) -> Block:
    losses, scalars, pump = rating.losses, rating.situation.scalars, rating.pump
    inner, outer = remanences(pump)
    _, cold = response_for(pump).pull_out(inner, outer)
    asked = rating.practice["coupling_margin_running"]
    eddy_note = "all of it in the containment shell"
    return _block("coupling", "Magnetic drive", [
        line("pull_out_cold", "pull-out torque, magnets at 20 °C", q.TORQUE, computed(float(cold))),
        computed_line("pull_out_hot", "pull-out torque, magnets hot", q.TORQUE, losses.pull_out),
        computed_line("torque", "running torque", q.TORQUE, losses.torque),
        computed_line("ratio", "pull-out over running torque", q.RATIO, losses.coupling_ratio),
        line("ratio_asked", "pull-out over running torque, asked", q.RATIO, by_practice(asked)),
        line("remanence_inner", "remanence at 20 °C, inner", q.FLUX_DENSITY, _remanence(rating, inner, "inner")),
        line("remanence_outer", "remanence at 20 °C, outer", q.FLUX_DENSITY, _remanence(rating, outer, "outer")),
        computed_line("inner_magnets", "temperature of the inner magnets", q.TEMPERATURE, scalars[:, solve.INNER_RING]),
        computed_line("outer_magnets", "temperature of the outer magnets", q.TEMPERATURE, scalars[:, solve.OUTER_RING]),
        line("magnets_limit", "highest temperature of the inner magnets", q.TEMPERATURE, tabled(
            pump.inner_magnet.highest_temperature, pump.inner_magnet.origins.get("highest_temperature"))),
        computed_line("eddy", "eddy-current loss", q.POWER, losses.eddy, eddy_note),
        computed_line("drag", "drag of the inner ring", q.POWER, losses.annulus_drag + losses.disc_drag),
        computed_line("bearing_friction", "friction of the plain bearings", q.POWER,
                      losses.journals + losses.thrust_faces),
        computed_line("dry_side", "windage and rolling bearings", q.POWER, losses.dry_side),
        computed_line("drive_losses", "drive losses, sum", q.POWER, losses.shaft - losses.hydraulic - losses.wet_end),
        computed_line("circulation_heat", "heat that the circulation takes up", q.POWER, losses.circulation_heat),
        computed_line("shell_wall", "hottest wall of the containment shell", q.TEMPERATURE,
                      scalars[:, solve.HOTTEST_WALL])])


def _remanence(rating: Rating, value: float, which: str) -> Cell:
    ring = getattr(rating.pump, f"{which}_ring")
    if ring.remanence is not None:
        return given(value, FILE, "by certificate")
    return tabled(value, getattr(rating.pump, f"{which}_magnet").origins.get("remanence"))


def _flow_limits(rating: Rating) -> Block:
    limits = rating.flow_limits
    separate = []
    for one in limits.limits:
        key = one.name.replace(" ", "_")
        note = one.meaning if one.counts else f"{one.meaning}; does not count here".lstrip("; ")
        separate += [
            computed_line(f"least_by_{key}", told("least flow by {name}", name=one.name), q.VOLUME_FLOW, one.lowest,
                          note, reason="holds at no flow, or cannot be told"),
            computed_line(f"largest_by_{key}", told("largest flow by {name}", name=one.name), q.VOLUME_FLOW,
                          one.highest, note, reason="sets none, holds at no flow, or cannot be told")]
    impeller = rating.pump.impeller
    stated = [line(f"{field}_reason", told("{flow} by the maker, why", flow=flow), None,
                   given(getattr(impeller, f"{field}_reason") or None, FILE,
                         "" if getattr(impeller, f"{field}_reason") else "not stated"))
              for field, flow in (("lowest_flow", "least flow"), ("highest_flow", "largest flow"))]
    return _block("flow_limits", "Least and largest flow", [
        computed_line("minimum", "minimum continuous flow", q.VOLUME_FLOW, limits.minimum),
        computed_line("minimum_by", "governed by", None, limits.minimum_by),
        computed_line("maximum", "largest flow", q.VOLUME_FLOW, limits.maximum),
        computed_line("maximum_by", "governed by", None, limits.maximum_by), *stated, *separate])


def _bearings(rating: Rating) -> Block:
    situation = rating.situation
    state, thrust, external = situation.bearings, situation.thrust, situation.external_bearings
    lines: list[Line] = []
    for number, bearing in enumerate(state.bearings):
        key, name = f"journal_{number + 1}", told("{bearing} journal bearing", bearing=bearing.name)
        lines += [
            _words(f"{key}_material", told("{name}, material", name=name), bearing.material),
            line(f"{key}_clearance", told("{name}, radial clearance", name=name), q.LENGTH,
                 given(bearing.clearance, FILE)),
            computed_line(f"{key}_load", told("{name}, load", name=name), q.FORCE, state.load[:, number]),
            computed_line(f"{key}_pressure", told("{name}, specific load", name=name), q.STRESS,
                          state.specific_load[:, number]),
            computed_line(f"{key}_film", told("{name}, least film over roughness", name=name), q.RATIO,
                          state.film_ratio[:, number])]
    why = "the pump file does not state what relieves the thrust"
    new, worn = thrust.new.total, thrust.worn.total
    lines += [
        computed_line("thrust_new", "axial thrust towards the suction, new rear ring", q.FORCE, new, reason=why),
        computed_line("thrust_worn", "the same, worn rear ring", q.FORCE, worn, reason=why),
        computed_line("thrust_allowable", "axial thrust allowed on the faces that carry", q.FORCE, thrust.allowable(
            new, rating.practice["thrust_specific_load"].value), reason=why)]
    if external is not None and rating.pump.external_bearings is not None:
        lines += [
            _words("external_lubrication", "external bearings, lubrication", rating.pump.external_bearings.lubrication),
            computed_line("external_life", "external bearings, life L10h of the shorter-lived", q.LIFE,
                          external.least_life)]
    return _block("bearings", "Bearings and thrust", lines)


def _pressure_parts(rating: Rating) -> Block:
    pump, shell = rating.pump, rating.situation.shell
    part, atmosphere = pump.containment_shell, rating.situation.demands.atmosphere
    highest = shell.inside + atmosphere
    rated = part.pressure_rating
    shell_rating = (given(rated, FILE) if rated is not None else Cell(
        value=float(shell.bears.min()) + atmosphere if np.isfinite(shell.bears).all() else None, basis="computed",
        source="asme-viii-1-ug-27", status="recalled",
        note="code formula at the hottest wall; the maker has stated none"))
    return _block("pressure_parts", "Casing and containment shell", [
        line("casing_rating", "casing, maximum allowable working pressure", q.PRESSURE,
             given(pump.casing.pressure_rating, FILE)),
        line("casing_rating_temperature", "casing, temperature of that rating", q.TEMPERATURE,
             given(pump.casing.rating_temperature, FILE)),
        line("shell_rating", "containment shell, maximum allowable working pressure", q.PRESSURE, shell_rating),
        computed_line("highest_pressure", "highest pressure inside, at shut-off", q.PRESSURE, highest),
        computed_line("shell_temperature", "containment shell, hottest wall", q.TEMPERATURE, shell.temperature),
        line("shell_sound_wall", "containment shell, wall less allowances", q.LENGTH, computed(shell.sound_wall)),
        line("shell_corrosion", "containment shell, allowance for corrosion", q.LENGTH,
             given(part.corrosion_allowance, FILE)),
        line("shell_corrosion_asked", "containment shell, allowance usual", q.LENGTH,
             by_practice(rating.practice["corrosion_allowance_shell"])),
        line("casing_corrosion_asked", "casing, allowance usual", q.LENGTH,
             by_practice(rating.practice["corrosion_allowance_casing"])),
        computed_line("shell_stress", "containment shell, hoop stress at that pressure", q.STRESS,
                      shell.membrane_stress),
        computed_line("shell_allowable", "containment shell, allowable stress", q.STRESS, shell.allowable_stress,
                      reason="beyond the table of the material"),
        line("shell_outside", "containment shell, allowed pressure from outside", q.PRESSURE_DIFFERENCE,
             computed(shell.bears_outside))])


def _driver(rating: Rating) -> Block:
    driver, state = rating.pump.driver, rating.situation.driver
    in_table = known(state.efficiency)
    efficiency = (given(driver.efficiency, FILE) if driver.efficiency is not None else Cell(
        value=in_table, basis="table", source="iec-60034-30-1", status="recalled",
        note="not tabled here" if in_table is None else "least of its efficiency class"))
    return _block("driver", "Driver", [
        line("rated_power", "rated power", q.POWER, given(driver.rated_power, FILE)),
        line("poles", "poles", None, given(f"{driver.poles}", FILE)),
        line("speed", "speed at rated power", q.ROTATIONAL_SPEED, given(driver.speed, FILE)),
        line("efficiency", "efficiency at rated power", q.RATIO, efficiency),
        line("recommended", "rating recommended, of the series", q.POWER, computed(
            state.recommended, "margin over rated and normal cases, and the whole curve", reason="beyond the series")),
        computed_line("available", "power it can give at the site", q.POWER, state.available),
        computed_line("highest_power", "largest power over the curve", q.POWER, state.highest_power),
        computed_line("shut_off_power", "power at shut-off", q.POWER, state.shut_off_power,
                      "the curve of the wet end is extrapolated to no flow"),
        computed_line("input_power", "power from the supply", q.POWER, state.input_power,
                      reason="the efficiency of the motor is not known")])
