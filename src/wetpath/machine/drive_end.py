"""The dry side: coupling housing with the outer ring's bearings, and the driver."""

from wetpath.edge.fields import Power, Ratio, RotationalSpeed
from wetpath.edge.part import Part, drawing


class CouplingHousing(Part):
    """Housing around the outer ring, with the bearings of the drive shaft."""

    friction_power: Power = drawing("windage of the outer ring and friction of the rolling bearings at tested speed",
                                    default=0.0)
    outer_ring_share: Ratio = drawing(
        "how far the outer ring warms from the surroundings to the shell wall (0 as the air, 1 as the wall)",
        default=0.5, lower=0, upper=1)


class Driver(Part):
    """Electric motor."""

    rated_power: Power = drawing("power on the nameplate", above="0 kW", examples=["15 kW"])
    poles: int = drawing("number of motor poles", lower=2, upper=12)
    speed: RotationalSpeed = drawing("speed at rated power", above="1 rpm", examples=["2950 rpm"])
    efficiency: Ratio | None = drawing("efficiency at rated power; without it that of class IE3", default=None,
                                       above=0.2, upper=0.99)
