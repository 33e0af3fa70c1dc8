"""How fast the web application answers, measured in a browser against a server of its own on loopback.

Run it on a quiet machine::

    uv run --group bench python benchmarks/web_load.py                    # opening, editing, ten users for 60 s
    uv run --group bench python benchmarks/web_load.py --seconds 20 --users 10 --json web.json
    uv run --group bench python benchmarks/web_load.py --database postgresql://postgres@/wetpath?host=/tmp/pg

Targets: first page usable within 2 s; a changed value shows the new verdict within 0.3 s, with four operating cases;
ten users at once and no stall over 1 s. Times run in the browser, from the key Enter to the first frame after the
numbers have changed (MutationObserver). Verdict and numbers come in one message; the table of cases is watched, since
the verdict is written again when remedies are found. The server also beats once in 10 ms on its event loop; the longest
gap between beats is how long it answered nobody. The browser shares the cores with the server, so beside every gap
stands the CPU time that the thread of the event loop and the whole server used in it: a long gap with little of either
is a busy machine, not a busy server.

Users sit at machines of their own, which draw their pages. So of the ten pages here one is drawn (``--drawn``), and its
times go up to the drawn frame; the others are whole pages with their connection and their document, in which nothing is
drawn, and their times go up to the changed document. With ``--drawn 10`` the two cores of the server draw all pages.
"""

from __future__ import annotations

import argparse
import asyncio
import io
import json
import os
import random
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.async_api import Page, async_playwright

from wetpath.services.demo import demo_folder
from wetpath.services.project_files import files_of_folder

FIRST_PAGE_S, CHANGE_S, STALL_S = 2.0, 0.3, 1.0
ENQUIRY = "butane_reflux"      # the demo with four operating cases
FIELD = "flow"
#: Longest wait for anything in the browser [ms], and for the server to start [s].
PATIENCE_MS, START_S = 30_000, 120
BEAT_S = 0.01
#: The shell without windows leaves most of the cores, which the browser shares with the server, to the server.
CHROMIUM = shutil.which("chromium-headless-shell") or shutil.which("chromium")

#: Waits for a change of the verdict after the next Enter; tells the milliseconds and lets go after a while.
ARM = """() => {
  const words = () => [...document.querySelectorAll('.side table')].at(-1).textContent;
  const old = words();
  window.changed = new Promise((tell) => {
    let start = 0;
    const observer = new MutationObserver(() => {
      if (start && words() !== old) {
        observer.disconnect();
        const seen = performance.now();
        requestAnimationFrame(() => tell([seen - start, performance.now() - start]));
      }
    });
    observer.observe(document.querySelector('.wp'), {subtree: true, childList: true, characterData: true});
    document.addEventListener('keydown', (event) => { if (event.key === 'Enter') start = performance.now(); },
                              {capture: true, once: true});
    setTimeout(() => tell(null), 20000);
  });
}"""


def serve(port: int, database: str, beats: Path) -> None:
    """Be the server, with a beat on its event loop; what is noted is written down when asked by a file."""
    from nicegui import app

    from wetpath.faces.web.app import serve as start
    from wetpath.faces.web.enquiry_page import EnquiryPage

    def clocks() -> tuple[float, float, float]:
        return time.perf_counter(), time.thread_time(), time.process_time()

    async def beat() -> None:
        gaps: list[tuple[float, float, float]] = []
        last = clocks()
        ask = beats.with_suffix(".ask")
        while True:
            await asyncio.sleep(BEAT_S)
            now = clocks()
            gaps.append((now[0] - last[0] - BEAT_S, now[1] - last[1], now[2] - last[2]))
            last = now
            if ask.exists():
                ask.unlink()
                worst = [[round(one, 3) for one in gap] for gap in sorted(gaps, reverse=True)[:5]]
                busiest = round(max((gap[1] for gap in gaps), default=0.0), 3)
                beats.write_text(json.dumps({"beats": len(gaps), "worst_gaps": worst, "loop_busy_s": busiest,
                                             "taken_s": taken, "cpu_s": time.process_time()}), encoding="utf-8")
                gaps = []
                taken.clear()

    taken: list[float] = []
    take, show = EnquiryPage.take, EnquiryPage.shown_anew

    async def timed_take(page: Any, *args: Any) -> bool:
        page.taken_at = time.perf_counter()
        return await take(page, *args)

    def timed_show(page: Any) -> None:
        show(page)
        taken.append(round(time.perf_counter() - page.taken_at, 3))

    EnquiryPage.take, EnquiryPage.shown_anew = timed_take, timed_show      # type: ignore[method-assign]
    app.on_startup(beat)
    start(port=port, show=False, database=database)


