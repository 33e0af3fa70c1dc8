"""Load a liquid: by name or CAS number, from a liquid file, or as an enquiry describes it."""

from __future__ import annotations

import os
from pathlib import Path

from pydantic import BaseModel, ConfigDict

from wetpath.errors import InputError, UnknownName
from wetpath.liquids.errors import PropertyMissing, UnknownLiquid
from wetpath.liquids.liquid import Liquid
from wetpath.liquids.specification import LiquidSpecification
from wetpath.services.places import placed
from wetpath.services.progress import Announce, silent

#: What files call the fields that the errors of the liquids package name.
NAMES_IN_FILES = {
    "liquid": "liquid.substance", "liquid.components": "liquid.substance", "liquid.fractions": "liquid.fraction",
    "liquid.given.compressibility": "liquid.given.bulk_modulus",
    "liquid.given.kinematic_viscosity": "liquid.given.viscosity"}


def load_liquid(name_or_file: str | os.PathLike[str], *, announce: Announce = silent) -> Liquid:
    """Load a liquid by name, CAS number or liquid file.

    A name is looked up among the reference equations of state, then in the chemical database. A text that ends in
    ``.toml``, or names something on disk, is a file.
    """
    text = os.fspath(name_or_file)
    if not isinstance(name_or_file, str) or text.endswith(".toml") or Path(text).exists():
        return liquid_of_file(text, announce=announce)
    return liquid_of_name(text, announce=announce)


def liquid_of_name(name: str, *, announce: Announce = silent) -> Liquid:
    """Load a pure liquid by name or CAS number, from the first source that knows it well enough."""
    if not name.strip():
        raise InputError("is empty", field="liquid", value='""', do="give a name, a CAS number or a liquid file")
    from wetpath.liquids import store
    from wetpath.liquids.specification import load_liquid as load

    asked = [LiquidSpecification(kind, (name,)) for kind in ("reference equation", "chemical database")]
    for specification in asked:
        if (found := store.read(specification)) is not None:
            return found
    announce(f"building the property table of {name}")
    near: list[str] = []
    for specification in asked:
        try:
            return load(specification)
        except UnknownLiquid as error:
            near.extend(error.nearest)
        except PropertyMissing:
            if specification is asked[-1]:
                raise
    raise UnknownName("liquid", name, {one.casefold(): one for one in near}.values(), field="liquid",
                      do="give its CAS number, or a liquid file with a table of its properties")


def liquid_of_file(file: str | os.PathLike[str], *, announce: Announce = silent) -> Liquid:
    """Load the liquid of a liquid file; what is wrong with it is told at its line."""
    from wetpath.edge.files import load_document
    from wetpath.liquids.liquid_file import LiquidFile

    try:
        return prepared(load_document(file, LiquidFile).liquid.specification(), announce)
    except InputError as error:
        raise placed(error, file, NAMES_IN_FILES) from None


def prepared(specification: LiquidSpecification, announce: Announce = silent) -> Liquid:
    """Load a liquid from the tables kept on this machine, or build its table and say so."""
    from wetpath.liquids import specification as liquids
    from wetpath.liquids import store

    found = store.read(specification)
    if found is not None:
        return found
    name = specification.name or ", ".join(specification.components) or "the liquid"
    announce(f"building the property table of {name}")
    return liquids.load_liquid(specification)


class PropertyRow(BaseModel):
    """Properties at one temperature, of the saturated liquid; at 1 atm where the vapour pressure is not known."""

    model_config = ConfigDict(frozen=True)

    temperature_k: float
    vapour_pressure_pa: float | None
    density_kg_per_m3: float
    heat_capacity_j_per_kg_k: float
    viscosity_pa_s: float
    conductivity_w_per_m_k: float


class LiquidTold(BaseModel):
    """A liquid over temperature, with its sources and limits."""

    model_config = ConfigDict(frozen=True)

    name: str
    kind: str
    cas_number: str | None
    molar_mass_kg_per_mol: float | None
    rows: tuple[PropertyRow, ...]
    limits_k: dict[str, float | None]
    sources: dict[str, str]
    warnings: tuple[str, ...]


def liquid_told(name: str, rows: int = 25) -> LiquidTold:
    """Tell the properties of a pure liquid by name or CAS number, evenly over its table."""
    import numpy as np

    from wetpath.physics.constants import STANDARD_ATMOSPHERE

    liquid = liquid_of_name(name)
    temperature = np.linspace(*liquid.temperature_range, rows)
    vapour = liquid.vapour_pressure(temperature)
    state = liquid.state(temperature, vapour if liquid.has_vapour_pressure
                         else np.full_like(temperature, STANDARD_ATMOSPHERE))
    return LiquidTold(
        name=liquid.name, kind=liquid.kind, cas_number=liquid.cas_number, molar_mass_kg_per_mol=liquid.molar_mass,
        rows=tuple(PropertyRow(
            temperature_k=float(t), vapour_pressure_pa=float(p) if np.isfinite(p) else None,
            density_kg_per_m3=float(rho),
            heat_capacity_j_per_kg_k=float(cp), viscosity_pa_s=float(mu), conductivity_w_per_m_k=float(k))
            for t, p, rho, cp, mu, k in zip(temperature, vapour, state.density, state.heat_capacity, state.viscosity,
                                            state.conductivity, strict=True)),
        limits_k=dict(vars(liquid.limits)), sources={key: one.text for key, one in liquid.origins.items()},
        warnings=tuple(liquid.warnings))
