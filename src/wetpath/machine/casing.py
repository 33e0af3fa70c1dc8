"""The pump casing: flanges, volute and what pressure it bears."""

from typing import Literal

from wetpath.edge.fields import Length, Pressure, Temperature
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
