"""A fleet replayed here, in processes, on a cluster, stopped, killed: the same history to the bit, nothing twice."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from wetpath.errors import Stopped
from wetpath.links.series import read_series
from wetpath.services.fleet_replay import Fleet, Outcome, bring_up_to_date, open_replay, series_folder
from wetpath.services.scale import Scale
from wetpath.store.history import alarms_of_all, hours, series_of, watch_of, watches

#: Spans of the small fleet: they end on 4, 11 and 12 June, those of P-4 on 10 June.
SPANS = 11
REPLAY = ("import sys; from pathlib import Path; from wetpath.services.fleet import load_fleet; "
          "from wetpath.services.fleet_replay import bring_up_to_date, open_replay; "
          "bring_up_to_date(open_replay(Path(sys.argv[2])), load_fleet(Path(sys.argv[1])))")


def replayed(fleet: Fleet, folder: Path, **more: Any) -> Outcome:
    store = open_replay(folder)
    try:
        return bring_up_to_date(store, fleet, **more)
    finally:
        store.close()


def history(fleet: Fleet, folder: Path) -> Mapping[str, Any]:
    """All that a replay has kept, by pump; files are compared by their SHA-256, and read."""
    store = open_replay(folder)
    found = {}
    for watch in watches(store, fleet.file.name):
        whole = watch_of(store, watch.fleet, watch.pump, watch.model, {})
        files = series_of(store, watch)
        for one in files:
            assert read_series(series_folder(store), one.file, one.sha256).height == one.rows
        found[watch.pump] = (whole.until, whole.state, hours(store, watch), alarms_of_all(store, [watch]),
                             [(one.begins, one.ends, one.rows, one.sha256) for one in files])
        found[watch.pump] = (*found[watch.pump][:3], found[watch.pump][3].get(watch.id, ()), found[watch.pump][4])
    store.close()
    return found


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("here")


@pytest.fixture(scope="module")
def here(fleet: Fleet, place: Path) -> Mapping[str, Any]:
    """The history as it is made in this process."""
    outcome = replayed(fleet, place)
    assert outcome.spans == SPANS
    assert not outcome.problems
    return history(fleet, place)


def test_what_is_kept_is_what_was_there(here: Mapping[str, Any]) -> None:
    until, _, rows, alarms, files = here["P-1"]
    assert f"{until:%d %H}" == "12 06"
    assert len(rows) == 10 * 24 + 6 == len({one["hour"] for one in rows})
    assert all(one["samples"] == one["running"] == 1 for one in rows)
    assert rows[-1]["margin"] < rows[0]["margin"] - 7e4
    assert any(one.name == "margin short" and one.closed is None for one in alarms)
    assert files[0][0] == rows[0]["hour"]
    assert sum(one[2] for one in files) == len(rows)
    assert all(one["return_temperature"] is None and one["flow"] > 0 for one in here["P-2"][2])
    assert [one["running"] for one in here["P-3"][2]].index(0) == 6 * 24
    assert here["P-3"][2][-1]["margin"] is None
    assert f"{here['P-4'][0]:%d %H}" == "10 00"


def test_asked_again_there_is_nothing_to_do(fleet: Fleet, place: Path, here: Mapping[str, Any]) -> None:
    assert replayed(fleet, place).spans == 0
    assert history(fleet, place) == here


def test_what_is_new_is_added_and_does_not_change_a_bit(fleet_of: Callable[..., Fleet], tmp_path: Path,
                                                        here: Mapping[str, Any]) -> None:
    """Cut at another hour: files of series are cut there too, everything else is the same."""
    replayed(fleet_of(**{"2026-06-12T06:00:00Z": "2026-06-05T17:20:00Z"}), tmp_path / "days")
    found = fleet_of()
    replayed(found, tmp_path / "days")
    later = history(found, tmp_path / "days")
    for pump, (until, state, rows, alarms, _) in here.items():
        assert later[pump][0] == until
        assert later[pump][2] == rows
        assert later[pump][3] == alarms
        assert later[pump][1] == state


def test_a_run_that_is_killed_goes_on(fleet: Fleet, tmp_path: Path, here: Mapping[str, Any]) -> None:
    folder = tmp_path / "killed"
    folder.mkdir()
    kills = 0
    for spans in (2, 6):
        run = subprocess.Popen([sys.executable, "-c", REPLAY, str(fleet.path), str(folder)])
        while run.poll() is None and len(list(folder.glob("series/*/*.parquet"))) < spans:
            time.sleep(0.005)
        if run.poll() is None:
            run.send_signal(signal.SIGKILL)
            kills += 1
        run.wait()
    assert kills == 2
    before = sum(len(one[2]) for one in history(fleet, folder).values())
    assert 0 < before < sum(len(one[2]) for one in here.values())
    outcome = replayed(fleet, folder)
    assert 0 < outcome.spans < SPANS
    assert history(fleet, folder) == here
    assert not list(folder.glob("series/*/*.unfinished")) or kills


def test_a_run_that_is_stopped_keeps_what_is_done(fleet: Fleet, tmp_path: Path, here: Mapping[str, Any]) -> None:
    told: list[str] = []
    outcome = replayed(fleet, tmp_path / "stopped", kept=told.append, stop=lambda: len(told) >= 5)
    assert outcome.stopped
    assert outcome.spans == 5 == len(told)
    assert replayed(fleet, tmp_path / "stopped").spans == SPANS - 5
    assert history(fleet, tmp_path / "stopped") == here


def test_an_interrupt_tells_where_it_stands(fleet: Fleet, tmp_path: Path) -> None:
    def interrupt(_: str) -> None:
        raise KeyboardInterrupt

    with pytest.raises(Stopped, match=r"^Stopped after 0 of 4 pumps\. 1 spans are kept; ask the same again"):
        replayed(fleet, tmp_path / "by hand", kept=interrupt)


class Killer:
    """Kills one worker once some spans are kept."""

    def __init__(self, pids: Callable[[], list[int]]) -> None:
        self.pids, self.kept, self.killed = pids, 0, list[int]()

    def __call__(self, _: str) -> None:
        self.kept += 1
        if self.kept == 4:
            self.killed.append(self.pids()[0])
            os.kill(self.killed[0], signal.SIGKILL)


@pytest.mark.thorough
def test_worker_processes_give_the_same_bits_though_one_is_killed(fleet: Fleet, tmp_path: Path,
                                                                  here: Mapping[str, Any]) -> None:
    killer = Killer(lambda: [one.pid for one in multiprocessing.active_children() if one.pid])
    outcome = replayed(fleet, tmp_path / "pool", scale=Scale(workers=2), kept=killer)
    assert killer.killed
    assert outcome.spans == SPANS
    assert history(fleet, tmp_path / "pool") == here


@pytest.mark.thorough
@pytest.mark.filterwarnings("ignore::ResourceWarning")      # of the libraries of the cluster, when a worker is killed
def test_a_cluster_gives_the_same_bits_though_one_worker_is_killed(fleet: Fleet, tmp_path: Path,
                                                                   here: Mapping[str, Any]) -> None:
    from distributed import Client, LocalCluster

    with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None,
                      host="127.0.0.1") as cluster:
        with Client(cluster, set_as_default=False) as client:
            pids = list(client.run(os.getpid).values())
        killer = Killer(lambda: pids)
        seen: list[tuple[int, int]] = []
        outcome = replayed(fleet, tmp_path / "cluster", scale=Scale(cluster=cluster.scheduler_address), kept=killer,
                           progress=lambda done, of: seen.append((done, of)))
    assert killer.killed
    assert outcome.spans == SPANS
    assert seen[0] == (0, 4)
    assert seen[-1] == (4, 4)
    assert history(fleet, tmp_path / "cluster") == here


def test_a_pump_that_cannot_be_watched_stops_no_other(fleet_of: Callable[..., Fleet], tmp_path: Path) -> None:
    fleet = fleet_of(**{'case = "B"': 'case = "Z"'})
    outcome = replayed(fleet, tmp_path / "one")
    assert list(outcome.problems) == ["P-1"]
    assert "Z" in outcome.problems["P-1"]
    assert outcome.spans == SPANS - 3
