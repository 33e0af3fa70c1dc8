"""The demo catalogue: every file loads, its stories hold, its machines are of a believable size."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import wetpath
from wetpath.circulation import solve
from wetpath.circulation.outcome import Outcome
from wetpath.edge.files import load_document
from wetpath.edge.practice import PracticeFile
from wetpath.liquids.liquid_file import LiquidFile
from wetpath.liquids.specification import LiquidSpecification, load_liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.losses import losses_of
from wetpath.rating.pump_model import Inputs, PumpModel
from wetpath.rating.rate import Rating
from wetpath.rating.verdict import Headline
from wetpath.services.rating import rate_files

DEMO = Path(wetpath.__file__).parent / "data" / "demo"
PUMPS = sorted(path.stem for path in (DEMO / "pumps").glob("*.toml"))
ENQUIRIES = sorted(path.stem for path in (DEMO / "enquiries").glob("*.toml"))

LIQUID, BOILING_WALL = Outcome.LIQUID, Outcome.WALL_BOILING
FLASHING, NO_SOLUTION = Outcome.FLASHING, Outcome.NO_SOLUTION


@dataclass(frozen=True)
class Story:
    """What a demo enquiry is there to show."""

    headline: Headline
    outcomes: tuple[Outcome, ...]
    failing: tuple[str, ...] = ()
    governing: str = ""            # where the story is about one check; else any
    case: str = ""


STORIES = {
    "cold_water": Story(Headline.RUNS, (LIQUID,) * 4),
    "hot_water": Story(Headline.TIGHT, (LIQUID,) * 4, (), "npsh", "C peak steam, low level"),
    "propane": Story(Headline.TIGHT, (LIQUID,) * 4, (), "vapour_margin_temperature", "B hot day, low level"),
    "propane_suction_return": Story(
        Headline.NOT_AS_OFFERED, (FLASHING, FLASHING, FLASHING, LIQUID),
        ("vapour_margin_pressure", "vapour_margin_temperature", "wall_margin_temperature"), "vapour_margin_pressure",
        "C minimum flow, hot day"),
    "butane_reflux": Story(Headline.NOT_AS_OFFERED, (BOILING_WALL, BOILING_WALL, BOILING_WALL, LIQUID),
                           ("wall_margin_temperature",), "wall_margin_temperature", "B hot day"),
    "butane_as_found": Story(
        Headline.CANNOT, (NO_SOLUTION, NO_SOLUTION, FLASHING),
        ("vapour_margin_pressure", "vapour_margin_temperature", "wall_margin_temperature", "circulation",
         "temperature_class_normal"), "circulation", "A normal"),
    "ammonia": Story(Headline.NOT_AS_OFFERED, (LIQUID,) * 4, ("npsh", "maximum_flow"), "npsh", "C pull-down"),
    "dichloromethane": Story(Headline.RUNS, (LIQUID,) * 6),
    "hot_oil": Story(Headline.TIGHT, (LIQUID,) * 4, (), "inner_magnets", "B hottest"),
    "glycol_cold_start": Story(Headline.NOT_AS_OFFERED, (LIQUID,) * 4, ("nameplate", "maximum_flow"), "nameplate",
                               "D cold start"),
    "acrylic_ester": Story(Headline.NOT_AS_OFFERED, (LIQUID,) * 4, ("onset_at_wall",), "onset_at_wall",
                           "C minimum flow, hot day"),
    "acrylic_ester_flushed": Story(Headline.RUNS, (LIQUID,) * 4),
    "naphtha": Story(Headline.NOT_AS_OFFERED, (LIQUID,) * 3, ("head",), "head", "A rated"),
    "scrubber_water": Story(Headline.NOT_AS_OFFERED, (LIQUID,) * 4, ("gas_share",), "gas_share",
                            "D low level, dirty strainer"),
    "water_test": Story(
        Headline.NOT_AS_OFFERED, (LIQUID,) * 3, ("coupling_margin_running", "coupling_margin_starting", "maximum_flow"),
        "coupling_margin_running", "C rated flow"),
}

#: The frames as such, on water; variants are compared with them.
FRAMES = ("small", "medium", "large")


@cache
def pump(name: str) -> PumpFile:
    return load_document(DEMO / "pumps" / f"{name}.toml", PumpFile)


@cache
def enquiry(name: str) -> Enquiry:
    return load_document(DEMO / "enquiries" / f"{name}.toml", Enquiry)


@cache
def rated(name: str, with_pump: str = "") -> Rating:
    machine = DEMO / "pumps" / f"{with_pump}.toml" if with_pump else None
    return rate_files(DEMO / "enquiries" / f"{name}.toml", pump=machine)


@cache
def on_water(name: str):
    """Losses, scalars and shares on water of 20 degC at best efficiency and at the end of the allowed flow."""
    machine = pump(name)
    tested = machine.impeller.tested
    trim = machine.impeller.diameter / tested.diameter
    flow = np.array([tested.curve.best_flow * trim, machine.impeller.highest_flow])
    model = PumpModel(machine, load_liquid(LiquidSpecification("reference equation", ("water",))))
    solved = model.solve(Inputs.of(flow, 293.15, 3e5, machine.driver.speed, 298.15))
    network, states = machine.network, solved.solution.states
    feeds = [i for i, branch in enumerate(network.branches) if branch.start == network.taps[0].station]
    share = states.flow[:, feeds].sum(axis=1) / (states.scalars[:, solve.DENSITY_IN] * flow)
    return losses_of(machine, solved), solved, share


def test_every_enquiry_has_a_story():
    assert set(STORIES) == set(ENQUIRIES)


@pytest.mark.parametrize("name", PUMPS)
def test_pump_says_that_it_is_invented(name):
    assert pump(name).note.startswith("Invented for the demo; no real machine.")


@pytest.mark.parametrize("name", ENQUIRIES)
def test_enquiry_says_that_it_is_invented(name):
    assert enquiry(name).note.startswith("Invented for the demo")
    assert 2 <= len(enquiry(name).cases) <= 6


@pytest.mark.parametrize("path", sorted((DEMO / "liquids").glob("*.toml")), ids=lambda path: path.stem)
def test_liquid_file_loads_without_doubts(path):
    file = load_document(path, LiquidFile)
    liquid = load_liquid(file.liquid.specification())
    assert file.note.startswith("Invented for the demo")
    assert liquid.has_vapour_pressure
    assert liquid.warnings == ()


@pytest.mark.parametrize("path", sorted((DEMO / "practices").glob("*.toml")), ids=lambda path: path.stem)
def test_practice_file_says_that_it_is_invented(path):
    replaced = load_document(path, PracticeFile).practice().replaced()
    assert replaced
    assert all("invented" in limit.source for limit in replaced)


def test_names_differ():
    names = [pump(name).name for name in PUMPS]
    titles = [enquiry(name).title for name in ENQUIRIES]
    assert len(set(names)) == len(names)
    assert len(set(titles)) == len(titles)


def test_readme_lists_every_file():
    text = (DEMO / "README.md").read_text(encoding="utf-8")
    missing = [path.name for path in DEMO.rglob("*.toml") if f"{path.parent.name}/{path.name}" not in text]
    assert missing == []


def test_every_pump_liquid_and_practice_is_used():
    used = {Path(enquiry(name).pump_file).stem for name in ENQUIRIES}
    assert set(PUMPS) == used
    liquids = {Path(enquiry(name).liquid_file).name for name in ENQUIRIES} - {""}
    practices = {Path(enquiry(name).practice_file).name for name in ENQUIRIES} - {""}
    assert liquids == {path.name for path in (DEMO / "liquids").glob("*.toml")}
    assert practices == {path.name for path in (DEMO / "practices").glob("*.toml")}


@pytest.mark.parametrize("name", ENQUIRIES)
def test_story_holds(name):
    story, rating = STORIES[name], rated(name)
    assert rating.verdict.headline == story.headline, str(rating.verdict)
    assert rating.outcomes == story.outcomes
    assert set(rating.verdict.failing) == set(story.failing)
    if story.governing:
        assert (rating.verdict.check.name, rating.verdict.case_name) == (story.governing, story.case)


@pytest.mark.parametrize("name", ENQUIRIES)
def test_balances_close(name):
    scalars = rated(name).situation.scalars
    closed = scalars[:, solve.CONVERGED] > 0
    assert np.array_equal(closed, [outcome != NO_SOLUTION for outcome in STORIES[name].outcomes])
    assert (scalars[closed, solve.MASS_RESIDUAL] < 1e-9).all()
    assert (scalars[closed, solve.HEAT_RESIDUAL] < 1e-6).all()


def test_failing_stories_differ():
    governing = {story.governing for story in STORIES.values() if story.failing}
    assert {"vapour_margin_pressure", "wall_margin_temperature", "circulation", "npsh", "nameplate", "onset_at_wall",
            "head", "coupling_margin_running", "gas_share"} <= governing


def test_nickel_alloy_shell_cures_the_boiling_wall():
    assert rated("butane_reflux", "medium").outcomes == (LIQUID,) * 4


def test_open_feed_hole_cures_the_pump_as_found():
    assert rated("butane_as_found", "medium").outcomes == (LIQUID,) * 3


def test_vapour_margin_follows_the_pressure_of_the_return():
    """Eye, behind the impeller, discharge side: the higher the return, the larger the worst margin."""
    margins = [rated("propane", name).situation.scalars[:, solve.PRESSURE_MARGIN]
               for name in ("medium_suction", "medium", "medium_auxiliary")]
    assert (margins[0] < margins[1]).all()
    # the front bearing of the pressurised return ends behind the impeller too, a little higher than the warm stream
    assert (margins[1] < margins[2] + 0.02e5).all()
    hottest = [rated("propane", name).situation.scalars[:, solve.TEMPERATURE_MARGIN]
               for name in ("medium_suction", "medium", "medium_auxiliary")]
    assert (hottest[0] < hottest[1]).all()
    assert (hottest[1] < hottest[2]).all()


def test_return_to_the_eye_costs_npsh():
    eye, casing = (rated("propane", name).situation.npsh_available for name in ("medium_suction", "medium"))
    assert (eye < casing - 0.1).all()


def test_flush_cools_the_wall():
    flushed, own = (rated(name).situation.scalars[:, solve.HOTTEST_WALL]
                    for name in ("acrylic_ester_flushed", "acrylic_ester"))
    hot_days = slice(1, 3)
    assert (flushed[hot_days] < own[hot_days] - 15).all()


def test_cooler_takes_heat():
    assert (rated("hot_oil").situation.scalars[:, solve.COOLER] < 0).all()


def test_gas_comes_out_where_npsh_is_ample():
    """None while the level holds the flange above the scrubber, some at low level; the loss in the strainer decides."""
    rating = rated("scrubber_water")
    suction, flange = rating.situation.suction, rating.inputs.pressure
    assert (rating.situation.npsh_available > 8 * suction.npsh_needed).all()
    assert (suction.degassing == pytest.approx(2.6e5, rel=1e-6))
    assert np.array_equal(suction.gas_share > 0, flange < suction.degassing)
    assert suction.gas_share[2] < 0.02 < suction.gas_share[3]


def test_eddy_heat_follows_resistivity():
    """Same rings, other alloy: loss goes as one over resistivity, 1.30 over 0.74, at nearly the same wall temperature.

    3 %: the steel wall is some kelvin hotter, and the larger loss turns the rings a little further.
    """
    nickel, steel = on_water("medium")[0].eddy[0], on_water("medium_steel")[0].eddy[0]
    assert steel / nickel == pytest.approx(1.30 / 0.74, rel=0.03)


def test_zirconia_takes_no_heat():
    assert on_water("medium_ceramic")[0].eddy == pytest.approx(0.0, abs=1e-9)


@pytest.mark.common_practice
@pytest.mark.parametrize("name", PUMPS)
def test_hydraulics_are_of_a_radial_pump(name):
    point = on_water(name)[1].point
    assert 10 <= point.specific_speed[0] <= 30
    assert point.suction_specific_speed[0] <= 213
    assert pump(name).impeller.tested.curve.is_stable


@pytest.mark.common_practice
@pytest.mark.parametrize("name", FRAMES)
def test_circulation_is_a_few_per_cent(name):
    share = on_water(name)[2]
    assert (share >= 0.02).all()
    assert (share <= 0.08).all()


@pytest.mark.common_practice
@pytest.mark.parametrize("name", FRAMES)
def test_shell_loss_is_believable(name):
    losses = on_water(name)[0]
    assert 0.05 <= losses.eddy[0] / (losses.hydraulic[0] + losses.wet_end[0]) <= 0.12


@pytest.mark.common_practice
@pytest.mark.parametrize("name", FRAMES)
def test_shell_leads_the_heat_of_the_circulation(name):
    """Eddy heat well above the drags, drags of the annulus above those of the faces, bearings last.

    The drags weigh more here than in a machine that loses a fifth of its shaft power in the shell.
    """
    losses = on_water(name)[0]
    heat = losses.circulation_heat[0]
    assert losses.eddy[0] / heat > 0.87
    assert 0.02 <= losses.annulus_drag[0] / heat <= 0.07
    assert 0.004 <= losses.disc_drag[0] / heat <= 0.045
    assert (losses.journals[0] + losses.thrust_faces[0]) / heat < 0.02


@pytest.mark.common_practice
@pytest.mark.parametrize("name", [*FRAMES, "medium_steel", "medium_hot", "medium_flush", "medium_suction"])
def test_pull_out_is_sized_for_water_at_the_end_of_the_curve(name):
    assert 1.6 <= on_water(name)[0].coupling_ratio[1] <= 2.5


@pytest.mark.common_practice
@pytest.mark.parametrize("name", ["propane", "dichloromethane", "hot_oil", "glycol_cold_start"])
def test_pull_out_is_sized_for_the_service(name):
    assert 1.5 <= rated(name).losses.coupling_ratio.min() <= 2.5
