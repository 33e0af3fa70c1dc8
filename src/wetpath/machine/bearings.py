"""The plain bearings that run in the pumped liquid: journals and thrust faces."""

from math import pi
from typing import Literal

from wetpath.edge.fields import Force, Length, Position, Ratio, Roughness
from wetpath.edge.part import Part, drawing, rule

BearingMaterial = Literal["sintered silicon carbide", "reaction-bonded silicon carbide", "carbon", "tungsten carbide"]
ThrustDirection = Literal["towards suction", "away from suction"]


class Grooves(Part):
    """Straight grooves through which most of the liquid passes a bearing."""

    count: int = drawing("number of grooves", lower=1, upper=24)
    width: Length = drawing("width of each groove", examples=["2 mm"])
    depth: Length = drawing("depth of each groove", examples=["1 mm"])


class JournalBearing(Part):
    """Sleeve turning in a fixed bush."""

    name: str = drawing("what the branches call it", examples=["front"])
    diameter: Length = drawing("running diameter", examples=["35 mm"])
    clearance: Length = drawing("radial clearance", examples=["35 um"])
    length: Length = drawing("running length", examples=["35 mm"])
    position: Position = drawing("distance of its middle behind the middle of the impeller outlet",
                                 examples=["60 mm"])
    grooves: Grooves | None = drawing("axial grooves", default=None)
    material: BearingMaterial = drawing("material of the pair", default="sintered silicon carbide")
    roughness: Roughness = drawing("combined roughness of sleeve and bush, root mean square", default=0.3e-6)

    @rule
    def clearance_is_of_a_bearing(self) -> None:
        """Clearance over radius is that of a plain bearing."""
        self.within("clearance", lower=5e-4 * self.diameter / 2, upper=6e-3 * self.diameter / 2,
                    note=f"for a diameter of {self.shown('diameter')}",
                    why="the film formulas hold for 0.5 to 6 per mille of the radius",
                    do="give the radial clearance, half of the difference of the diameters")

    @rule
    def length_to_diameter(self) -> None:
        """Length over diameter lies inside the published charts."""
        self.within("length", lower=0.25 * self.diameter, upper=2 * self.diameter,
                    note=f"for a diameter of {self.shown('diameter')}",
                    why="the bearing charts reach from a quarter to twice the diameter")


class ThrustBearing(Part):
    """Flat thrust faces with radial grooves."""

    name: str = drawing("what the branches call it", examples=["front"])
    inner_diameter: Length = drawing("inside diameter of the faces")
    outer_diameter: Length = drawing("outside diameter of the faces")
    film: Length = drawing("film between the faces for friction and heat", default=20e-6)
    takes: ThrustDirection | None = drawing(
        "thrust on the rotor that these faces take; without it the first of the list takes what pushes away from the "
        "suction, the last what pushes towards it", default=None)
    allowable_load: Force | None = drawing(
        "axial load allowed by the maker; without it land area times the practice's limit", default=None, above="0 N")
    land_share: Ratio = drawing("share of the face that is not groove", default=0.8, above=0, upper=1)
    grooves: Grooves
    material: BearingMaterial = drawing("material of the pair", default="sintered silicon carbide")

    @property
    def land_area(self) -> float:
        """Area of the faces that is not groove [m2]."""
        return self.land_share * pi * (self.outer_diameter**2 - self.inner_diameter**2) / 4

    @rule
    def faces_have_width(self) -> None:
        """The outside diameter is larger than the inside."""
        self.within("outer_diameter", above=self.inner_diameter,
                    note=f"for an inside diameter of {self.shown('inner_diameter')}")
