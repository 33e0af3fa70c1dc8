"""The impeller: its diameters and its tested curves."""

from functools import cached_property

from wetpath.edge.fields import HeadList, Length, RatioList, RotationalSpeed, VolumeFlow, VolumeFlowList
from wetpath.edge.part import Part, drawing, rule
from wetpath.physics.pump.performance_curve import PerformanceCurve, performance_curve

#: A curve of fewer points than this cannot show its shape.
FEWEST_POINTS = 5


class TestedCurve(Part):
    """Head, efficiency and NPSH3 over flow, as tested on water at one speed and diameter.

    Efficiency is that of the wet end: pump output over the power taken by the impeller, without coupling losses,
    bearings and drag inside the shell, which the program computes.
    """

    __test__ = False  # the name begins like a test; it is none

    speed: RotationalSpeed = drawing("speed of the test", above="1 rpm", examples=["2950 rpm"])
    diameter: Length = drawing("impeller diameter of the test", examples=["209 mm"])
    flow: VolumeFlowList = drawing("flows, from shut-off to the last tested point",
                                   examples=["0 20 40 60 80 m3/h"])
    head: HeadList = drawing("head at these flows", above="0 m", examples=["70 69 66 61 54 m"])
    efficiency: RatioList = drawing("efficiency of the wet end at these flows; 0 at shut-off", lower=0, upper=0.95,
                                    examples=["0 38 58 64 60 %"])
    npsh: HeadList = drawing("NPSH3 at these flows", above="0 m", examples=["1.5 1.6 1.9 2.6 4.0 m"])

    @rule
    def rows_match(self) -> None:
        """Every curve has one value for every flow, and flows rise."""
        for field in ("head", "efficiency", "npsh"):
            if len(getattr(self, field)) != len(self.flow):
                raise self.refuse(field, f"has {len(getattr(self, field))} values; allowed: {len(self.flow)}, one for "
                                  "each flow", do="give one value for every flow of the test")
        if len(self.flow) < FEWEST_POINTS:
            raise self.refuse("flow", f"has {len(self.flow)} points; allowed: {FEWEST_POINTS} or more",
                              why="fewer points do not show the shape of the curve",
                              do="read more points off the test curve")
        if any(later <= earlier for earlier, later in zip(self.flow, self.flow[1:], strict=False)):
            raise self.refuse("flow", "does not rise from point to point", do="put the points in order of flow")

    @rule
    def efficiency_is_one_hill(self) -> None:
        """Efficiency is above zero at every flow but shut-off."""
        for flow, efficiency in zip(self.flow, self.efficiency, strict=False):
            if flow > 0 and efficiency <= 0:
                raise self.refuse("efficiency", "is zero at a flow above zero", do="only shut-off has efficiency zero")

    @cached_property
    def curve(self) -> PerformanceCurve:
        """The tested points made into smooth curves."""
        return performance_curve(self.flow, self.head, efficiency=self.efficiency, npsh_required=self.npsh)


class Impeller(Part):
    """Closed radial impeller."""

    diameter: Length = drawing("diameter fitted", examples=["200 mm"])
    largest_diameter: Length = drawing("largest diameter of this pattern")
    smallest_diameter: Length = drawing("smallest diameter to which it may be trimmed")
    outlet_width: Length = drawing("width at the outlet including both shrouds", examples=["14 mm"])
    eye_diameter: Length = drawing("diameter of the eye, at the front wear ring")
    rear_ring_diameter: Length = drawing("diameter of the rear wear ring")
    hub_diameter: Length = drawing("diameter of the hub behind the rear ring")
    lowest_flow: VolumeFlow | None = drawing("least flow allowed by the maker at the tested speed", default=None)
    highest_flow: VolumeFlow | None = drawing("largest flow allowed by the maker at the tested speed", default=None)
    tested: TestedCurve

    @rule
    def diameter_is_of_this_pattern(self) -> None:
        """The fitted diameter lies between smallest and largest."""
        self.within("diameter", lower=self.smallest_diameter, upper=self.largest_diameter,
                    note="for this pattern", do="choose a diameter of this pattern or another impeller")

    @rule
    def rings_fit(self) -> None:
        """Eye and rear ring are smaller than the impeller."""
        self.within("eye_diameter", below=self.diameter)
        self.within("rear_ring_diameter", below=self.diameter)
