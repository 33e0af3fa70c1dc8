"""The enquiry: one service with its site, its liquid and its operating cases."""

from __future__ import annotations

from typing import Any, ClassVar, Literal

from pydantic import Field

from wetpath.edge.atmosphere import atmosphere_at
from wetpath.edge.fields import (
    Head,
    Position,
    Pressure,
    PressureDifference,
    RotationalSpeed,
    Temperature,
    VolumeFlow,
)
from wetpath.edge.files import Document
from wetpath.edge.part import Part, drawing, rule
from wetpath.edge.quantities import LENGTH
from wetpath.edge.units import parse
from wetpath.errors import InputError, UnknownName
from wetpath.liquids.liquid_file import LiquidEntry
from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.physics.pump.acceptance import GRADES
from wetpath.rating.protection import Protection
from wetpath.rating.solids import Solids
from wetpath.rating.suction_entries import GasEntry, SuctionVessel

Service = Literal["hydrocarbon", "chemical"]
Role = Literal["rated", "normal", "minimum flow", "maximum flow", "cold start", "cleaning", "flush", "works test",
               "other"]


class Site(Part):
    """Where the pump stands."""

    altitude: Position = drawing("height above sea level; sets the atmosphere for gauge pressures", default=0.0,
                                 lower="-500 m", upper="6000 m")
    air_lowest: Temperature = drawing("lowest temperature of the air", default=ZERO_CELSIUS - 10)
    air_highest: Temperature = drawing("highest temperature of the air", default=ZERO_CELSIUS + 40)
    frequency: Literal[50, 60] = drawing("frequency of the supply", default=50)
    temperature_class: Literal["none", "T1", "T2", "T3", "T4", "T5", "T6"] = drawing(
        "temperature class of the area", default="none")
    zone: str = drawing("zone and gas group of the area, as text", default="")
    protection_level: Literal["Ga", "Gb", "Gc"] = drawing(
        "equipment protection level asked where a temperature class is: Gc judges normal operation, Gb malfunctions "
        "to be expected as well, Ga rare ones as well", default="Gb")
    motor_efficiency: Literal["none", "IE3", "IE4", "EU 2019/1781"] = drawing(
        "efficiency class the motor must have, or the rule that says which", default="none")

    @rule
    def air_range(self) -> None:
        """The highest air temperature is not below the lowest."""
        self.within("air_highest", lower=self.air_lowest)


class OperatingCase(Part):
    """One steady condition."""

    name: str = drawing("what reports call the case")
    flow: VolumeFlow = drawing("flow through the suction flange", above="0 m3/h", examples=["45 m3/h"])
    head: Head | None = drawing("head the service asks for; without it the pump's own", default=None, above="0 m")
    temperature: Temperature = drawing("temperature of the liquid at the suction flange")
    suction_pressure: Pressure | None = drawing("pressure at the suction flange", default=None,
                                                examples=["1.2 bar a"])
    above_vapour_pressure: PressureDifference | None = drawing(
        "pressure at the suction flange above the vapour pressure, instead of suction_pressure", default=None,
        lower=0, examples=["0.6 bar"])
    vessel: SuctionVessel | None = drawing(
        "vessel the pump draws from, from which the pressure at the suction flange follows", default=None)
    speed: RotationalSpeed | None = drawing("speed, when it is not that of the driver", default=None, above="1 rpm")
    role: Role = drawing(
        "what the case is; the preferred region of flow and the motor margin are asked of rated and normal cases",
        default="other")
    liquid: str = drawing("name of one of other_liquids, when the case is not about the liquid of the enquiry",
                          default="")

    @rule
    def one_suction_pressure(self) -> None:
        """Exactly one of the three ways to give the suction pressure."""
        given = [name for name in ("suction_pressure", "above_vapour_pressure", "vessel")
                 if getattr(self, name) is not None]
        if len(given) != 1:
            raise InputError(f"is given besides {' and '.join(given[1:])}; give one of them" if given else "is missing",
                             field=given[0] if given else "suction_pressure",
                             do="give suction_pressure (with a or g), above_vapour_pressure, or [cases.vessel]")


class OtherLiquid(Part):
    """Another liquid that the pump will see: cleaning, flush, water at the works test."""

    name: str = drawing("what the cases call it", examples=["water"])
    liquid: LiquidEntry


class Enquiry(Document):
    """One service."""

    document_kind: ClassVar[str] = "enquiry"
    document_name: ClassVar[str] = "enquiry"
    document_use: ClassVar[str] = "rate a pump for it: wetpath rate FILE --pump PUMP"

    title: str = drawing("what the service is")
    note: str = drawing("anything the reader should know", default="")
    service: Service = drawing("which NPSH margin rules apply", default="chemical")
    site: Site = Site()
    liquid: LiquidEntry | None = drawing("the liquid", default=None)
    liquid_file: str = drawing("file with the liquid, beside this one, instead of [liquid]", default="")
    practice_file: str = drawing("file with the practice, beside this one; without it the defaults", default="")
    pump_file: str = drawing("file with the pump, beside this one, when none is named", default="")
    parallel: bool = drawing("pumps run in parallel into the same line; asks for a curve that rises to shut-off",
                             default=False)
    acceptance_grade: str = drawing(
        "grade of ISO 9906:2012 by which the works test is judged; empty while none is agreed", default="",
        examples=["2B"])
    gas: GasEntry | None = drawing("gas in the liquid", default=None)
    other_liquids: tuple[OtherLiquid, ...] = drawing("other liquids the pump will see", default=())
    solids: Solids | None = drawing("solids in the liquid; without them it is taken as clean", default=None)
    protection: Protection = Protection()
    cases: tuple[OperatingCase, ...] = Field(min_length=1)

    @rule
    def liquids_are_known(self) -> None:
        """Every case names a liquid that is given."""
        known = [other.name for other in self.other_liquids]
        for number, case in enumerate(self.cases, start=1):
            if case.liquid and case.liquid not in known:
                raise UnknownName("liquid of other_liquids", case.liquid, known, field=f"cases[{number}].liquid")

    @rule
    def one_liquid(self) -> None:
        """The liquid is given here or in a file."""
        if (self.liquid is None) == (not self.liquid_file):
            raise self.refuse("liquid", "is missing" if self.liquid is None else "is given twice",
                              do="give [liquid], or name a file in liquid_file")

    @rule
    def grade_is_known(self) -> None:
        """The acceptance grade is one of the standard."""
        if self.acceptance_grade and self.acceptance_grade not in GRADES:
            raise self.refuse("acceptance_grade",
                              f"is not a grade of ISO 9906:2012; allowed: {', '.join(GRADES)}",
                              do="give one of these, or leave it out while none is agreed")

    @rule
    def case_names_differ(self) -> None:
        """Every case has a name of its own."""
        names = [case.name for case in self.cases]
        for name in names:
            if names.count(name) > 1:
                raise self.refuse("cases", f'has two cases named "{name}"', do="give every case a name of its own")

    @classmethod
    def reading_context(cls, data: dict[str, Any]) -> dict[str, Any]:
        """The atmosphere of the site, which gauge pressures stand on."""
        try:
            return {"atmosphere": atmosphere_at(parse(data["site"]["altitude"], LENGTH))}
        except (KeyError, TypeError, AttributeError, InputError):
            return {}
