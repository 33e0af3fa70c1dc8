"""Starting a pump through its magnetic coupling: does the coupling hold while the driver runs up?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from wetpath.coupling.driver_torque import Driver, frequency_converter
from wetpath.errors import LimitError
from wetpath.physics.magnetics.torque import cosine_series, pull_out, sine_series

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Train:
    """Both inertias, the coupling between them and the load of the pump."""

    pole_pairs: int
    drive_inertia: float               # [kg m2] driver and outer ring
    pump_inertia: float                # [kg m2] inner ring, shaft, impeller with its liquid
    orders: Array                      # torque of the coupling: sum amplitudes sin(orders delta)
    amplitudes: Array                  # [N m]
    rated_speed: float                 # [rad/s]
    rated_load: float                  # [N m] pump torque at rated speed, grows with the square of speed
    breakaway: float = 0.0             # [N m] bearing friction at rest, fades out over the first 5 % of speed
    damping: float = 0.0               # [N m s/rad] between the rings, from currents in sheath and magnets

    def load(self, speed: float) -> float:
        """Torque that the pump takes at a speed [N m]."""
        part = speed / self.rated_speed
        return self.rated_load * part * abs(part) + self.breakaway * float(np.tanh(speed / (0.002 * self.rated_speed))
                                                                           * np.exp(-abs(part) / 0.05))

    @property
    def natural_frequency(self) -> float:
        """Angular frequency [rad/s] at which the unloaded rings swing against each other."""
        stiff = self.pole_pairs * float(cosine_series(self.orders, self.amplitudes * self.orders, 0.0))
        return float(np.sqrt(stiff * (1 / self.drive_inertia + 1 / self.pump_inertia)))


@dataclass(frozen=True)
class RunUp:
    """Course of a start."""

    time: Array                # [s]
    outer_speed: Array         # [rad/s]
    inner_speed: Array
    angle: Array               # [electrical rad]
    torque: Array              # [N m] through the coupling
    slipped: bool
    pull_out: float            # [N m]

    @property
    def peak_torque(self) -> float:
        """Largest torque through the coupling [N m]; after slipping it is the pull-out torque."""
        return float(self.torque.max())

    @property
    def margin(self) -> float:
        """Pull-out torque over the peak; 0 when the coupling slipped."""
        return 0.0 if self.slipped else self.pull_out / self.peak_torque


def run_up(train: Train, driver: Driver, duration: float) -> RunUp:
    """Solve the start in time: two inertias, the torque-angle curve of the coupling between them.

    Ends at ``duration`` [s], or when the load angle passes 180 electrical degrees: then the coupling has slipped.
    """
    p = train.pole_pairs

    def change(time: float, state: Array) -> list[float]:
        outer, inner, angle = state
        between = float(sine_series(train.orders, train.amplitudes, angle)) + train.damping * (outer - inner)
        return [(driver(time, outer) - between) / train.drive_inertia,
                (between - train.load(inner)) / train.pump_inertia, p * (outer - inner)]

    def lost(time: float, state: Array) -> float:
        return float(np.pi - abs(state[2]))

    lost.terminal = True  # type: ignore[attr-defined]
    longest = min(0.15 / train.natural_frequency, duration / 50)
    solution = solve_ivp(change, (0.0, duration), [0.0, 0.0, 0.0], events=lost, max_step=longest, rtol=1e-7,
                         atol=1e-9)
    if solution.status < 0:
        raise LimitError(f"the start could not be solved beyond {solution.t[-1]:.3g} s: {solution.message}")
    outer, inner, angle = solution.y
    torque = sine_series(train.orders, train.amplitudes, angle) + train.damping * (outer - inner)
    _, most = pull_out(train.orders, train.amplitudes)
    return RunUp(solution.t, outer, inner, angle, torque, solution.status == 1, most)


def smallest_ramp(train: Train, margin: float = 1.0, *, slip: float = 0.02, torque_limit: float = np.inf) -> float:
    """Shortest ramp [s] of a frequency converter to rated speed that keeps pull-out over peak torque at ``margin``.

    Found by solving starts in time, to 2 %. ``slip`` is the driver's slip at the torque the pump takes at rated
    speed; ``torque_limit`` [N m] caps the driver.
    """
    _, most = pull_out(train.orders, train.amplitudes)
    spare = most / margin - train.rated_load
    if spare <= 0:
        raise LimitError(f"the coupling pulls out at {most:.4g} N m, which is not {margin:g} times the "
                         f"{train.rated_load:.4g} N m that the pump takes at rated speed: no ramp is slow enough")
    rigid = train.pump_inertia * train.rated_speed / most

    def holds(ramp: float) -> bool:
        driver = frequency_converter(train.rated_speed, ramp, train.rated_load / slip, torque_limit)
        return run_up(train, driver, 1.05 * ramp + 20 / train.natural_frequency).margin >= margin

    low, high = 0.2 * rigid, rigid
    while not holds(high):
        low, high = high, 2 * high
        if high > 1e4 * rigid:
            raise LimitError(f"no ramp up to {high:.3g} s keeps the margin {margin:g}: the peak torque comes from the "
                             "load, not from the run-up")
    while high / low > 1.02:
        middle = float(np.sqrt(low * high))
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high
