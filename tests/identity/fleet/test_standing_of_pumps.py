"""What a pump is called, the order of a page, groups above sixty rows, and when a note stops to be quiet."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from wetpath.faces.web.running_parts import filters, rows_of
from wetpath.services.fleet import FleetState, PumpState, Status, _judged, _still
from wetpath.services.fleet_file import FleetFile, FleetPump, InventedReadings
from wetpath.services.fleet_replay import Fleet
from wetpath.store.history import KeptAlarm, Note

NOW = datetime(2026, 6, 12, tzinfo=UTC)
DRIFT = KeptAlarm("drift", NOW - timedelta(days=1), None, "drift", {})


def fleet_of(count: int) -> FleetState:
    pumps = tuple(FleetPump(tag=f"P-{number}", site=f"site {number % 4}", service=f"service {number % 7}",
                            enquiry_file="e.toml", invented=InventedReadings(seed=number)) for number in range(count))
    file = FleetFile(name="many", since="2026-01-01T00:00:00Z", pumps=pumps)
    states = tuple(PumpState(one, Status.SHORT if number < 2 else Status.WELL, margin=1e4 * number, demand=2e4,
                             half_range=1e3) for number, one in enumerate(pumps))
    return FleetState(Fleet(file, Path("fleet.toml")), NOW, states)


def test_up_to_sixty_pumps_have_a_row_each() -> None:
    assert len(rows_of(fleet_of(60), "", "site")) == 60


def test_above_that_each_group_is_told_by_its_worst() -> None:
    many = fleet_of(300)
    rows = rows_of(many, "", "site")
    assert [(act, one.pump.tag, words) for act, one, words in rows] == [
        (f"show:site:site {number}", f"P-{number}", f"site {number}, 75") for number in range(4)]
    assert len(rows_of(many, "", "service")) == 7
    assert len(rows_of(many, "service:service 3", "site")) == 43
    assert filters(many)["status:short of margin"] == "short of margin, 2"
    assert many.sentence == "2 pumps short of margin, 298 well"


@pytest.mark.parametrize(("silent", "stands", "margin", "opened", "status"), [
    (True, False, 5e4, (), Status.SILENT), (False, True, 5e4, (), Status.STOPPED),
    (False, False, 1e4, (), Status.SHORT),
    (False, False, 2.05e4, (), Status.LOOK), (False, False, 5e4, (DRIFT,), Status.LOOK),
    (False, False, float("nan"), (), Status.LOOK), (False, False, 5e4, (), Status.WELL)])
def test_what_a_pump_is_called(silent: bool, stands: bool, margin: float, opened: tuple[KeptAlarm, ...], status: Status
                               ) -> None:
    assert _judged(silent, stands, margin, 1e3, 2e4, opened, None, {"margin": margin})[0] is status


def test_a_note_is_quiet_until_something_moves() -> None:
    known = f"drift {DRIFT.opened.isoformat()}"
    note = Note(NOW, "Ada", 5e4, 4e3, (known,))
    assert _still(note, 5.39e4, (DRIFT,))
    assert _still(note, 4.61e4, ())
    assert not _still(note, 4.59e4, (DRIFT,))
    assert not _still(Note(NOW, "Ada", 5e4, 4e3, ()), 5e4, (DRIFT,))
