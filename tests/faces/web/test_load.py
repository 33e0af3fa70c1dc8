"""Long work and answers to changes side by side: who goes first, and what stops when the server does."""

from __future__ import annotations

import asyncio
import gc
import sys
import threading
import time
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from types import SimpleNamespace
from typing import Any, TypeVar

import pytest

from wetpath.faces.web import front, job, ready
from wetpath.faces.web.front import at_the_front, give_way
from wetpath.faces.web.job import ASKED, UNASKED, Job

T = TypeVar("T")


class Timer:
    """In place of the timer of a page."""

    active = False
    is_deleted = False

    def activate(self) -> None:
        self.active = True

    def deactivate(self) -> None:
        self.active = False


@pytest.fixture(autouse=True)
def pages(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(job, "ui", SimpleNamespace(timer=lambda *_, **__: Timer()))
    monkeypatch.setattr(job, "background_tasks", SimpleNamespace(
        create=lambda work, name: asyncio.get_running_loop().create_task(work)))


def run(work: Coroutine[Any, Any, T]) -> T:
    """What the coroutine returns, on a loop in a thread of its own: a browser may keep a loop in this one."""
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(asyncio.run, work).result()


def begun(work, *, threads: ThreadPoolExecutor = ASKED) -> tuple[Job, asyncio.Future]:
    """Start a job; the future holds what it found, or the words of its failure."""
    ended: asyncio.Future = asyncio.get_running_loop().create_future()
    started: Job = Job(lambda *_: None, "steps", threads=threads)
    started.start(work, ended.set_result, ended.set_result)
    return started, ended


def test_long_work_waits_while_somebody_is_answered() -> None:
    went_on = threading.Event()
    with at_the_front():
        thread = threading.Thread(target=lambda: (give_way(lambda: False), went_on.set()))
        thread.start()
        assert not went_on.wait(0.3 * front.LONGEST_WAIT)
    assert went_on.wait(0.3 * front.LONGEST_WAIT)
    thread.join()


def test_long_work_comes_to_an_end_on_a_busy_server() -> None:
    with at_the_front():
        start = time.monotonic()
        give_way(lambda: False)
        assert 0.9 * front.LONGEST_WAIT < time.monotonic() - start < 3 * front.LONGEST_WAIT


def test_long_work_gives_way_at_every_step() -> None:
    async def both() -> tuple[int, int]:
        steps = 0

        def work(told, _) -> int:
            nonlocal steps
            for steps in range(1, 4):
                told(steps, 3)
            return steps

        with at_the_front():
            _, ended = begun(work)
            await asyncio.sleep(0.5 * front.LONGEST_WAIT)
            before = steps
        return before, await asyncio.wait_for(ended, 5)

    assert run(both()) == (0, 3)


def test_a_changed_value_does_not_queue_behind_long_work() -> None:
    """The threads that answer changes are others than those of long work, however much of that is asked for."""
    async def both() -> float:
        let_go = threading.Event()
        jobs = [begun(lambda told, _: let_go.wait(20), threads=threads) for threads in (ASKED, UNASKED)
                for _ in range(20)]
        await asyncio.sleep(0.05)
        start = time.monotonic()
        await asyncio.get_running_loop().run_in_executor(None, lambda: None)      # as changes are rated
        took = time.monotonic() - start
        let_go.set()
        await asyncio.gather(*(ended for _, ended in jobs))
        return took

    assert run(both()) < 1.0


def test_what_is_done_unasked_is_done_one_at_a_time_and_what_was_overtaken_not_at_all() -> None:
    async def many() -> tuple[int, int, list]:
        at_once, most, done = 0, 0, 0

        def work(told, _) -> str:
            nonlocal at_once, most, done
            at_once, done = at_once + 1, done + 1
            most = max(most, at_once)
            time.sleep(0.02)
            at_once -= 1
            return "found"

        jobs = [begun(work, threads=UNASKED) for _ in range(4)]
        jobs[3][0].stop()
        found = await asyncio.gather(*(ended for _, ended in jobs))
        return most, done, found

    assert run(many()) == (1, 3, ["found", "found", "found", "Stopped."])


def test_a_crowd_is_who_changed_something_lately(monkeypatch: pytest.MonkeyPatch) -> None:
    now = [0.0]
    monkeypatch.setattr(front, "monotonic", lambda: now[0])
    monkeypatch.setattr(front, "_answered", {})
    assert front.crowd() == 0
    for who in ("first", "second", "first", None):
        with at_the_front(who):
            now[0] += 1.0
    assert front.crowd() == 2
    now[0] += front.LATELY - 1.5
    assert front.crowd() == 1        # the second was answered last but one
    now[0] += front.LATELY
    assert front.crowd() == 0


def test_work_begins_only_after_the_pause() -> None:
    async def quickly_changed() -> tuple[list[int], str]:
        seen: list[int] = []
        ended: asyncio.Future = asyncio.get_running_loop().create_future()
        one: Job = Job(lambda *_: None, "steps", threads=UNASKED)
        for number in range(5):
            one.start(lambda told, _, number=number: seen.append(number) or "found", ended.set_result, seen.append,
                      after=0.1)
            await asyncio.sleep(0.01)
        return seen, await asyncio.wait_for(ended, 5)

    assert run(quickly_changed()) == ([4], "found")


def test_work_of_a_page_that_is_gone_is_not_begun() -> None:
    async def gone() -> list[str]:
        done: list[str] = []
        one: Job = Job(lambda *_: None, "steps")
        one._timer.is_deleted = True
        one.start(lambda told, _: done.append("work"), lambda _: done.append("found"), done.append)
        await asyncio.sleep(0.05)
        return done

    assert run(gone()) == []


def test_what_stays_is_taken_out_of_the_rounds_of_the_collector() -> None:
    usual, rounds = sys.getswitchinterval(), gc.get_threshold()
    try:
        run(ready.make_ready())
        assert gc.get_freeze_count() > 10_000
        assert sys.getswitchinterval() == pytest.approx(ready.TURN_S)
    finally:
        gc.unfreeze()
        gc.set_threshold(*rounds)
        sys.setswitchinterval(usual)
