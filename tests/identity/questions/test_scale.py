"""Parts done elsewhere give the same bits: worker processes, a Dask cluster, killed workers, runs that were stopped."""

from __future__ import annotations

import multiprocessing
import os
import pickle
import shutil
import signal
import sys
from collections.abc import Callable
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, fields, replace
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any

import numpy as np
import pytest

from wetpath.circulation.batch import cores, threads
from wetpath.errors import InputError, Stopped, WorkersError
from wetpath.links.cluster import crew, dask_cluster, kept, runner
from wetpath.links.cluster.dask_cluster import DaskCluster
from wetpath.links.cluster.kept import FORGOTTEN, Kept
from wetpath.links.cluster.runner import ScaledRunner
from wetpath.links.cluster.task import Task, fingerprint, solve_task
from wetpath.questions.parts import Result, Runner, Work, run_here
from wetpath.questions.selection import screening
from wetpath.questions.selection.candidates import CatalogueEntry, Choices
from wetpath.questions.selection.study import Selection, select
from wetpath.questions.uncertainty import study as uncertainty_study
from wetpath.questions.uncertainty.study import Uncertainty, uncertainty_of
from wetpath.questions.window import points as window_points
from wetpath.questions.window import study as window_study
from wetpath.questions.window.study import Asked, Window, study_window
from wetpath.rating.rate import Rating
from wetpath.services.demo import demo_pump, enquiry_path
from wetpath.services.rating import Service, load_service
from wetpath.services.scale import key_of
from wetpath.services.upsets import follow
from wetpath.upsets import Upset


@cache
def service() -> Service:
    return load_service(enquiry_path("butane_reflux"))


@cache
def rating() -> Rating:
    return service().rate()


