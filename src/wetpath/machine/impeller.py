"""The impeller: its diameters and its tested curves."""

from functools import cached_property
from math import pi
from typing import Literal

from wetpath.edge.fields import (
    HeadList,
    Length,
    Mass,
    Power,
    Ratio,
    RatioList,
    RotationalSpeed,
    VolumeFlow,
    VolumeFlowList,
)
from wetpath.edge.part import Part, drawing, rule
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.pump.performance_curve import PerformanceCurve, performance_curve

#: Mass of an impeller over that of a steel disc of its diameter and outlet width. Common practice.
METAL_SHARE = 0.5
STEEL_DENSITY = 7850.0
#: Density of the water of a test at 20 degC [kg/m3].
TEST_WATER = 998.2
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
    shut_off_power: Power | None = drawing(
        "power the impeller took at zero flow, on water of 20 degC; without it extrapolated from the lowest flows",
        default=None, above="0 kW", examples=["3.2 kW"])

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

    @rule
    def shut_off_power_has_its_flow(self) -> None:
        """Power at zero flow belongs to a curve that begins there."""
        if self.shut_off_power is not None and self.flow[0] > 0:
            raise self.refuse("shut_off_power", "is given, and the flows do not begin at 0",
                              do="begin flow, head, efficiency and npsh at zero flow, or leave it out")

    @cached_property
    def curve(self) -> PerformanceCurve:
        """The tested points made into smooth curves."""
        if self.shut_off_power is None:
            return performance_curve(self.flow, self.head, efficiency=self.efficiency, npsh_required=self.npsh)
        power = [self.shut_off_power / TEST_WATER, *(
            STANDARD_GRAVITY * flow * head / efficiency
            for flow, head, efficiency in zip(self.flow[1:], self.head[1:], self.efficiency[1:], strict=True))]
        return performance_curve(self.flow, self.head, power_over_density=power, npsh_required=self.npsh)


class BalanceHoles(Part):
    """Holes through the impeller between the chamber inside the rear ring and the eye."""

    count: int = drawing("number of holes", lower=1, upper=24)
    diameter: Length = drawing("diameter of each hole", examples=["8 mm"])


class BackVanes(Part):
    """Radial vanes on the rear shroud that turn the liquid behind it with the impeller."""

    inner_diameter: Length = drawing("diameter at which they begin")
    outer_diameter: Length = drawing("diameter at which they end")
    core_rotation: Ratio = drawing("speed of the liquid between them over that of the impeller", default=0.85,
                                   above=0, upper=1)

    @rule
    def vanes_have_length(self) -> None:
        """They end farther out than they begin."""
        self.within("outer_diameter", above=self.inner_diameter,
                    note=f"for vanes that begin at {self.shown('inner_diameter')}")


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
    lowest_flow_reason: str = drawing("why the maker allows no less flow, in the maker's words", default="")
    highest_flow_reason: str = drawing("why the maker allows no more flow, in the maker's words", default="")
    mass: Mass | None = drawing("mass; without it half of a steel disc of its diameter and outlet width", default=None,
                                above="0 kg")
    radial_force_factor: Ratio | None = drawing(
        "radial force at shut-off over density g H D B, from the maker's tests; without it 0.36, the classic law",
        default=None, above=0, upper=0.6)
    outlet_head_share: Ratio = drawing(
        "static share of the head at the impeller outlet; that of a tap behind the impeller goes before", default=0.72,
        lower=0.3, upper=1)
    front_core_rotation: Ratio = drawing("speed of the liquid in the front side room over that of the impeller",
                                         default=0.45, lower=0, upper=1)
    rear_core_rotation: Ratio = drawing(
        "the same in the rear side room; that of a tap behind the impeller goes before", default=0.45, lower=0, upper=1)
    balance: Literal["not stated", "none", "holes", "back vanes"] = drawing(
        "what relieves the axial thrust; while it is not stated the thrust is not checked", default="not stated")
    balance_holes: BalanceHoles | None = drawing("holes between the rear ring and the eye", default=None)
    back_vanes: BackVanes | None = drawing("vanes on the rear shroud", default=None)
    rear_ring_clearance: Length = drawing("radial clearance of the rear wear ring, new", default=2.5e-4,
                                          examples=["0.25 mm"])
    rear_ring_clearance_worn: Length | None = drawing("the same at the end of its life; without it twice the new one",
                                                      default=None)
    rear_ring_length: Length = drawing("axial length of the rear wear ring", default=1e-2)
    tested: TestedCurve

    @property
    def mass_or_estimate(self) -> float:
        """Mass as given, else estimated [kg]."""
        return self.mass or METAL_SHARE * STEEL_DENSITY * pi / 4 * self.diameter**2 * self.outlet_width

    @property
    def worn_clearance(self) -> float:
        """Radial clearance of the worn rear ring [m]."""
        return self.rear_ring_clearance_worn or 2 * self.rear_ring_clearance

    @rule
    def balance_is_described(self) -> None:
        """The holes or vanes named as the balance are given, and no others."""
        for word, field in (("holes", "balance_holes"), ("back vanes", "back_vanes")):
            if self.balance == word and getattr(self, field) is None:
                raise self.refuse("balance", f"needs {field}", do=f"give {field}, or another balance")
            if self.balance != word and getattr(self, field) is not None:
                raise self.refuse("balance", f"does not name the {field} that are given",
                                  do=f'write balance = "{word}"')

    @rule
    def ring_wears_open(self) -> None:
        """A worn ring is wider than a new one."""
        if self.rear_ring_clearance_worn is not None:
            self.within("rear_ring_clearance_worn", lower=self.rear_ring_clearance,
                        note=f"for a new ring of {self.shown('rear_ring_clearance')}")

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
        self.within("hub_diameter", below=self.rear_ring_diameter,
                    note=f"for a rear ring of {self.shown('rear_ring_diameter')}")
