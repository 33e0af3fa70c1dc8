"""Shells of two walls and with closed ends: losses add, insulators add none, the end bounds its own share."""

import numpy as np
import pytest

from wetpath.edge.files import loads_document
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.machine_arrays import end_share, model_response_for, remanences, shell_conductivity
from wetpath.services.demo import pump_path


def _text(name: str = "medium") -> str:
    return pump_path(name).read_text(encoding="utf-8")


def _pump(*changes: tuple[str, str]) -> PumpFile:
    text = _text()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return loads_document(text, PumpFile)


def _loss(pump: PumpFile) -> float:
    return float(model_response_for(pump).cell_loss(0.3, pump.driver.speed, shell_conductivity(pump),
                                                    *remanences(pump)).sum())


def _liner(material: str, wall: str, side: str) -> tuple[str, str]:
    liner = f'liner = {{material = "{material}", wall = "{wall}", side = "{side}"}}'
    return "[containment_shell]", f"[containment_shell]\n{liner}"


def test_an_insulating_liner_adds_no_loss_but_its_place():
    plain, lined = _pump(), _pump(_liner("pvdf", "0.3 mm", "outside"))
    assert _loss(lined) == pytest.approx(_loss(plain), rel=1e-9)


def test_a_second_wall_of_the_same_alloy_adds_as_a_thicker_wall_would():
    thin = _pump(('wall = "1.1 mm"', 'wall = "0.6 mm"'), _liner("N10276", "0.5 mm", "outside"))
    one = _pump()
    assert thin.containment_shell.thickness == pytest.approx(one.containment_shell.thickness)
    assert _loss(thin) == pytest.approx(_loss(one), rel=2e-3)


def test_a_metal_liner_in_an_insulating_shell_has_the_loss_of_the_liner_alone():
    lined = _pump(('material = "N10276"', 'material = "peek"'), ('wall = "1.1 mm"', 'wall = "0.6 mm"'),
                  _liner("N10276", "0.5 mm", "inside"))
    alone = _pump(('wall = "1.1 mm"', 'wall = "0.5 mm"'))
    assert shell_conductivity(lined) == shell_conductivity(alone)
    # the reaction of the currents, 0.1 % of the loss, is taken at the radius of the first wall
    assert _loss(lined) == pytest.approx(_loss(alone), rel=1e-4)


@pytest.mark.parametrize("end", ["dished", "hemispherical", "flat"])
def test_the_closed_end_takes_a_small_share_that_grows_nearer_to_the_magnets(end):
    far = _pump(('end = "dished"', f'end = "{end}"'))
    overhang = far.containment_shell.rear_overhang
    shorter = far.inner_ring.length / 2 + 2e-3
    near = _pump(('end = "dished"', f'end = "{end}"'),
                 (f'rear_overhang = "{1e3 * overhang:g} mm"', f'rear_overhang = "{1e3 * shorter:g} mm"'))
    assert 0 < end_share(far) < end_share(near) < 0.2
    assert np.isfinite(_loss(near))
