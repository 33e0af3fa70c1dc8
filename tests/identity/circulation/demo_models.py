"""Demo pumps with a liquid, ready to be solved."""

from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from wetpath.edge.files import load_document
from wetpath.liquids.specification import LiquidSpecification, load_liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.pump_model import Inputs, PumpModel

PUMPS = ("small", "medium", "large", "medium_suction", "medium_steel", "medium_ceramic", "medium_auxiliary")
LIQUIDS = ("n-Butane", "Propane", "Water", "Toluene")
#: A temperature each liquid is pumped at [K].
USUAL = {"n-Butane": 320.0, "Propane": 290.0, "Water": 340.0, "Toluene": 380.0}


@cache
def model(pump: str, liquid: str) -> PumpModel:
    """A demo pump with a liquid from its reference equation."""
    path = str(files("wetpath") / "data" / "demo" / "pumps" / f"{pump}.toml")
    return PumpModel(load_document(path, PumpFile), load_liquid(LiquidSpecification("reference equation", (liquid,))))


def changed(of: PumpModel, part: str, **values: float) -> PumpModel:
    """The same pump with some sizes of one part replaced; what was derived from them is derived anew."""
    pump = of.pump.model_copy(update={part: getattr(of.pump, part).model_copy(update=values)})
    pump.__dict__.pop("network", None)
    return PumpModel(pump, of.liquid)


def inputs(of: PumpModel, *, share: Any = 1.0, temperature: Any, above: Any = 3e5, speed: Any = None,
           air: float = 300.0) -> Inputs:
    """Cases at a share of the flow of best efficiency and a pressure above the vapour pressure."""
    speed = of.pump.driver.speed if speed is None else speed
    pressure = np.maximum(of.liquid.vapour_pressure(temperature) + np.asarray(above), 100.0)
    probe = Inputs.of(1e-3, temperature, pressure, speed, air)
    return Inputs.of(np.asarray(share) * of.point(probe).best_flow, temperature, pressure, speed, air)


def place(of: PumpModel, kind: str) -> int:
    """Index of the first branch whose name starts so."""
    return next(index for index, one in enumerate(of.pump.network.branches) if one.name.startswith(kind))
