"""The bush holder: the fixed part that carries the bearings and takes in the circulation."""

from wetpath.edge.fields import Length, Ratio, Roughness
from wetpath.edge.part import Part, drawing


class BushHolder(Part):
    """Holder between impeller and inner ring with a chamber around the shaft."""

    swirl: Ratio = drawing("speed of the liquid in the chamber around the shaft over that of the shaft", default=0.1,
                           lower=0, upper=1)
    feed_count: int = drawing("number of feed holes from the discharge side", default=1, lower=1, upper=24)
    feed_diameter: Length = drawing("diameter of each feed hole", examples=["6 mm"])
    feed_length: Length = drawing("length of each feed hole")
    return_count: int = drawing("number of return holes towards the impeller", default=4, lower=1, upper=48)
    return_diameter: Length = drawing("diameter of each return hole", examples=["4 mm"])
    return_length: Length = drawing("length of each return hole")
    roughness: Roughness = drawing("roughness of the holes", default=8e-6)
