"""What liquid is wanted, and the one door through which it is loaded."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal

from wetpath.liquids.errors import UnusableLiquid
from wetpath.liquids.liquid import Liquid, LiquidLimits

if TYPE_CHECKING:
    from wetpath.liquids.chemical_database import Chosen
    from wetpath.liquids.table import PropertySource

Kind = Literal["reference equation", "chemical database", "mixture", "solution", "table"]
Basis = Literal["mole", "mass"]

#: The kinds of source, each with what to use instead when it lacks something.
_OTHER: dict[Kind, str] = {
    "reference equation": 'the source "chemical database"',
    "chemical database": 'the source "reference equation"',
    "mixture": 'a "table"', "solution": 'a "table"', "table": "another source"}


@dataclass(frozen=True)
class GivenProperties:
    """Properties the user was given, over temperature [K], SI; empty where not given, NaN for a gap.

    ``viscosity`` is dynamic [Pa s], ``kinematic_viscosity`` [m2/s]: give one. ``compressibility`` [1/Pa] is
    isothermal, one number; None means not given.
    """

    temperature: tuple[float, ...] = ()
    vapour_pressure: tuple[float, ...] = ()
    density: tuple[float, ...] = ()
    heat_capacity: tuple[float, ...] = ()
    viscosity: tuple[float, ...] = ()
    kinematic_viscosity: tuple[float, ...] = ()
    conductivity: tuple[float, ...] = ()
    compressibility: float | None = None
    molar_mass: float | None = None            # [kg/mol]; without it no latent heat
    origin: str = ""


@dataclass(frozen=True)
class LiquidSpecification:
    """Where the properties of a liquid are to come from.

    ``components`` are names or CAS numbers: one for a reference equation, a substance of the chemical
    database or a solution, several for a mixture. ``fractions`` are of the components of a mixture, or the
    one fraction of what is dissolved in a solution, by mass. ``given`` is the table of kind "table"; with the
    other kinds what it holds replaces what the source says: viscosity and conductivity with every kind, the
    vapour pressure with a solution, every property with the chemical database. ``limits`` as given by the
    user; a solidification temperature not given is that of the source.
    """

    kind: Kind
    components: tuple[str, ...] = ()
    fractions: tuple[float, ...] = ()
    basis: Basis = "mass"
    name: str = ""
    given: GivenProperties | None = None
    limits: LiquidLimits = field(default_factory=LiquidLimits)
    temperature_range: tuple[float, float] | None = None
    highest_excess_pressure: float = 10e6


def load_liquid(specification: LiquidSpecification, *, cache: bool = True) -> Liquid:
    """The liquid that is specified, from the cache of tables on disk or freshly built.

    Raises `UnknownLiquid`, `PropertyMissing` or `UnusableLiquid` with what to do.
    """
    from wetpath.liquids import store

    if cache:
        found = store.read(specification)
        if found is not None:
            return found
    liquid = _build(specification)
    if cache:
        store.write(specification, liquid)
    return liquid


def _build(specification: LiquidSpecification) -> Liquid:
    from wetpath.liquids.table import build_table

    source = _source(specification)
    asked = specification.temperature_range
    if asked is None and specification.kind == "table":
        asked = source.temperature_range
    table = build_table(source, highest_excess_pressure=specification.highest_excess_pressure,
                        temperature_range=asked, other_source=_OTHER[specification.kind])
    limits = specification.limits
    if limits.critical_temperature is None:
        limits = replace(limits, critical_temperature=source.critical_temperature)
    if limits.solidification is None:
        limits = replace(limits, solidification=source.solidification)
    return Liquid(name=specification.name or source.name, kind=specification.kind, origins=source.origins,
                  arrays=table.arrays, table_errors=table.errors, limits=limits, molar_mass=source.molar_mass,
                  cas_number=source.cas_number, warnings=tuple(source.warnings) + table.warnings)


def _source(specification: LiquidSpecification) -> PropertySource:
    from wetpath.liquids.given_table import replacements

    given: dict[str, Chosen] = {}
    doubts: list[str] = []
    if specification.given is not None and specification.kind != "table":
        given, doubts = replacements(specification.name or ", ".join(specification.components),
                                     specification.given)
    source = _chosen_source(specification, given)
    source.warnings.extend(doubts)
    return source


def _chosen_source(specification: LiquidSpecification, given: dict[str, Chosen]) -> PropertySource:
    from wetpath.liquids.given_table import Replaced, from_table

    source: PropertySource
    match specification.kind:
        case "reference equation":
            from wetpath.liquids.reference_equation import ReferenceEquation

            source = ReferenceEquation(_single(specification))
            return Replaced(source, given) if given else source
        case "solution":
            from wetpath.liquids.solution import solution

            if len(specification.fractions) != 1 or specification.basis != "mass":
                raise UnusableLiquid("needs one mass fraction, that of what is dissolved in the water.",
                                     field="liquid.fractions", value="",
                                     do="give it as a fraction of 1 by mass")
            pressure = given.pop("vapour pressure", None)
            source = solution(_single(specification), specification.fractions[0], vapour_pressure=pressure)
            return Replaced(source, given) if given else source
        case "chemical database":
            from wetpath.liquids.chemical_database import chemical

            return chemical(_single(specification), given)
        case "mixture":
            from wetpath.liquids.mixture import mixture

            return mixture(specification.components, specification.fractions, specification.basis,
                           given=given, label=specification.name)
        case "table":
            if specification.given is None:
                raise UnusableLiquid("is missing.", field="liquid.given",
                                     do="give the properties over temperature")
            return from_table(specification.name or "the liquid", specification.given)
    raise UnusableLiquid("is not a kind of property source.", field="liquid.source",
                         value=f'"{specification.kind}"',
                         do=f"use one of: {', '.join(_OTHER)}")


def _single(specification: LiquidSpecification) -> str:
    if len(specification.components) != 1:
        raise UnusableLiquid(f"takes one substance, {len(specification.components)} were given.",
                             field="liquid.components", value=", ".join(specification.components),
                             do='use source "mixture" for several substances')
    return specification.components[0]
