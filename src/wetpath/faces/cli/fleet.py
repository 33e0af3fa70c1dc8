"""``wetpath fleet``: the pumps of a fleet, the worst first; a year of it replayed here, on processes, on a cluster."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

from wetpath.drawing.figures import Figures
from wetpath.drawing.fleet_ruler import SIGNS
from wetpath.edge import quantities as q
from wetpath.edge.mapping import SIGNAL_KINDS
from wetpath.errors import InputError
from wetpath.faces.cli.failures import STOPPED
from wetpath.faces.cli.paper import Column, Paper
from wetpath.faces.cli.rating import announce
from wetpath.faces.cli.scale import scale_of
from wetpath.services import fleet as service
from wetpath.services.fleet import PumpState, Status
from wetpath.services.fleet_file import FleetFile
from wetpath.services.fleet_record import record_of_fleet
from wetpath.services.fleet_replay import Outcome, bring_up_to_date, open_replay, series_folder
from wetpath.services.projects import Store, open_projects


def show_fleet(file: Path | None, *, database: str | None, update: bool, replay: Path | None, since: str,
               cluster: str | None, workers: int | None, json: bool, us: bool) -> int:
    """Bring the history up to date and list the pumps; exit code 1 when one is short of margin or to look at."""
    fleet = service.load_fleet(service.demo_fleet() if file is None else file)
    if since and replay is None:
        raise InputError("belongs to a replay", field="--since", value=f'"{since}"',
                         do="name its folder: --replay FOLDER")
    if replay is not None and database is not None:
        raise InputError("is given besides --replay, whose history is in its folder", field="--database",
                         value=f'"{database}"', do="give one of them")
    if since:
        fleet = replace(fleet, file=_since(fleet.file, since))
    scale = scale_of(cluster, workers)
    store = open_projects(database) if replay is None else _opened(replay)
    try:
        outcome = bring_up_to_date(store, fleet, scale=scale, announce=announce) if update else Outcome()
        state = service.fleet_state(store, fleet)
        if json:
            sys.stdout.write(record_of_fleet(state, outcome.problems).model_dump_json(indent=2) + "\n")
        else:
            FleetPage(state, outcome, Paper(), Figures.of(us), series_folder(store)).write()
    finally:
        store.close()
    if outcome.stopped:
        return STOPPED
    needs = any(one.status in (Status.SHORT, Status.LOOK) and not (one.status is Status.LOOK and one.quiet)
                for one in state.pumps)
    return 1 if needs or outcome.problems else 0


def _opened(folder: Path) -> Store:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"cannot be made ({error.strerror})", field="--replay", value=f'"{folder}"') from None
    return open_replay(folder)


def _since(file: FleetFile, since: str) -> FleetFile:
    changed = file.model_copy(update={"since": since})
    try:
        changed.moments_can_be_read()
    except InputError as error:
        told = error.problem
        raise InputError(told.text, field="--since", value=f'"{since}"', why=told.why, do=told.do) from None
    return changed


class FleetPage:
    """Writes a fleet on paper."""

    def __init__(self, state: service.FleetState, outcome: Outcome, paper: Paper, figures: Figures, series: Path
                 ) -> None:
        self.state, self.outcome, self.paper, self.figures, self.series = state, outcome, paper, figures, series

    def write(self) -> None:
        """Write the whole page."""
        state, figures = self.state, self.figures
        worst = SIGNS[state.pumps[0].status]
        self.paper.headline(f"{state.fleet.file.name}: {state.sentence}", worst)
        self.paper.say(f"As of {_time(state)}. Margin to the vapour pressure at the worst station, inferred from the "
                       "signals, with its range of 95\u2009%; the lowest of each group first.")
        unit = figures.unit(q.PRESSURE_DIFFERENCE)
        self.paper.gap()
        self.paper.table(
            [Column(""), Column("pump"), Column(f"margin, {unit}", number=True), Column("±", number=True),
             Column("demand", number=True), Column("30 days", number=True), Column("outlook", wraps=True),
             Column("service", wraps=True)], [self._row(one) for one in state.pumps])
        needs = [one for one in state.pumps if one.why and not one.quiet and one.status is not Status.SILENT]
        for one in needs:
            self._reasons(one)
        if self.outcome.problems:
            self.paper.heading("Not watched")
            self.paper.items([f"{tag}: {words}" for tag, words in self.outcome.problems.items()])
        unused = [f"{tag}: {words}" for tag, lines in self.outcome.not_used.items() for words in lines]
        if unused:
            self.paper.heading("Readings not used")
            self.paper.items(unused)
        self.paper.heading("History")
        self.paper.say(f"{self.outcome.spans} spans were added. Files with a row a minute: {self.series}.")
        self.paper.heading("Cautions")
        self.paper.items(service.CAUTIONS)

    def _row(self, one: PumpState) -> list[str]:
        figures, grey = self.figures, one.status in (Status.STOPPED, Status.SILENT)
        number = figures.number
        moved = number(one.moved, q.PRESSURE_DIFFERENCE, sign=True) if one.moved and not grey else ""
        since = "" if one.at is None else f" since {one.at:%d %B %H:%M}Z"
        outlook = (f"no data{since}" if one.status is Status.SILENT else "stopped" if one.status is Status.STOPPED
                   else service.forecast_words(one))
        return [SIGNS[one.status].sign, f"{one.pump.tag}{' (seen)' if one.quiet else ''}",
                "" if grey else number(one.margin, q.PRESSURE_DIFFERENCE),
                "" if grey else number(one.half_range, q.PRESSURE_DIFFERENCE),
                number(one.demand, q.PRESSURE_DIFFERENCE), moved, outlook,
                ", ".join(words for words in (one.pump.service, one.pump.site) if words)]

    def _reasons(self, one: PumpState) -> None:
        figures = self.figures
        self.paper.heading(one.pump.tag, one.status)
        station = f"; worst at station {one.station}" if one.station else ""
        self.paper.items([f"{words}{station if place == 0 else ''}" for place, words in enumerate(one.why[:4])])
        moved = self._moved(one)
        if moved:
            self.paper.say(f"Moved in {service.LOOKS_BACK:.0f} days: {moved}.")
        found = service.fits(one)
        if found:
            self.paper.say("Fits the signals: " + ", ".join(
                f"{title} {figures.text(share, q.RATIO)}" for share, title, _ in found[:3]) + ".")
        steps = service.next_steps(one, lambda value: figures.text(value, q.PRESSURE_DIFFERENCE))
        if steps:
            self.paper.say("Do next: " + "; ".join(f"{place} {words}" for place, words in enumerate(steps, start=1))
                           + ".")


    def _moved(self, one: PumpState) -> str:
        """Means of signals then and now, in words."""
        figures = self.figures
        return ", ".join(f"{name.replace('_', ' ')} {figures.number(then, SIGNAL_KINDS[name])} to "
                         f"{figures.text(now, SIGNAL_KINDS[name])}" for name, then, now in service.movements(one)
                         if figures.number(then, SIGNAL_KINDS[name]) != figures.number(now, SIGNAL_KINDS[name]))


def _time(state: service.FleetState) -> str:
    return f"{state.at:%d %B %Y %H:%M} UTC"
