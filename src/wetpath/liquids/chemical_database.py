"""Pure liquids from the open data collections of the chemicals and thermo libraries."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.errors import nearest_names
from wetpath.liquids import table
from wetpath.liquids.curves import Curve, Curves, scalar_curve, splined, unknown
from wetpath.liquids.errors import PropertyMissing, UnknownLiquid, UnusableLiquid
from wetpath.liquids.liquid import PropertyOrigin
from wetpath.physics.published import published
from wetpath.words import told

Array = NDArray[np.float64]

DESCRIPTION = "chemical database (chemicals and thermo)"
_TOP = 0.93                     # of the critical temperature; the model of compression is published to 0.95
_ENOUGH = 0.7                   # a preferred method must cover this share of what the widest one covers

#: Methods by name in the library, best first: fits to reference equations, then collections of fits to
#: measurements.
_MEASURED = {
    "vapour pressure": ("IAPWS_PSAT", "HEOS_FIT", "WAGNER_MCGARRY", "WAGNER_POLING", "DIPPR_PERRY_8E",
                        "VDI_PPDS", "ANTOINE_POLING", "ANTOINE_WEBBOOK", "LANDOLT"),
    "volume": ("HEOS_FIT", "DIPPR_PERRY_8E", "VDI_PPDS", "RACKETTFIT", "HTCOSTALDFIT", "MMSNM0FIT"),
    "heat capacity": ("HEOS_FIT", "ZABRANSKY_QUASIPOLYNOMIAL_C", "ZABRANSKY_QUASIPOLYNOMIAL_SAT",
                      "ZABRANSKY_SPLINE_C", "ZABRANSKY_SPLINE_SAT", "WEBBOOK_SHOMATE", "JANAF"),
    "viscosity": ("REFPROP_FIT", "DIPPR_PERRY_8E", "VDI_PPDS", "VISWANATH_NATARAJAN_3", "DUTT_PRASAD",
                  "VISWANATH_NATARAJAN_2"),
    "conductivity": ("REFPROP_FIT", "Fit 2023", "DIPPR_PERRY_8E", "VDI_PPDS"),
    "latent heat": ("HEOS_FIT", "DIPPR_PERRY_8E", "VDI_PPDS"),
    "surface tension": ("IAPWS_SIGMA", "REFPROP_FIT", "Fit 2023", "VDI_PPDS", "SOMAYAJULU2", "JASPER")}
#: Estimates from the critical constants, used only where nothing measured is there, and said. None for the
#: vapour pressure, on which every margin stands, and the viscosity, where such estimates may be wrong by a
#: factor of ten.
_ESTIMATED: dict[str, tuple[str, ...]] = {
    "volume": ("HTCOSTALD",), "heat capacity": ("ROWLINSON_POLING",), "conductivity": ("SATO_RIEDEL",),
    "latent heat": ("MORGAN_KOBAYASHI",), "surface tension": ("BROCK_BIRD",)}
#: One measured value at 298.15 K that an estimated heat capacity is scaled to.
_MEASURED_AT_25 = ("CRCSTD", "POLING_CONST")
_NEEDED = ("vapour pressure", "volume", "heat capacity", "viscosity", "conductivity")


@dataclass(frozen=True)
class Chosen:
    """One property of one substance: the curve, where it holds, and which method it is."""

    curve: Curve
    low: float
    high: float
    method: str
    estimated: bool
    given: PropertyOrigin | None = None        # set where the user gave the curve
    expansion: Curve | None = None             # a smoothed curve to differentiate, of a given density or its volume


@dataclass(frozen=True)
class Substance:
    """What the database holds of one substance, per kilogram; ``chosen`` by property name."""

    name: str
    cas_number: str
    molar_mass: float                          # [kg/mol]
    melting_temperature: float | None
    critical_temperature: float
    critical_pressure: float | None
    critical_volume: float | None              # [m3/mol]
    acentric_factor: float | None
    chosen: dict[str, Chosen]

    @property
    def temperature_range(self) -> tuple[float, float]:
        """Where all needed properties hold."""
        low = max(self.chosen[name].low for name in _NEEDED)
        high = min(self.chosen[name].high for name in _NEEDED)
        return low, high

    def compression(self, temperature: Array, saturation: Array, pressure: Array) -> Array:
        """Volume against that of the saturated liquid (Thomson, Brobst and Hankinson 1982)."""
        if self.critical_pressure is None or self.acentric_factor is None:
            return np.ones(np.broadcast(temperature, saturation, pressure).shape)
        return compressed_volume_ratio(temperature, saturation, pressure, self.critical_temperature,
                                       self.critical_pressure, self.acentric_factor)

    def steep(self, temperature: Array) -> Array:
        """Factor [Pa^-a] and power a of the term in `thickening` that starts with an infinite slope: (2, n)."""
        if self.critical_pressure is None or self.acentric_factor is None:
            return table.no_steep_term(temperature)
        factor, power = steep_viscosity_term(temperature, self.critical_temperature)
        return np.stack([factor * self.critical_pressure**-power, power])

    def thickening(self, temperature: Array, saturation: Array, pressure: Array) -> Array:
        """Viscosity against that of the saturated liquid (Lucas 1981)."""
        if self.critical_pressure is None or self.acentric_factor is None:
            return np.ones(np.broadcast(temperature, saturation, pressure).shape)
        return compressed_viscosity_ratio(temperature, saturation, pressure, self.critical_temperature,
                                          self.critical_pressure, self.acentric_factor)


@published("thomson-brobst-hankinson-1982", status="recalled")
def compressed_volume_ratio(temperature: Array, saturation: Array, pressure: Array,
                            critical_temperature: float, critical_pressure: float,
                            acentric_factor: float) -> Array:
    """Volume of a compressed liquid over its saturated volume, ``1 - C ln((B + p)/(B + p_sat))``.

    Published up to 0.95 of the critical temperature (Thomson, Brobst, Hankinson, AIChE J. 28 (1982) 671).
    """
    away = np.maximum(1.0 - temperature / critical_temperature, 0.0)
    e = np.exp(4.79594 + acentric_factor * (0.250047 + acentric_factor * 1.14188))
    stiffness = critical_pressure * (-1.0 - 9.070217 * away ** (1 / 3) + 62.45326 * away ** (2 / 3)
                                     - 135.1102 * away + e * away ** (4 / 3))
    softness = 0.0861488 + 0.0344483 * acentric_factor
    return np.asarray(1.0 - softness * np.log((stiffness + pressure) / (stiffness + saturation)))


@published("lucas-1981", status="recalled")
def steep_viscosity_term(temperature: Array, critical_temperature: float) -> tuple[Array, Array]:
    """``D / 2.118^A`` and A of the formula of Lucas (1981), see `compressed_viscosity_ratio`; A is below 1."""
    reduced = _reduced(temperature, critical_temperature)
    d = 0.3257 / (1.0039 - reduced**2.573) ** 0.2906 - 0.2086
    a = 0.9991 - 4.674e-4 / (1.0523 * reduced**-0.03877 - 1.0513)
    return np.asarray(d * 2.118**-a), np.asarray(a)


@published("lucas-1981", status="recalled")
def compressed_viscosity_ratio(temperature: Array, saturation: Array, pressure: Array,
                               critical_temperature: float, critical_pressure: float,
                               acentric_factor: float) -> Array:
    """Viscosity of a compressed liquid over its saturated viscosity.

    Lucas, Chem. Ing. Tech. 53 (1981) 959, as in Poling, Prausnitz, O'Connell (5th ed.) 9-9.1, for reduced
    temperatures 0.4 to 1; held at those of 0.4 below.
    """
    reduced = _reduced(temperature, critical_temperature)
    above = np.maximum((pressure - saturation) / critical_pressure, 0.0)
    c = (-0.07921 + reduced * (2.1616 + reduced * (-13.4040 + reduced * (44.1706 + reduced * (
        -84.8291 + reduced * (96.1209 + reduced * (-59.8127 + reduced * 15.6719)))))))
    factor, power = steep_viscosity_term(temperature, critical_temperature)
    return np.asarray((1.0 + factor * above**power) / (1.0 + c * acentric_factor * above))


def _reduced(temperature: Array, critical_temperature: float) -> Array:
    return np.clip(temperature / critical_temperature, 0.4, 0.98)


def chemical(name: str, given: dict[str, Chosen] | None = None) -> Curves:
    """Property source of one substance of the database, by name or CAS number.

    ``given`` replaces the properties it names, or fills in missing ones.
    """
    substance = find_substance(name, given)
    low, high = substance.temperature_range
    if high - low < 20.0:
        ranges = "; ".join(f"{property_} {item.low:.0f} to {item.high:.0f} K ({item.method})"
                           for property_, item in substance.chosen.items() if property_ in _NEEDED)
        raise UnusableLiquid("has no common range of temperature for its properties.",
                             field="liquid", value=f'"{name}"', why=ranges,
                             do='give a table (source "table")')
    chosen = substance.chosen
    return Curves(
        name=substance.name, description=DESCRIPTION, temperature_range=(low, high),
        origins=origins(substance),
        volume=_fast(chosen["volume"], low, high), expansion=chosen["volume"].expansion,
        heat_capacity=_fast(chosen["heat capacity"], low, high),
        viscosity=_fast(chosen["viscosity"], low, high),
        conductivity=_fast(chosen["conductivity"], low, high),
        vapour_pressure=_fast(chosen["vapour pressure"], low, high),
        latent_heat=_optional(chosen, "latent heat", low, high),
        surface_tension=_optional(chosen, "surface tension", low, high), compression=substance.compression,
        thickening=substance.thickening, steep=substance.steep, molar_mass=substance.molar_mass,
        cas_number=substance.cas_number, critical_temperature=substance.critical_temperature,
        solidification=substance.melting_temperature,
        warnings=cautions(substance))


def origins(substance: Substance) -> dict[str, PropertyOrigin]:
    """Which method each property of a substance comes from."""
    import chemicals

    found = {}
    for name, item in substance.chosen.items():
        kind = "estimated from critical constants by" if item.estimated else "method"
        if item.given is not None:
            found["density" if name == "volume" else name] = item.given
            continue
        found["density" if name == "volume" else name] = PropertyOrigin(
            f"{kind} {item.method} of the chemicals {chemicals.__version__} library", "chemicals-library",
            "computed")
    return found


def cautions(substance: Substance) -> list[str]:
    """What the user must know about the data of a substance."""
    found = [told("The {property} of {substance} is an estimate from its critical constants ({method}), not a fit to "
                  "measurements.", property="density" if name == "volume" else name, substance=substance.name,
                  method=item.method)
             for name, item in substance.chosen.items() if item.estimated]
    if substance.critical_pressure is None or substance.acentric_factor is None:
        found.append(told("{substance} is taken as incompressible: its critical pressure or acentric factor is "
                          "unknown.", substance=substance.name))
    return found


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep from the user what the libraries warn each other about: outdated calls, files left open."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        warnings.simplefilter("ignore", FutureWarning)
        warnings.simplefilter("ignore", ResourceWarning)
        yield


@_quiet()
def find_substance(name: str, given: dict[str, Chosen] | None = None) -> Substance:
    """Everything needed of one substance; raises `UnknownLiquid` or `PropertyMissing`."""
    import chemicals
    import thermo

    cas_number = _cas_number(name)
    critical_temperature = chemicals.Tc(cas_number)
    if critical_temperature is None:
        raise PropertyMissing(name, DESCRIPTION, ("critical temperature",),
                              do='give a table (source "table")')
    molar_mass = chemicals.MW(cas_number) * 1e-3
    melting = chemicals.Tm(cas_number)
    constants: dict[str, Any] = {
        "CASRN": cas_number, "Tc": critical_temperature, "Pc": chemicals.Pc(cas_number),
        "omega": chemicals.omega(cas_number), "Tb": chemicals.Tb(cas_number), "Tm": melting,
        "Vc": chemicals.Vc(cas_number), "MW": molar_mass * 1e3}
    gas = thermo.HeatCapacityGas(CASRN=cas_number, MW=constants["MW"])

    def having(kind: Any, names: str, **more: Any) -> Any:
        return kind(**{key: constants[key] for key in ("CASRN", *names.split())}, **more)

    models = {
        "vapour pressure": (having(thermo.VaporPressure, "Tb Tc Pc omega"), 1.0),
        "volume": (having(thermo.VolumeLiquid, "MW Tb Tc Pc Vc omega"), 1.0 / molar_mass),
        "heat capacity": (having(thermo.HeatCapacityLiquid, "MW Tc omega", Cpgm=gas), 1.0 / molar_mass),
        "viscosity": (having(thermo.ViscosityLiquid, "MW Tm Tc Pc Vc omega"), 1.0),
        "conductivity": (having(thermo.ThermalConductivityLiquid, "MW Tm Tb Tc Pc omega"), 1.0),
        "latent heat": (having(thermo.EnthalpyVaporization, "Tb Tc Pc omega"), 1.0 / molar_mass),
        "surface tension": (having(thermo.SurfaceTension, "MW Tb Tc Pc Vc omega"), 1.0)}
    span = (melting or 0.3 * critical_temperature, _TOP * critical_temperature)
    chosen = {}
    for property_, (model, factor) in models.items():
        item = _choose(property_, model, factor, span)
        if item is not None:
            chosen[property_] = item
    given = dict(given or {})
    if "density" in given:
        density = given.pop("density")
        chosen["volume"] = replace(density, curve=partial(_inverse, density.curve),
                                   expansion=density.expansion and partial(_inverse, density.expansion))
    chosen.update(given)
    missing = tuple("density" if property_ == "volume" else property_ for property_ in _NEEDED
                    if property_ not in chosen)
    if missing:
        raise PropertyMissing(name, DESCRIPTION, missing, do='give a table (source "table")')
    return Substance(_label(name, cas_number), cas_number, molar_mass, melting, critical_temperature,
                     constants["Pc"], constants["Vc"], constants["omega"], chosen)


def _choose(property_: str, model: Any, factor: float, span: tuple[float, float]) -> Chosen | None:
    """The best method that covers enough of the span and behaves as the property must."""
    for methods, estimated in ((_MEASURED[property_], False), (_ESTIMATED.get(property_, ()), True)):
        found = []
        for method in methods:
            if method not in model.all_methods:
                continue
            limits = model.T_limits[method]
            low, high = max(span[0], limits[0]), min(span[1], limits[1])
            curve = scalar_curve(partial(_value, model, method, factor))
            said = method
            if estimated and property_ == "heat capacity":
                curve, said = _scaled_to_measurement(model, method, curve, factor)
            if high - low > 20.0:
                low, high = _unbroken(curve, low, high)
            if high - low > 20.0 and _behaves(property_, curve(np.linspace(low, high, 25))):
                found.append(Chosen(curve, low, high, said, estimated))
        if found:
            widest = max(item.high - item.low for item in found)
            return next(item for item in found if item.high - item.low >= _ENOUGH * widest)
    return None


def _scaled_to_measurement(model: Any, method: str, curve: Curve, factor: float) -> tuple[Curve, str]:
    """An estimated curve scaled to the measured value at 298.15 K, where there is one."""
    for measured in _MEASURED_AT_25:
        if measured in model.all_methods:
            scale = _value(model, measured, factor, 298.15) / float(curve(np.array(298.15)))
            if np.isfinite(scale):
                return partial(_scaled, curve, scale), f"{method} scaled to {measured} at 298.15 K"
    return curve, method


def _inverse(curve: Curve, temperatures: Array) -> Array:
    return 1.0 / curve(temperatures)


def _scaled(curve: Curve, scale: float, temperatures: Array) -> Array:
    return scale * curve(temperatures)


def _value(model: Any, method: str, factor: float, temperature: float) -> float:
    try:
        value = model.calculate(temperature, method)
    except (ValueError, TypeError, ZeroDivisionError, OverflowError):
        return float("nan")
    return float(value) * factor if isinstance(value, float) else float("nan")


def _unbroken(curve: Curve, low: float, high: float) -> tuple[float, float]:
    """The longest part of a span in which a curve does not jump: no step is beyond twice its neighbours."""
    temperatures = np.linspace(low, high, 201)
    values = curve(temperatures)
    if not (np.isfinite(values).all() and (values > 0.0).all()):
        return low, high
    steps = np.abs(np.diff(np.log(values)))
    jumps = 2 + np.flatnonzero(steps[1:-1] > 0.02 + 2.0 * np.maximum(steps[:-2], steps[2:]))
    ends = np.array([0, *jumps, values.size])           # jump k lies before point k
    longest = int(np.argmax(np.diff(ends)))
    return float(temperatures[ends[longest]]), float(temperatures[ends[longest + 1] - 1])


def _behaves(property_: str, values: Array) -> bool:
    """Whether a curve over rising temperature is finite, positive and runs the way this property must."""
    if not (np.isfinite(values).all() and (values > 0.0).all()):
        return False
    steps = np.diff(values)
    if property_ == "vapour pressure":
        return bool((steps > 0.0).all())
    if property_ in ("viscosity", "latent heat", "surface tension"):
        return bool((steps < 0.0).all())
    if property_ == "volume":
        return bool((steps > -1e-3 * values[1:]).all())        # water shrinks a little up to 4 degC
    return bool(values.max() < 10.0 * values.min())


def _fast(item: Chosen, low: float, high: float) -> Curve:
    return splined(item.curve, low, high, logarithmic=True)


def _optional(chosen: dict[str, Chosen], property_: str, low: float, high: float) -> Curve:
    item = chosen.get(property_)
    if item is None or item.low > low or item.high < high:
        return unknown
    return _fast(item, low, high)


def _cas_number(name: str) -> str:
    import chemicals

    try:
        return str(chemicals.CAS_from_any(name))
    except ValueError:
        raise UnknownLiquid("substance of the chemical database", name, _alike(name),
                            field="liquid.components",
                            do="use its CAS number, or give a table of its properties") from None


def _label(name: str, cas_number: str) -> str:
    """The name as given; for a number the common name."""
    if not name.replace("-", "").isdigit():
        return name
    from chemicals.identifiers import search_chemical

    return str(search_chemical(cas_number).common_name)


@_quiet()
def _alike(name: str) -> tuple[str, ...]:
    """Names of the database like this one; of its many names only those that begin alike are looked at."""
    from chemicals.identifiers import get_pubchem_db

    wanted = name.strip().casefold()
    candidates = [known for known in get_pubchem_db().name_index
                  if known[:2] == wanted[:2] and abs(len(known) - len(wanted)) <= 3]
    return nearest_names(wanted, candidates)
