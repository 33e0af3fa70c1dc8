"""The pump casing: flanges, volute and what pressure it bears."""

from typing import Literal

from wetpath.edge.fields import Length, Mass, Pressure, Temperature, Volume
from wetpath.edge.part import Part, drawing


class Casing(Part):
    """Volute casing with end suction and top discharge."""

    suction_bore: Length = drawing("inside diameter of the suction flange", examples=["80 mm"])
    discharge_bore: Length = drawing("inside diameter of the discharge flange", examples=["50 mm"])
    volute: Literal["single", "double", "diffuser"] = drawing("shape around the impeller", default="single")
    material: str = drawing("UNS number of the casing material", examples=["J92900"])
    pressure_rating: Pressure = drawing("maximum allowable working pressure", examples=["25 bar g"])
    rating_temperature: Temperature = drawing("temperature to which the pressure rating applies",
                                              examples=["120 degC"])
    liquid_volume: Volume | None = drawing(
        "liquid held between the closed valves at the flanges, shell included; without it estimated from the geometry",
        default=None, examples=["4 L"])
    metal_mass: Mass | None = drawing("metal that warms with that liquid; without it 4 kg for each litre", default=None,
                                      above="0 kg", examples=["25 kg"])
    relief_pressure: Pressure | None = drawing(
        "set pressure of a relief device that guards the casing; without it the pressure rating stands for it",
        default=None)
