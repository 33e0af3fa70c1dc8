"""What an enquiry says of the suction side: the vessel the liquid comes from, and gas in the liquid."""

from __future__ import annotations

from wetpath.edge.fields import (
    Head,
    Pressure,
    PressureDifference,
    PressureDifferenceList,
    Ratio,
    Temperature,
    TemperatureList,
)
from wetpath.edge.part import Part, drawing, rule


class SuctionVessel(Part):
    """Vessel the pump draws from; the pressure at the suction flange follows from it."""

    pressure: Pressure | None = drawing("pressure of the gas above the liquid", default=None, examples=["0.2 bar g"])
    boiling: bool = drawing("the liquid is at its boiling point in the vessel, instead of pressure", default=False)
    level: Head = drawing("height of the liquid above the shaft; negative for a suction lift", examples=["4.5 m"])
    line_loss: Head | None = drawing("head lost in the suction line at the flow of this case, entrance and strainer "
                                     "included", default=None, lower="0 m", examples=["0.7 m"])
    line_pressure_loss: PressureDifference | None = drawing("the same as a pressure, instead of line_loss",
                                                            default=None, lower="0 bar", examples=["60 mbar"])

    @rule
    def one_pressure(self) -> None:
        """The pressure is given, or is that of boiling."""
        if (self.pressure is None) != self.boiling:
            raise self.refuse("pressure",
                              "is given for a vessel that is said to boil" if self.boiling else "is missing",
                              do="give pressure (with a or g), or boiling = true where the vessel stands at the vapour "
                                 "pressure of the liquid")

    @rule
    def one_loss(self) -> None:
        """The loss of the line is given once."""
        if (self.line_loss is None) == (self.line_pressure_loss is None):
            raise self.refuse("line_loss", "is missing" if self.line_loss is None else
                              "is given besides line_pressure_loss",
                              do='give one of the two, at the flow of the case; "0 m" only where there is no line')

    def loss_at(self, weight: float) -> float:
        """Head lost in the line [m]; ``weight`` is density times gravity [N/m3]."""
        return self.line_loss if self.line_loss is not None else (self.line_pressure_loss or 0.0) / weight


class GasEntry(Part):
    """Gas in the liquid of the enquiry: dissolved, as bubbles, or both. One gas."""

    name: str = drawing("what the gas is", examples=["nitrogen"])
    henry_constant: PressureDifferenceList = drawing(
        "partial pressure of the gas over its mole share in the liquid; with temperatures, one for each",
        default=(), above=0, examples=["8650 MPa"])
    temperatures: TemperatureList = drawing("temperatures of the Henry constants; without them the constant holds at "
                                            "every temperature", default=(), examples=["20 40 60 degC"])
    dissolved: Ratio | None = drawing("moles of dissolved gas over moles of liquid and gas", default=None, lower=0,
                                      upper=0.03, examples=["12 ppm"])
    saturated_pressure: Pressure | None = drawing(
        "pressure at which the liquid is saturated with the gas, its own vapour included, instead of dissolved",
        default=None, examples=["1.5 bar a"])
    saturated_temperature: Temperature | None = drawing("temperature at which it is saturated; without it that of "
                                                        "each case", default=None)
    bubbles: Ratio = drawing("gas carried as bubbles, volume share at the suction flange", default=0.0, lower=0,
                             below=1, examples=["1 %"])

    @rule
    def constants_match(self) -> None:
        """One Henry constant for every temperature, in rising order."""
        if self.temperatures and len(self.temperatures) != len(self.henry_constant):
            raise self.refuse("henry_constant", f"has {len(self.henry_constant)} values; allowed: "
                              f"{len(self.temperatures)}, one for each of the temperatures",
                              do="give one constant for every temperature")
        if not self.temperatures and len(self.henry_constant) > 1:
            raise self.refuse("temperatures", "is missing", do="give the temperature of every Henry constant")
        if any(later <= earlier for earlier, later in zip(self.temperatures, self.temperatures[1:], strict=False)):
            raise self.refuse("temperatures", "does not rise from value to value", do="put the values in order")

    @rule
    def one_amount(self) -> None:
        """Dissolved gas needs an amount, given once, and a Henry constant."""
        if self.dissolved is not None and self.saturated_pressure is not None:
            raise self.refuse("dissolved", "is given besides saturated_pressure", do="give one of the two")
        asked = self.dissolved is not None or self.saturated_pressure is not None
        if asked and not self.henry_constant:
            raise self.refuse("henry_constant", "is missing", why="without it the pressure at which the gas comes out "
                              "of solution is not known",
                              do='give it like "8650 MPa", at the temperature of the liquid')
        if not asked and self.bubbles == 0:
            raise self.refuse("dissolved", "is missing",
                              do="give dissolved, saturated_pressure or bubbles, or leave [gas] out")
