"""Uncertainty of a rating: closed forms of linear cases, reproducibility, spreads as typed."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

import wetpath
from wetpath.edge.sources import all_sources
from wetpath.errors import InputError, UnknownName
from wetpath.questions.sensitivity.evaluate import PRESSURE_MARGIN
from wetpath.questions.sensitivity.variable import Variable, variables_of
from wetpath.questions.sensitivity.worth import governing_margin, model_of_case, worth_of
from wetpath.questions.uncertainty import study as module
from wetpath.questions.uncertainty.indices import exchanged, sobol_points
from wetpath.questions.uncertainty.spread import Spread, default_spread, given_spread, spreads_of
from wetpath.questions.uncertainty.study import Uncertainty, uncertainty_of
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
    spread_of_margin = found.cases[1].values[:, worth.governing].std()
    assert spread_of_margin == pytest.approx(np.sqrt(whole), rel=0.03)


def test_same_seed_same_numbers_other_seed_others():
    again = uncertainty_of(rating(), samples=128)
    for one, other in zip(study().cases, again.cases, strict=True):
        assert np.array_equal(one.values, other.values)
    assert [one.total for one in study().causes] == [one.total for one in again.causes]
    assert not np.array_equal(study().cases[0].values, study(2).cases[0].values)


def test_chunks_and_progress(monkeypatch):
    seen: list[tuple[int, int]] = []
    monkeypatch.setattr(module, "CHUNK", 50)
    found = uncertainty_of(rating(), samples=128, progress=lambda done, total: seen.append((done, total)))
    assert np.array_equal(found.cases[2].values, study().cases[2].values)
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
