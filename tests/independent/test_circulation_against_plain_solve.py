"""The coupled solve on frame W-1 against the printed example and, at other states, against the plain solve.

Known differences of the model, all small: the package's cavities have wall friction (under 2 Pa here; switched off
in the comparison with the plain solve), entry incidence is faded in by tanh (nothing at these flows), liquid
properties come from a table (relative 1e-7), and the wall's eddy heat is q0/(1 + a dT) where the example has
q0 (1 - a dT), which differ by (a dT)^2, 4e-5 at the 42 K of W1-a (a = 0 in the comparison with the plain solve).
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from functools import cache
from math import pi, sqrt
from typing import Any

import numpy as np
import pytest
import w1_circulation as w1
from plain_circulation import solve as plain_solve
from plain_frame import CELSIUS, W1, W1_A, W1_B, W1_C, Duty, scaled
from test_plain_circulation import DUTIES, ROWS, SOURCE

from wetpath.circulation import solve
from wetpath.circulation.outcome import Outcome

#: Agreement with the printed table: flows and heats relative, temperatures [K], pressures [Pa].
FLOW, HEAT, TEMPERATURE, PRESSURE = 2e-4, 2e-4, 0.002, 40.0


@cache
def printed_case(duty: str) -> dict[str, Any]:
    net, found = w1.run(DUTIES[duty])
    assert found.outcome[0] == Outcome.LIQUID
    return w1.answers(net, found)


OURS = [row for row in ROWS if row[1] in printed_case("W1-a")]


def room(name: str, unit: str, printed: str) -> float:
    """Allowed difference: the tolerance of the kind, and one unit of the last printed digit."""
    exponent = Decimal(printed).as_tuple().exponent
    assert isinstance(exponent, int)
    kind = {"degC": TEMPERATURE, "K": TEMPERATURE, "bar": PRESSURE / 1e5, "Pa": FLOW * float(printed)}
    relative = FLOW if name.startswith("m_") else HEAT
    return kind.get(unit, relative * float(printed)) + 10.0**exponent


@pytest.mark.published(SOURCE, status="computed")
@pytest.mark.parametrize("duty", DUTIES)
@pytest.mark.parametrize("row", OURS, ids=lambda row: row[1])
def test_printed_answer(duty: str, row: list[str], against: Callable[..., None]) -> None:
    quantity, name, unit, *columns = row
    printed = columns[list(DUTIES).index(duty)]
    ours = printed_case(duty)[name]
    if unit == "bar":
        ours /= 1e5
    elif unit == "degC":
        ours -= CELSIUS
    against(SOURCE, "computed", f"{duty} {quantity}", ours, float(printed), abs=room(name, unit, printed), unit=unit)


def test_every_kind_of_row_is_compared() -> None:
    assert len(OURS) == 34


STATES: dict[str, tuple[Duty, dict[str, float]]] = {
    "as printed": (W1_C, {}),
    "half the feed": (W1_C, {"d_feed": sqrt(0.5)}),
    "twice the shell loss": (W1_C, {"q0": 2.0}),
    "no shell loss": (W1_C, {"q0": 0.0}),
    "narrow gap": (W1_C, {"ro": 42.6 / 43.1}),
    "small holes": (W1_C, {"d_radial": 0.7, "d_return": 0.8}),
    "worn bearings": (W1_C, {"c_journal": 3.0, "w_groove": 0.6}),
    "strong core": (W1_C, {"k_rear": 1.15, "k_front": 1.1, "k_holder": 3.0}),
    "small flow": (W1_C, {"Q": 0.35}),
    "large flow": (W1_C, {"Q": 1.5}),
    "high pressure": (W1_C, {"above_psat": 20.0}),
    "1450 r/min": (W1_C, {"speed": 0.5, "H0": 0.25, "H2": 1.0, "Q": 0.5, "Q_best": 0.5, "q0": 0.25}),
    "water": (Duty("Water", 353.15, 12.5, "suction", above_psat=1.0e5), {}),
    "cold propane": (Duty("Propane", 253.15, 9.0, "suction", above_psat=0.8e5), {}),
    "hot toluene": (Duty("Toluene", 423.15, 14.0, "suction", above_psat=0.6e5), {}),
    "ammonia": (Duty("Ammonia", 263.15, 11.0, "suction", above_psat=1.0e5), {}),
    "starved water": (Duty("Water", 353.15, 12.5, "suction", above_psat=1.0e5), {"d_feed": 0.36}),
}
FLOWS = ("m_feed", "m_shaft", "m_front", "m_rear")
HEATS = ("eddy", "windage", "disc_rear", "disc_front", "journal", "thrust", "h_wall", "dP_annulus")
PRESSURES = ("P_F", "P_A", "P_X", "P_B", "P_C", "P_D", "P_J1", "P_E", "P_R")
TEMPERATURES = ("T_F", "T_A", "T_C", "T_D", "T_E", "T_R", "T_eye")


def compare(duty: Duty, scale: dict[str, float], against: Callable[..., None], name: str) -> None:
    scale = {"a_resistivity": 0.0, **scale}
    expected = plain_solve(duty, scale=scale)
    net, found = w1.run(scaled(duty, scale), scaled(W1, scale), wall_friction=False)
    ours = w1.answers(net, found)
    assert found.outcome[0] != Outcome.NO_SOLUTION
    for group, unit, tolerance in ((FLOWS, "kg/s", {"rel": 2e-6}), (HEATS, "W, W/m2K, Pa", {"rel": 5e-6}),
                                   (PRESSURES, "Pa", {"abs": 0.1}), (TEMPERATURES, "K", {"abs": 1e-4}),
                                   (("T_wall",), "K", {"abs": 5e-4})):
        for what in group:
            value = getattr(expected, what)
            if abs(value) < 1e-9:
                assert ours[what] == pytest.approx(0.0, abs=1e-9)
                continue
            against(SOURCE, "computed", f"{name}: {what}", ours[what], value, unit=unit, **tolerance)


@pytest.mark.published(SOURCE, status="computed")
@pytest.mark.parametrize("name", STATES)
def test_other_states_returned_to_suction(name: str, against: Callable[..., None]) -> None:
    """Same laws, no wall friction in the cavities, even resistivity: only tables and root finders differ."""
    compare(*STATES[name], against, name)


@pytest.mark.published(SOURCE, status="computed")
@pytest.mark.parametrize("duty", [W1_A, W1_B], ids=["W1-a", "W1-b"])
def test_returned_to_the_casing(duty: Duty, against: Callable[..., None]) -> None:
    """The pressure behind the impeller counts the head with the density at the suction, as the feed does."""
    compare(duty, {}, against, "returned to the casing")


@pytest.mark.parametrize("speed_factor", [0.6, 1.2])
def test_speed_and_head_are_inputs_of_their_own(speed_factor: float) -> None:
    """Speed changed in the case and head kept: the plain solve gets it through its frame."""
    expected = plain_solve(W1_C, scale={"speed": speed_factor, "q0": speed_factor**2})
    net, found = w1.run(W1_C, wall_friction=False, speed=2 * pi * W1.speed * speed_factor)
    ours = w1.answers(net, found)
    assert ours["m_shaft"] == pytest.approx(expected.m_shaft, rel=2e-6)
    assert ours["eddy"] == pytest.approx(expected.eddy, rel=2e-5)


@pytest.mark.parametrize("cells", [4, 10, 40])
def test_cells_of_the_annulus(cells: int) -> None:
    """The same march with other numbers of cells."""
    expected = plain_solve(W1_C, cells=cells)
    net, found = w1.run(W1_C, wall_friction=False, cells=cells)
    ours = w1.answers(net, found)
    assert ours["T_wall"] == pytest.approx(expected.T_wall, abs=1e-3)
    assert ours["m_shaft"] == pytest.approx(expected.m_shaft, rel=2e-6)
    np.testing.assert_allclose(found.states.cells[0, 1], expected.T_cells, atol=1e-4)
    assert found.states.scalars[0, solve.CONVERGED] == 1.0
