"""The start of two rotors through a magnetic coupling, solved in time by a compiled loop."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.coupling.state import torque_at
from wetpath.machine.drive_end import Starter
from wetpath.physics.published import compiled

Array = NDArray[np.float64]

#: Time constant with which the torque builds up after switching [s], share of the voltage at which a soft start begins.
#: Common practice.
RISE, FIRST_VOLTAGE = 0.01, 0.4
#: Largest step over the time of one radian of the free swing, and points of the course that are kept.
STEP, POINTS = 0.08, 1200
#: Share of the field's speed at which the run-up counts as done, and how many free swings are watched beyond it.
RUN_UP_SHARE, SWINGS = 0.91, 12.0
#: Longest run-up that is looked at, over the ramp [s].
LONGEST = 30.0
#: Ramps that are tried [s].
SHORTEST, LONGEST_RAMP = 0.05, 60.0
_WAYS: dict[Starter, int] = {"direct on line": 0, "star-delta": 1, "soft start": 2, "inverter": 3}


@dataclass(frozen=True, eq=False)
class Drive:
    """The driver: its torque over its speed at full voltage, and the speed of its field."""

    speeds: Array              # [rad/s], rising from 0
    torques: Array             # [N m]
    field_speed: float         # at the end of a ramp [rad/s]
    torque_per_slip: float     # of the straight part, torque over slip as a share of the speed of the field [N m]
    limit: float               # of an inverter [N m]


@dataclass(frozen=True, eq=False)
class Rotors:
    """Both sides of the magnets, the torque between them and the load."""

    pole_pairs: int
    drive_inertia: float       # [kg m2]
    pump_inertia: float
    series: Array              # [N m] on sin(k delta), k = 1, 2, 3 ...
    pull_out: float            # [N m]
    load: float                # of the pump at its speed [N m]; grows with the square of speed
    speed: float               # [rad/s]

    @property
    def swing_frequency(self) -> float:
        """Angular frequency of small swings without load [rad/s]."""
        stiffness = self.pole_pairs * float(self.series @ np.arange(1.0, self.series.size + 1))
        return float(np.sqrt(stiffness * (1 / self.drive_inertia + 1 / self.pump_inertia)))


@dataclass(frozen=True, eq=False)
class Course:
    """One start: what happened, and the course in time."""

    starter: Starter
    ramp: float                # [s]; time in star, of the voltage or of the speed; 0: none
    in_step: bool
    reaches_speed: bool
    peak_torque: float         # largest torque through the coupling [N m]; the pull-out torque after a loss of step
    peak_angle: float          # largest load angle [electrical rad]
    time: Array                # [s]
    outer_speed: Array         # [rad/s]
    inner_speed: Array
    angle: Array               # [electrical rad]
    torque: Array              # [N m]
    pull_out: float

    @property
    def margin(self) -> float:
        """Pull-out torque over the peak; 0 when the rings lost step."""
        return self.pull_out / self.peak_torque if self.in_step else 0.0

    @property
    def run_up_time(self) -> float:
        """Time to 97 % of the last speed [s]; NaN when the pump does not come up to speed."""
        if not (self.in_step and self.reaches_speed):
            return float("nan")
        return float(self.time[np.argmax(self.inner_speed >= 0.97 * self.inner_speed[-1])])


def start_course(rotors: Rotors, drive: Drive, starter: Starter, ramp: float = 0.0) -> Course:
    """Solve one start in time, by Runge-Kutta steps of fourth order.

    Parameters
    ----------
    rotors, drive
    starter : str
    ramp : float [s]
        Time in star before delta, of the voltage of a soft start, or of the speed of an inverter.

    Notes
    -----
    Motion of two rotors on either side of the coupling's torque; without damping between the rings, whose sheath gives
    little. The torque of a motor builds up within a hundredth of a second; the first swing at mains frequency of its
    torque is not in it. Ends when the rings have lost step, or some swings after full speed.
    """
    step = STEP / rotors.swing_frequency
    settle = SWINGS * 2 * np.pi / rotors.swing_frequency
    stride = max(1, int((LONGEST + ramp) / step / 500_000))
    course, numbers = _march(
        _WAYS[starter], rotors.series, float(rotors.pole_pairs), rotors.drive_inertia, rotors.pump_inertia, rotors.load,
        rotors.speed, drive.speeds, drive.torques, drive.field_speed, drive.torque_per_slip, drive.limit, ramp, step,
        settle, LONGEST + ramp, stride)
    kept = np.unique(np.linspace(0, len(course) - 1, min(len(course), POINTS)).astype(int))
    time, outer, inner, angle, torque = course[kept].T
    return Course(starter, ramp, in_step=numbers[0] == 0.0, reaches_speed=numbers[1] == 1.0, peak_torque=numbers[2],
                  peak_angle=numbers[3], time=time, outer_speed=outer, inner_speed=inner, angle=angle, torque=torque,
                  pull_out=rotors.pull_out)


def shortest_ramp(rotors: Rotors, drive: Drive, starter: Starter, margin: float) -> float:
    """Shortest ramp [s] that keeps pull-out over peak torque at a margin, to 2 %; 0: any; NaN: none up to a minute."""
    def holds(ramp: float) -> bool:
        course = start_course(rotors, drive, starter, ramp)
        return course.reaches_speed and course.margin >= margin

    if rotors.pull_out < margin * rotors.load:
        return float("nan")
    low, high = 0.0, SHORTEST
    if holds(high):
        return 0.0
    while not holds(high):
        low, high = high, 2 * high
        if high > LONGEST_RAMP:
            return float("nan")
    while high - low > 0.02 * high:
        middle = (low + high) / 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


@compiled
def _march(way: Any, series: Any, pairs: Any, drive_inertia: Any, pump_inertia: Any, load: Any, rated_speed: Any,
           speeds: Any, torques: Any, field_speed: Any, per_slip: Any, limit: Any, ramp: Any, step: Any, settle: Any,
           longest: Any, stride: Any) -> Any:
    steps = int(longest / step) + 2
    course = np.empty((steps // stride + 2, 5))
    state, moved, rate = np.zeros(3), np.zeros(3), np.zeros((4, 3))
    kept, peak_torque, peak_angle, lost, end = 0, 0.0, 0.0, 0.0, -1.0
    for number in range(steps):
        time = number * step
        for stage in range(4):
            ahead = 0.0 if stage == 0 else 1.0 if stage == 3 else 0.5
            before = max(stage - 1, 0)
            for part in range(3):
                moved[part] = state[part] + ahead * step * rate[before, part]
            now = time + ahead * step
            turning = moved[0]
            # torque of the driver
            if way == 3:
                lag = (field_speed * min(now / ramp, 1.0) - turning) / field_speed if ramp > 0.0 else \
                    (field_speed - turning) / field_speed
                driving = min(max(per_slip * lag, -limit), limit)
            else:
                place = 0
                while place < speeds.shape[0] - 2 and turning > speeds[place + 1]:
                    place += 1
                share = (turning - speeds[place]) / (speeds[place + 1] - speeds[place])
                share = min(max(share, 0.0), 1.0)
                driving = torques[place] + share * (torques[place + 1] - torques[place])
                if way == 0:
                    driving *= 1.0 - np.exp(-now / RISE)
                elif way == 1:
                    if now < ramp:
                        driving *= (1.0 - np.exp(-now / RISE)) / 3.0
                    else:
                        driving *= (1.0 + 2.0 * (1.0 - np.exp(-(now - ramp) / RISE))) / 3.0
                else:
                    voltage = min(FIRST_VOLTAGE + (1.0 - FIRST_VOLTAGE) * now / ramp, 1.0) if ramp > 0.0 else 1.0
                    driving *= voltage**2
            between, _ = torque_at(series, moved[2])
            part_speed = moved[1] / rated_speed
            rate[stage, 0] = (driving - between) / drive_inertia
            rate[stage, 1] = (between - load * part_speed * abs(part_speed)) / pump_inertia
            rate[stage, 2] = pairs * (moved[0] - moved[1])
            if stage == 0:
                peak_torque = max(peak_torque, between)
                peak_angle = max(peak_angle, abs(moved[2]))
                if number % stride == 0:
                    course[kept, 0], course[kept, 1], course[kept, 2] = time, state[0], state[1]
                    course[kept, 3], course[kept, 4] = state[2], between
                    kept += 1
        for part in range(3):
            state[part] += step / 6.0 * (rate[0, part] + 2.0 * rate[1, part] + 2.0 * rate[2, part] + rate[3, part])
        if abs(state[2]) > np.pi:
            lost = 1.0
            break
        if end < 0.0 and state[1] >= RUN_UP_SHARE * field_speed and time >= ramp:
            end = time + settle
        if 0.0 <= end < time:
            break
    return course[:kept].copy(), np.array([lost, 1.0 if end >= 0.0 else 0.0, peak_torque, peak_angle])
