"""The catalogue of upsets: each is a list of effects on the conditions of the pump, and parameters with defaults."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite

from wetpath.errors import InputError, UnknownName


@dataclass(frozen=True)
class Parameter:
    """One number of an upset, SI, with default and allowed range."""

    text: str
    unit: str
    default: float
    low: float
    high: float


@dataclass(frozen=True)
class Effect:
    """One condition driven to a value over a time, ``after`` the cause began.

    ``how``: "to" a value, "times" it, or "plus" it. ``value``, ``over`` and ``after`` are numbers or names of
    parameters. ``column`` is a column of `wetpath.upsets.course.Course`.
    """

    column: str
    how: str
    value: float | str
    over: float | str = 0.0
    after: float | str = 0.0


@dataclass(frozen=True)
class Kind:
    """One kind of upset."""

    title: str
    effects: tuple[Effect, ...]
    parameters: Mapping[str, Parameter] = field(default_factory=dict)
    filled: bool = True            # the pump holds liquid at the beginning
    coupled: bool = True           # the rings are in step at the beginning


def _over(default: float, text: str = "time over which it comes") -> Parameter:
    return Parameter(text, "s", default, 0.01, 1e6)


def _share(default: float, text: str, low: float = 0.0, high: float = 1.0) -> Parameter:
    return Parameter(text, "-", default, low, high)


#: Defaults are common practice, no source, where nothing else is said.
KINDS: dict[str, Kind] = {
    "dry start": Kind("dry running from the start", (Effect("gas", "to", 1.0), Effect("flow", "to", 0.0, 0.1)),
                      filled=False),
    "suction lost": Kind("suction lost: gas instead of liquid", (
        Effect("gas", "to", 1.0, "over"), Effect("suction_pressure", "to", "pressure", "over"),
        Effect("gas", "to", 0.0, "over", "lasts"), Effect("suction_pressure", "to_rated", 1.0, "over", "lasts")),
        {"over": _over(1.0), "pressure": Parameter("pressure then", "Pa", 101325.0, 1e3, 1e8),
         "lasts": Parameter("time until liquid is there again", "s", 1e6, 0.1, 1e6)}),
    "vessel emptied": Kind("vessel running empty", (
        Effect("vessel_inflow", "times", "inflow", "over"), Effect("vessel_area", "to", "area"),
        Effect("vessel_outlet", "to", "above_outlet")),
        {"over": _over(10.0, "time in which the inflow falls"),
         "inflow": _share(0.0, "inflow left, share of the flow rated"),
         "area": Parameter("surface of the liquid in the vessel", "m2", 1.0, 0.01, 1e5),
         "above_outlet": Parameter("level above the outlet of the vessel", "m", 1.0, 0.05, 100.0)}),
    "suction strangled": Kind("suction valve or strainer closing", (
        Effect("suction_pressure", "times", "share", "over"),),
        {"over": _over(30.0), "share": _share(0.3, "suction pressure left, share of the absolute one")}),
    "discharge closed": Kind("discharge valve closed", (Effect("flow", "times", 0.0, "over"),), {"over": _over(5.0)}),
    "blocked in": Kind("both valves closed", (Effect("flow", "times", 0.0, "over"), Effect("open", "to", 0.0, "over")),
                       {"over": _over(5.0)}),
    "below minimum flow": Kind("running below the least flow", (Effect("flow", "times", "share", "over"),),
                               {"over": _over(10.0), "share": _share(0.15, "flow left")}),
    "feed plugging": Kind("feed passage plugging slowly", (Effect("feed_area", "times", "share", "over"),),
                          {"over": _over(300.0), "share": _share(0.05, "area left", 0.005)}),
    "return plugging": Kind("return passage plugging slowly", (Effect("return_area", "times", "share", "over"),),
                            {"over": _over(300.0), "share": _share(0.05, "area left", 0.005)}),
    "hot slug": Kind("slug of hot liquid", (
        Effect("suction_temperature", "plus", "rise", "over"),
        Effect("suction_temperature", "plus", "fall", "over", "lasts")),
        {"over": _over(1.0), "rise": Parameter("rise of the suction temperature", "K", 15.0, 0.0, 300.0),
         "fall": Parameter("change at its end", "K", -15.0, -300.0, 0.0),
         "lasts": Parameter("how long it lasts", "s", 60.0, 0.1, 1e6)}),
    "suction pressure decay": Kind("vessel loses pressure until the liquid boils", (
        Effect("above_vapour", "times", "share", "over"),),
        {"over": _over(120.0), "share": _share(0.0, "suction pressure above vapour pressure that is left", -1.0)}),
    "gas entrained": Kind("gas drawn in with the liquid", (Effect("gas", "to", "share", "over"),),
                          {"over": _over(2.0), "share": _share(0.06, "volume share of gas at the suction")}),
    "wrong liquid": Kind("another liquid comes", (
        Effect("density", "times", "density", "over"), Effect("viscosity", "times", "viscosity", "over"),
        Effect("heat_capacity", "times", "heat_capacity", "over"),
        Effect("vapour_pressure", "times", "vapour_pressure", "over")),
        {"over": _over(2.0), "density": _share(1.5, "density over that rated", 0.2, 5.0),
         "viscosity": _share(1.0, "viscosity over that rated", 0.05, 1e4),
         "heat_capacity": _share(1.0, "heat capacity over that rated, by mass", 0.2, 5.0),
         "vapour_pressure": _share(1.0, "vapour pressure over that rated, at the same temperature", 1e-3, 1e3)}),
    "magnets pulled out": Kind("the rings fall out of step", (Effect("out_of_step", "to", 1.0),
                                                              Effect("slip_factor", "times", "factor")),
                               {"factor": _share(1.0, "factor on the shell's loss out of step", 0.1, 5.0)}),
    "start decoupled": Kind("the driver starts and the pump does not follow", (
        Effect("out_of_step", "to", 1.0), Effect("slip_factor", "times", "factor")),
        {"factor": _share(1.0, "factor on the shell's loss out of step", 0.1, 5.0)}, coupled=False),
    "reverse rotation": Kind("the motor turns the wrong way", (
        Effect("head", "times", "head", 0.1), Effect("flow", "times", "flow", 0.1)),
        {"head": _share(0.55, "head left"), "flow": _share(0.5, "flow left")}),
    "bearing wear": Kind("bearing clearance growing", (Effect("clearance", "times", "growth", "over"),),
                         {"over": _over(600.0),
                          "growth": _share(3.0, "clearance over that of the pump file", 1.0, 20.0)}),
    "worn rear ring": Kind("rear ring worn: liquid behind the impeller turns faster", (
        Effect("rear_core", "times", "core", "over"),),
        {"over": _over(600.0), "core": _share(1.4, "core rotation over that of the pump file", 0.2, 2.0)}),
    "cooler failure": Kind("cooler without coolant", (Effect("cooler", "times", "share", "over"),),
                           {"over": _over(10.0), "share": _share(0.0, "conductance left")}),
    "hot restart": Kind("stop, and start again hot", (
        Effect("speed", "times", 0.0, "run_down"), Effect("flow", "times", 0.0, "run_down"),
        Effect("speed", "to_rated", 1.0, "run_up", "stands"), Effect("flow", "to_rated", 1.0, "run_up", "stands"),
        Effect("vent_time", "to", "vents")),
        {"run_down": _over(5.0, "time of running down"), "run_up": _over(3.0, "time of running up"),
         "stands": Parameter("from the stop to the start", "s", 120.0, 1.0, 1e6),
         "vents": Parameter("time constant in which gas and vapour leave the pump that stands", "s", 30.0, 1.0, 1e6)}),
    "solidified": Kind("product solid in the shell at the start", (
        Effect("out_of_step", "to", 1.0), Effect("locked", "to", 1.0), Effect("flow", "to", 0.0, 0.1),
        Effect("slip_factor", "times", "factor")),
        {"factor": _share(1.0, "factor on the shell's loss out of step", 0.1, 5.0)}, coupled=False),
}


@dataclass(frozen=True)
class Upset:
    """One upset: a kind, when its cause begins [s], and the parameters that differ from the defaults, SI."""

    kind: str
    start: float = 10.0
    values: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise UnknownName("upset", self.kind, KINDS, field="kind")
        if not (isfinite(self.start) and self.start >= 0):
            raise InputError("must be 0 s or later", field="start", value=f"{self.start:g} s")
        known = KINDS[self.kind].parameters
        for name, value in self.values.items():
            if name not in known:
                raise InputError(f'is no parameter of "{self.kind}"; it has {", ".join(known) or "none"}', field=name)
            one = known[name]
            if not one.low <= value <= one.high:
                raise InputError(f"is outside the allowed range {one.low:g} to {one.high:g} {one.unit}", field=name,
                                 value=f"{value:g} {one.unit}")

    def number(self, given: float | str) -> float:
        """A number, or the value of the parameter of that name."""
        if isinstance(given, str):
            return float(self.values.get(given, KINDS[self.kind].parameters[given].default))
        return given
