"""The containment shell: pressure boundary between the rings and seat of the eddy-current loss."""

from math import pi
from typing import Literal

from wetpath.edge.fields import HeatTransferCoefficient, Length, Position, Pressure, Ratio, Resistivity
from wetpath.edge.part import Part, drawing, rule

#: Length along a dished end (crown radius the diameter, knuckle 0.06 of it) over the radius of the cylinder.
DISHED_LENGTH = 1.11


class ShellLiner(Part):
    """Second wall of the shell, bonded to the first: a liner inside, or a second shell outside."""

    material: str = drawing("UNS number of the alloy, or the name of a non-metallic shell material")
    wall: Length = drawing("thickness of the second wall under the magnets")
    side: Literal["inside", "outside"] = drawing("where it stands, seen from the first wall", default="inside")


class ContainmentShell(Part):
    """Stationary can between the magnet rings."""

    material: str = drawing("UNS number of the alloy, or the name of a non-metallic shell material",
                            examples=["N10276"])
    bore: Length = drawing("inside diameter under the magnets, where the liquid wets it")
    wall: Length = drawing("wall thickness under the magnets")
    length: Length = drawing("length of the cylinder, from the flange to the end")
    rear_overhang: Length = drawing("length of the cylinder behind the middle of the magnets")
    liner: ShellLiner | None = drawing("second wall, bonded to the first", default=None)
    end: Literal["dished", "hemispherical", "flat"] = drawing("shape of the closed end", default="dished")
    end_wall: Length | None = drawing("wall of the closed end, when it differs from that of the cylinder", default=None)
    resistivity: Resistivity | None = drawing(
        "resistivity at 20 degC, when the certificate differs from the table", default=None, above=0)
    pressure_rating: Pressure | None = drawing("maximum allowable working pressure stated by the maker", default=None)
    weld_factor: Ratio = drawing("weld efficiency of the cylinder", default=1.0, above=0, upper=1)
    corrosion_allowance: Position = drawing("thickness set aside for corrosion", default=0.0, lower=0.0)
    mill_tolerance: Ratio = drawing("share of the wall that may be missing as made", default=0.0, lower=0, upper=0.2)
    air_side_coefficient: HeatTransferCoefficient = drawing(
        "heat transfer from the wall under the magnets to the surroundings", default=30.0, lower=0)

    @property
    def thickness(self) -> float:
        """Both walls together [m]."""
        return self.wall + (self.liner.wall if self.liner else 0.0)

    @property
    def wall_radius(self) -> float:
        """Inside radius of the first wall [m]."""
        inside = self.liner.wall if self.liner and self.liner.side == "inside" else 0.0
        return self.bore / 2 + inside

    @property
    def liner_radius(self) -> float:
        """Inside radius of the second wall [m]."""
        return self.bore / 2 + (self.wall if self.liner and self.liner.side == "outside" else 0.0)

    @property
    def end_length(self) -> float:
        """Length of the closed end along its surface, from the cylinder to the axis [m]."""
        radius = self.bore / 2
        return {"flat": radius, "dished": DISHED_LENGTH * radius, "hemispherical": pi / 2 * radius}[self.end]

    @rule
    def wall_is_thin(self) -> None:
        """The wall is thin against the radius."""
        self.within("wall", upper=0.05 * self.bore, words="is too thick", note=f"for a bore of {self.shown('bore')}",
                    why="the eddy-loss model takes the wall as thin against its radius (wall <= 0.1 radius)",
                    do="give the wall under the magnets only; the flange is no part of it")

    @rule
    def cylinder_reaches_the_magnets(self) -> None:
        """The part of the cylinder behind the magnets' middle is a part of it."""
        self.within("rear_overhang", below=self.length, note=f"for a cylinder of {self.shown('length')}")
