"""The passages of the internal circulation as a pump file lists them, each between two stations."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from wetpath.edge.fields import Area as AreaField
from wetpath.edge.fields import (
    HeatTransferCoefficient,
    Length,
    MassFlow,
    Position,
    Pressure,
    Ratio,
    Roughness,
    SpecificHeat,
    Temperature,
)
from wetpath.edge.part import Part, drawing, rule


class Passage(Part):
    """What every passage has: where it starts and ends."""

    start: str = drawing("station at which liquid enters in normal running")
    end: str = drawing("station at which it leaves")
    name: str = drawing("what reports call it; without it its kind", default="")
    loss: Ratio = drawing("sum of entry and exit loss on the velocity inside", default=1.5, lower=0, upper=100)


class FeedHoles(Passage):
    """The feed holes of the bush holder."""

    kind: Literal["feed holes"]


class ReturnHoles(Passage):
    """The return holes of the bush holder."""

    kind: Literal["return holes"]


class ShaftHolesPassage(Passage):
    """The radial holes of the shaft, from its surface to its bore."""

    kind: Literal["shaft holes"]
    incidence: Ratio = drawing("share of the entry incidence lost: 1 sharp, 0.5 rounded", default=1.0, lower=0, upper=2)


class ShaftBore(Passage):
    """The axial bore of the shaft."""

    kind: Literal["shaft bore"]
    loss: Ratio = drawing("sum of entry and exit loss on the velocity inside", default=1.6, lower=0, upper=100)


class Hole(Passage):
    """Other holes side by side."""

    kind: Literal["holes"]
    count: int = drawing("number of holes", default=1, lower=1, upper=64)
    diameter: Length = drawing("diameter of each hole")
    length: Length = drawing("length of each hole")
    roughness: Roughness = drawing("roughness", default=8e-6)


class Cooler(Part):
    """Counterflow cooler in a pipe."""

    area: AreaField = drawing("heat transfer area")
    coefficient: HeatTransferCoefficient = drawing("overall heat transfer coefficient", above=0)
    coolant_flow: MassFlow = drawing("coolant flow", above="0 kg/s")
    coolant_heat_capacity: SpecificHeat = drawing("heat capacity of the coolant", default=4184.0, above=0)
    coolant_temperature: Temperature = drawing("coolant temperature at its entry")


class Pipe(Passage):
    """A pipe outside the pump, with a cooler or without."""

    kind: Literal["pipe"]
    diameter: Length = drawing("inside diameter")
    length: Length = drawing("length")
    roughness: Roughness = drawing("roughness", default=45e-6)
    cooler: Cooler | None = drawing("cooler in this pipe", default=None)


class Cavity(Passage):
    """The space between a turning face and a wall."""

    kind: Literal["cavity"]
    radius_from: Position = drawing("radius at which liquid enters; 0 on the axis", lower=0.0)
    radius_to: Position = drawing("radius at which it leaves", lower=0.0)
    gap: Length = drawing("axial gap between face and wall")
    core_rotation: Ratio = drawing("speed of the liquid core over that of the rotor", default=0.43, lower=0, upper=1)
    loss: Ratio = drawing("sum of entry and exit loss on the velocity inside", default=0.0, lower=0, upper=100)

    @rule
    def radii_differ(self) -> None:
        """A cavity spans a difference of radii."""
        if self.radius_from == self.radius_to:
            raise self.refuse("radius_to", "equals radius_from", do="give the two radii between which the liquid flows")


class Annulus(Passage):
    """The gap between inner ring and containment shell, under the magnets."""

    kind: Literal["annulus"]
    towards: Literal["impeller", "rear"] = drawing("where the liquid flows in normal running", default="impeller")


class JournalPassage(Passage):
    """A journal bearing as a passage."""

    kind: Literal["journal bearing"]
    bearing: str = drawing("name of the journal bearing")


class ThrustPassage(Passage):
    """A thrust face as a passage."""

    kind: Literal["thrust face"]
    bearing: str = drawing("name of the thrust bearing")
    outward: bool = drawing("whether liquid flows outward through its grooves", default=True)


class AuxiliaryImpeller(Passage):
    """Holes or vanes on the rotor that pump the circulation."""

    kind: Literal["auxiliary impeller"]
    count: int = drawing("number of channels", lower=1, upper=64)
    diameter: Length = drawing("hydraulic diameter of each channel")
    length: Length = drawing("length of each channel")
    tip_radius: Length = drawing("radius at its outlet")
    head_coefficient: Ratio = drawing("pressure rise over half density times tip speed squared", default=0.5,
                                      above=0, upper=1.5)
    roughness: Roughness = drawing("roughness", default=8e-6)


PassageEntry = Annotated[
    FeedHoles | ReturnHoles | ShaftHolesPassage | ShaftBore | Hole | Pipe | Cavity | Annulus | JournalPassage
    | ThrustPassage | AuxiliaryImpeller, Field(discriminator="kind")]


class Station(Part):
    """A named point of the circulation."""

    name: str = drawing("what the branches call it", examples=["1"])
    title: str = drawing("what reports call it", examples=["feed tap"])


class DischargeTap(Part):
    """Liquid taken from or given to the discharge side of the casing."""

    at: Literal["discharge side"]
    station: str
    head_share: Ratio = drawing("share of the head found as static pressure there", default=0.96, lower=0, upper=1)


class ImpellerTap(Part):
    """The side room behind the impeller."""

    at: Literal["behind impeller"]
    station: str
    head_share: Ratio = drawing("static share of the head at the impeller outlet", default=0.72, lower=0, upper=1)
    core_rotation: Ratio = drawing("speed of the liquid in the side room over that of the impeller", default=0.45,
                                   lower=0, upper=1)
    radius: Length = drawing("radius at which the circulation meets the side room")


class SuctionTap(Part):
    """The impeller eye."""

    at: Literal["suction"]
    station: str


class OutsideTap(Part):
    """A supply or a vessel outside the pump."""

    at: Literal["outside"]
    station: str
    pressure: Pressure
    temperature: Temperature


TapEntry = Annotated[DischargeTap | ImpellerTap | SuctionTap | OutsideTap, Field(discriminator="at")]