class Server:
    """The server in a process of its own."""

    def __init__(self, folder: Path, database: str | None) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self.address = f"http://127.0.0.1:{self.port}"
        self.beats = folder / "beats.json"
        surroundings = {**os.environ, "WETPATH_DATA": str(folder), "NICEGUI_STORAGE_PATH": str(folder / "pages"),
                        "OPENBLAS_NUM_THREADS": "1"}
        self.log = (folder / "log").open("ab")
        self.process = subprocess.Popen(
            [sys.executable, str(Path(__file__).resolve()), "--serve", str(self.port),
             database or f"sqlite:///{folder / 'projects.db'}", str(self.beats)],
            cwd=folder, env=surroundings, stdout=self.log, stderr=self.log)

    def ask(self, method: str, path: str, content: bytes | None = None, kind: str = "application/json") -> Any:
        asked = urllib.request.Request(f"{self.address}/api/v1{path}", data=content, method=method,
                                       headers={"content-type": kind})
        with urllib.request.urlopen(asked, timeout=60) as answer:
            return json.loads(answer.read() or "null")

    def wait(self) -> None:
        until = time.monotonic() + START_S
        while time.monotonic() < until and self.process.poll() is None:
            try:
                self.ask("GET", "/version")
                return
            except OSError:
                time.sleep(0.02)
        log = Path(self.log.name).read_text(encoding="utf-8")
        raise SystemExit(f"the server did not start; its log: {log[-2000:]}")

    def gaps(self) -> dict[str, Any]:
        """Gaps between the beats since last asked."""
        self.beats.unlink(missing_ok=True)
        self.beats.with_suffix(".ask").touch()
        until = time.monotonic() + 30
        while time.monotonic() < until:
            if self.beats.exists() and (words := self.beats.read_text(encoding="utf-8")):
                return dict(json.loads(words))
            time.sleep(0.02)
        raise SystemExit("the event loop of the server does not beat")

    def stop(self) -> None:
        self.process.terminate()
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
        self.log.close()


@contextmanager
def running(folder: Path, database: str | None) -> Iterator[tuple[Server, float]]:
    """A server, and how long it took from its start to the first answer [s]."""
    begun = time.perf_counter()
    server = Server(folder, database)
    try:
        server.wait()
        yield server, time.perf_counter() - begun
    finally:
        server.stop()


def desks(server: Server, users: int) -> list[str]:
    """An enquiry for every user, in a project made for them; the keys in addresses."""
    contents = dict(files_of_folder(demo_folder()).contents)
    text = contents[f"enquiries/{ENQUIRY}.toml"]
    contents |= {f"enquiries/user_{number}.toml": text for number in range(users)}
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, content in contents.items():
            archive.writestr(path, content)
    number = server.ask("POST", "/projects", json.dumps({"name": f"Load {time.time_ns()}"}).encode())["number"]
    server.ask("POST", f"/projects/{number}/import", packed.getvalue(), "application/zip")
    return [f"{number}~enquiries~user_{one}" for one in range(users)]


#: What a browser does with the page of a user who sits elsewhere: all but drawing it.
NOT_DRAWN = "body > * { display: none !important }"


async def opened(page: Page, address: str) -> tuple[float, float]:
    """Seconds from navigation until the verdict is seen, and until the page takes a change."""
    begun = time.perf_counter()
    await page.goto(address, wait_until="commit")
    await page.locator(".verdict h1").wait_for(timeout=PATIENCE_MS, state="attached")
    seen = time.perf_counter() - begun
    await page.wait_for_function("() => window.socket && window.socket.connected", polling="raf")
    return seen, time.perf_counter() - begun


