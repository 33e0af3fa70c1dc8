"""The two magnet rings: the inner one in the liquid, the outer one in air."""

from math import pi
from typing import Literal

from wetpath.edge.fields import FieldStrength, FluxDensity, Inertia, Length, Mass, PerKelvin, Position, Ratio
from wetpath.edge.part import Part, drawing, rule

Magnetisation = Literal["radial", "parallel"]

#: Density with which the mass of a ring of iron and magnets is estimated [kg/m3]: steel 7850, magnets 7500 to 8400.
RING_DENSITY = 7900.0


class MagnetRing(Part):
    """What both rings have: magnets of one grade on an iron yoke."""

    magnets: str = drawing("grade of the magnets, a row of the magnet table", examples=["Sm2Co17"])
    remanence: FluxDensity | None = drawing("remanence at 20 degC, when the certificate differs from the table",
                                            default=None, above=0.2, upper=1.5)
    coercivity: FieldStrength | None = drawing("intrinsic coercivity at 20 degC, when the certificate differs from the "
                                               "table", default=None, above=0, examples=["1900 kA/m"])
    coercivity_coefficient: PerKelvin | None = drawing(
        "its change with temperature, when the certificate differs from the table", default=None, lower=-0.01, upper=0,
        examples=["-0.2 %/K"])
    inner_diameter: Length = drawing("inside diameter of the magnets")
    outer_diameter: Length = drawing("outside diameter of the magnets")
    length: Length = drawing("axial length of the magnets")
    arc: Ratio = drawing("magnet arc over pole pitch", default=0.9, lower=0.4, upper=1)
    magnetisation: Magnetisation = drawing("direction in which the magnets are magnetised", default="parallel")
    segments: int = drawing("magnet pieces that make up one pole", default=1, lower=1, upper=12)
    yoke_thickness: Length = drawing("radial thickness of the iron behind the magnets")
    inertia: Inertia | None = drawing("moment of inertia of all that turns with this ring", default=None, above=0)
    mass: Mass | None = drawing("mass of the ring with its yoke and carrier; without it a solid ring from the bore of "
                                "the yoke to the outside", default=None, above="0 kg")

    @rule
    def magnets_have_thickness(self) -> None:
        """The outside diameter is larger than the inside."""
        self.within("outer_diameter", above=self.inner_diameter,
                    note=f"for an inside diameter of {self.shown('inner_diameter')}")


class InnerRing(MagnetRing):
    """Inner magnet ring, canned in a sheath, turning in the pumped liquid."""

    poles: int = drawing("number of poles of either ring, even", lower=2, upper=48)
    sheath_diameter: Length = drawing("outside diameter of the sheath, the wetted surface")
    sheath_material: str = drawing("UNS number or name of the material of the sheath, which slip heats",
                                   default="S31603")
    wet_length: Length = drawing("length of the wetted cylinder inside the shell")
    rear_gap: Length = drawing("axial gap between its rear face and the shell end")
    position: Position | None = drawing(
        "distance of the middle of its magnets behind the middle of the impeller outlet; without it the ring is taken "
        "to begin right behind the rear journal bearing", default=None, examples=["205 mm"])
    eccentricity: Position = drawing(
        "how far the two rings may stand off centre as made and fitted, without the bearing clearance", default=2e-4,
        lower=0.0, examples=["0.2 mm"])

    @property
    def mass_or_estimate(self) -> float:
        """Mass as given, else of a solid ring as long as the wetted cylinder [kg]."""
        bore = self.inner_diameter - 2 * self.yoke_thickness
        return self.mass or RING_DENSITY * pi / 4 * (self.sheath_diameter**2 - bore**2) * self.wet_length

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

    @property
    def mass_or_estimate(self) -> float:
        """Mass as given, else of a solid ring half as long again as the magnets, for the cup that carries it [kg]."""
        outside = self.outer_diameter + 2 * self.yoke_thickness
        return self.mass or RING_DENSITY * pi / 4 * (outside**2 - self.inner_diameter**2) * 1.5 * self.length
