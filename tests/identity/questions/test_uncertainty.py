"""Uncertainty of a rating: closed forms of linear cases, reproducibility, spreads as typed."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

import wetpath
from wetpath.edge.files import loads_document
from wetpath.edge.practice import PracticeFile
from wetpath.edge.sources import all_sources
from wetpath.errors import InputError, UnknownName
from wetpath.questions.sensitivity.evaluate import PRESSURE_MARGIN
from wetpath.questions.sensitivity.variable import Variable, variables_of
from wetpath.questions.sensitivity.worth import governing_margin, model_of_case, worth_of
from wetpath.questions.uncertainty import study as module
from wetpath.questions.uncertainty.indices import PointStream, exchanged, sobol_points
from wetpath.questions.uncertainty.spread import Spread, default_spread, given_spread, spreads_of
from wetpath.questions.uncertainty.study import Uncertainty, uncertainty_of
from wetpath.questions.window.required import band_ends
from wetpath.questions.window.study import Asked, basis_of
from wetpath.rating.rate import Rating
from wetpath.services.rating import load_service

ENQUIRIES = Path(wetpath.__file__).parent / "data" / "demo" / "enquiries"


@cache
def rating(name: str = "butane_reflux") -> Rating:
    return load_service(ENQUIRIES / f"{name}.toml").rate()


@cache
def study(seed: int = 1) -> Uncertainty:
    return uncertainty_of(rating(), samples=128, seed=seed)


def variables(case: int = 0, name: str = "butane_reflux") -> dict[str, Variable]:
    model, inputs = model_of_case(rating(name), case)
    return {one.name: one for one in variables_of(model.pump, inputs)}


def known_but(**spreads: str) -> dict[str, str]:
    """Every input exactly known but some."""
    return {name: spreads.get(name, "0") for name in variables()}


def test_probability_of_one_even_input():
    """The vapour margin rises 1 to 1 with suction pressure: a demand within the spread holds with a known chance."""
    case = rating().case_names.index("D cold start")
    assert governing_margin(rating(), case) == PRESSURE_MARGIN
    worth = worth_of(rating(), case)
    slope = next(one.slope[0] for one in worth.effects if one.variable.name == "suction_pressure")
    left = float((worth.now[0] - worth.limits[0]) / slope)
    found = uncertainty_of(rating(), samples=1024, case=case,
                           given=known_but(suction_pressure=f"{-1.5e-5 * left!r} bar to {4.5e-5 * left!r} bar"))
    holds = found.cases[case].probabilities[0]
    assert holds.name == "vapour_margin_pressure"
    assert holds.share == pytest.approx(5.5 / 6, abs=2e-3)      # evenly spread points, not random ones
    assert holds.low < 5.5 / 6 < holds.high
    own = found.cases[case]
    assert own.median == pytest.approx(own.now + 1.5 * left * slope, rel=5e-3)
    # the middle 95 % of an even spread of six times what is left
    assert own.high - own.low == pytest.approx(0.95 * 6 * left * slope, rel=5e-3)


def test_causes_of_a_nearly_linear_case_follow_from_the_slopes():
    """With small spreads each index is the squared slope times the variance, as a share of the sum."""
    spreads = {"suction_pressure": "0.02 bar", "temperature": "0.2 K", "shell_loss_factor": "3 %",
               "wall_heat_transfer_factor": "2 %", "flow": "3 %", "vapour_pressure_factor": "0.3 %"}
    found = uncertainty_of(rating(), samples=1024, case=1, given=known_but(**spreads))
    worth = worth_of(rating(), 1)
    effects = {one.variable.name: one for one in worth.effects}
    variance = {name: (effects[name].slope[worth.governing] * given_spread(text, variables(1)[name]).high) ** 2 / 3
                for name, text in spreads.items()}
    whole = sum(variance.values())
    causes = {one.variable.name: one for one in found.causes}
    for name, own in variance.items():
        assert causes[name].total == pytest.approx(own / whole, abs=0.02)
        assert causes[name].first == pytest.approx(own / whole, abs=0.04)
    assert all(one.total == 0.0 for name, one in causes.items() if name not in spreads)
    spread_of_margin = found.cases[1].margins.std()
    assert spread_of_margin == pytest.approx(np.sqrt(whole), rel=0.03)


def test_same_seed_same_numbers_other_seed_others():
    again = uncertainty_of(rating(), samples=128)
    for one, other in zip(study().cases, again.cases, strict=True):
        assert np.array_equal(one.margins, other.margins)
    assert [one.total for one in study().causes] == [one.total for one in again.causes]
    assert not np.array_equal(study().cases[0].margins, study(2).cases[0].margins)


def test_chunks_and_progress(monkeypatch):
    seen: list[tuple[int, int]] = []
    monkeypatch.setattr(module, "CHUNK", 32)
    found = uncertainty_of(rating(), samples=128, progress=lambda done, total: seen.append((done, total)))
    assert np.array_equal(found.cases[2].margins, study().cases[2].margins)
    done = [one for one, _ in seen]
    assert done == sorted(done)
    assert done[-1] == seen[0][1] == 128 * 4 + 64 * len(variables())


def test_probabilities_fit_together():
    for one in study().cases:
        shares = {each.name: each.share for each in one.probabilities}
        assert shares["all"] <= min(shares.values())
        assert one.low <= one.median <= one.high
        assert all(each.low <= each.share <= each.high for each in one.probabilities)
    assert [one.total for one in study().causes] == sorted((one.total for one in study().causes), reverse=True)


def test_points_are_raised_to_a_power_of_two():
    assert uncertainty_of(rating(), samples=130).samples == 256
    for samples in (1, 10**7):
        with pytest.raises(InputError, match="is out of range"):
            uncertainty_of(rating(), samples=samples)


def test_exchanged_points():
    first, second = sobol_points(3, 8, 1)
    crossed = exchanged(first, second)
    for column in range(3):
        assert np.array_equal(crossed[column][:, column], second[:, column])
        others = [other for other in range(3) if other != column]
        assert np.array_equal(crossed[column][:, others], first[:, others])


@pytest.mark.parametrize(("shape", "probability", "change"), [
    ("even", 0.0, -0.2), ("even", 0.5, 0.05), ("even", 1.0, 0.3),
    ("normal", 0.025, -0.2), ("normal", 0.5, 0.05), ("normal", 0.975, 0.3),
    ("log-normal", 0.025, -0.2), ("log-normal", 0.5, np.sqrt(0.8 * 1.3) - 1), ("log-normal", 0.975, 0.3)])
def test_shapes_of_spreads(shape, probability, change):
    spread = Spread("x", -0.2, 0.3, shape, "", "", "")
    assert float(spread.changes(probability, 1.0)) == pytest.approx(change, abs=1e-12)


def test_every_variable_has_a_default_spread_with_a_source():
    for name in ("butane_reflux", "cold_water", "hot_water", "acrylic_ester_flushed", "naphtha"):
        model, _ = model_of_case(rating(name), 0)
        for one in variables(0, name).values():
            spread = default_spread(one, model.pump)
            assert spread.low < 0 < spread.high
            assert one.nominal + spread.low > 0
            assert spread.source in all_sources()
            assert spread.status in ("read", "recalled", "derived", "common practice")


def test_spreads_as_typed():
    own = variables()
    flow = own["flow"]
    assert given_spread("3 %", flow).high == pytest.approx(0.03 * flow.nominal)
    assert given_spread("-0.1 bar to 0.3 bar", own["suction_pressure"]).low == pytest.approx(-1e4)
    assert given_spread("0", flow).low == given_spread("0", flow).high == 0.0
    for name, text, words in (
            ("temperature", "3 %", "share of an absolute temperature"), ("flow", "1 m3/h to -1 m3/h", "low to high"),
            ("flow", "-120 % to 3 %", "zero or negative"), ("flow", "1 bar", "flow"),
            ("flow", "a to b to c", "is not a spread")):
        with pytest.raises(InputError, match=words):
            given_spread(text, own[name])
    model, _ = model_of_case(rating(), 0)
    with pytest.raises(UnknownName, match="suction_pressure"):
        spreads_of(tuple(own.values()), model.pump, {"suction_presure": "1 bar"})


def test_rows_of_points_come_in_any_order():
    first, second = sobol_points(5, 64, 3)
    stream = PointStream(5, 3)
    for start, count in ((32, 16), (0, 8), (8, 8), (48, 16), (16, 32)):
        rows = slice(start, start + count)
        for found, expected in zip(stream.rows(start, count), (first[rows], second[rows]), strict=True):
            assert np.array_equal(found, expected)


def test_a_part_sends_back_one_number_for_each_point():
    """What is kept of a point is its governing margin; all else is counted where it is solved."""
    shared = module.Shared((module.asked_case(rating(), 0),), {}, rating().practice.spreads, 1)
    found = module.solve_part(shared, module.Part(0, 0, 64))
    assert {name: values.size for name, values in found.items()} == {"margins": 128, "closed": 1, "holds": 3, "all": 1}
    assert np.array_equal(np.concatenate(np.split(found["margins"], 2)), study().cases[0].margins)


OURS = """
wetpath = "practice/1"
name = "ours"
[spreads.hole_loss_factor]
low = "-4 %"
high = "9 %"
source = "holes measured"
[spreads.wall_heat_transfer_factor]
low = "-10 %"
high = "15 %"
shape = "even"
source = "runs on the bench"
[spreads.suction_pressure]
low = "0"
high = "0"
source = "vessel at the vapour pressure"
"""


def test_spreads_of_the_practice_are_used_by_uncertainty_and_window_alike():
    own = loads_document(OURS, PracticeFile).practice()
    rated = load_service(ENQUIRIES / "butane_reflux.toml", practice=own).rate()
    better, worse = band_ends(basis_of(rated, Asked()))
    assert (better.feed_loss, better.film) == pytest.approx((0.96, 1.15))
    assert (worse.feed_loss, worse.film) == pytest.approx((1.09, 0.90))
    causes = {one.variable.name: one for one in uncertainty_of(rated, samples=128).causes}
    film, holes, suction = (causes[name].spread for name in (
        "wall_heat_transfer_factor", "hole_loss_factor", "suction_pressure"))
    assert (film.low, film.high, film.shape) == (pytest.approx(-0.10), pytest.approx(0.15), "even")
    assert (film.source, film.status) == ("runs on the bench", "given")
    assert (1 + holes.low, 1 + holes.high) == (pytest.approx(better.feed_loss), pytest.approx(worse.feed_loss))
    assert holes.shape == "log-normal"
    assert suction.low == suction.high == 0.0
    assert causes["suction_pressure"].total == 0.0
    # what the practice does not name stays as it comes with the program
    default = {one.variable.name: one for one in study().causes}
    assert causes["flow"].spread == default["flow"].spread
    # what is typed for one study goes before the practice
    typed = spreads_of(tuple(variables().values()), rated.pump, {"hole_loss_factor": "1 %"}, own.spreads)
    assert next(one for one in typed if one.name == "hole_loss_factor").high == pytest.approx(0.01)


def test_a_spread_of_the_practice_leaves_some_of_the_input():
    text = 'wetpath = "practice/1"\nname = "x"\n[spreads.annulus_gap]\nlow = "-9 mm"\nhigh = "1 mm"\nsource = "x"\n'
    own = loads_document(text, PracticeFile).practice()
    model, _ = model_of_case(rating(), 0)
    with pytest.raises(InputError, match=r"spreads\.annulus_gap would make annulus gap zero or negative"):
        spreads_of(tuple(variables().values()), model.pump, rows=own.spreads)


def test_every_default_spread_has_the_kind_of_its_input():
    model, _ = model_of_case(rating(), 0)
    for name, one in variables().items():
        assert rating().practice.spreads[default_spread(one, model.pump).name].kind == one.kind, name
