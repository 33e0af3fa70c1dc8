"""The pump shaft with the holes through which the circulation reaches the rear."""

from wetpath.edge.fields import Length, Roughness
from wetpath.edge.part import Part, drawing, rule


class ShaftHoles(Part):
    """Radial holes from the bush holder into the bore of the shaft."""

    count: int = drawing("number of holes", lower=1, upper=24)
    diameter: Length = drawing("diameter of each hole", examples=["5 mm"])
    length: Length = drawing("length of each hole, from the surface of the shaft to its bore")


class Shaft(Part):
    """Pump shaft, hollow where the circulation runs through it."""

    diameter: Length = drawing("outside diameter at the radial holes", examples=["32 mm"])
    bore: Length = drawing("diameter of the axial bore", examples=["10 mm"])
    bore_length: Length = drawing("length of the axial bore from the radial holes to the rear end")
    holes: ShaftHoles
    roughness: Roughness = drawing("roughness of holes and bore", default=8e-6)

    @rule
    def bore_fits(self) -> None:
        """The bore leaves a wall, the holes fit into the shaft."""
        self.within("bore", upper=0.7 * self.diameter, note=f"for a shaft of {self.shown('diameter')}",
                    why="the shaft must carry the torque")
