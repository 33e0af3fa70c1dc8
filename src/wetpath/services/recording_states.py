"""Builds the sections of the record on the machine's parts in one case."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from wetpath.physics.film.journal_film import ECCENTRICITIES
from wetpath.rating.flow_limits import FlowLimit
from wetpath.rating.rate import Rating
from wetpath.rating.surface_state import Surface
from wetpath.rating.thrust_state import AxialThrust
from wetpath.services import record_states as r

FLOW_IN_FILM = ("laminar", "with vortices", "turbulent")
VAPOUR_PRESSURE_UNKNOWN = "the vapour pressure of the liquid is not known"


def flow_limits_of(rating: Rating, case: int) -> r.FlowLimitsRecord:
    """Flows between which every demand holds."""
    limits = rating.flow_limits
    maximum, reason = _told({"maximum_m3_per_s": limits.maximum[case]}, "no limit sets a maximum")
    return r.FlowLimitsRecord(
        minimum_m3_per_s=limits.minimum[case], minimum_by=limits.minimum_by[case], **maximum,
        maximum_by=limits.maximum_by[case] if math.isfinite(limits.maximum[case]) else "",
        by_pass_m3_per_s=limits.by_pass[case], scanned_from_m3_per_s=limits.scanned_from[case],
        scanned_to_m3_per_s=limits.scanned_to[case], limits=tuple(_limit(one, case) for one in limits.limits),
        reason=reason)


def _limit(limit: FlowLimit, case: int) -> r.FlowLimitRecord:
    nowhere = bool(limit.holds_nowhere[case])
    unknown = "holds at no flow of this pump" if nowhere else "cannot be told"
    values, reason = _told({"lowest_m3_per_s": limit.lowest[case], "highest_m3_per_s": limit.highest[case]},
                           "sets no highest flow" if math.isinf(limit.highest[case]) else unknown)
    return r.FlowLimitRecord(name=limit.name, **values, holds_nowhere=nowhere, counts=limit.counts, status=limit.status,
                             meaning=limit.meaning, reason=reason)


def suction_of(rating: Rating, case: int) -> r.SuctionRecord:
    """The suction side."""
    state = rating.situation.suction
    npsh, why_npsh = _told({"npsh_without_return_m": state.npsh_without_return[case],
                            "npsh_lost_to_return_m": state.npsh_lost[case]}, VAPOUR_PRESSURE_UNKNOWN)
    level, why_level = _told({"level_m": state.level[case]}, "the case draws from no vessel")
    lowest, why_lowest = _told({"lowest_level_m": state.lowest_level[case]}, why_level or VAPOUR_PRESSURE_UNKNOWN)
    gas, why_gas = _told({"gas_share": state.gas_share[case]}, "no gas is given, or its volume cannot be told")
    degassing, why_degassing = _told({"degassing_pressure_pa": state.degassing[case]}, "no dissolved gas is given")
    return r.SuctionRecord(
        eye_rise_k=state.eye_rise[case], **npsh, npsh_needed_m=state.npsh_needed[case], **level, **lowest,
        **degassing, **gas, gas_at=state.gas_at[case],
        reason=_reasons(why_npsh, why_level, why_lowest, why_degassing, why_gas))


def bearings_of(rating: Rating, case: int) -> r.BearingsRecord:
    """Journal bearings, thrust and the bearings of the drive shaft."""
    state, thrust, external = rating.situation.bearings, rating.situation.thrust, rating.situation.external_bearings
    places = () if external is None else tuple(
        r.ExternalBearingRecord(place=place, radial_n=external.radial[case, at], axial_n=external.axial[case, at],
                                equivalent_load_n=external.equivalent_load[case, at], **life, reason=reason)
        for at, place in enumerate(("front", "rear"))
        for life, reason in (_told({"life_s": external.life[case, at]}, "nothing loads it"),))
    return r.BearingsRecord(
        radial_force_n=state.radial_force[case], magnet_pull_n=state.magnet_pull[case],
        rotor_weight_n=state.rotor_weight, journals=tuple(_journal(rating, case, at) for at in range(len(state.names))),
        thrust_new=_thrust(rating, thrust.new, case), thrust_worn=_thrust(rating, thrust.worn, case), external=places)


def _journal(rating: Rating, case: int, at: int) -> r.JournalRecord:
    state = rating.situation.bearings
    values, reason = _told({
        "temperature_k": state.temperature[case, at], "viscosity_pa_s": state.viscosity[case, at],
        "film_reynolds": state.reynolds[case, at], "sommerfeld_number": state.sommerfeld[case, at],
        "eccentricity_ratio": state.eccentricity_ratio[case, at], "least_film_m": state.film_thickness[case, at],
        "film_over_roughness": state.film_ratio[case, at]}, "the bearing runs without load, or its liquid is not known")
    thin = rating.practice["viscosity_lowest"].value
    return r.JournalRecord(
        name=state.names[at], load_n=state.load[case, at], specific_load_pa=state.specific_load[case, at],
        sliding_speed_m_per_s=np.broadcast_to(state.sliding_speed, state.load.shape)[case, at],
        load_times_speed_pa_m_per_s=state.load_times_speed[case, at], **values,
        lubricity=state.lubricity(thin)[case][at], flow_in_film=FLOW_IN_FILM[state.regime[case, at]],
        beyond_film_table=bool(state.eccentricity_ratio[case, at] > ECCENTRICITIES[-1]),
        carried_by=state.film_words(rating.practice["film_ratio"].value)[case][at], reason=reason)


def _thrust(rating: Rating, thrust: AxialThrust, case: int) -> r.AxialThrustRecord:
    state = rating.situation.thrust
    names = ("total", "rear_shroud", "front_shroud", "eye", "momentum", "magnet_rotor", "magnetic")
    values, reason = _told({f"{name}_n": np.broadcast_to(getattr(thrust, name), rating.situation.count)[case]
                            for name in names}, "the pump file does not say what relieves the thrust")
    pressure, why = _told({"face_pressure_pa": state.face_pressure(thrust.total)[case]},
                          reason or "no thrust face takes this direction")
    return r.AxialThrustRecord(**values, **pressure, carried_by=state.where(thrust.total)[case] if not reason else "",
                               reason=_reasons(reason, why))


def start_of(rating: Rating, case: int) -> r.StartRecord:
    """The start, and the coupling out of step."""
    start, coupling = rating.situation.start, rating.situation.coupling
    ramp, why_ramp = _told({"ramp_time_s": start.ramp_time}, "the starter has no ramp")
    slip, why_slip = _told({"slip_loss_over_running": coupling.slip_share[case]}, "the shell has no eddy loss")
    return r.StartRecord(
        starter=start.starter, driver_torque_n_m=start.driver_torque, **ramp, torque_n_m=start.torque[case],
        swing_n_m=start.swing[case], pull_out_over_torque=start.ratio[case], drive_inertia_kg_m2=start.inertias.drive,
        pump_inertia_kg_m2=start.inertias.pump, estimated_inertias=start.inertias.estimated,
        slip_loss_w=coupling.slip_loss[case], **slip, magnets=tuple(_ring(rating, case, ring) for ring in (0, 1)),
        reason=_reasons(why_ramp, why_slip))


def _ring(rating: Rating, case: int, ring: int) -> r.MagnetRingRecord:
    state = rating.situation.coupling
    values, reason = _told({"field_over_coercivity": state.field_running[ring][case],
                            "field_over_coercivity_slipping": state.field_opposing[ring][case]},
                           "the coercivity of the magnets is not known")
    return r.MagnetRingRecord(ring=("inner", "outer")[ring], **values, reason=reason)


def shell_of(rating: Rating, case: int) -> r.ShellRecord:
    """The containment shell as a pressure part."""
    state = rating.situation.shell
    values, reason = _told({
        "allowable_stress_pa": state.allowable_stress[case], "cylinder_bears_pa": state.cylinder[case],
        "cylinder_bears_en_pa": state.cylinder_en[case], "end_bears_pa": state.end[case], "bears_pa": state.bears[case],
        "bears_outside_pa": state.bears_outside,
        "test_pressure_pa": state.test_pressure, "test_stress_over_yield": state.test_stress_share},
        "the strength of the material is not known, or not at this temperature")
    return r.ShellRecord(
        sound_wall_m=state.sound_wall, temperature_k=state.temperature[case], gradient_k=state.gradient[case],
        inside_pa=state.inside[case], membrane_stress_pa=state.membrane_stress[case],
        thermal_stress_pa=state.thermal_stress[case], vacuum_pa=state.vacuum[case], **values, reason=reason)


def driver_of(rating: Rating, case: int) -> r.DriverRecord:
    """The motor at its site."""
    state = rating.situation.driver
    size, why_size = _told({"recommended_rating_w": state.recommended}, "no rating of the series is large enough")
    power, why_power = _told({"efficiency": state.efficiency, "input_power_w": state.input_power[case],
                              "largest_input_power_w": state.largest_input_power[case]},
                             "the efficiency of the motor is not known")
    asked, why_asked = _told({"efficiency_asked": state.efficiency_asked}, "no efficiency class is asked or known")
    water, why_water = _told({"works_test_power_w": state.water_power[case],
                              "works_test_pull_out_over_torque": state.water_coupling_ratio[case]},
                             "the case is a works test itself")
    speed, why_speed = _told({"lowest_speed_rad_per_s": rating.situation.slow_running[case]},
                             "without an inverter, or not found")
    return r.DriverRecord(
        rated_w=state.rated_power, air_share=state.air_share, available_w=state.available[case],
        highest_power_w=state.highest_power[case], highest_power_flow_m3_per_s=state.highest_power_flow[case],
        shut_off_power_w=state.shut_off_power[case], class_asked=state.class_asked, **size, **power, **asked, **water,
        **speed, reason=_reasons(why_size, why_power, why_asked, why_water, why_speed))


def surfaces_of(rating: Rating, case: int) -> r.SurfacesRecord:
    """Hottest surfaces in normal operation and in malfunctions."""
    state = rating.situation.surfaces
    slip, why_slip = _told({"slip_heat_over_running": state.slip_heat_ratio[case]}, "the shell has no eddy loss")
    dry, why_dry = _told({"dry_time_s": state.dry_time[case]},
                         "no temperature class is asked, the shell has no eddy loss, or its limit is not reached")
    return r.SurfacesRecord(
        normal=_surface(state.normal, case), malfunctions=tuple(_surface(one, case) for one in state.malfunctions),
        dry_rate_k_per_s=state.dry_rate[case], **slip, **dry, reason=_reasons(why_slip, why_dry))


def _surface(surface: Surface, case: int) -> r.SurfaceRecord:
    temperature = float(surface.temperature[case])
    values, reason = _told({"temperature_k": temperature},
                           "nothing takes the heat away" if math.isinf(temperature) else "cannot be told")
    return r.SurfaceRecord(state=surface.name, where=surface.where[case], **values,
                           temperature_class="" if math.isnan(temperature) else str(surface.classes()[case]),
                           trips=surface.guards, reason=reason)


def standstill_of(rating: Rating, case: int) -> r.StandstillRecord:
    """After a stop, and between closed valves."""
    state = rating.situation.standstill
    boiling, why_boiling = _told({"boiling_k": state.boiling[case], "margin_k": state.margin[case]},
                                 VAPOUR_PRESSURE_UNKNOWN)
    times, why_times = _told({"time_to_boiling_s": state.time_to_boiling[case],
                              "time_to_relief_s": state.time_to_relief[case]},
                             "beyond what is known of the liquid")
    return r.StandstillRecord(
        settled_k=state.settled[case], soaked_k=state.soaked[case], **boiling, magnets_k=state.magnets[case],
        shut_in_power_w=state.shut_in_power[case], liquid_mass_kg=state.liquid_mass[case],
        metal_mass_kg=state.metal_mass, heating_rate_k_per_s=state.heating_rate[case], **times,
        reason=_reasons(why_boiling, why_times))


def _told(values: Mapping[str, float], reason: str) -> tuple[dict[str, Any], str]:
    """Values by name with null for what is no number, and the reason if one is null."""
    found = {name: float(value) if math.isfinite(value) else None for name, value in values.items()}
    return found, reason if None in found.values() else ""


def _reasons(*reasons: str) -> str:
    return "; ".join(dict.fromkeys(filter(None, reasons)))
