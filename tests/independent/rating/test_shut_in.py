"""Shut-in heating and boiling after a stop against the reference equations of the liquids themselves."""

import CoolProp.CoolProp as reference
import numpy as np
import pytest
from demo_enquiries import CASE, enquiry, pump, rated

from wetpath.circulation import solve


@pytest.mark.parametrize(("substance", "celsius", "pressure"), [
    ("water", 20, 2e5), ("water", 60, 2e5), ("propane", 20, 10e5), ("n-Butane", 30, 4e5)])
def test_times_to_relief_and_to_boiling(against, substance, celsius, pressure):
    """Rigid casing full of liquid: constant density up to the relief pressure; then boiling there."""
    cases = CASE.replace("60 degC", f"{celsius} degC").replace("2 bar a", f"{pressure / 1e5} bar a")
    rating = rated(pump(), enquiry(cases=cases, substance=substance), substance)
    state, relief = rating.situation.standstill, rating.pump.casing.pressure_rating
    start = celsius + 273.15
    closed = pressure + rating.situation.scalars[0, solve.DENSITY_IN] * 9.80665 * rating.point.shut_off_head[0]
    density = reference.PropsSI("D", "T", start, "P", closed, substance)
    full = reference.PropsSI("T", "D", density, "P", relief, substance)
    boils = reference.PropsSI("T", "P", relief, "Q", 0, substance)
    before = reference.PropsSI("H", "T", start, "P", closed, substance)

    def seconds(temperature, enthalpy):
        taken = state.liquid_mass[0] * (enthalpy - before) + state.metal_mass * 480.0 * (temperature - start)
        return taken / state.shut_in_power[0]

    # tables of the liquid are good to some 1e-4 in density; the rise to relief is a small difference of densities
    against("energy-balance", "computed", f"shut in, {substance} {celsius} degC: time to the relief pressure",
            state.time_to_relief[0], seconds(full, reference.PropsSI("H", "T", full, "P", relief, substance)), rel=0.02,
            unit="s")
    against("energy-balance", "computed", f"shut in, {substance} {celsius} degC: time to boiling",
            state.time_to_boiling[0], seconds(boils, reference.PropsSI("H", "P", relief, "Q", 0, substance)), rel=5e-3,
            unit="s")


def test_boiling_after_a_stop(against):
    rating = rated()
    against("energy-balance", "computed", "boiling temperature of water at 2 bar after a stop",
            rating.situation.standstill.boiling[0], reference.PropsSI("T", "P", 2e5, "Q", 0, "Water"), abs=0.02,
            unit="K")
    assert np.isfinite(rating.situation.standstill.margin).all()
