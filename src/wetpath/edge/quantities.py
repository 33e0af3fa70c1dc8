"""The kinds of quantity a user can type, each with its units and the digits it is shown with."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from wetpath.physics.constants import STANDARD_ATMOSPHERE, STANDARD_GRAVITY, ZERO_CELSIUS

# Exact by definition (yard and pound of 1959, US gallon of 231 cubic inches, Imperial gallon of 1985,
# international steam table Btu and calorie).
INCH = 0.0254
FOOT = 0.3048
POUND = 0.45359237
POUND_FORCE = POUND * STANDARD_GRAVITY
US_GALLON = 231 * INCH**3
IMPERIAL_GALLON = 4.54609e-3
BTU = 1055.05585262
CALORIE = 4.1868
RANKINE = 5 / 9


@dataclass(frozen=True)
class Unit:
    """One unit of a kind: ``SI value = number * factor + offset``; 3 digits where no decimals are given."""

    name: str                        # as it is typed, ASCII
    factor: float
    sign: str | None = None          # as it is printed, when that differs from the name
    decimals: int | None = None
    offset: float = 0.0
    spellings: tuple[str, ...] = ()

    @property
    def printed(self) -> str:
        """The unit as it is printed."""
        return self.name if self.sign is None else self.sign


@dataclass(frozen=True, repr=False)
class Kind:
    """A kind of quantity: what its numbers measure, the units it is typed in, its physical bounds in SI."""

    name: str
    units: tuple[Unit, ...]          # the first is the SI unit
    metric: str
    us: str
    example: str
    above: float | None = None       # the value must be above this
    lower: float | None = None       # the value must be at least this
    too_high: str = "is too large"
    too_low: str = "is too small"

    @property
    def si(self) -> Unit:
        """The SI unit, in which the program computes."""
        return self.units[0]

    def __repr__(self) -> str:
        return f"<kind: {self.name}>"


def _u(name: str, factor: float, sign: str | None = None, decimals: int | None = None, also: str = "",
       offset: float = 0.0) -> Unit:
    return Unit(name, factor, sign, decimals, offset, tuple(also.split("|")) if also else ())


_PRESSURE_UNITS = (
    _u("Pa", 1.0, decimals=0),
    _u("bar", 1e5, decimals=2, also="Bar|BAR"),
    _u("mbar", 100.0, decimals=1),
    _u("hPa", 100.0, decimals=1),
    _u("kPa", 1e3, decimals=0),
    _u("MPa", 1e6, decimals=3),
    _u("psi", POUND_FORCE / INCH**2, decimals=1, also="PSI|lbf/in2"),
    _u("atm", STANDARD_ATMOSPHERE, decimals=3),
    _u("kgf/cm2", STANDARD_GRAVITY * 1e4, "kgf/cm²", 2, "kg/cm2"),
    _u("torr", STANDARD_ATMOSPHERE / 760, decimals=1, also="Torr"),
    _u("mmHg", 133.322387415, "mmHg", 1),
    _u("inHg", 25.4 * 133.322387415, decimals=2),
)
_LENGTH_UNITS = (
    _u("m", 1.0),
    _u("mm", 1e-3),
    _u("um", 1e-6, "µm", also="micron"),
    _u("cm", 1e-2),
    _u("km", 1e3),
    _u("in", INCH, also='inch|inches|"'),
    _u("ft", FOOT, also="foot|feet"),
    _u("mil", INCH / 1000, also="thou"),
)

VOLUME_FLOW = Kind("volume flow", (
    _u("m3/s", 1.0, "m³/s", also="cumec"),
    _u("m3/h", 1 / 3600, "m³/h", also="m3/hr|cbm/h"),
    _u("m3/min", 1 / 60, "m³/min"),
    _u("m3/d", 1 / 86400, "m³/d", also="m3/day"),
    _u("l/s", 1e-3, also="L/s"),
    _u("l/min", 1e-3 / 60, also="L/min|lpm"),
    _u("l/h", 1e-3 / 3600, also="L/h"),
    _u("gpm", US_GALLON / 60, also="GPM|USgpm|usgpm|USGPM|gal/min|USgal/min|gpmUS"),
    _u("imp gpm", IMPERIAL_GALLON / 60, also="imperialgpm|Imperialgpm|Impgpm|UKgpm|impgal/min|gpmimperial"),
    _u("ft3/s", FOOT**3, "ft³/s", also="cfs"),
    _u("ft3/min", FOOT**3 / 60, "ft³/min", also="cfm"),
    _u("bbl/d", 42 * US_GALLON / 86400, also="bpd|bbl/day"),
), "m3/h", "gpm", "45 m3/h")

MASS_FLOW = Kind("mass flow", (
    _u("kg/s", 1.0),
    _u("kg/h", 1 / 3600, also="kg/hr"),
    _u("kg/min", 1 / 60),
    _u("g/s", 1e-3),
    _u("t/h", 1000 / 3600),
    _u("lb/h", POUND / 3600, also="lb/hr|lbm/h|pph"),
    _u("lb/min", POUND / 60),
    _u("lb/s", POUND),
), "kg/h", "lb/h", "1200 kg/h")

HEAD = Kind("head", (
    _u("m", 1.0, decimals=1), _u("ft", FOOT, decimals=1, also="foot|feet")), "m", "ft", "54 m",
            too_high="is too high", too_low="is too low")
LENGTH = Kind("length", _LENGTH_UNITS, "mm", "in", "12 mm")
ELEVATION = Kind("elevation", (
    _u("m", 1.0, decimals=0), _u("ft", FOOT, decimals=0, also="foot|feet")), "m", "ft", "50 m")
ROUGHNESS = Kind("roughness", _LENGTH_UNITS, "um", "mil", "3.2 um", lower=0.0)
AREA = Kind("area", (
    _u("m2", 1.0, "m²"), _u("mm2", 1e-6, "mm²"), _u("cm2", 1e-4, "cm²"),
    _u("in2", INCH**2, "in²", also="sqin"), _u("ft2", FOOT**2, "ft²", also="sqft"),
), "mm2", "in2", "50 mm2", lower=0.0)
SURFACE = Kind("surface", (
    _u("m2", 1.0, "m²"), _u("ft2", FOOT**2, "ft²", also="sqft")), "m2", "ft2", "2 m2", lower=0.0)
VOLUME = Kind("volume", (
    _u("m3", 1.0, "m³"), _u("l", 1e-3, also="L|litre|liter"), _u("ml", 1e-6, also="mL|cm3"),
    _u("mm3", 1e-9, "mm³"),
    _u("in3", INCH**3, "in³"), _u("ft3", FOOT**3, "ft³"), _u("gal", US_GALLON, also="USgal"),
    _u("imp gal", IMPERIAL_GALLON, also="imperialgal|UKgal"),
), "l", "gal", "1.4 l", lower=0.0)
ROTATIONAL_SPEED = Kind("rotational speed", (
    _u("rad/s", 1.0), _u("rpm", 2 * pi / 60, decimals=0, also="RPM|r/min|1/min|min-1|rev/min|/min"),
), "rpm", "rpm", "2950 rpm", too_high="is too high", too_low="is too low")
TEMPERATURE = Kind("temperature", (
    _u("K", 1.0, decimals=1, also="kelvin"),
    _u("degC", 1.0, "°C", 1, "°C|C|celsius", ZERO_CELSIUS),
    _u("degF", RANKINE, "°F", 1, "°F|F|fahrenheit", ZERO_CELSIUS - 32 * RANKINE),
    _u("degR", RANKINE, "°R", 1, "°R"),
), "degC", "degF", "80 degC", above=0.0, too_high="is too high", too_low="is too low")
TEMPERATURE_DIFFERENCE = Kind("temperature difference", (
    _u("K", 1.0, decimals=1, also="degC|°C|C|kelvin"), _u("degF", RANKINE, "°F", 1, "°F|F|degR|°R"),
), "K", "degF", "5 K")
PRESSURE = Kind("pressure", _PRESSURE_UNITS, "bar", "psi", "1.2 bar a", above=0.0,
                too_high="is too high", too_low="is too low")
PRESSURE_DIFFERENCE = Kind("pressure difference", _PRESSURE_UNITS, "bar", "psi", "0.3 bar")
STRESS = Kind("stress", (
    _u("Pa", 1.0), _u("MPa", 1e6, also="N/mm2"), _u("kPa", 1e3), _u("GPa", 1e9, also="kN/mm2"),
    _u("bar", 1e5),
    _u("psi", POUND_FORCE / INCH**2), _u("ksi", 1000 * POUND_FORCE / INCH**2),
), "MPa", "ksi", "138 MPa")
LOAD_TIMES_SPEED = Kind("load times speed", (
    _u("Pa m/s", 1.0, "Pa·m/s"), _u("MPa m/s", 1e6, "MPa·m/s", also="N/mm2m/s|W/mm2"),
    _u("psi ft/min", POUND_FORCE / INCH**2 * FOOT / 60, "psi·ft/min", 0, "psift/min|psifpm"),
), "MPa m/s", "psi ft/min", "2 MPa m/s", lower=0.0)
POWER = Kind("power", (
    _u("W", 1.0, decimals=0), _u("kW", 1e3, decimals=1, also="kw|KW"), _u("MW", 1e6, decimals=3),
    _u("hp", 550 * FOOT * POUND_FORCE, decimals=1, also="HP"),
    _u("BTU/h", BTU / 3600, decimals=0, also="BTU/hr|Btu/h"),
), "kW", "hp", "15 kW")
CURRENT = Kind("electric current", (_u("A", 1.0, decimals=1), _u("mA", 1e-3), _u("kA", 1e3)), "A", "A", "25 A",
               lower=0.0)
TORQUE = Kind("torque", (
    _u("N m", 1.0, "N·m"), _u("kN m", 1e3, "kN·m"),
    _u("lbf ft", POUND_FORCE * FOOT, "lbf·ft", also="ftlbf|ftlb|lbft"),
    _u("lbf in", POUND_FORCE * INCH, "lbf·in", also="inlbf|inlb|lbin"),
), "N m", "lbf ft", "120 N m")
FORCE = Kind("force", (_u("N", 1.0), _u("kN", 1e3), _u("lbf", POUND_FORCE)), "N", "lbf", "400 N")
DENSITY = Kind("density", (
    _u("kg/m3", 1.0, "kg/m³", 1), _u("g/cm3", 1e3, "g/cm³", 4, "g/ml|g/mL"),
    _u("kg/l", 1e3, decimals=4, also="kg/L|kg/dm3"),
    _u("lb/ft3", POUND / FOOT**3, "lb/ft³", 2, "lbm/ft3"), _u("lb/gal", POUND / US_GALLON, decimals=3),
), "kg/m3", "lb/ft3", "870 kg/m3", above=0.0)
DYNAMIC_VISCOSITY = Kind("dynamic viscosity", (
    _u("Pa s", 1.0, "Pa·s"), _u("mPa s", 1e-3, "mPa·s"), _u("uPa s", 1e-6, "µPa·s"),
    _u("cP", 1e-3, also="cp|cps"),
    _u("P", 0.1, also="poise"), _u("kg/(m s)", 1.0, "kg/(m·s)", also="kg/m/s"),
), "mPa s", "cP", "0.6 mPa s", above=0.0)
KINEMATIC_VISCOSITY = Kind("kinematic viscosity", (
    _u("m2/s", 1.0, "m²/s"), _u("mm2/s", 1e-6, "mm²/s"), _u("cSt", 1e-6, also="cst|CST"), _u("St", 1e-4),
    _u("ft2/s", FOOT**2, "ft²/s"),
), "mm2/s", "cSt", "12 mm2/s", above=0.0)
SPECIFIC_HEAT = Kind(
    "specific heat",
    (
        _u("J/(kg K)", 1.0, "J/(kg·K)", 0, "J/kg/K|J/kgdegC|J/kg°C"),
        _u("kJ/(kg K)", 1e3, "kJ/(kg·K)", 3, "kJ/kg/K|kJ/kgdegC|kJ/kg°C|J/gK|J/g/K"),
        _u(
            "BTU/(lb degF)",
            BTU / (POUND * RANKINE),
            "BTU/(lb·°F)",
            3,
            "BTU/lb/degF|BTU/lb/F|BTU/lb°F|BTU/lbF|Btu/lbF|Btu/lbdegF",
        ),
        _u("kcal/(kg K)", 1000 * CALORIE, "kcal/(kg·K)", 3, "kcal/kg/K|kcal/kgdegC|cal/gK|cal/gdegC"),
    ),
    "kJ/(kg K)",
    "BTU/(lb degF)",
    "2.1 kJ/(kg K)",
    above=0.0,
)
THERMAL_CONDUCTIVITY = Kind(
    "thermal conductivity",
    (
        _u("W/(m K)", 1.0, "W/(m·K)", also="W/m/K|W/mdegC|W/m°C"),
        _u("mW/(m K)", 1e-3, "mW/(m·K)", also="mW/m/K"),
        _u(
            "BTU/(h ft degF)",
            BTU / (3600 * FOOT * RANKINE),
            "BTU/(h·ft·°F)",
            also="BTU/hft°F|BTU/hftF|BTU/hrftF|BTU/hrftdegF",
        ),
    ),
    "W/(m K)",
    "BTU/(h ft degF)",
    "0.14 W/(m K)",
    above=0.0,
)
HEAT_TRANSFER_COEFFICIENT = Kind(
    "heat transfer coefficient",
    (
        _u("W/(m2 K)", 1.0, "W/(m²·K)", also="W/m2/K|W/m2degC|W/m2°C"),
        _u("kW/(m2 K)", 1e3, "kW/(m²·K)", also="kW/m2/K"),
        _u(
            "BTU/(h ft2 degF)",
            BTU / (3600 * FOOT**2 * RANKINE),
            "BTU/(h·ft²·°F)",
            also="BTU/hft2°F|BTU/hft2F|BTU/hrft2F|BTU/hrft2degF",
        ),
    ),
    "W/(m2 K)",
    "BTU/(h ft2 degF)",
    "800 W/(m2 K)",
    lower=0.0,
)
RESISTIVITY = Kind("resistivity", (
    _u("ohm m", 1.0, "Ω·m", also="Ωm|ohmm"), _u("uohm m", 1e-6, "µΩ·m", also="μΩm|microohmm"),
    _u("uohm cm", 1e-8, "µΩ·cm", also="μΩcm|microohmcm"), _u("ohm mm2/m", 1e-6, "Ω·mm²/m", also="Ωmm2/m"),
), "uohm m", "uohm m", "1.30 uohm m", above=0.0)
FLUX_DENSITY = Kind("flux density", (
    _u("T", 1.0, also="tesla"), _u("mT", 1e-3), _u("G", 1e-4, also="gauss"), _u("kG", 0.1)),
                    "T", "T", "1.05 T")
FIELD_STRENGTH = Kind("field strength", (
    _u("A/m", 1.0), _u("kA/m", 1e3), _u("Oe", 1000 / (4 * pi)), _u("kOe", 1e6 / (4 * pi)),
), "kA/m", "kA/m", "1600 kA/m")
ANGLE = Kind("angle", (
    _u("rad", 1.0), _u("deg", pi / 180, "°", 1, "°|degree|degrees")), "deg", "deg", "30 deg")
TIME = Kind("time", (
    _u("s", 1.0, also="sec"), _u("ms", 1e-3), _u("min", 60.0), _u("h", 3600.0, also="hr|hours"),
    _u("d", 86400.0, also="day|days"),
), "s", "s", "12 s")
LIFE = Kind("life", (
    _u("s", 1.0, also="sec"), _u("h", 3600.0, decimals=0, also="hr|hours"), _u("d", 86400.0, also="day|days"),
), "h", "h", "25000 h", lower=0.0)
MASS = Kind("mass", (
    _u("kg", 1.0), _u("g", 1e-3), _u("t", 1e3),
    _u("lb", POUND, also="lbm|lbs")), "kg", "lb", "2.4 kg", lower=0.0)
INERTIA = Kind("moment of inertia", (
    _u("kg m2", 1.0, "kg·m²"), _u("lb ft2", POUND * FOOT**2, "lb·ft²"),
    _u("lb in2", POUND * INCH**2, "lb·in²"),
), "kg m2", "lb ft2", "0.020 kg m2", lower=0.0)
RATIO = Kind("ratio", (
    _u("1", 1.0, ""), _u("%", 0.01, also="percent|pct"), _u("ppm", 1e-6)), "%", "%", "12 %")
PER_KELVIN = Kind("change per kelvin", (
    _u("1/K", 1.0, also="/K|K-1|1/degC|1/°C"), _u("%/K", 0.01, also="%/degC|%/°C"),
    _u("ppm/K", 1e-6, also="ppm/degC"),
    _u("1/degF", 1 / RANKINE, "1/°F"), _u("%/degF", 0.01 / RANKINE, "%/°F"),
), "%/K", "%/degF", "-0.04 %/K")
VELOCITY = Kind("velocity", (
    _u("m/s", 1.0, decimals=2), _u("mm/s", 1e-3, decimals=1), _u("m/min", 1 / 60), _u("km/h", 1 / 3.6),
    _u("ft/s", FOOT, decimals=1, also="fps"),
    _u("in/s", INCH, decimals=2),
), "m/s", "ft/s", "2.5 m/s")
SPECIFIC_ENERGY = Kind("specific energy", (
    _u("J/kg", 1.0, decimals=0), _u("kJ/kg", 1e3, decimals=1, also="J/g"),
    _u("BTU/lb", BTU / POUND, decimals=1, also="Btu/lb"),
), "kJ/kg", "BTU/lb", "320 kJ/kg")

KINDS: dict[str, Kind] = {kind.name: kind for kind in list(globals().values()) if isinstance(kind, Kind)}

# Shown, never typed: a number that customs leave without its unit, as a specific speed.
NUMBER = Kind("number", (_u("1", 1.0, ""),), "1", "1", "12")
