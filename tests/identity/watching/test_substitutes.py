"""Motor power told by current and suction pressure told by level: identities with the model, and causes still named."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from pydantic import ValidationError

from wetpath.circulation import solve
from wetpath.edge.mapping import MappedTag
from wetpath.links.virtual_pump import VirtualPump
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.rating.rate import Rating
from wetpath.services.demo import enquiry_path
from wetpath.services.rating import load_service
from wetpath.services.watch import told_by_tags, watcher_for
from wetpath.upsets import Upset, simulate
from wetpath.watching.reconcile import ORDER, errors_of
from wetpath.watching.samples import Samples, Signal
from wetpath.watching.substitutes import substitutes_of
from wetpath.watching.watcher import Watcher

#: The watch has learnt after an hour how the pump runs.
BEFORE, AFTER = 3800, 900


@cache
def rated(name: str) -> Rating:
    return load_service(enquiry_path(name)).rate()


def tag(signal: str, unit: str, **more: str) -> MappedTag:
    return MappedTag.model_validate({"tag": signal, "pump": "P-101", "signal": signal, "unit": unit, **more})


def test_current_tells_the_power_that_the_model_has() -> None:
    rating = rated("hot_water")
    line = simulate(rating, [Upset("discharge closed", 5.0)], case=0, duration=60.0)
    told = substitutes_of(rating, 0, [Signal.MOTOR_CURRENT], rated_current=28.0)
    samples = told.of(Samples(line.time, {Signal.MOTOR_CURRENT: 28.0 * line.current_share}))
    assert samples.values[Signal.MOTOR_POWER] == pytest.approx(line.motor_power, rel=1e-9)


def test_motor_that_is_off_takes_no_power() -> None:
    told = substitutes_of(rated("hot_water"), 0, [Signal.MOTOR_CURRENT], rated_current=28.0)
    samples = told.of(Samples(np.arange(2.0), {Signal.MOTOR_CURRENT: np.array([0.3, np.nan])}))
    assert samples.values[Signal.MOTOR_POWER][0] == 0.0
    assert np.isnan(samples.values[Signal.MOTOR_POWER][1])


def test_level_tells_the_suction_pressure_of_the_case_and_its_column() -> None:
    rating = rated("scrubber_water")
    vessels = rating.situation.demands.vessels
    assert vessels is not None
    told = told_by_tags(rating, 0, [tag("level", "m", zero_above_shaft="-0.5 m"), tag("flow", "m3/h")])
    level = float(vessels.level[0]) + 0.5 + np.array([0.0, -1.0])
    found = told.of(Samples(np.arange(2.0), {Signal.LEVEL: level})).values[Signal.SUCTION_PRESSURE]
    density = float(rating.situation.scalars[0, solve.DENSITY_IN])
    assert found[0] == pytest.approx(rating.inputs.pressure[0], rel=1e-12)
    assert found[0] - found[1] == pytest.approx(density * STANDARD_GRAVITY, rel=1e-6)
    more = told.of(Samples(np.arange(1.0), {Signal.LEVEL: level[:1], Signal.FLOW: 1.2 * rating.inputs.flow[:1]}))
    assert more.values[Signal.SUCTION_PRESSURE][0] < found[0]               # the line takes more at more flow


def test_only_what_the_plant_does_not_measure_is_told() -> None:
    rating = rated("scrubber_water")
    every = [tag("motor_current", "A", rated_current="28 A"), tag("motor_power", "kW"), tag("level", "m"),
             tag("suction_pressure", "bar g")]
    assert not told_by_tags(rating, 0, every).words
    words = told_by_tags(rating, 0, [every[0], every[2]]).words
    assert len(words) == 2
    assert words[0].startswith("the motor power is told by its current, to ")
    assert words[1].startswith("the suction pressure is told by the level")
    assert told_by_tags(rating, 0, [tag("motor_current", "A")]).words == (
        "the motor current is not used: give rated_current at its tag in the mapping file",)
    assert told_by_tags(rated("hot_water"), 0, [every[2]]).words == ("the level is not used: the case gives no vessel",)


def test_what_is_told_by_another_counts_less() -> None:
    one = watcher_for(rated("scrubber_water"), 0)
    told = told_by_tags(one.surrogate.rating, 0, [tag("motor_current", "A", rated_current="28 A"), tag("level", "m")])
    errors = errors_of(one.surrogate, told)
    larger = {ORDER[place] for place in np.flatnonzero(errors.signals > one.errors.signals)}
    assert larger == {Signal.MOTOR_POWER, Signal.SUCTION_PRESSURE}


@pytest.mark.parametrize(("field", "signal", "unit", "value"), [
    ("rated_current", "motor_power", "kW", "28 A"), ("zero_above_shaft", "flow", "m3/h", "1 m")])
def test_fields_of_another_signal_are_refused(field: str, signal: str, unit: str, value: str) -> None:
    with pytest.raises(ValidationError, match=f"{field}.* has no meaning for {signal}"):
        tag(signal, unit, **{field: value})


def watched(name: str, kind: str, gone: Signal, more: tuple[MappedTag, ...], **values: float) -> Watcher:
    """Watch an upset of the virtual plant without one signal, with what tells it."""
    rating = rated(name)
    plant = VirtualPump(rating, seed=11)
    plant.with_upset(Upset(kind, values=values), BEFORE)()
    times, read = plant.readings(0, BEFORE + AFTER)
    tags = tuple(one.model_copy(update={"rated_current": plant.rated_current}) if one.signal == "motor_current" else one
                 for one in more)
    own = watcher_for(rating, plant.case, tags)
    for first in range(0, times.size, 20):
        own.take(Samples(times[first:first + 20], {
            signal: value[first:first + 20] for signal, value in read.items() if signal is not gone}))
        if own.diagnosis is not None and times[first] > own.diagnosis.until:
            break
    return own


@pytest.mark.parametrize(("kind", "values", "wanted"), [
    ("gas entrained", {"over": 60.0, "share": 0.08}, "gas_entrained"),
    ("discharge closed", {"over": 30.0}, "flow_falling")])
def test_causes_are_named_with_a_current_in_place_of_the_power(kind: str, values: dict[str, float],
                                                               wanted: str) -> None:
    own = watched("hot_water", kind, Signal.MOTOR_POWER, (tag("motor_current", "A", rated_current="28 A"),), **values)
    assert own.diagnosis is not None
    assert own.diagnosis.suspects[0].name == wanted, own.diagnosis.suspects[:3]


def test_a_level_does_not_tell_a_closing_suction_from_wear_and_the_watch_says_so() -> None:
    """Level and flow stand, the discharge pressure falls: the head may be gone, or the pressure before the pump."""
    own = watched("scrubber_water", "suction strangled", Signal.SUCTION_PRESSURE, (tag("level", "m"),), over=120.0,
                  share=0.3)
    assert own.diagnosis is not None
    assert {one.name for one in own.diagnosis.suspects[:2]} == {"head_loss", "suction_falling"}
    assert "cannot tell" in own.diagnosis.title
    measured = watched("scrubber_water", "suction strangled", Signal.LEVEL, (), over=120.0, share=0.3)
    assert measured.diagnosis is not None
    assert measured.diagnosis.suspects[0].name == "suction_falling"
    assert "cannot tell" not in measured.diagnosis.title
