"""What an enquiry says of the protection of the pump: its trips, and what each of them sees coming."""

from typing import Literal

from wetpath.edge.part import Part, drawing

Trip = Literal["low power", "high power", "low flow", "low level", "low suction pressure", "shell temperature",
               "discharge temperature"]

#: Trips that act before the surfaces of a malfunction grow hot. Common practice, after the order in which
#: instruments show each upset.
GUARDS: dict[str, tuple[Trip, ...]] = {
    "dry running": ("low power", "low level", "low suction pressure", "low flow", "shell temperature"),
    "circulation lost": ("shell temperature",),
    "rings out of step": ("low power", "low flow", "shell temperature"),
    "valves closed": ("low power", "low flow", "discharge temperature"),
    "least flow": ("low power", "low flow", "discharge temperature"),
}
#: Time in which they act once the liquid is gone [s]; level and suction pressure fall before. Common practice: delays
#: that let a start pass, a sensor in contact with the shell follows in 5 to 20 s.
DRY_DELAY: dict[Trip, float] = {"low power": 3.0, "low level": 0.0, "low suction pressure": 0.0, "low flow": 5.0,
                                "shell temperature": 10.0}


class Protection(Part):
    """Trips that stop the pump, and how it is started again."""

    trips: tuple[Trip, ...] = drawing("trips that stop the pump by themselves", default=())
    restarts_hot: bool = drawing("whether it has to start again at once after a stop in hot service, without venting",
                                 default=False)

    def guarding(self, malfunction: str) -> tuple[Trip, ...]:
        """Those of the trips that act before the surfaces of a malfunction grow hot."""
        return tuple(trip for trip in GUARDS[malfunction] if trip in self.trips)
