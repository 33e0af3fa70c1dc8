"""The two magnet rings: the inner one in the liquid, the outer one in air."""

from typing import Literal

from wetpath.edge.fields import FluxDensity, Inertia, Length, Position, Ratio
from wetpath.edge.part import Part, drawing, rule

Magnetisation = Literal["radial", "parallel"]


class MagnetRing(Part):
    """What both rings have: magnets of one grade on an iron yoke."""

    magnets: str = drawing("grade of the magnets, a row of the magnet table", examples=["Sm2Co17"])
    remanence: FluxDensity | None = drawing("remanence at 20 degC, when the certificate differs from the table",
                                            default=None, above=0.2, upper=1.5)
    inner_diameter: Length = drawing("inside diameter of the magnets")
    outer_diameter: Length = drawing("outside diameter of the magnets")
    length: Length = drawing("axial length of the magnets")
    arc: Ratio = drawing("magnet arc over pole pitch", default=0.9, lower=0.4, upper=1)
    magnetisation: Magnetisation = drawing("direction in which the magnets are magnetised", default="parallel")
    segments: int = drawing("magnet pieces that make up one pole", default=1, lower=1, upper=12)
    yoke_thickness: Length = drawing("radial thickness of the iron behind the magnets")
    inertia: Inertia | None = drawing("moment of inertia of all that turns with this ring", default=None, above=0)

    @rule
    def magnets_have_thickness(self) -> None:
        """The outside diameter is larger than the inside."""
        self.within("outer_diameter", above=self.inner_diameter,
                    note=f"for an inside diameter of {self.shown('inner_diameter')}")


class InnerRing(MagnetRing):
    """Inner magnet ring, canned in a sheath, turning in the pumped liquid."""

    poles: int = drawing("number of poles of either ring, even", lower=2, upper=48)
    sheath_diameter: Length = drawing("outside diameter of the sheath, the wetted surface")
    wet_length: Length = drawing("length of the wetted cylinder inside the shell")
    rear_gap: Length = drawing("axial gap between its rear face and the shell end")

    @rule
    def poles_are_even(self) -> None:
        """Poles come in pairs."""
        if self.poles % 2:
            raise self.refuse("poles", "is odd; allowed: even numbers from 2 to 48", do="count north and south poles")

    @rule
    def sheath_covers_magnets(self) -> None:
        """The sheath lies outside the magnets."""
        self.within("sheath_diameter", above=self.outer_diameter,
                    note=f"for magnets of {self.shown('outer_diameter')}")

    @rule
    def wet_length_covers_magnets(self) -> None:
        """The wetted cylinder is at least as long as the magnets."""
        self.within("wet_length", lower=self.length, note=f"for magnets of {self.shown('length')}")


class OuterRing(MagnetRing):
    """Outer magnet ring, turning in air around the shell."""

    axial_offset: Position = drawing("distance of its middle behind the middle of the inner ring", default=0.0)
