"""What a simulated upset leaves behind: arrays over time, events, warnings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Event:
    """Something that happens once, with its time [s]; ``name`` is stable, ``text`` is for people."""

    name: str
    time: float
    text: str


@dataclass(frozen=True, eq=False)
class Timeline:
    """States and observables of one upset; SI, absolute pressure, first axis the time.

    Liquid shares are volume shares: 1 all liquid, 0 none. ``vibration_class`` is no vibration value: 0 as rated,
    1 gas or cavitation, 2 rings out of step or bearings dry.
    """

    time: Array                   # [s]
    outer_speed: Array            # [rad/s] motor and outer ring
    inner_speed: Array            # [rad/s] impeller and inner ring
    shaft_power: Array            # [W] at the motor shaft
    motor_power: Array            # [W] electric, taken by the motor
    current_share: Array          # of the rated current, estimated
    suction_pressure: Array       # [Pa] P1
    discharge_pressure: Array     # [Pa] P2
    flow: Array                   # [m3/s] delivered
    suction_temperature: Array    # [K]
    casing_temperature: Array     # [K] liquid in casing
    return_temperature: Array     # [K] liquid that leaves the annulus
    annulus_flow: Array           # [kg/s]
    shell_wall: Array             # [K] (times, bands) outside face, flow order
    annulus_liquid: Array         # [K] (times, bands) leaving each band
    bearing_temperature: Array    # [K]
    magnet_temperature: Array     # [K] inner magnets
    outer_magnet_temperature: Array  # [K]
    rear_liquid_share: Array      # shell and annulus
    casing_liquid_share: Array    # casing and impeller
    bearing_liquid_share: Array
    bearing_dry_time: Array       # [s] running dry so far, weighted with the share that is dry
    bearing_clearance_share: Array  # clearance over that of the pump file
    station_names: tuple[str, ...]
    station_margin: Array         # [Pa] (times, stations) pressure above vapour pressure; NaN: not known
    wall_margin: Array            # [K] boiling at the pressure in the annulus less the hottest wetted wall
    torque: Array                 # [N m] that the pump asks of the coupling
    pull_out: Array               # [N m]
    load_angle: Array             # [rad] electrical; NaN out of step
    vessel_level: Array           # [m] above the shaft; NaN where none is given
    over_outlet: Array            # [m] liquid above the outlet of a vessel that runs empty; NaN where none does
    vibration_class: NDArray[np.int64]
    heat_in: Array                # [J] ledger: heat made so far
    heat_out: Array               # [J] carried off so far
    heat_stored: Array            # [J] stored since the beginning
    slip_loss_share: float        # loss of the shell with the inner ring at rest over that in step, by the model
    events: tuple[Event, ...]
    warnings: tuple[str, ...]

    @property
    def energy_error(self) -> float:
        """Largest gap of the heat ledger over the heat made [-]."""
        gap = np.abs(self.heat_in - self.heat_out - self.heat_stored).max()
        return float(gap / max(np.abs(self.heat_in).max(), np.abs(self.heat_out).max(), 1.0))

    def when(self, name: str) -> float:
        """Time of an event [s]; infinite when it does not happen."""
        return next((event.time for event in self.events if event.name == name), float("inf"))
