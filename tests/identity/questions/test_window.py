"""The operating window: its points are ratings, its required pressures just meet the demands."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetpath.circulation import solve
from wetpath.circulation.outcome import Outcome
from wetpath.edge.practice import Practice
from wetpath.edge.quantities import RATIO
from wetpath.errors import InputError
from wetpath.questions.window import points as window_points
from wetpath.questions.window.basis import Suction
from wetpath.questions.window.points import AT_FLANGE, governing_check, rate_points
from wetpath.questions.window.required import DEMANDS, Spread, band_ends, least_pressure, required_at, vapour_left
from wetpath.questions.window.study import Asked, Window, basis_of, study_window
from wetpath.rating.check import Check, check
from wetpath.rating.missing import PRESSURE_RESOLUTION
from wetpath.rating.rate import Rating, rate
from wetpath.rating.suction_state import npsh_needed
from wetpath.services.demo import enquiry_path
from wetpath.services.rating import load_service

HOURLY = 1 / 3600


@cache
def demo(name: str = "butane_reflux", case: int | None = None, **changes: Any) -> Rating:
    """A demo enquiry, or one of its cases with some conditions changed, as a case like any other."""
    service = load_service(enquiry_path(name))
    enquiry = service.enquiry
    if case is not None:
        one = enquiry.cases[case].model_copy(update={"role": "other", "head": None, **changes})
        enquiry = enquiry.model_copy(update={"cases": (one,)})
    return rate(service.pump, enquiry, service.liquid, service.practice, others=service.others, full=False)


@cache
def window(name: str = "butane_reflux", **asked: Any) -> Window:
    return study_window(demo(name), Asked(**{"grid": (9, 7), "case": 0, **asked}))


@pytest.mark.parametrize("at", [(1, 1), (4, 2), (6, 4), (8, 5), (0, 6)])
def test_a_point_of_the_map_is_the_rating_of_a_case_there(at: tuple[int, int]) -> None:
    chart = window(suction=Suction(0.6e5, above_vapour=True)).map
    single = demo("butane_reflux", 0, flow=float(chart.flow[at[0]]), temperature=float(chart.temperature[at[1]]),
                  suction_pressure=float(chart.pressure[at[1]]))
    assert single.holds == chart.holds[at]
    for one in single.checks:
        # the same kernel with the same numbers; rounding of sums over a batch is all that may differ
        assert chart.share_of(one.name)[at] == pytest.approx(one.share[0], rel=1e-9, abs=1e-9, nan_ok=True), one.name
    assert chart.points.names[chart.governing[at]] == single.verdict.check.name
    assert chart.governing_share[at] == pytest.approx(single.verdict.check.share[0], rel=1e-9)


def test_a_point_below_the_vapour_pressure_boils_at_the_flange() -> None:
    chart = window().map
    boils = chart.pressure < chart.vapour_pressure
    assert boils.any()
    assert not boils.all()
    names = np.array(chart.points.names)[chart.governing]
    assert (names[:, boils] == AT_FLANGE).all()
    assert (names[:, ~boils] != AT_FLANGE).all()
    assert not chart.holds[:, boils].any()


def test_governing_follows_the_verdict_of_every_demo_case() -> None:
    for name in ("butane_reflux", "propane", "hot_oil", "acrylic_ester"):
        service = load_service(enquiry_path(name))
        for case in range(len(service.enquiry.cases)):
            single = demo(name, case)
            index, holds = governing_check(single.checks, single.situation.solution.outcome)
            assert single.checks[index[0]].name == single.verdict.check.name
            assert holds[0] == single.verdict.holds


def test_no_liquid_solution_governs_whatever_the_margins_say() -> None:
    single = demo("butane_reflux", 0)
    lost = np.array([int(Outcome.NO_SOLUTION)])
    index, holds = governing_check(single.checks, lost)
    assert single.checks[index[0]].name == "circulation"
    assert not holds[0]


def test_short_before_what_follows_before_unknown_before_the_least_share() -> None:
    def made(name: str, *margins: float, **kind: bool) -> Check:
        return check(name, name, RATIO, np.array(margins), 0.0, sense="at least", scale=1.0, **kind)

    checks = [made("least", 0.1, 0.1, 0.1, 0.1), made("choice", 0.01, 0.01, 0.01, -0.02, by_choice=True),
              made("unknown", 1.0, np.nan, np.nan, 1.0), made("follows", 1.0, 1.0, -0.9, -0.9, follows=True)]
    index, holds = governing_check(checks, np.full(4, int(Outcome.LIQUID)))
    assert [checks[place].name for place in index] == ["least", "unknown", "follows", "choice"]
    assert holds.tolist() == [True, False, False, False]


def test_chunks_do_not_change_a_digit(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = window()
    monkeypatch.setattr(window_points, "CHUNK", 10)
    parts = study_window(demo(), Asked(grid=(9, 7), case=0))
    assert np.array_equal(whole.map.points.share, parts.map.points.share, equal_nan=True)
    assert np.array_equal(whole.map.governing, parts.map.governing)


def test_stopping_keeps_what_was_rated(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(window_points, "CHUNK", 10)
    told: list[tuple[int, int]] = []
    stopped = study_window(demo(), Asked(grid=(9, 7), case=0), progress=lambda done, of: told.append((done, of)),
                           cancelled=lambda: len(told) >= 2)
    assert not stopped.complete
    assert int(stopped.map.rated.sum()) == 20
    rated = stopped.map.rated.ravel()
    assert np.array_equal(stopped.map.points.governing[rated], window().map.points.governing[rated])
    assert np.isnan(stopped.required.pressure).all()
    assert any(text.startswith("stopped after 20 of 63 points") for text in stopped.warnings)
    assert window().complete
    assert [done for done, _ in told] == [10, 20]


def test_progress_ends_at_all_of_it() -> None:
    told: list[tuple[int, int]] = []
    study_window(demo(), Asked(grid=(5, 4), case=0), progress=lambda done, of: told.append((done, of)))
    assert told[-1][0] == told[-1][1]
    assert [done for done, _ in told] == sorted(done for done, _ in told)


def asked_margins(rating: Rating) -> tuple[float, float, float]:
    pressure, temperature, wall = (rating.practice[name].value for name in (
        "vapour_margin_pressure", "vapour_margin_temperature", "wall_margin_temperature"))
    return pressure, temperature, wall


def margins_at(win: Window, pressure: np.ndarray) -> np.ndarray:
    flow, temperature = (one.ravel() for one in np.meshgrid(win.required_flow, win.required_temperature, indexing="ij"))
    at = win.basis.at(win.basis.inputs(flow, temperature, pressure.ravel()))
    return np.array([at.scalars[:, column] - asked for column, asked in zip(
        (solve.PRESSURE_MARGIN, solve.TEMPERATURE_MARGIN, solve.WALL_MARGIN), asked_margins(win.rating), strict=True)])


def test_required_pressure_just_meets_every_vapour_demand() -> None:
    win = window()
    found = win.required
    assert (margins_at(win, found.pressure) >= 0).all()
    more = (found.pressure > found.vapour_pressure).ravel()
    assert more.any()
    below = margins_at(win, np.maximum(found.pressure - 3 * PRESSURE_RESOLUTION, found.vapour_pressure))
    assert (below.min(axis=0)[more] < 0).all()
    # the demand said to be just met is the one that is met by least
    met = found.governing.ravel()[more]
    left = margins_at(win, found.pressure)[met, np.flatnonzero(more)]
    assert (left < 0.02 * np.array([1e5, 10.0, 10.0])[met]).all()
    assert (found.governing.ravel()[~more] == DEMANDS.index("liquid at the suction flange")).all()


def test_a_rating_at_the_required_pressure_holds_the_vapour_checks() -> None:
    win = window()
    at = (6, 5)
    assert win.required.above_vapour[at] > 1e4

    def held(pressure: float) -> bool:
        single = demo("butane_reflux", 0, flow=float(win.required_flow[at[0]]),
                      temperature=float(win.required_temperature[at[1]]), suction_pressure=pressure)
        return all(bool(one.holds[0]) for one in single.checks if one.name in (
            "vapour_margin_pressure", "vapour_margin_temperature", "wall_margin_temperature"))

    assert held(float(win.required.pressure[at]))
    assert not held(float(win.required.pressure[at]) - 3 * PRESSURE_RESOLUTION)


def test_npsh_needed_as_a_pressure_leaves_no_npsh_margin() -> None:
    win = window()
    flow, temperature = (one.ravel() for one in np.meshgrid(win.required_flow, win.required_temperature, indexing="ij"))
    at = win.basis.at(win.basis.inputs(flow, temperature, win.required.npsh_pressure.ravel()))
    needed, _ = npsh_needed(at)
    # the eye temperature is that at another suction pressure, hardly different: a centimetre of NPSH
    assert at.npsh_available == pytest.approx(needed, abs=0.01)
    assert (win.required.npsh_needed > win.required.npsh_required).all()


def test_required_head_is_the_pressure_in_metres_of_the_liquid() -> None:
    win = window()
    density = win.basis.liquid.state(np.array([win.required_temperature[5]]), win.required.pressure[:1, 5]).density
    area = np.pi * win.rating.pump.casing.suction_bore**2 / 4
    expected = (win.required.above_vapour[0, 5] / (density[0] * 9.80665)
                + (win.required_flow[0] / area) ** 2 / (2 * 9.80665))
    assert win.required.head[0, 5] == pytest.approx(expected, rel=1e-6)


def test_band_holds_the_required_pressure_and_each_spread_pushes_its_way() -> None:
    win = window()
    found = win.required
    assert (found.lowest <= found.pressure).all()
    assert (found.highest >= found.pressure).all()
    more = found.pressure > found.vapour_pressure
    assert (found.highest > found.pressure)[more].all()
    basis, one = win.basis, np.array([1.0])
    inputs = basis.inputs(basis.flow * one, 333.15 * one, basis.liquid.vapour_pressure(333.15 * one))
    middle = float(least_pressure(basis, inputs, Spread())[0])
    for spread in (Spread(feed_loss=1.2), Spread(shell_loss=1.06)):
        assert least_pressure(basis, inputs, spread)[0] > middle + 10 * PRESSURE_RESOLUTION
    for spread in (Spread(feed_loss=0.8), Spread(shell_loss=0.94), Spread(film=2.0)):
        assert least_pressure(basis, inputs, spread)[0] < middle - 10 * PRESSURE_RESOLUTION
    better, worse = band_ends(basis)
    assert (worse.feed_loss, worse.shell_loss, worse.film) == pytest.approx((1.20, 1.10, 0.70))
    assert (better.feed_loss, better.shell_loss, better.film) == pytest.approx((0.80, 0.90, 1.30))


def test_film_of_one_is_the_margin_of_the_solve_and_two_halves_the_excess() -> None:
    win = window()
    flow = win.map.flow[2:7]
    at = win.basis.at(win.basis.inputs(flow, np.full(flow.size, 325.0), np.full(flow.size, 7e5)))
    asked = (-np.inf, -np.inf, 0.0)
    plain = vapour_left(at.solved, asked)
    assert vapour_left(at.solved, asked, 1.0 + 1e-12) == pytest.approx(plain, rel=1e-6)
    assert (vapour_left(at.solved, asked, 2.0) > plain).all()
    assert 10 * plain == pytest.approx(at.scalars[:, solve.WALL_MARGIN])


def test_required_pressure_rises_with_temperature_and_with_the_demand() -> None:
    win = window()
    assert (np.diff(win.required.pressure, axis=1) > 0).all()
    rating = demo()
    stricter = Practice("own", {**rating.practice, "wall_margin_temperature": replace(
        rating.practice["wall_margin_temperature"], value=rating.practice["wall_margin_temperature"].value + 5.0)})
    service = load_service(enquiry_path("butane_reflux"))
    strict = study_window(rate(service.pump, service.enquiry, service.liquid, stricter, full=False),
                          Asked(grid=(9, 7), case=0))
    assert (strict.required.pressure >= win.required.pressure).all()
    assert (strict.required.pressure > win.required.pressure).any()


@settings(max_examples=15, deadline=None)
@given(share=st.floats(0.2, 1.1), temperature=st.floats(285.0, 345.0), above=st.floats(0.0, 10e5))
def test_vapour_demands_hold_above_the_required_pressure_and_not_below(share: float, temperature: float, above: float
                                                                       ) -> None:
    basis = basis_of(demo(), Asked(case=0))
    best = float(demo().point.best_flow[0])
    flow, warm = np.array([share * best]), np.array([temperature])
    found = required_at(basis, flow, warm)
    pressure = found.vapour_pressure + above
    asked = asked_margins(demo())
    left = vapour_left(basis.model.solve(basis.inputs(flow, warm, pressure)), asked)
    if pressure[0] >= found.pressure[0]:
        assert left[0] >= 0
    elif pressure[0] < found.pressure[0] - PRESSURE_RESOLUTION:
        assert left[0] < 0


def test_bounds_are_where_a_check_ceases_to_hold() -> None:
    win = study_window(demo(), Asked(grid=(9, 7), case=3))
    basis = win.basis
    assert win.bounds.short_here == ()
    for way in win.bounds.ways:
        assert list(way.met) == sorted(way.met, key=lambda one, start=way.start: abs(one.at - start))
        for met in way.met[:1]:
            for factor, holds in ((-1, True), (1, False)):
                at = met.at + factor * 0.004 * (way.end - way.start)
                flow = at if "flow" in way.name else basis.flow
                temperature = at if way.name in ("colder", "hotter") else basis.temperature
                pressure = at if "pressure" in way.name else basis.suction.pressure
                points = rate_points(basis, *(np.array([value]) for value in (flow, temperature, pressure)))
                assert bool(points.share[points.names.index(met.name), 0] >= 0) is holds, (way.name, met)
    assert win.bounds["hotter"].met
    assert win.bounds["less suction pressure"].met


def test_a_finer_grid_searches_some_of_its_points(monkeypatch: pytest.MonkeyPatch) -> None:
    from wetpath.questions.window import study

    whole = window()
    monkeypatch.setattr(study, "MOST_SEARCHED", 20)
    thin = study_window(demo(), Asked(grid=(9, 7), case=0))
    assert thin.stride == 2
    assert thin.required.pressure == pytest.approx(whole.required.pressure[::2, ::2], abs=PRESSURE_RESOLUTION)
    assert np.array_equal(thin.required_flow, whole.map.flow[::2])


def test_speed_and_suction_may_be_given() -> None:
    slow = study_window(demo(), Asked(grid=(4, 3), case=0, speed=250.0, suction=Suction(2e5, above_vapour=True)))
    assert slow.map.pressure == pytest.approx(slow.map.vapour_pressure + 2e5)
    assert slow.map.flow[-1] < window().map.flow[-1]
    assert slow.shown_cases == ()
    assert window().shown_cases == (0, 1, 2, 3)


def test_temperatures_outside_the_table_are_refused() -> None:
    with pytest.raises(InputError, match="reaches outside the property table"):
        study_window(demo(), Asked(temperature=(100.0, 330.0)))
