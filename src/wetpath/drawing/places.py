"""Where the stations and passages of a circulation lie on the section drawing.

The drawing shows one machine; a pump file may arrange its circulation otherwise. A station takes the place of the
passage that ends at it; what lies outside the machine is set above the casing.
"""

from __future__ import annotations

from dataclasses import dataclass

from wetpath.services.record import BranchRecord, CaseRecord

Point = tuple[float, float]

FEED, HOLDER, SHAFT_IN, SHELL_END = (238.0, 302.0), (396.0, 464.0), (405.0, 486.0), (656.0, 496.0)
ANNULUS_REAR, ANNULUS_FRONT, RETURN = (612.0, 369.0), (326.0, 369.0), (290.0, 394.0)
BEHIND, BEHIND_LOW, FRONT_OUT, REAR_OUT = (238.0, 424.0), (226.0, 446.0), (253.0, 470.0), (536.0, 464.0)
EYE, EYE_LOW, DISCHARGE = (176.0, 470.0), (150.0, 478.0), (240.0, 336.0)
#: Places for stations outside the machine, one after the other.
OUTSIDE: tuple[Point, ...] = ((330.0, 200.0), (470.0, 200.0), (610.0, 200.0), (750.0, 200.0), (890.0, 200.0))
#: Height of the inside of the shell wall under the magnets.
WALL_INSIDE, WALL_OUTSIDE = 360.0, 354.0

FEED_PATH = "M238 302 L238 314 L261 314 L261 442.5 L396 442.5 L396 464"
SHAFT_IN_PATH = "M396 464 Q405 464 405 470 L405 486"
SHAFT_PATH = "M405 486 L405 496.5 L656 496.5"
DOME_PATH = "M656 496 Q672 496 670 466 Q664 396 636 376 Q628 369 612 369"
FRONT_BEARING_PATH = "M396 464 L334 464 Q324 464 320 471 L253 471"
REAR_BEARING_PATH = "M396 464 L450 464 Q460 464 464 471 L522 471 L536 464"
FRONT_FACE_PATH = "M253 471 Q244 468 240 458 L236 448 L226 446"
CUP_PATH = "M536 464 Q546 460 546 440 Q546 421 530 421 L336 421 Q312 421 306 406 L290 394"
CUP_TO_ANNULUS_PATH = "M536 464 Q546 460 546 440 Q546 421 530 421 L336 421 Q316 421 314 390 L326 369"
CHAMBER_PATH = "M326 369 Q304 369 304 394 L290 394"
HUB_PATH = "M290 394 L252 394 Q238 394 238 408 L238 424"
DISCHARGE_PATH = "M290 394 L256 394 Q242 394 240 370 L240 336"
EYE_PATH = "M290 394 L252 394 Q238 394 238 408 L238 440 Q238 453 226 453 L200 455 L176 470"
EYE_LOW_PATH = "M253 471 Q244 468 240 458 L226 453 L200 457 L150 478"


@dataclass(frozen=True)
class Placed:
    """Places of the stations of one case, by name, and the path of each passage; film and grooves share one."""

    stations: dict[str, Point]
    paths: dict[int, str]
    annulus: BranchRecord | None
    annulus_ends: tuple[Point, Point]