@pytest.fixture
def runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Folder in which parts are kept."""
    monkeypatch.setattr(kept, "place_of_runs", lambda: tmp_path / "parts")
    return tmp_path / "parts"


@dataclass(frozen=True)
class Answers:
    window: Window
    uncertainty: Uncertainty
    selection: Selection


def ask(run: Runner) -> Answers:
    """The three questions, cut small."""
    asked = service()
    entries = [CatalogueEntry(name, demo_pump(name)) for name in ("small", "medium", "medium_ceramic", "large")]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(window_points, "CHUNK", 16)
        patch.setattr(window_study, "SEARCHED_TOGETHER", 16)
        patch.setattr(uncertainty_study, "CHUNK", 64)
        patch.setattr(screening, "TOGETHER", 1)
        return Answers(study_window(rating(), Asked(grid=(9, 7)), runner=run),
                       uncertainty_of(rating(), samples=256, runner=run),
                       select(entries, asked.enquiry, asked.liquid, asked.practice, others=asked.others,
                              choices=Choices(lengths=(1.0, 1.25), materials=("N10276", "R56400")), most=2,
                              runner=run))


@cache
def here() -> Answers:
    return ask(run_here)


def assert_same_bits(found: Answers, expected: Answers) -> None:
    for points in (answers.window.map.points for answers in (found, expected)):
        assert points.governing.min() >= 0
    for name in ("share", "governing", "holds", "closed"):
        same(getattr(found.window.map.points, name), getattr(expected.window.map.points, name))
    assert found.window.map.points.names == expected.window.map.points.names
    for each in fields(expected.window.required):
        same(getattr(found.window.required, each.name), getattr(expected.window.required, each.name))
    for one, other in zip(found.uncertainty.cases, expected.uncertainty.cases, strict=True):
        same(one.margins, other.margins)
        assert replace(one, margins=other.margins).__dict__ == other.__dict__
    assert [(one.variable.name, one.first, one.total, one.total_interval) for one in found.uncertainty.causes] == [
        (one.variable.name, one.first, one.total, one.total_interval) for one in expected.uncertainty.causes]
    for name in ("share", "margin", "case", "lost", "power"):
        same(getattr(found.selection.screening, name), getattr(expected.selection.screening, name))
    for one, other in zip(found.selection.screening.candidates, expected.selection.screening.candidates, strict=True):
        assert (one.build.entry.name, one.build.material, one.build.length, one.diameter, one.speed) == (
            other.build.entry.name, other.build.material, other.build.length, other.diameter, other.speed)
    assert [one.number for one in found.selection.offers] == [one.number for one in expected.selection.offers]


def same(ours: np.ndarray, expected: np.ndarray) -> None:
    assert ours.dtype == expected.dtype
    assert ours.shape == expected.shape
    assert ours.tobytes() == expected.tobytes()


class Killer:
    """Kills one worker as soon as two parts of the uncertainty are done."""

    def __init__(self, pids: Callable[[], list[int]]) -> None:
        self.pids, self.killed = pids, list[int]()

    def __call__(self, name: str, done: int, of: int, left: float | None) -> None:
        if name.endswith("uncertainty") and 2 <= done < of - 2 and not self.killed:
            self.killed.append(self.pids()[0])
            os.kill(self.killed[0], signal.SIGKILL)


def test_worker_processes_give_the_same_bits_though_one_is_killed(runs: Path) -> None:
    killer = Killer(lambda: [one.pid for one in multiprocessing.active_children() if one.pid])
    with ScaledRunner("pool", workers=2, watch=killer) as run:
        found = ask(run)
    assert killer.killed
    assert_same_bits(found, here())
    assert not list(runs.iterdir())
    assert not multiprocessing.active_children()


def test_copies_of_an_upset_in_worker_processes_are_those_of_this_one(runs: Path) -> None:
    upset, copies = [Upset("suction pressure decay")], 20
    with ScaledRunner("copies", workers=2) as run:
        other = follow(rating(), upset, case=1, copies=copies, runner=run).cause
        assert run.crew is not None
    here = follow(rating(), upset, case=1, copies=copies).cause
    assert (here.lost, here.damage, here.failed) == (other.lost, other.damage, other.failed)
    assert np.isfinite(here.damage.low)
    assert [(one.acts, one.in_hand_low, one.in_hand_high, one.acts_in) for one in here.readings] == [
        (one.acts, one.in_hand_low, one.in_hand_high, one.acts_in) for one in other.readings]


@pytest.mark.filterwarnings("ignore::ResourceWarning")      # of the libraries of the cluster, when a worker is killed
def test_a_cluster_gives_the_same_bits_though_one_worker_is_killed(runs: Path) -> None:
    from distributed import Client, LocalCluster

    with LocalCluster(n_workers=3, threads_per_worker=1, processes=True, dashboard_address=None,
                      host="127.0.0.1") as cluster:
        with Client(cluster, set_as_default=False) as client:
            pids = list(client.run(os.getpid).values())
        assert len(set(pids)) == 3
        killer = Killer(lambda: pids)
        with ScaledRunner("cluster", cluster=cluster.scheduler_address, watch=killer) as run:
            found = ask(run)
        assert killer.killed
        begun: list[int] = []
        with pytest.raises(Stopped), ScaledRunner("stopped", cluster=cluster.scheduler_address) as run:
            uncertainty_of(rating(), samples=2048, progress=lambda done, of: begun.append(done),
                           cancelled=lambda: len(begun) >= 2, runner=run)
        assert 2 <= len(list((runs / "stopped").iterdir())) < 24
        shutil.rmtree(runs / "stopped")
    assert_same_bits(found, here())
    assert not list(runs.iterdir())


def test_a_cluster_that_cannot_be_used(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    import dask
    from distributed import LocalCluster

    monkeypatch.setattr(dask_cluster, "PATIENCE", 0.5)
    with pytest.raises(InputError, match=r'^--cluster = "tcp://127\.0\.0\.1:9" does not answer'):
        DaskCluster("tcp://127.0.0.1:9")
    with LocalCluster(n_workers=0, dashboard_address=None, host="127.0.0.1") as cluster:
        address = cluster.scheduler_address
        with pytest.raises(InputError, match=r"has no workers\n  do:  start workers: dask worker tcp://127\.0\.0\.1:"):
            DaskCluster(address)
    with pytest.raises(InputError, match="asks for certificates, and Dask's configuration names none"):
        DaskCluster("tls://127.0.0.1:9")
    with dask.config.set({"distributed.comm.require-encryption": True}), pytest.raises(
            InputError, match="is not encrypted, and Dask's configuration asks for that"):
        DaskCluster("tcp://127.0.0.1:9")
    with dask.config.set({"distributed.comm.tls.ca-file": str(tmp_path / "absent.pem"),
                          "distributed.comm.tls.client.cert": str(tmp_path / "absent.pem")}), pytest.raises(
            InputError, match="the certificates of Dask's configuration cannot be read"):
        DaskCluster("tls://127.0.0.1:9")
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InputError, match=r'needs the extra "cluster", which is not installed\n  do:  install it: pip'):
        DaskCluster("tcp://127.0.0.1:9")


# Work that counts, to see what is done where and how often.

def double(done: list[int], chunk: int) -> Result:
    done.append(chunk)
    return {"twice": np.array([2.0 * chunk]), "words": np.array([f"part {chunk}"])}


def stopped_by_hand(done: list[int], chunk: int) -> Result:
    if len(done) == 3:
        raise KeyboardInterrupt
    return double(done, chunk)


def counted(solve: Callable[..., Result] = double, count: int = 8) -> tuple[Work[list[int], int], list[int]]:
    done: list[int] = []
    return Work("numbers", solve, done, list(range(count)), [1] * count), done


def twice(results: list[Result | None]) -> list[float | None]:
    return [None if one is None else float(one["twice"][0]) for one in results]


def test_a_run_that_was_interrupted_goes_on_and_cleans_up(runs: Path) -> None:
    work, done = counted(stopped_by_hand)
    with pytest.raises(Stopped, match=r"^Stopped after 3 of 8 parts \(numbers\)\. What is done is kept; ask the same "
                                      r"again to go on from there\.$"), ScaledRunner("run", workers=1) as run:
        run(work)
    assert done == [0, 1, 2]
    work, done = counted()
    told: list[str] = []
    progress: list[tuple[int, int]] = []
    with ScaledRunner("run", workers=1, tell=told.append) as run:
        found = run(work, lambda *how: progress.append(how))
    assert told == ["3 of 8 parts were done before (numbers)"]
    assert done == [3, 4, 5, 6, 7]
    assert twice(found) == [0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 14.0]
    assert [str(one["words"][0]) for one in found if one] == [f"part {number}" for number in range(8)]
    assert progress == [(number, 8) for number in range(3, 9)]
    assert not list(runs.iterdir())


def test_another_question_takes_no_part_of_this_one(runs: Path) -> None:
    work, _ = counted(stopped_by_hand)
    with pytest.raises(Stopped), ScaledRunner("run", workers=1) as run:
        run(work)
    work, done = counted()
    with ScaledRunner("another", workers=1) as run:
        run(work)
    assert done == list(range(8))
    assert [one.name for one in runs.iterdir()] == ["run"]


@pytest.mark.parametrize("damage", [lambda content: content[:-1], lambda content: b"", lambda content: content[:40]
                                    + bytes([content[40] ^ 1]) + content[41:]])
def test_a_damaged_part_is_done_again(runs: Path, damage: Callable[[bytes], bytes]) -> None:
    work, _ = counted(stopped_by_hand)
    with pytest.raises(Stopped), ScaledRunner("run", workers=1) as run:
        run(work)
    part = sorted((runs / "run").iterdir())[1]
    assert part.name == "numbers-000002.part"
    part.write_bytes(damage(part.read_bytes()))
    work, done = counted()
    with ScaledRunner("run", workers=1) as run:
        assert twice(run(work)) == [2.0 * number for number in range(8)]
    assert done == [1, 3, 4, 5, 6, 7]


def test_what_is_cancelled_keeps_its_parts_and_says_so(runs: Path) -> None:
    work, done = counted()
    told: list[str] = []
    with ScaledRunner("run", workers=1, tell=told.append) as run:
        found = run(work, cancelled=lambda: len(done) >= 5)
        assert run(counted()[0]) == found       # the next work of a stopped question is not begun
    assert twice(found) == [0.0, 2.0, 4.0, 6.0, 8.0, None, None, None]
    assert told[0].startswith("Stopped after 5 of 8 parts (numbers). What is done is kept;")
    assert len(list((runs / "run").iterdir())) == 5


def test_short_work_writes_nothing_long_work_every_part(runs: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[int] = []

    def look(*_: Any) -> None:
        seen.append(len(list((runs / "run").iterdir())) if (runs / "run").exists() else 0)

    with ScaledRunner("run", workers=1, watch=look) as run:
        run(counted()[0])
    assert seen == [0] * 9
    seen.clear()
    monkeypatch.setattr(runner, "PAYS", 0.0)
    with ScaledRunner("run", workers=1, watch=look) as run:
        run(counted()[0])
    assert seen == [0, 0, 1, 2, 3, 4, 5, 6, 7]
    assert not (runs / "run").exists()


def test_a_folder_that_cannot_be_written_is_no_error(runs: Path) -> None:
    runs.write_text("a file where the folder should be")
    work, _ = counted(stopped_by_hand)
    with pytest.raises(Stopped), ScaledRunner("run", workers=1) as run:
        run(work)
    with ScaledRunner("run", workers=1) as run:
        assert None not in run(counted()[0])


def test_forgotten_runs_are_dropped(runs: Path) -> None:
    for name, age in (("old", 1.1), ("young", 0.5)):
        Kept(name).write("numbers", 0, {"values": np.zeros(1)})
        then = (runs / name).stat().st_mtime - age * FORGOTTEN
        os.utime(runs / name, (then, then))
    with ScaledRunner("run", workers=1) as run:
        run(counted()[0])
    assert [one.name for one in runs.iterdir()] == ["young"]


class Threads(Executor):
    """Threads in place of processes; the parts named are lost, as with a process that is killed, and all with them."""

    def __init__(self, lose: set[int], most: list[int]) -> None:
        self.pool, self.lose, self.most, self.broken = ThreadPoolExecutor(2), lose, most, False
        self.flying, self.lock = 0, Lock()

    def submit(self, function: Callable[..., Any], /, *args: Any, **_: Any) -> Future[Any]:
        if self.broken:
            raise BrokenProcessPool
        with self.lock:
            self.flying += 1
            self.most.append(self.flying)
        return self.pool.submit(self.part, function, *args)

    def part(self, function: Callable[[Task], Result], task: Task) -> Result:
        with self.lock:
            self.flying -= 1
            if self.broken or task.chunk in self.lose:
                self.broken = True
                raise BrokenProcessPool
        return function(task)


class Crew:
    """Two places; after each loss one part less is lost, or the same for ever."""

    def __init__(self, lose: list[set[int]]) -> None:
        self.lose, self.most, self.renewed = lose, list[int](), -1
        self.renew()

    def places(self) -> int:
        return 2

    def renew(self) -> None:
        self.renewed += 1
        self.executor = Threads(self.lose[min(self.renewed, len(self.lose) - 1)], self.most)

    def close(self) -> None:
        self.executor.pool.shutdown()


@pytest.fixture
def crews(monkeypatch: pytest.MonkeyPatch) -> Callable[[list[set[int]]], list[Crew]]:
    """Put crews that lose parts in the place of worker processes."""
    def put(lose: list[set[int]]) -> list[Crew]:
        made: list[Crew] = []
        monkeypatch.setattr(runner, "Pool", lambda workers: made.append(Crew(lose)) or made[-1])
        return made

    return put


def test_lost_parts_are_handed_out_again_and_few_at_a_time(runs: Path, crews: Callable) -> None:
    made = crews([{5}, {5, 6}, {11}, set()])
    with ScaledRunner("run", workers=2) as run:
        found = run(counted(count=40)[0])
    assert twice(found) == [2.0 * number for number in range(40)]
    assert made[0].renewed == 3
    assert max(made[0].most) <= crew.HANDED_OUT * 2


def test_workers_that_always_end(runs: Path, crews: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    """Asked for, they are an error that keeps what is done; by themselves, this process goes on."""
    crews([{4}])
    with pytest.raises(WorkersError, match=r"^Worker processes ended 4 times before one part was done\. Stopped after "
                                           r"\d of 8 parts"), ScaledRunner("run", workers=2) as run:
        run(counted()[0])
    monkeypatch.setattr(runner, "PAYS", 0.0)
    told: list[str] = []
    with ScaledRunner("other", tell=told.append) as run:
        run.workers = 2
        assert twice(run(counted()[0])) == [2.0 * number for number in range(8)]
    assert told == ["about 0 s left; going on with 2 processes",
                    "Worker processes ended 4 times before one part was done; going on without worker processes"]


def test_one_thread_for_each_worker_and_one_program_for_all() -> None:
    assert threads() == cores()
    assert solve_task(Task(how_many, pickle.dumps(None), None, fingerprint()))["threads"] == 1
    assert threads() == cores()
    with pytest.raises(WorkersError, match=r"^A worker runs another version of this program"):
        solve_task(Task(how_many, pickle.dumps(None), None, "another"))


def how_many(_: None, __: None) -> Result:
    return {"threads": np.array(threads())}


def test_the_key_depends_on_all_that_the_answer_does() -> None:
    own = service()
    pump = own.pump.model_copy(update={"name": "another"})
    enquiry = own.enquiry.model_copy(update={"title": "another"})
    liquid = replace(own.liquid, molar_mass=0.06)
    limits = [replace(limit, value=1.01 * limit.value) if number == 0 else limit
              for number, limit in enumerate(own.practice.values())]
    practice = type(own.practice)(own.practice.name, {limit.name: limit for limit in limits})
    changed = [replace(own, **change) for change in (
        {"pump": pump}, {"enquiry": enquiry}, {"liquid": liquid}, {"practice": practice}, {"others": {"a": liquid}})]
    keys = [key_of(own, ("window", Asked())), key_of(own, ("window", Asked(grid=(9, 7)))),
            key_of(own, ("window", Asked()), [pump]), *(key_of(one, ("window", Asked())) for one in changed)]
    assert len(set(keys)) == len(keys) - 1      # the pump of the service and one given in its place are the same
    assert key_of(load_service(enquiry_path("butane_reflux")), ("window", Asked())) == keys[0]
