"""The liquid as a file describes it: one of the property sources, and the temperatures it must not reach."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from wetpath.edge.fields import (
    DensityList,
    PressureList,
    Ratio,
    RatioList,
    SpecificHeatList,
    Stress,
    Temperature,
    TemperatureList,
    ThermalConductivityList,
    ViscosityList,
)
from wetpath.edge.files import Document
from wetpath.edge.part import Part, drawing, rule
from wetpath.edge.quantities import KINEMATIC_VISCOSITY
from wetpath.liquids.liquid import LiquidLimits
from wetpath.liquids.specification import GivenProperties, LiquidSpecification


class GivenTable(Part):
    """Properties over temperature as the user was given them."""

    temperature: TemperatureList = drawing("temperatures of the rows, rising", examples=["20 40 60 80 degC"])
    vapour_pressure: PressureList = drawing("vapour pressure, of a mixture its bubble pressure",
                                            default=(), examples=["4 10 22 45 mbar a"])
    density: DensityList = drawing("density of the liquid", default=(), above=0)
    heat_capacity: SpecificHeatList = drawing("specific heat capacity", default=(), above=0)
    viscosity: ViscosityList | None = drawing("viscosity, dynamic (cP) or kinematic (cSt)", default=None)
    conductivity: ThermalConductivityList = drawing("thermal conductivity", default=(), above=0)
    bulk_modulus: Stress | None = drawing("isothermal bulk modulus; without it the liquid is taken as incompressible",
                                          default=None, above=0, examples=["1200 MPa"])
    molar_mass: float | None = drawing("molar mass in g/mol; with the vapour pressure it gives the latent heat",
                                       default=None, above=1, upper=1000)
    origin: str = drawing("where the table comes from, as reports print it", default="")

    @rule
    def rows_match(self) -> None:
        """Every property has one value for every temperature."""
        for field in ("vapour_pressure", "density", "heat_capacity", "conductivity"):
            count = len(getattr(self, field))
            if count not in (0, len(self.temperature)):
                raise self.refuse(field, f"has {count} values; allowed: {len(self.temperature)}, one per temperature",
                                  do="give one value for every temperature, or leave the property out")
        if self.viscosity is not None and len(self.viscosity.values) != len(self.temperature):
            count = len(self.viscosity.values)
            raise self.refuse("viscosity", f"has {count} values; allowed: {len(self.temperature)}, one per temperature",
                              do="give one value for every temperature")

    def properties(self) -> GivenProperties:
        """The same table for the liquids package."""
        dynamic: tuple[float, ...] = ()
        kinematic: tuple[float, ...] = ()
        if self.viscosity is not None:
            if self.viscosity.kind == KINEMATIC_VISCOSITY:
                kinematic = self.viscosity.values
            else:
                dynamic = self.viscosity.values
        return GivenProperties(
            temperature=self.temperature, vapour_pressure=self.vapour_pressure, density=self.density,
            heat_capacity=self.heat_capacity, viscosity=dynamic, kinematic_viscosity=kinematic,
            conductivity=self.conductivity, compressibility=1 / self.bulk_modulus if self.bulk_modulus else None,
            molar_mass=self.molar_mass / 1000 if self.molar_mass else None, origin=self.origin)


class Limits(Part):
    """Temperatures the liquid must not reach."""

    solidification: Temperature | None = drawing("temperature at which it freezes", default=None)
    crystallisation: Temperature | None = drawing("temperature at which crystals or wax appear", default=None)
    decomposition: Temperature | None = drawing("onset of decomposition", default=None)
    polymerisation: Temperature | None = drawing("onset of polymerisation", default=None)
    autoignition: Temperature | None = drawing("autoignition temperature", default=None)


class _Entry(Part):
    name: str = drawing("what reports call the liquid", default="")
    limits: Limits = Limits()
    given: GivenTable | None = drawing("own table; besides another source its properties replace those of the source",
                                       default=None)

    def specification(self) -> LiquidSpecification:
        """What the liquids package is asked for."""
        raise NotImplementedError

    def _specification(self, kind: str, components: tuple[str, ...] = (), fractions: tuple[float, ...] = (),
                       basis: str = "mass") -> LiquidSpecification:
        limits = LiquidLimits(**{name: getattr(self.limits, name) for name in Limits.model_fields})
        return LiquidSpecification(kind=kind, components=components, fractions=fractions, basis=basis,  # type: ignore[arg-type]
                                   name=self.name, given=self.given.properties() if self.given else None,
                                   limits=limits)


class ReferenceEquationEntry(_Entry):
    """Pure substance with a reference equation of state."""

    source: Literal["reference equation"]
    substance: str = drawing("name of the substance", examples=["propane"])

    def specification(self) -> LiquidSpecification:
        """What the liquids package is asked for."""
        return self._specification("reference equation", (self.substance,))


class ChemicalEntry(_Entry):
    """Substance of the chemical database, by name or CAS number."""

    source: Literal["chemical database"]
    substance: str = drawing("name or CAS number of the substance", examples=["dichloromethane", "75-09-2"])

    def specification(self) -> LiquidSpecification:
        """What the liquids package is asked for."""
        return self._specification("chemical database", (self.substance,))


class MixtureEntry(_Entry):
    """Mixture of substances of the chemical database."""

    source: Literal["mixture"]
    components: tuple[str, ...] = drawing("names or CAS numbers of the components")
    fractions: RatioList = drawing("their shares, which add up to 1")
    basis: Literal["mole", "mass"] = drawing("what the shares count", default="mass")

    @rule
    def shares_match(self) -> None:
        """One share for every component; together they make 1."""
        if len(self.fractions) != len(self.components):
            raise self.refuse("fractions", f"has {len(self.fractions)} values for {len(self.components)} components",
                              do="give one share for every component")
        if abs(sum(self.fractions) - 1) > 1e-3:
            raise self.refuse("fractions", f"adds up to {sum(self.fractions):.4g}; allowed: 1",
                              do="give shares that add up to 1, or percent that add up to 100")

    def specification(self) -> LiquidSpecification:
        """What the liquids package is asked for."""
        total = sum(self.fractions)
        return self._specification("mixture", self.components, tuple(share / total for share in self.fractions),
                                   self.basis)


class SolutionEntry(_Entry):
    """Aqueous solution with tabled properties."""

    source: Literal["solution"]
    substance: str = drawing("name of what is dissolved")
    fraction: Ratio = drawing("mass fraction of what is dissolved", lower=0, upper=1)

    def specification(self) -> LiquidSpecification:
        """What the liquids package is asked for."""
        return self._specification("solution", (self.substance,), (self.fraction,))


class TableEntry(_Entry):
    """Liquid known only by a table the user was given."""

    source: Literal["table"]

    @rule
    def table_is_given(self) -> None:
        """There is a table."""
        if self.given is None:
            raise self.refuse("given", "is missing", do="give the properties over temperature in [liquid.given]")
        if not self.name:
            raise self.refuse("name", "is missing", do="say what the liquid is")

    def specification(self) -> LiquidSpecification:
        """What the liquids package is asked for."""
        return self._specification("table")


LiquidEntry = Annotated[ReferenceEquationEntry | ChemicalEntry | MixtureEntry | SolutionEntry | TableEntry,
                        Field(discriminator="source")]


class LiquidFile(Document):
    """A liquid in a file of its own."""

    document_kind: ClassVar[str] = "liquid"
    document_name: ClassVar[str] = "liquid file"
    document_use: ClassVar[str] = "name it in an enquiry as liquid_file, or show it: wetpath liquid FILE"

    note: str = drawing("anything the reader should know", default="")
    liquid: LiquidEntry
