"""The rolling bearings of the drive shaft, which carry the outer ring."""

from typing import Literal

from wetpath.edge.fields import Force, Length, Mass, Position, Ratio
from wetpath.edge.part import Part, drawing, rule

RollingKind = Literal["deep-groove ball", "angular contact ball", "cylindrical roller"]


class RollingBearing(Part):
    """One bearing place of the drive shaft, with one bearing or a pair."""

    kind: RollingKind = drawing("kind of bearing; angular contact: single row, 40 degrees", default="deep-groove ball")
    count: int = drawing("equal bearings side by side that share the load", default=1, lower=1, upper=2)
    dynamic_rating: Force = drawing("basic dynamic load rating of one bearing", above="0 N", examples=["41 kN"])
    static_rating: Force = drawing("basic static load rating of one bearing", above="0 N", examples=["24 kN"])
    geometry_factor: Ratio = drawing("factor f0 of a deep-groove ball bearing", default=13.0, lower=8, upper=18)


class ExternalBearings(Part):
    """Bearing assembly in air between the coupling to the driver and the outer ring."""

    front: RollingBearing
    rear: RollingBearing
    spacing: Length = drawing("distance between the middles of the two places", examples=["90 mm"])
    overhang: Length = drawing("distance of the middle of the outer magnets from the bearing nearest to them, the "
                               "front one", examples=["80 mm"])
    locating: Literal["front", "rear"] = drawing("which of them takes axial load", default="rear")
    lubrication: Literal["grease", "oil bath", "oil mist"] = drawing("how they are lubricated; for the data sheet",
                                                                     default="grease")
    coupling_mass: Mass = drawing("mass of the shaft coupling half, or of the pulley", default=0.0, lower="0 kg")
    coupling_force: Force = drawing("radial force of the shaft coupling or belt besides its weight", default=0.0,
                                    lower="0 N")
    coupling_overhang: Position = drawing("distance of the shaft coupling or pulley from the rear bearing",
                                          default=0.0, lower=0.0)
    axial_force: Force = drawing("axial force of the shaft coupling or fan", default=0.0, lower="0 N")

    @rule
    def locating_takes_axial_load(self) -> None:
        """A cylindrical roller bearing cannot locate the shaft."""
        if getattr(self, self.locating).kind == "cylindrical roller":
            raise self.refuse("locating", "names a cylindrical roller bearing",
                              why="it takes no axial load", do="locate the shaft with a ball bearing")
