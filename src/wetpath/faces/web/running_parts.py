"""The parts of *How are they running?*: answer, ruler with its table, and the pump that is looked at."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from wetpath.drawing.figures import Figures
from wetpath.drawing.fleet_ruler import SIGNS, draw_ruler, grey_words
from wetpath.drawing.fleet_trend import draw_trend
from wetpath.edge import quantities as q
from wetpath.edge.mapping import SIGNAL_KINDS
from wetpath.faces.web.html import as_table, button, cell, row, table
from wetpath.services import fleet as service
from wetpath.services.fleet import FleetState, PumpState, Status
from wetpath.services.standing import Standing

APART = "style='margin-top:10px'"
#: Explanations, alarms and reasons told at most.
MOST = 4


def chosen(state: FleetState, show: str) -> list[PumpState]:
    """Pumps that a filter leaves: "site:NAME", "service:NAME", "status:NAME", or all."""
    kind, _, name = show.partition(":")
    return [one for one in state.pumps if kind not in ("site", "service", "status")
            or name == {"site": one.pump.site, "service": one.pump.service, "status": str(one.status)}[kind]]


def filters(state: FleetState) -> dict[str, str]:
    """What can be shown, by the value of the filter, in words."""
    found = {"": f"all {len(state.pumps)} pumps"}
    for kind in ("site", "service"):
        names = sorted({getattr(one.pump, kind) for one in state.pumps} - {""})
        found |= {f"{kind}:{name}": f"{name}, {len(chosen(state, f'{kind}:{name}'))}" for name in names}
    return found | {f"status:{one}": f"{one}, {len(chosen(state, f'status:{one}'))}" for one in Status
                    if chosen(state, f"status:{one}")}


def rows_of(state: FleetState, show: str, group: str) -> list[tuple[str, PumpState, str]]:
    """Rows of the ruler; more than fit on a page are told in groups, each by its worst pump."""
    some = chosen(state, show)
    if len(some) <= service.MOST_ROWS:
        return [(f"pump:{one.pump.tag}", one, one.pump.tag) for one in some]
    groups: dict[str, list[PumpState]] = {}
    for one in some:
        groups.setdefault(getattr(one.pump, group), []).append(one)
    return [(f"show:{group}:{name}", ones[0], f"{name or 'others'}, {len(ones)}") for name, ones in groups.items()]


def answer_html(state: FleetState, figures: Figures, show: str, group: str, selected: str) -> str:
    """Counts, ruler, the ruler as a table."""
    rows = rows_of(state, show, group)
    grouped = any(act.startswith("show:") for act, _, _ in rows)
    sign = SIGNS[state.pumps[0].status] if state.pumps else Standing.UNKNOWN
    words = ("Inferred margin to the vapour pressure at the worst station now. Thick line: range of 95 %. Arrow: where "
             f"it came from in {service.LOOKS_BACK:.0f} days, when that is more than the range. The worst first.")
    if grouped:
        other = "service" if group == "site" else "site"
        words += f" Each {group} by its worst pump. {button(f'By {other}', 'do', f'group:{other}')}"
    return (f"<h1>{sign.sign} {escape(state.sentence[:1].upper() + state.sentence[1:])}</h1><p class='soft'>{words}</p>"
            f"<div class='fleet'>{draw_ruler(rows, state, figures, selected=selected)}</div>"
            + as_table(_table(rows, figures)))


def _table(rows: Sequence[tuple[str, PumpState, str]], figures: Figures) -> str:
    unit = figures.unit(q.PRESSURE_DIFFERENCE)
    lines = []
    for _, one, words in rows:
        grey = one.status in (Status.STOPPED, Status.SILENT)
        lines.append(row((
            cell(words), cell(f"{SIGNS[one.status].sign} {one.status}"),
            cell("" if grey else figures.number(one.margin, q.PRESSURE_DIFFERENCE), number=True),
            cell("" if grey else figures.number(one.half_range, q.PRESSURE_DIFFERENCE), number=True),
            cell(figures.number(one.demand, q.PRESSURE_DIFFERENCE), number=True),
            cell(figures.number(one.moved, q.PRESSURE_DIFFERENCE, sign=True) if one.moved and not grey else "",
                 number=True),
            cell(grey_words(one) if grey else service.forecast_words(one)),
            cell(", ".join(each for each in (one.pump.service, one.pump.site) if each)))))
    return table([("pump", False), ("", False), (f"margin, {unit}", True), ("±", True), ("demand", True),
                  ("30 days", True), ("outlook", False), ("service", False)], lines,
                 caption="Margins of the pumps, the worst first")


def pump_html(one: PumpState, state: FleetState, figures: Figures, *, address: str, locked: str, asks: str = "") -> str:
    """The pump that is looked at: where it stands, trend, what fits, what to do, signals."""
    grey = one.status in (Status.STOPPED, Status.SILENT)
    return "".join((
        f"<h1>{SIGNS[one.status].sign} {escape(one.pump.tag)}</h1>",
        f"<p>{_sentence(one, figures, grey=grey)}</p>", _buttons(one, address=address, locked=locked, asks=asks),
        draw_trend(one, state, figures), _reasons(one), _fits(one, figures), _steps(one, figures),
        _signals(one, state, figures),
        f"<h2 {APART}>Cautions</h2>" + "".join(f"<p class='soft'>{escape(words)}</p>" for words in service.CAUTIONS)))


def _sentence(one: PumpState, figures: Figures, *, grey: bool) -> str:
    about = "" if one.watch is None else (f" {escape(str(one.watch.about['pump']))}, "
                                          f"{escape(str(one.watch.about['liquid']))}.")
    place = escape(", ".join(words for words in (one.pump.service, one.pump.site) if words))
    if grey:
        return f"{escape(grey_words(one)[:1].upper() + grey_words(one)[1:])}. {place}.{about}"
    margin = figures.text(one.margin, q.PRESSURE_DIFFERENCE)
    shown = f"<b class='short'>{margin}</b>" if one.margin < one.demand else f"<b>{margin}</b>"
    half = figures.text(one.half_range, q.PRESSURE_DIFFERENCE)
    was = f", {figures.number(one.came_from, q.PRESSURE_DIFFERENCE)} 30 days ago" if one.moved else ""
    outlook = service.forecast_words(one)
    ahead = f"At this rate it <b>{escape(outlook)}</b>" if one.forecast and one.to_limit > 0 else (
        f"At this rate <b>{escape(outlook)}</b>" if one.forecast else f"{outlook[:1].upper()}{outlook[1:]}")
    return (f"{place}.{about} Vapour margin {shown} ± {half} at station {escape(one.station)}{was}; "
            f"{figures.text(one.demand, q.PRESSURE_DIFFERENCE)} asked. {ahead}.")


def _buttons(one: PumpState, *, address: str, locked: str, asks: str) -> str:
    why = "" if address else "no project holds the enquiry of this pump: import it to investigate"
    found = [button("Investigate", "do", "investigate", classes="btn first", why_not=why)]
    if address:
        found.append(f'<a class="btn" href="{escape(address)}/run">Open the rating</a>')
    if one.status in (Status.SHORT, Status.LOOK) and not one.quiet:
        found.append(button("Note seen", "do", "seen", why_not=locked))
    if asks:
        found.append(f"</p><p>{escape(asks)} {button('Replace them', 'do', 'investigate:now')}")
    told = ""
    if one.note is not None:
        told = (f"<p class='soft'>Seen by {escape(one.note.by)}, {one.note.at.astimezone():%d %B %H:%M}"
                f"{'; quiet until the margin moves by more than its range' if one.quiet else ''}.</p>")
    return f"<p>{' '.join(found)}</p>{told}"


def _reasons(one: PumpState) -> str:
    if not one.why:
        return ""
    lines = "".join(f"<li>{escape(words[:1].upper() + words[1:])}</li>" for words in one.why[:MOST])
    more = f"<li>{len(one.why) - MOST} more</li>" if len(one.why) > MOST else ""
    return f"<h2 {APART}>Why</h2><ul>{lines}{more}</ul>"


def _fits(one: PumpState, figures: Figures) -> str:
    found = service.fits(one)
    if not found:
        return ""
    rows = [row((cell(figures.text(share, q.RATIO), number=True, bold=True), cell(title), cell(evidence, soft=True)))
            for share, title, evidence in found[:MOST]]
    return (f"<h2 {APART}>What fits the signals</h2>"
            + table([("share", True), ("", False), ("", False)], rows, caption="What fits the signals",
                    classes="c matrix")
            + "<p class='soft'>Shares of the likelihood, one explanation at a time: a first place to look, no "
              "more.</p>")


def _steps(one: PumpState, figures: Figures) -> str:
    steps = service.next_steps(one, lambda value: figures.text(value, q.PRESSURE_DIFFERENCE))
    if not steps:
        return ""
    return f"<h2 {APART}>Do next</h2><ol>{''.join(f'<li>{escape(words)}.</li>' for words in steps)}</ol>"


def _signals(one: PumpState, state: FleetState, figures: Figures) -> str:
    """Means then and now of every signal, and until when it was read; with those that nobody measures."""
    means = {name: (then, now) for name, then, now in service.movements(one)}
    rows = []
    for name, last in one.signals.items():
        fresh = (state.at - last).total_seconds() <= state.fleet.file.old_after
        then, now = (figures.text(value, SIGNAL_KINDS[name]) for value in means.get(name, (None, None)))
        rows.append(row((cell(name.replace("_", " ")), cell(then, number=True), cell(now, number=True),
                         cell("✓" if fresh else f"{last:%d %B %H:%M}", number=True))))
    rows += [row((cell(name.replace("_", " ")), cell(""), cell(""), cell("no signal", number=True, soft=True)))
             for name in one.missing]
    if not rows:
        return ""
    return (f"<h2 {APART}>Signals used and missing</h2>"
            + table([("", False), (f"{service.LOOKS_BACK:.0f} days ago", True), ("last day", True), ("read", True)],
                    rows, caption="Signals used and missing"))
