"""The state at which a coupling is studied: load, speed and the temperatures of magnets and wall."""

from __future__ import annotations

from dataclasses import dataclass

from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.physics.electrical.motor import shaft_torque

#: Where nothing is said: liquid and air.
LIQUID, AIR = ZERO_CELSIUS + 20.0, ZERO_CELSIUS + 40.0


@dataclass(frozen=True)
class Conditions:
    """Load and temperatures, SI; the inner magnets and the wall are as warm as the liquid."""

    torque: float          # through the coupling
    speed: float           # [rad/s]
    liquid: float          # [K]
    inner_magnets: float
    outer_magnets: float
    air: float = AIR

    @property
    def magnets(self) -> tuple[float, float]:
        """Temperatures of inner and outer magnets [K]."""
        return self.inner_magnets, self.outer_magnets


def conditions_of(pump: PumpFile, *, liquid: float = LIQUID, torque: float | None = None, speed: float | None = None,
                  air: float = AIR) -> Conditions:
    """Conditions; without a torque that of the motor at rated power, without a speed that of the motor."""
    wanted = torque if torque is not None else float(shaft_torque(pump.driver.rated_power, pump.driver.speed))
    share = pump.coupling_housing.outer_ring_share
    return Conditions(torque=wanted, speed=speed or pump.driver.speed, liquid=liquid, inner_magnets=liquid,
                      outer_magnets=air + share * (liquid - air), air=air)
