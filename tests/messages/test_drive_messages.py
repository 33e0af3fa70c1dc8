"""What the files of pump and enquiry say when inverter, shut-off power or solids do not fit."""

import pytest

from wetpath.errors import InputError
from wetpath.machine.drive_end import Inverter
from wetpath.machine.impeller import TestedCurve
from wetpath.rating.protection import Protection
from wetpath.rating.solids import Solids


def told(model, **fields):
    with pytest.raises((InputError, ValueError)) as caught:
        model.model_validate(fields)
    return str(caught.value)


def test_inverter_range_upside_down():
    assert "highest_speed" in told(Inverter, lowest_speed="3000 rpm", highest_speed="1500 rpm")
    assert "for a lowest of 3000 rpm" in told(Inverter, lowest_speed="3000 rpm", highest_speed="1500 rpm")


def test_shut_off_power_without_zero_flow():
    text = told(TestedCurve, speed="2950 rpm", diameter="215 mm", flow="5 10 20 30 40 m3/h", head="70 69 66 61 54 m",
                efficiency="10 20 40 50 55 %", npsh="1 1 1 1 1 m", shut_off_power="3 kW")
    assert "is given, and the flows do not begin at 0" in text
    assert "begin flow, head, efficiency and npsh at zero flow, or leave it out" in text


def test_solids_share_and_unknown_trip():
    assert "share" in told(Solids, largest_size="80 um", share=0.7)
    assert "low power" in told(Protection, trips=["power low"])