def placed(case: CaseRecord) -> Placed:
    """Find the places of the stations and passages of one case."""
    branches = case.branches
    ends = {branch.kind: branch for branch in branches}
    annulus = ends.get("annulus")
    stations: dict[str, Point] = {}

    def put(name: str, *places: Point) -> None:
        if name not in stations:
            stations[name] = next((place for place in places if place not in stations.values()), places[-1])

    rear_first = annulus is None or _reaches(branches, annulus, annulus.start)
    front, rear = ANNULUS_FRONT, ANNULUS_REAR
    if annulus:
        put(annulus.start, rear if rear_first else front)
        put(annulus.end, front if rear_first else rear)
    for kind, start, end in (("feed holes", FEED, HOLDER), ("shaft holes", HOLDER, SHAFT_IN),
                             ("shaft bore", SHAFT_IN, SHELL_END)):
        if kind in ends:
            put(ends[kind].start, start)
            put(ends[kind].end, end)
    titles = {station.name: station.title.lower() for station in case.trace}
    if "return holes" in ends:
        put(ends["return holes"].start, RETURN)
        put(ends["return holes"].end, *_return_places(titles.get(ends["return holes"].end, "")))
    rear_bearing = _rear_bearing(branches)
    for branch in branches:
        if branch.kind == "journal bearing":
            put(branch.start, HOLDER)
            put(branch.end, REAR_OUT if branch.bearing == rear_bearing else FRONT_OUT)
    for branch in branches:
        if branch.kind == "thrust face" and branch.bearing != rear_bearing:
            put(branch.end, *((EYE_LOW,) if "eye" in titles.get(branch.end, "") else (BEHIND_LOW, BEHIND)))
    for number, name in enumerate(name for name in titles if name not in stations):
        stations[name] = OUTSIDE[min(number, len(OUTSIDE) - 1)]
    paths = {number: _path(branch, stations) for number, branch in enumerate(branches)}
    return Placed(stations, paths, annulus, (rear, front) if rear_first else (front, rear))


def _reaches(branches: tuple[BranchRecord, ...], annulus: BranchRecord, station: str) -> bool:
    """Whether a station hangs at the rear of the shell: at the shaft bore without passing the annulus."""
    rear = {branch.end for branch in branches if branch.kind == "shaft bore"}
    if not rear:
        return True
    seen, waiting = set(), [station]
    while waiting:
        here = waiting.pop()
        if here in rear:
            return True
        seen.add(here)
        for branch in branches:
            if branch.kind in ("cavity", "auxiliary impeller", "holes") and here in (branch.start, branch.end):
                waiting.extend({branch.start, branch.end} - seen)
    return False


def _return_places(title: str) -> tuple[Point, ...]:
    if "discharge" in title:
        return (DISCHARGE,)
    return (EYE, EYE_LOW) if "eye" in title or "suction" in title else (BEHIND, BEHIND_LOW)


def _rear_bearing(branches: tuple[BranchRecord, ...]) -> str | None:
    """Name of the bearing at the rear: the one called so, or the last listed of several."""
    names = [branch.bearing for branch in branches if branch.kind == "journal bearing"]
    if "rear" in names:
        return "rear"
    return names[-1] if len(set(names)) > 1 else None


_DRAWN: dict[tuple[Point, Point], str] = {
    (FEED, HOLDER): FEED_PATH, (HOLDER, SHAFT_IN): SHAFT_IN_PATH, (SHAFT_IN, SHELL_END): SHAFT_PATH,
    (SHELL_END, ANNULUS_REAR): DOME_PATH, (HOLDER, FRONT_OUT): FRONT_BEARING_PATH,
    (HOLDER, REAR_OUT): REAR_BEARING_PATH, (FRONT_OUT, BEHIND_LOW): FRONT_FACE_PATH,
    (FRONT_OUT, BEHIND): "M253 471 Q244 468 240 458 L238 424", (FRONT_OUT, EYE_LOW): EYE_LOW_PATH,
    (REAR_OUT, RETURN): CUP_PATH, (REAR_OUT, ANNULUS_FRONT): CUP_TO_ANNULUS_PATH,
    (ANNULUS_FRONT, RETURN): CHAMBER_PATH, (RETURN, BEHIND): HUB_PATH, (RETURN, DISCHARGE): DISCHARGE_PATH,
    (RETURN, EYE): EYE_PATH}


def _path(branch: BranchRecord, stations: dict[str, Point]) -> str:
    start, end = stations[branch.start], stations[branch.end]
    return _DRAWN.get((start, end)) or _DRAWN.get((end, start)) or (
        f"M{start[0]:g} {start[1]:g}L{end[0]:g} {end[1]:g}")