async def changed(page: Page, flow: float) -> tuple[float, float] | None:
    """Seconds from Enter to the new verdict in the document and on the screen; None when it did not change."""
    await page.evaluate(ARM)
    field = page.get_by_role("textbox", name=FIELD, exact=True)
    await field.fill(f"{flow:.2f} m3/h")
    await field.press("Enter")
    found = await page.evaluate("() => window.changed")
    return (found[0] / 1e3, found[1] / 1e3) if found else None


def flows(seed: int) -> Iterator[float]:
    """Flows around that of the demo, none twice in a row."""
    draw, last = random.Random(seed), 0.0
    while True:
        flow = draw.uniform(38.0, 50.0)
        if abs(flow - last) > 0.5:      # seen in the numbers as they are rounded
            last = flow
            yield round(flow, 2)


async def changed_undrawn(page: Page, flow: float) -> tuple[float, float] | None:
    """Seconds from a value told to the new verdict in the document of a page that is not drawn, twice."""
    found = await page.evaluate("""flow => {
        const words = () => [...document.querySelectorAll('.side table')].at(-1).textContent;
        const old = words(), path = document.querySelector('.sentence [aria-label="flow"]').dataset.path;
        return new Promise((tell) => {
            const start = performance.now();
            new MutationObserver((_, observer) => {
                if (words() !== old) { observer.disconnect(); tell(performance.now() - start); }
            }).observe(document.querySelector('.wp'), {subtree: true, childList: true, characterData: true});
            window.emitEvent('wp', {what: 'entered', value: `${path}\\n${flow} m3/h`});
            setTimeout(() => tell(null), 20000);
        });
    }""", f"{flow:.2f}")
    return (found / 1e3, found / 1e3) if found is not None else None


async def user(page: Page, seed: int, until: float, pause: tuple[float, float], noted: list[dict[str, Any]],
               drawn: bool) -> None:
    """One user who changes a value every few seconds."""
    draw, change = random.Random(1000 + seed), changed if drawn else changed_undrawn
    for flow in flows(seed):
        await asyncio.sleep(draw.uniform(*pause))
        if time.monotonic() > until:
            return
        took = await change(page, flow)
        noted.append({"user": seed, "what": "change", "s": took[1] if took else None, "drawn": drawn})


def gaps_of(beats: dict[str, Any]) -> dict[str, Any]:
    """The worst gaps of the event loop, with the CPU time used in them."""
    return {"worst_s": beats["worst_gaps"][0][0], "worst_with_cpu_of_loop_and_server_s": beats["worst_gaps"],
            "loop_busy_at_a_stretch_s": beats["loop_busy_s"]}


