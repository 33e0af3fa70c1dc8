"""Selection: what candidates are, that screening and rating agree, and how candidates are ranked."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetpath.circulation import solve
from wetpath.edge.practice import default_practice
from wetpath.errors import InputError
from wetpath.liquids.specification import load_liquid
from wetpath.questions.selection import screening
from wetpath.questions.selection.candidates import (
    Candidate,
    CatalogueEntry,
    Choices,
    builds_of,
    changed,
    diameters_of,
    speeds_of,
)
from wetpath.questions.selection.ranking import Weights, best_trades, scores
from wetpath.questions.selection.screening import candidate_arrays, screen
from wetpath.questions.selection.study import Selection, select
from wetpath.rating.checks import coupling
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.machine_arrays import machine_arrays
from wetpath.rating.operating_point import operating_point
from wetpath.rating.pump_model import Inputs
from wetpath.rating.rate import rate
from wetpath.services.demo import demo_enquiry, demo_pump

NAMES = ("large", "medium", "medium_ceramic", "small")
MATERIALS = ("N10276", "R56400", "S31603", "zirconia")


def entry(name: str) -> CatalogueEntry:
    return CatalogueEntry(name, demo_pump(name))


@pytest.fixture(scope="module")
def enquiry() -> Enquiry:
    return demo_enquiry("butane_reflux")


@pytest.fixture(scope="module")
def chosen(enquiry: Enquiry) -> Selection:
    liquid = load_liquid(enquiry.liquid.specification())
    return select([entry(name) for name in NAMES], enquiry, liquid, default_practice(),
                  choices=Choices(materials=MATERIALS), most=4)


def build(name: str, material: str, length: float):
    found, refused = builds_of(entry(name), Choices(materials=(material,), lengths=(length,)), 50)
    assert not refused
    return next(one for one in found if one.pump.containment_shell.material == material)


def test_builds_as_drawn_come_first_and_insulating_walls_stay_apart():
    found, _ = builds_of(entry("medium"), Choices(materials=MATERIALS), 50)
    assert found[0].pump == demo_pump("medium")
    assert {one.pump.containment_shell.material for one in found} == {"N10276", "R56400", "S31603"}
    assert len(found) == 9
    ceramic, _ = builds_of(entry("medium_ceramic"), Choices(materials=MATERIALS), 50)
    assert {one.pump.containment_shell.material for one in ceramic} == {"zirconia"}


def test_longer_coupling_grows_around_its_middle():
    drawn, longer = demo_pump("medium"), build("medium", "N10276", 1.25).pump
    more = longer.inner_ring.wet_length - drawn.inner_ring.wet_length
    assert more == pytest.approx(0.25 * drawn.inner_ring.wet_length)
    assert longer.inner_ring.length == longer.outer_ring.length == pytest.approx(1.25 * 0.052)

    def behind(pump):       # shell behind the rear face of the wetted cylinder
        return pump.containment_shell.rear_overhang - pump.inner_ring.wet_length / 2

    def before(pump):
        shell = pump.containment_shell
        return shell.length - shell.rear_overhang - pump.inner_ring.wet_length / 2

    assert behind(longer) == pytest.approx(behind(drawn))
    assert before(longer) == pytest.approx(before(drawn))


def test_pull_out_torque_goes_about_with_length():
    """Away from the ends the field does not change along the axis: torque is proportional to length."""
    torque = []
    for length in (1.0, 1.25, 1.5):
        pump = build("large", "N10276", length).pump
        torque.append(float(np.abs(machine_arrays([pump]).torque[0, 0]).max()))
    assert torque[2] - torque[1] == pytest.approx(torque[1] - torque[0], rel=0.02)
    assert torque[1] / torque[0] == pytest.approx(1.25, rel=0.06)     # ends take some of the shorter one


def test_what_was_stated_of_another_shell_is_dropped():
    pump = build("medium", "R56400", 1.0).pump
    assert demo_pump("medium").containment_shell.pressure_rating is not None
    assert pump.containment_shell.pressure_rating is None
    assert pump.containment_shell.resistivity is None
    assert build("medium", "N10276", 1.25).pump.containment_shell.pressure_rating is not None


def test_a_build_that_breaks_a_rule_is_told():
    """A coupling of a twentieth of the length leaves the shell no cylinder behind the middle of the magnets."""
    drawn = demo_pump("medium")
    pump = changed(drawn, containment_shell=changed(drawn.containment_shell, length=0.07, rear_overhang=0.02))
    found, refused = builds_of(CatalogueEntry("tight", pump), Choices(lengths=(1.0, 0.05)), 50)
    assert len(found) == 1
    assert refused[0].startswith("tight with N10276 and 5% of the magnets cannot be built: ")


@pytest.mark.common_practice
def test_motor_goes_to_the_frequency_of_the_site_with_the_same_slip():
    found, _ = builds_of(entry("medium"), Choices(lengths=(1.0,)), 60)
    assert found[0].pump.driver.speed == pytest.approx(1.2 * 2950 * np.pi / 30)
    assert found[0].pump.driver.speed / (2 * np.pi * 60) == pytest.approx(2950 / 3000)
    on_inverter, _ = builds_of(entry("large"), Choices(lengths=(1.0,)), 60)
    assert on_inverter[0].pump.driver == demo_pump("large").driver


def test_speeds_cover_the_range_of_an_inverter():
    large = demo_pump("large")
    speeds = speeds_of(large, 5)
    assert len(speeds) == 5
    assert speeds[0] == large.driver.inverter.highest_speed
    assert speeds[-1] == large.driver.inverter.lowest_speed
    assert speeds_of(demo_pump("small"), 5) == (demo_pump("small").driver.speed,)


def heads_at(pump, inputs, diameter):
    return operating_point(pump, inputs.flow, inputs.speed, np.full(2, 1e-6), diameter=diameter).head


def test_smallest_trim_just_gives_the_head():
    pump = demo_pump("medium")
    inputs = Inputs.of([45 / 3600, 30 / 3600], 300.0, 5e5, pump.driver.speed, 300.0)
    viscosity, asked = np.full(2, 1e-6), np.array([53.0, np.nan])
    first, second, third = diameters_of(pump, inputs, viscosity, asked, (1.0, 1.02, 1.04))
    assert heads_at(pump, inputs, first)[0] >= 53.0 > heads_at(pump, inputs, first - 1e-3)[0]
    assert second == pytest.approx(1.02 * first, abs=0.51e-3)
    assert third == pytest.approx(1.04 * first, abs=0.51e-3)
    assert all(1e3 * one == pytest.approx(round(1e3 * one), abs=1e-9) for one in (first, second, third))


def test_too_much_head_is_tried_at_the_largest_and_none_as_drawn():
    pump = demo_pump("medium")
    inputs = Inputs.of([45 / 3600, 30 / 3600], 300.0, 5e5, pump.driver.speed, 300.0)
    viscosity = np.full(2, 1e-6)
    assert diameters_of(pump, inputs, viscosity, np.array([500.0, np.nan]), (1.0, 1.02)) == (0.215,)
    assert diameters_of(pump, inputs, viscosity, np.full(2, np.nan), (1.0, 1.02)) == (0.209,)
    assert diameters_of(pump, inputs, viscosity, np.array([1.0, np.nan]), (1.0,)) == (0.170,)


def test_candidate_has_a_circulation_of_its_own():
    """What was worked out of the drawing before must not be kept: the side room follows the trim."""
    made = build("medium", "N10276", 1.0)
    assert made.pump.network.tap_rows[1, solve.SIDE_ROOM_OUTER] == 0.209 / 2
    pump = Candidate(made, 0.19, made.pump.driver.speed).pump
    assert pump.network.tap_rows[1, solve.SIDE_ROOM_OUTER] == 0.19 / 2


def test_arrays_of_candidates_are_those_of_their_pump_files():
    builds, _ = builds_of(entry("medium"), Choices(materials=MATERIALS), 60)
    candidates = [Candidate(one, diameter, one.pump.driver.speed) for one in builds for diameter in (0.209, 0.19)]
    together = candidate_arrays(candidates)
    alone = machine_arrays([one.pump for one in candidates])
    for ours, expected in zip(together, alone, strict=True):
        np.testing.assert_array_equal(ours, expected)


def test_screening_agrees_with_the_rating_of_each_candidate(chosen: Selection, enquiry: Enquiry):
    found = chosen.screening
    liquid = load_liquid(enquiry.liquid.specification())
    places = [*np.flatnonzero(found.passed)[::25], *np.flatnonzero(~found.lost & ~found.passed)[::25]]
    assert len(places) >= 4
    for place in places:
        one = found.candidates[place]
        rating = rate(one.pump, one.enquiry(enquiry), liquid, full=False)
        made = {check.name: check for check in rating.checks}
        for number, name in enumerate(found.names):
            if name not in made:
                assert np.isnan(found.share[number, place])
                continue
            check = made[name]
            worst = check.worst_case
            assert found.share[number, place] == pytest.approx(check.share[worst], rel=1e-6, abs=1e-9, nan_ok=True)
            assert found.margin[number, place] == pytest.approx(check.margin[worst], rel=1e-6, abs=1e-6, nan_ok=True)
        normal = rating.situation.demands.in_preferred
        assert found.power[place] == pytest.approx(rating.losses.shaft[normal].mean(), rel=1e-6)


def test_every_candidate_passed_or_fell_out_once(chosen: Selection):
    found = chosen.screening
    assert sum(one.count for one in chosen.fell_out) + found.passed.sum() == len(found.candidates)
    assert all(np.isnan(one.missing) or one.missing > 0 for one in chosen.fell_out)
    short = (found.share < 0).any(axis=0) | found.lost
    assert found.passed.any()
    assert (found.passed == ~short).all()
    assert (found.reason[found.passed] == -1).all()
    assert (found.reason[~found.passed] >= 0).all()


def test_offers_are_different_pumps_in_the_order_of_their_score(chosen: Selection):
    assert chosen.holds
    assert 1 <= len(chosen.offers) <= 4
    order = [(not one.rating.holds, -one.score) for one in chosen.offers]
    assert order == sorted(order)
    kinds = [(one.candidate.build.entry.name, one.candidate.pump.containment_shell.material) for one in chosen.offers]
    assert len(set(kinds)) == len(kinds)
    assert all(one.rating.pump.impeller.diameter == one.candidate.diameter for one in chosen.offers)


def test_the_same_pump_under_two_names_is_offered_once(enquiry: Enquiry):
    liquid = load_liquid(enquiry.liquid.specification())
    twice = [entry("medium"), CatalogueEntry("again", changed(demo_pump("medium"), name="Again", note=""))]
    found = select(twice, enquiry, liquid, default_practice(),
                   choices=Choices(materials=("R56400",), lengths=(0.75,), trims=(1.0,)))
    assert [one.candidate.build.entry.name for one in found.offers] == ["medium"] * len(found.offers)


def test_speed_of_a_candidate_on_an_inverter_is_that_of_cases_without_one(enquiry: Enquiry):
    made = build("large", "N10276", 1.0)
    one = Candidate(made, made.pump.impeller.diameter, 120.0)
    asked = demo_enquiry("cold_water")
    speeds = [case.speed for case in one.enquiry(asked).cases]
    assert speeds == [case.speed or 120.0 for case in asked.cases]
    assert any(case.speed for case in asked.cases)
    fixed = build("medium", "N10276", 1.0)
    assert Candidate(fixed, 0.2, 300.0).enquiry(enquiry) is enquiry


def test_stopped_selection_says_so_and_progress_ends_at_all(chosen: Selection, enquiry: Enquiry):
    liquid = load_liquid(enquiry.liquid.specification())
    stopped = select([entry("medium")], enquiry, liquid, default_practice(), cancelled=lambda: True)
    assert stopped.stopped
    assert stopped.screening.left == 1
    assert not stopped.screening.candidates
    assert not stopped.offers
    assert not stopped.fell_out
    told = []
    demands = chosen.offers[0].rating.situation.demands
    screen([entry("medium"), entry("small")], enquiry, {"": liquid}, demands, default_practice(),
           Choices(lengths=(1.0,)), progress=lambda done, of: told.append((done, of)))
    assert told[-1][0] == told[-1][1]
    assert not chosen.stopped


figures = st.lists(st.tuples(*[st.integers(-3, 3)] * 3), min_size=1, max_size=12)


@given(figures)
@settings(deadline=None, max_examples=60)
def test_best_trades_are_those_no_other_beats(rows):
    """The definition of the Pareto set, word by word."""
    margin, power, npsh = np.array(rows, float).T

    def beats(a, b):
        return (a[0] >= b[0] and a[1] <= b[1] and a[2] >= b[2]) and a != b

    expected = [not any(beats(other, own) for other in rows) for own in rows]
    assert best_trades(margin, power, npsh).tolist() == expected


@given(figures, st.tuples(*[st.floats(0.1, 5)] * 3))
@settings(deadline=None, max_examples=60)
def test_scores_lie_between_0_and_1_and_never_prefer_the_beaten(rows, weights):
    margin, power, npsh = np.array(rows, float).T
    found = scores(margin, power, npsh, Weights(*weights))
    assert ((found >= 0) & (found <= 1 + 1e-12)).all()
    assert best_trades(margin, power, npsh)[found >= found.max()].any()


def test_scores_by_hand():
    found = scores(np.array([0.0, 1.0, 2.0]), np.array([5.0, 5.0, 10.0]), np.array([1.0, 1.0, 1.0]), Weights(2, 1, 1))
    assert found == pytest.approx([(0 + 1) / 4, (2 * 0.5 + 1) / 4, 2 / 4])
    unknown = scores(np.full(2, np.nan), np.array([5.0, 6.0]), np.zeros(2), Weights(1, 1, 0))
    assert unknown == pytest.approx([0.5, 0.0])


def test_weights_in_words():
    assert Weights.of("margin 2, Energy 0.5 NPSH 1") == Weights(2, 0.5, 1)
    assert Weights.of("energy 1") == Weights(0, 1, 0)


@pytest.mark.parametrize("text", ["", "margin", "margin x", "price 2", "margin 1 margin 2", "margin -1", "margin 0",
                                  "margin nan", "energy inf"])
def test_weights_that_cannot_be_read(text):
    with pytest.raises(InputError, match="cannot be read as weights"):
        Weights.of(text)


def test_a_candidate_barely_short_or_lost_does_not_pass(chosen: Selection):
    found = chosen.screening
    one = int(np.flatnonzero(found.passed)[0])
    npsh = found.names.index("npsh")
    share = found.share.copy()
    share[npsh, one] = -1e-6
    barely = replace(found, share=share)
    assert not barely.passed[one]
    assert barely.reason[one] == npsh
    share[npsh, one] = np.nan           # not known: left to the full rating
    assert replace(found, share=share).passed[one]
    lost = found.lost.copy()
    lost[one] = True
    assert not replace(found, lost=lost).passed[one]
    assert replace(found, lost=lost).reason[one] == found.names.index("circulation")


def test_where_the_best_falls_out_in_full_another_magnet_length_is_tried(monkeypatch: pytest.MonkeyPatch):
    """The pump as drawn holds; the shorter magnets that score best cannot start, which this screening does not ask."""
    assert coupling.starting_margin in screening.SCREENED
    monkeypatch.setattr(screening, "SCREENED", tuple(one for one in screening.SCREENED
                                                     if one is not coupling.starting_margin))
    asked = demo_enquiry("hot_water")
    pump = Path(asked.pump_file).stem
    liquid = load_liquid(asked.liquid.specification())
    assert rate(demo_pump(pump), asked, liquid, full=False).holds
    found = select([entry(pump)], asked, liquid, default_practice(), most=1)
    assert found.holds
    assert found.rated == 2
    assert found.offers[0].candidate.pump.inner_ring.length == demo_pump(pump).inner_ring.length
