"""Torque over load angle, pull-out over temperature, and shell loss over speed and load angle of a coupling."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.physics.magnetics.torque import load_angle
from wetpath.questions.coupling_study.conditions import Conditions
from wetpath.rating.machine_arrays import end_share, model_response_for, remanences, response_for, rings_of
from wetpath.rating.magnet_field import OPPOSING, field_shares, hot_remanences

Array = NDArray[np.float64]

#: Load angles [deg], steps of temperature [K] and shares of the speed that are shown.
ANGLES = np.arange(0.0, 181.0, 5.0)
TEMPERATURE_STEPS = (10.0, 20.0, 25.0, 50.0)
MOST_TEMPERATURES = 8
SPEED_SHARES = np.array([0.25, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2])


@dataclass(frozen=True, eq=False)
class TorqueCurve:
    """Torque over the load angle, without the drag of the shell."""

    angle: Array           # [electrical rad]
    cold: Array            # [N m], magnets at 20 degC
    hot: Array             # at the temperatures of the conditions
    axial_force: Array     # on the inner ring, towards the rear [N], hot


@dataclass(frozen=True, eq=False)
class WorkingPoint:
    """The coupling at the torque of the conditions; NaN where it does not carry it."""

    angle: float           # [electrical rad]
    pull_out_angle: float
    pull_out: float        # [N m], hot
    pull_out_cold: float   # at 20 degC
    pull_out_model: float  # hot, without what was measured
    shell_loss: float      # [W]
    shell_loss_model: float
    drag: tuple[float, float]      # of the wall's currents on inner and outer ring [N m]
    axial_force: float     # [N]


@dataclass(frozen=True, eq=False)
class OverTemperature:
    """Both rings at one temperature."""

    temperature: Array                     # [K]
    remanence: tuple[Array, Array]         # [T]
    pull_out: Array                        # [N m]
    field_running: tuple[Array, Array]     # demagnetising field over coercivity at the load; NaN: not carried
    field_opposing: tuple[Array, Array]    # with equal poles facing each other


@dataclass(frozen=True, eq=False)
class LossMap:
    """Loss of the shell [W]."""

    speed: Array           # [rad/s]
    no_load: Array
    working: Array         # at the working angle
    angle: Array           # [electrical rad], to pull-out, at the speed of the conditions
    over_angle: Array
    end_share: float       # of the loss without load, in the closed end, at most


def torque_curve(pump: PumpFile, conditions: Conditions) -> TorqueCurve:
    """Torque and axial force over the load angle."""
    response, angle = response_for(pump), np.radians(ANGLES)
    cold, hot = remanences(pump), _hot(pump, conditions)
    return TorqueCurve(angle, np.asarray(response.static_torque(angle, *cold)),
                       np.asarray(response.static_torque(angle, *hot)),
                       np.asarray(response.axial_force(angle, *hot)))


def working_point(pump: PumpFile, conditions: Conditions) -> WorkingPoint:
    """The state at the torque asked for."""
    response, model = response_for(pump), model_response_for(pump)
    hot = _hot(pump, conditions)
    top, pull_out = response.pull_out(*hot)
    angle = float(load_angle(response.torque_orders, response.torque_series(*hot), conditions.torque))
    conductivity = rings_of(pump).conductivity_at(conditions.liquid)
    state = (conditions.speed, conductivity, *hot)
    carried = not np.isnan(angle)
    return WorkingPoint(
        angle=angle, pull_out_angle=top, pull_out=pull_out, pull_out_cold=response.pull_out(*remanences(pump))[1],
        pull_out_model=model.pull_out(*hot)[1],
        shell_loss=float(response.cell_loss(angle, *state).sum()),
        shell_loss_model=float(model.cell_loss(angle, *state).sum()),
        drag=response.drag(angle, *state) if carried else (np.nan, np.nan),
        axial_force=float(response.axial_force(angle, *hot)))


def over_temperature(pump: PumpFile, conditions: Conditions) -> OverTemperature:
    """Pull-out and demagnetisation from 20 degC to the highest temperature of the weaker magnets."""
    temperature = _temperatures(min(pump.inner_magnet.highest_temperature, pump.outer_magnet.highest_temperature))
    response, both = response_for(pump), (temperature, temperature)
    remanence = hot_remanences(pump, both)
    torques, angles = np.empty_like(temperature), np.empty_like(temperature)
    for place, pair in enumerate(zip(*remanence, strict=True)):
        torques[place] = response.pull_out(*pair)[1]
        angles[place] = load_angle(response.torque_orders, response.torque_series(*pair), conditions.torque)
    return OverTemperature(temperature, remanence, torques, field_shares(pump, np.nan_to_num(angles), both),
                           field_shares(pump, np.full_like(temperature, OPPOSING), both))


def loss_map(pump: PumpFile, conditions: Conditions, point: WorkingPoint) -> LossMap:
    """Loss over speed at two load angles, and over the load angle at one speed; wall as warm as the liquid."""
    response, hot = response_for(pump), _hot(pump, conditions)
    conductivity = rings_of(pump).conductivity_at(conditions.liquid)
    speed = SPEED_SHARES * conditions.speed
    angle = np.linspace(0.0, point.pull_out_angle, 10)

    def loss(at: float, turning: float) -> float:
        return float(response.cell_loss(at, turning, conductivity, *hot).sum())

    no_load, working = (np.array([loss(at, one) for one in speed]) for at in (0.0, point.angle))
    return LossMap(speed, no_load, working, angle, np.array([loss(one, conditions.speed) for one in angle]),
                   end_share(pump))


def _hot(pump: PumpFile, conditions: Conditions) -> tuple[float, float]:
    inner, outer = hot_remanences(pump, conditions.magnets)
    return float(inner), float(outer)


def _temperatures(highest: float) -> Array:
    """Round steps from 20 degC, with the highest temperature itself."""
    low, high = 20.0, highest - ZERO_CELSIUS
    step = next((one for one in TEMPERATURE_STEPS if (high - low) / one <= MOST_TEMPERATURES), TEMPERATURE_STEPS[-1])
    inner = np.arange(np.ceil((low + 1) / step) * step, high - 0.3 * step, step)
    rounded: Array = np.concatenate([[low], inner, [high]]) + ZERO_CELSIUS
    return rounded
