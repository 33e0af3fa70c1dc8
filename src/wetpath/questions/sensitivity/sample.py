"""Many slightly changed copies of one pump in one operating case, as arrays to be changed in place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation.solve import MachineArrays
from wetpath.liquids.lookup import LiquidArrays
from wetpath.rating.pump_model import Inputs

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Sample:
    """Copies of a pump in one case, first axis the copy; every array may be changed in place. Factors start at 1."""

    machine: MachineArrays
    inputs: Inputs
    head: Array
    efficiency: Array
    npsh_required: Array
    vapour_pressure: Array
    density: Array
    heat_capacity: Array
    viscosity: Array
    conductivity: Array

    @property
    def count(self) -> int:
        """Number of copies."""
        return self.inputs.flow.size

    @property
    def liquid_factors(self) -> Array:
        """(copies, 5): factors on density, heat capacity, viscosity, thermal conductivity and vapour pressure."""
        return np.stack((self.density, self.heat_capacity, self.viscosity, self.conductivity, self.vapour_pressure),
                        axis=1)


def sample_of(machine: MachineArrays, inputs: Inputs, count: int) -> Sample:
    """Return ``count`` equal copies of the one pump of ``machine`` in the one case of ``inputs``."""
    copies = MachineArrays(*(np.repeat(array[:1], count, axis=0) for array in machine))
    columns = {name: np.repeat(getattr(inputs, name)[:1], count) for name in inputs.__dataclass_fields__}
    factors = (np.ones(count) for _ in range(8))
    return Sample(copies, Inputs(**columns), *factors)


def scaled_liquid(liquid: LiquidArrays, factors: Array) -> LiquidArrays:
    """Table of a liquid multiplied by the factors of `Sample.liquid_factors`.

    Enthalpy goes with the heat capacity, and so does the small heat of compression in it.
    """
    density, capacity, viscosity, conductivity, vapour = (float(factor) for factor in factors)
    return liquid._replace(
        density_factor=density * liquid.density_factor, heat_factor=capacity * liquid.heat_factor,
        viscosity_factor=viscosity * liquid.viscosity_factor,
        conductivity_factor=conductivity * liquid.conductivity_factor, vapour_factor=vapour * liquid.vapour_factor)