def told(values: list[float]) -> dict[str, float]:
    return {"of": len(values), "median_s": round(statistics.median(values), 3),
            "p95_s": round(sorted(values)[max(0, -(-95 * len(values) // 100) - 1)], 3),
            "worst_s": round(max(values), 3), "best_s": round(min(values), 3)} if values else {"of": 0}


async def measure(args: argparse.Namespace, folder: Path) -> dict[str, Any]:
    result: dict[str, Any] = {"cores": os.cpu_count(), "load_before": os.getloadavg()[0]}
    with running(folder, args.database) as (server, start_s):
        result["server_start_s"] = round(start_s, 2)
        keys = desks(server, max(args.users, 1))
        async with async_playwright() as play:
            browser = await play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
            page = await browser.new_page(viewport={"width": 1600, "height": 1000})
            address = f"{server.address}/e/{keys[0]}/run"
            result["first_open_of_a_new_server_s"] = [round(one, 2) for one in await opened(page, address)]
            opens = [await opened(page, address) for _ in range(args.repeats)]
            result["open_verdict_seen"] = told([one[0] for one in opens])
            result["open_usable"] = told([one[1] for one in opens])
            await page.wait_for_timeout(3000)
            before = server.gaps()
            changes = []
            for _, flow in zip(range(args.repeats), flows(7), strict=False):
                if took := await changed(page, flow):
                    changes.append(took)
                await page.wait_for_timeout(args.rest_ms)
            after = server.gaps()
            result["change_in_document"] = told([one[0] for one in changes])
            result["change_on_screen"] = told([one[1] for one in changes])
            result["change_server_cpu_s"] = round((after["cpu_s"] - before["cpu_s"]) / max(len(changes), 1), 3)
            result["change_in_server"] = told(after["taken_s"])
            result["change_gaps"] = gaps_of(after)
            await page.close()
            if args.users and args.seconds:
                noted: list[dict[str, Any]] = []
                pages = []
                for number, key in enumerate(keys):
                    context = await browser.new_context(viewport={"width": 1600, "height": 1000})
                    pages.append(await context.new_page())
                    _, usable = await opened(pages[-1], f"{server.address}/e/{key}/run")
                    noted.append({"user": number, "what": "open", "s": usable})
                    if number >= args.drawn:
                        await pages[-1].add_style_tag(content=NOT_DRAWN)
                opening = server.gaps()
                begun, cpu = time.monotonic(), opening["cpu_s"]
                await asyncio.gather(*(user(one, number, begun + args.seconds, (2.0, 5.0), noted,
                                            number < args.drawn) for number, one in enumerate(pages)))
                beats, took = server.gaps(), time.monotonic() - begun
                times = [one["s"] for one in noted if one["what"] == "change"]
                seen = [one["s"] for one in noted if one.get("drawn") and one["s"] is not None]
                result["users"] = {
                    "users": args.users, "seconds": round(took, 1), "opening": told(
                        [one["s"] for one in noted if one["what"] == "open"]),
                    "changes": told([one for one in times if one is not None]),
                    "drawn_pages": min(args.drawn, args.users), "changes_drawn": told(seen),
                    "changes_in_server": told(beats["taken_s"]),
                    "changes_not_seen": sum(one is None for one in times),
                    "gaps_while_opening": gaps_of(opening), "gaps": gaps_of(beats),
                    "server_cpu_share_of_a_core": round((beats["cpu_s"] - cpu) / took, 2)}
            await browser.close()
    result["load_after"] = os.getloadavg()[0]
    return result


def verdicts(result: dict[str, Any]) -> list[str]:
    """The targets, each with what was found."""
    rows = [("first page usable, warm server, worst", result["open_usable"].get("worst_s"), FIRST_PAGE_S),
            ("new verdict after a change, median", result["change_on_screen"].get("median_s"), CHANGE_S),
            ("new verdict after a change, worst", result["change_on_screen"].get("worst_s"), CHANGE_S)]
    if "users" in result:
        rows += [("users at once, longest time to a new verdict", result["users"]["changes"].get("worst_s"), STALL_S),
                 ("users at once, longest gap of the event loop", result["users"]["gaps"]["worst_s"], STALL_S)]
    return [f"{'met   ' if found is not None and found <= target else 'MISSED'} {name}: {found} s, target {target} s"
            for name, found, target in rows]


def main() -> None:
    if sys.argv[1:2] == ["--serve"]:
        serve(int(sys.argv[2]), sys.argv[3], Path(sys.argv[4]))
        return
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--repeats", type=int, default=20, help="of opening and of a change")
    parser.add_argument("--rest-ms", type=int, default=1500, help="between two changes of one user")
    parser.add_argument("--users", type=int, default=10)
    parser.add_argument("--drawn", type=int, default=1, help="pages of users that are drawn on this machine")
    parser.add_argument("--seconds", type=float, default=60.0, help="how long the users work; at most 600")
    parser.add_argument("--database", help="postgresql://...; without it a SQLite file of its own")
    parser.add_argument("--json", type=Path, help="write the figures to this file")
    args = parser.parse_args()
    args.seconds, args.users, args.repeats = min(args.seconds, 600), min(args.users, 50), min(args.repeats, 200)
    with tempfile.TemporaryDirectory(prefix="wetpath-load-") as name:
        result = asyncio.run(measure(args, Path(name)))
    print(json.dumps(result, indent=1))
    print("\n".join(verdicts(result)))
    if args.json:
        args.json.write_text(json.dumps(result, indent=1), encoding="utf-8")


if __name__ in ("__main__", "__mp_main__"):
    main()
