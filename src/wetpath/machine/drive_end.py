"""The dry side: coupling housing with the outer ring's bearings, and the driver."""

from typing import Literal

from wetpath.edge.fields import Inertia, Power, Ratio, RotationalSpeed, Time
from wetpath.edge.part import Part, drawing, rule

Starter = Literal["direct on line", "star-delta", "soft start", "inverter"]


class CouplingHousing(Part):
    """Housing around the outer ring, with the bearings of the drive shaft."""

    friction_power: Power = drawing("windage of the outer ring and friction of the rolling bearings at tested speed",
                                    default=0.0)
    outer_ring_share: Ratio = drawing(
        "how far the outer ring warms from the surroundings to the shell wall (0 as the air, 1 as the wall)",
        default=0.5, lower=0, upper=1)


class Inverter(Part):
    """Inverter between supply and motor."""

    lowest_speed: RotationalSpeed = drawing("lowest speed it may run at", above="1 rpm", examples=["1500 rpm"])
    highest_speed: RotationalSpeed = drawing("highest speed it may run at", above="1 rpm", examples=["3000 rpm"])
    cooling: Literal["fan on the shaft", "own fan"] = drawing(
        "what cools the motor: a fan on its shaft, with torque falling at low speed, or a fan of its own, with "
        "constant torque", default="fan on the shaft")

    @rule
    def speeds_are_a_range(self) -> None:
        """The highest speed is not below the lowest."""
        self.within("highest_speed", lower=self.lowest_speed, note=f"for a lowest of {self.shown('lowest_speed')}")


class Driver(Part):
    """Electric motor."""

    rated_power: Power = drawing("power on the nameplate", above="0 kW", examples=["15 kW"])
    poles: int = drawing("number of motor poles", lower=2, upper=12)
    speed: RotationalSpeed = drawing("speed at rated power", above="1 rpm", examples=["2950 rpm"])
    efficiency: Ratio | None = drawing("efficiency at rated power; without it that of its class", default=None,
                                       above=0.2, upper=0.99)
    efficiency_class: Literal["IE3", "IE4"] = drawing("efficiency class", default="IE3")
    inverter: Inverter | None = drawing("inverter, when the motor does not run straight from the supply", default=None)
    starter: Starter | None = drawing("how it is started; without it by the inverter where there is one, else direct "
                                      "on line", default=None)
    peak_torque: Ratio | None = drawing(
        "largest torque while it starts, with its starter, over rated torque; without it 2.5 direct on line or "
        "star-delta, 1.5 with soft start or inverter", default=None, lower=0.5, upper=5)
    ramp_time: Time | None = drawing("time to full voltage or speed; without it 10 s", default=None, above="0 s",
                                     examples=["8 s"])
    inertia: Inertia | None = drawing(
        "moment of inertia of its rotor; without it the inertia of the outer ring is taken to include it", default=None,
        above=0, examples=["0.045 kg m2"])

    @property
    def start(self) -> Starter:
        """How the motor is started."""
        return self.starter or ("direct on line" if self.inverter is None else "inverter")

    @rule
    def starter_is_there(self) -> None:
        """An inverter that starts the motor is described."""
        if self.starter == "inverter" and self.inverter is None:
            raise self.refuse("starter", "needs the inverter", do="give [driver.inverter], or another starter")
