"""Demo pumps solved over a few cases, as the bearing states and checks take them."""

from functools import cache
from typing import Any

import demo_models
import numpy as np

from wetpath.edge.practice import default_practice
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.pump_model import PumpModel
from wetpath.rating.rate import rate
from wetpath.rating.situation import Situation

SHARES = (0.25, 0.5, 0.8, 1.0, 1.15)


def situation(model: PumpModel, shares: tuple[float, ...] = SHARES, role: str = "normal", *,
              temperatures: tuple[float, ...] | None = None, roles: tuple[str, ...] | None = None, **machine: Any
              ) -> Situation:
    """Rate the pump at shares of best flow; keywords name parts whose values are replaced."""
    pump: PumpFile = model.pump
    for part, values in machine.items():
        old = getattr(pump, part)
        new = values if not isinstance(values, dict) or old is None else (
            tuple(one.model_copy(update=values) for one in old) if isinstance(old, tuple)
            else old.model_copy(update=values))
        pump = pump.model_copy(update={part: new})
    pump.__dict__.pop("network", None)
    warm = demo_models.USUAL.get(model.liquid.name, 320.0)
    cases = demo_models.inputs(model, share=np.array(shares), temperature=warm)
    conditions = zip(cases.flow.tolist(), cases.pressure.tolist(), strict=True)
    enquiry = Enquiry.model_validate({
        "wetpath": "enquiry/1", "title": "bearing tests",
        "liquid": {"source": "reference equation", "substance": "water"},
        "cases": [{"name": f"case {i}", "role": (roles or (role,) * len(shares))[i], "flow": f"{flow!r} m3/s",
                   "temperature": f"{(temperatures or (warm,) * len(shares))[i]!r} K",
                   "suction_pressure": f"{pressure!r} Pa a"}
                  for i, (flow, pressure) in enumerate(conditions)]})
    return rate(pump, enquiry, model.liquid, default_practice()).situation


@cache
def water(pump: str = "medium") -> Situation:
    """A demo pump on water."""
    return situation(demo_models.model(pump, "Water"))
