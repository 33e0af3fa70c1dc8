"""Accept a pump by its works test: measured points against prediction and against guarantee points."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wetpath.errors import InputError
from wetpath.liquids.liquid import Liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.pump.acceptance import Grade, acceptance_warnings
from wetpath.physics.pump.works_test import NEAR, fewest_points, works_test_limits
from wetpath.physics.validity import messages
from wetpath.questions.acceptance.bench import Bench, Prediction, drive_losses, predict
from wetpath.questions.acceptance.curves import Converted, converted, curves_of
from wetpath.questions.acceptance.guarantee import Guarantee, Judgement, TestCurves, judge, judge_all_grades
from wetpath.questions.acceptance.measured import MeasuredPoints

#: A power brought to another speed by the cube is told to be off when the drive's own law moves it by this share.
DRIVE_SHARE = 0.005


@dataclass(frozen=True, eq=False)
class Acceptance:
    """A works test judged: everything at the guaranteed speed, with water of the bench."""

    pump: PumpFile
    bench: Bench
    measured: MeasuredPoints
    points: Converted
    predicted: Prediction           # at the flows of the points
    curves: TestCurves
    judgements: tuple[Judgement, ...]               # each guarantee point by the grade asked for
    other_grades: tuple[tuple[Judgement, ...], ...]     # each guarantee point by all grades
    warnings: tuple[str, ...]

    @property
    def accepted(self) -> bool:
        """Whether every guarantee point is met."""
        return all(one.accepted for one in self.judgements)


def accept(pump: PumpFile, water: Liquid, bench: Bench, measured: MeasuredPoints, guarantees: Sequence[Guarantee],
           grade: Grade) -> Acceptance:
    """Judge a works test.

    Parameters
    ----------
    pump : PumpFile
        The pump as it was tested.
    water : Liquid
        Loaded; what it was tested with.
    bench : Bench
        Its speed is the guaranteed one.
    measured : MeasuredPoints
    guarantees : sequence of Guarantee
    grade : Grade

    Raises
    ------
    InputError
        When a guarantee cannot be judged with what was measured.
    """
    points = converted(measured, water, bench)
    curves = curves_of(points)
    for number, one in enumerate(guarantees, start=1):
        _can_be_judged(one, points, curves, f"guarantee {number}: " if len(guarantees) > 1 else "")
    return Acceptance(
        pump, bench, measured, points, predict(pump, water, bench, points.flow), curves,
        tuple(judge(curves, one, grade) for one in guarantees),
        tuple(judge_all_grades(curves, one) for one in guarantees),
        _warnings(pump, water, bench, measured, points, curves, guarantees, grade))


def _can_be_judged(guarantee: Guarantee, points: Converted, curves: TestCurves, which: str) -> None:
    if not curves.first_flow <= guarantee.flow <= curves.last_flow:
        raise InputError(f"{which}the guaranteed flow lies outside the measured flows", field="flow",
                         why="a curve continued beyond what was measured proves nothing",
                         do="measure on both sides of the guarantee point")
    if guarantee.power is not None and not points.has_power:
        raise InputError(f"{which}power is guaranteed, but neither power nor efficiency was measured", field="power")
    if guarantee.efficiency is not None and not points.has_power:
        raise InputError(f"{which}efficiency is guaranteed, but neither power nor efficiency was measured",
                         field="efficiency")
    if guarantee.npsh is not None and not points.has_npsh:
        raise InputError(f"{which}NPSH3 is guaranteed, but it was not measured", field="npsh")


def _warnings(pump: PumpFile, water: Liquid, bench: Bench, measured: MeasuredPoints, points: Converted,
              curves: TestCurves, guarantees: Sequence[Guarantee], grade: Grade) -> tuple[str, ...]:
    found = list(points.notes)
    found += messages(*works_test_limits(measured.speed / bench.speed, measured.temperature, measured.npsh))
    if curves.head_held:
        found.append("the plain fit of head rises somewhere by less than the points scatter; the curve is held to fall")
    for one in guarantees:
        near = int(np.count_nonzero(np.abs(points.flow / one.flow - 1) <= NEAR + 1e-9))
        asked = fewest_points(grade)
        if near < asked:
            found.append(f"{near} measured {'point' if near == 1 else 'points'} within 10 % of the guaranteed flow; "
                         f"ISO 9906 asks for {asked} in grade {grade.name[0]}")
        power = one.power or (curves.power and float(curves.power(one.flow)))
        found += acceptance_warnings(power) if power else ()
    found += _cube_of_speed(pump, water, bench, measured, points)
    return tuple(dict.fromkeys(found))


def _cube_of_speed(pump: PumpFile, water: Liquid, bench: Bench, measured: MeasuredPoints, points: Converted
                   ) -> list[str]:
    """What the cube of the speed makes wrong of a power that holds the losses of a magnetic drive."""
    faster = bench.speed / measured.speed
    if not points.has_power or np.max(np.abs(faster - 1)) < 1e-3:
        return []
    at_test = Bench(float(np.mean(measured.speed)), bench.temperature, bench.suction_pressure)
    slower = at_test.speed / bench.speed
    tested = drive_losses(pump, water, at_test, points.flow * slower, points.head * slower**2, points.power * slower**3)
    wet_end = points.power * slower**3 - tested
    again = predict(pump, water, bench, points.flow).drive
    own_law = wet_end / slower**3 + again
    off = points.power / own_law - 1
    if not np.isfinite(off).any() or np.nanmax(np.abs(off)) < DRIVE_SHARE:
        return []
    worst = float(off[np.nanargmax(np.abs(off))])
    return [f"power was brought from the test speed by its cube, as ISO 9906 does; the losses of the magnetic drive "
            f"follow laws of their own, by which it would be {abs(worst):.1%} {'lower' if worst > 0 else 'higher'}"]
