"""Points measured on the works' test bench with water."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class MeasuredPoints:
    """Measured points, SI, in order of flow; NaN where a quantity was not measured at a point.

    ``power`` is taken at the motor shaft, so that it holds the losses of the magnetic drive; ``efficiency`` is pump
    output over that power.
    """

    flow: Array             # [m3/s]
    head: Array             # [m]
    power: Array            # [W]
    efficiency: Array       # [-]
    npsh: Array             # NPSH3 [m]
    speed: Array            # [rad/s]
    temperature: Array      # of the water [K]
    notes: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        """Number of points."""
        return self.flow.size

    def in_order(self) -> MeasuredPoints:
        """The same points with flow rising."""
        order = np.argsort(self.flow, kind="stable")
        return MeasuredPoints(**{name: getattr(self, name)[order] for name in QUANTITIES}, notes=self.notes)


#: Names of the measured quantities.
QUANTITIES = tuple(field.name for field in fields(MeasuredPoints) if field.name != "notes")
