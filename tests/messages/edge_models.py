"""A small kind of document for the tests of the edge; it is no part of the program."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field

from wetpath.edge.atmosphere import atmosphere_at
from wetpath.edge.fields import (
    Length,
    Position,
    Pressure,
    RatioList,
    Temperature,
    TemperatureList,
    ViscosityList,
    VolumeFlowList,
)
from wetpath.edge.files import DOCUMENTS, Document
from wetpath.edge.part import Part, drawing, rule
from wetpath.edge.quantities import LENGTH
from wetpath.edge.units import parse
from wetpath.errors import InputError


class Tube(Part):
    bore: Length = drawing("inside diameter", examples=["130 mm"])
    wall: Length = drawing("wall thickness")
    end: Literal["dished", "flat"] = "flat"
    hottest: Temperature = drawing("hottest wall", default="20 degC", upper="400 degC")
    turns: int = drawing("number of turns", default=3, lower=1, upper=10)
    shares: RatioList = drawing("shares", default=(0.1,), lower=0, upper=1)
    lip: Length = Field("2 mm", gt=0.001)
    offset: Position = drawing("offset of the axis", default=0.0, lower=-0.01, upper=0.01)

    @rule
    def wall_is_thin(self) -> None:
        self.within("wall", upper=0.05 * self.bore, words="is too thick", note=f"for a bore of {self.shown('bore')}",
                    why="the wall is taken as thin", do="give the wall of the cylinder only")

    @rule
    def turns_are_odd(self) -> None:
        if self.turns % 2 == 0:
            raise self.refuse("turns", "is even; an odd number is needed")


class Hole(Part):
    kind: Literal["hole"]
    name: str = ""
    length: Length


class Gap(Part):
    kind: Literal["gap"]
    name: str = ""
    length: Length
    gap_radial: Length


class Rig(Document):
    document_kind: ClassVar[str] = "rig"
    document_name: ClassVar[str] = "rig file"
    document_use: ClassVar[str] = "give it to the test stand"

    title: str = ""
    altitude: Position = drawing("height above the sea", default=0.0)
    pressure: Pressure | None = None
    flow: VolumeFlowList = ()
    temperature: TemperatureList = ()
    viscosity: ViscosityList | None = None
    tube: Tube
    passage: tuple[Annotated[Hole | Gap, Field(discriminator="kind")], ...] = ()

    @classmethod
    def reading_context(cls, data: dict[str, Any]) -> dict[str, Any]:
        try:
            return {"atmosphere": atmosphere_at(parse(data.get("altitude", "0 m"), LENGTH))}
        except (InputError, TypeError, AttributeError):
            return {}


class Recipe(Document):
    document_kind: ClassVar[str] = "ink-recipe"
    document_name: ClassVar[str] = "ink recipe"
    document_use: ClassVar[str] = "give it to the printer"


# Known only to the tests that ask for them, not to whatever else runs in this process.
MODELS = {"rig": Rig, "ink-recipe": Recipe}
for name in MODELS:
    DOCUMENTS.pop(name)
