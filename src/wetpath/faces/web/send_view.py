"""What do we send? The data sheet as it will be set, what is missing, the cautions, and the files to send."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from html import escape

from nicegui import run, ui

from wetpath.drawing.figures import Figures
from wetpath.faces.report.content import Material, report_of
from wetpath.faces.report.issue_files import files_of_issue, sheet_of_issue
from wetpath.faces.report.parts import Cell, Part, Picture, Report, Table
from wetpath.faces.report.write import PRESSURE_UNITS, figures_of, report_bytes
from wetpath.faces.web.enquiry_page import EnquiryPage
from wetpath.faces.web.html import button, cell, row, table
from wetpath.faces.web.issue_panel import IssuePanel
from wetpath.faces.web.session import Session
from wetpath.rating.data_sheet import DataSheet, data_sheet
from wetpath.services.desk import Rated
from wetpath.services.standing import Standing

MEDIA = {".pdf": "application/pdf", ".json": "application/json",
         ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}


class SendView(EnquiryPage):
    """The fifth view of an enquiry."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.pressure_unit = ""                              # of the report; that of the units shown without it
        self.against = ""                                    # letter of the issue that changes are marked against
        self._letters: list[str] | None = None

    def body(self) -> None:
        """Set the preview at the left, lists and buttons at the right."""
        self.issuing = IssuePanel(self, self._files_of_issue)
        with ui.element("div").classes("row main"):
            self.parts["preview"] = self.cell("drawing paper")
            with ui.element("div").classes("cell side sheets"):
                self.parts["lists"] = ui.html("", sanitize=False)
                self.choices = ui.element("div").classes("form")
                self.parts["rest"] = ui.html("", sanitize=False)

    def _write_choices(self, letters: list[str]) -> None:
        """The units of pressures, and the issues that changes can be marked against, the newest chosen."""
        self._letters, self.against = letters, letters[0] if letters else ""
        self.choices.clear()
        with self.choices:
            self._choice("pressure-unit", "Pressures of the report in", ("", *PRESSURE_UNITS),
                         ("as shown", *PRESSURE_UNITS), self._take_unit, self.pressure_unit)
            self._choice("marked-against", "Marks what changed since", (*letters, ""),
                         (*(f"issue {one}" for one in letters), "nothing"), self._take_issue, self.against)

    def _choice(self, name: str, label: str, values: Sequence[str], words: Sequence[str],
                act: Callable[[str], None], chosen: str) -> None:
        with ui.element("div"):
            ui.html(f'<label for="{name}">{escape(label)}</label>', sanitize=False)
            with ui.element("select").props(f'id="{name}"').on(
                    "change", lambda event: act(str(event.args)), js_handler="(e) => emit(e.target.value)"):
                for value, one in zip(values, words, strict=True):
                    option = ui.element("option")
                    option._props.update({"value": value, "selected": value == chosen})
                    with option:
                        ui.html(escape(one), tag="span", sanitize=False)

    def _take_unit(self, unit: str) -> None:
        self.pressure_unit = unit if unit in PRESSURE_UNITS else ""
        self.write()

    def _take_issue(self, letter: str) -> None:
        self.against = letter if letter in (self._letters or ()) else ""
        self.write()

    def _previous(self) -> DataSheet | None:
        return sheet_of_issue(self.issuing.issues(), self.against) if self.against else None

    def _files_of_issue(self, shown: Rated, stem: str, who: str, letter: str) -> dict[str, bytes]:
        return files_of_issue(shown, stem, who, letter, us=self.session.us, pressure_unit=self.pressure_unit,
                              previous=self._previous())

    def write(self) -> None:
        """Write preview and lists from the rating shown."""
        letters = [one.letter for one in self.issuing.issues()]
        if letters != self._letters:
            self._write_choices(letters)
        shown = self.session.desk.shown
        report = report_of(Material(shown.rating, shown.record, previous=self._previous()),
                           figures_of(self.session.us, self.pressure_unit), date=_today())
        self.parts["preview"].set_content(preview_html(report))
        self.write_lists()

    def write_lists(self) -> None:
        """Write what stands at the right."""
        shown = self.session.desk.shown
        sheet = data_sheet(shown.rating)
        self.parts["lists"].set_content(files_html(sheet, self.issuing.html()))
        self.parts["rest"].set_content(lists_html(sheet, shown.record.cautions, self.session.figures))

    async def view_do(self, name: str, value: str) -> None:
        """Hand out a file, or issue the rating."""
        if name == "issue":
            self.issuing.answer(value)
        if name != "send" or value not in MEDIA:
            return
        shown = self.session.desk.shown
        self.progress(1, 2, "setting the report")
        try:
            content = data_sheet(shown.rating).model_dump_json(indent=1).encode() if value == ".json" else (
                await run.io_bound(report_bytes, shown.rating, value, date=_today(), us=self.session.us,
                                   pressure_unit=self.pressure_unit, previous=self._previous()))
        finally:
            self.progress(0, 1, "")
        if content is not None:              # nothing comes back from a server that is going down
            ui.download(content, f"{self.session.key}{value}", MEDIA[value])


def preview_html(report: Report) -> str:
    """The report as one long sheet."""
    parts = [f"<h1>{escape(report.headline)}</h1><p>{escape(report.sentence)}</p>"
             f"<p class='soft'>{escape(report.words['draft_note'])}</p>"]
    for number, sheet in enumerate(report.sheets):
        if number:
            parts.append(f"<h2 class='chapter'>{escape(sheet.title)}</h2>")
        parts.extend(_part(part) for part in sheet.parts)
    return "".join(parts)


def files_html(sheet: DataSheet, issues: str) -> str:
    """Whether it can be issued, the buttons, the issues."""
    points, deviations = sheet.open_points, sheet.deviations
    if deviations:
        head = f"▼ {len(deviations)} demand{'s' * (len(deviations) > 1)} not met"
    elif points:
        head = f"◆ {len(points)} point{'s' * (len(points) > 1)} still to be said"
    else:
        head = "● Ready to issue"
    buttons = " ".join(button(words, "do", f"send:{ending}", classes="btn first" if ending == ".pdf" else "btn")
                       for words, ending in (("PDF", ".pdf"), ("Excel", ".xlsx"), ("Data file", ".json")))
    return f"<h1>{escape(head)}</h1><p>{buttons}</p>{issues}"


def lists_html(sheet: DataSheet, cautions: tuple[str, ...], figures: Figures) -> str:
    """What is not met, what is missing, the cautions."""
    points, deviations = sheet.open_points, sheet.deviations
    missing = table([("who", False), ("what", False), ("until then", False)], (
        row((cell(one.party), cell(one.what), cell(figures.in_words(one.until_then), soft=True)))
        for one in points)) if points else (
        "<p>Nothing is missing.</p>")
    short = table([("check", False), ("case", False), ("remedy", False)], (
        row((cell(one.title, bold=True), cell(one.case), cell(figures.in_words(one.remedy), soft=True)),
            check=one.check)
        for one in deviations)) if deviations else "<p>Every demand is met.</p>"
    told = "".join(f"<p>{escape(figures.in_words(one))}</p>" for one in cautions)
    return (f"<h2 style='margin-top:10px'>Not met</h2>{short}"
            f"<h2 style='margin-top:10px'>Missing</h2>{missing}<h2 style='margin-top:10px'>Cautions</h2>{told}")


def _part(part: Part) -> str:
    title = f"<h2>{escape(part.title)}</h2>" if part.title else ""
    if isinstance(part, Picture):
        return f"{title}<div style='max-width:{part.width}'>{part.svg}</div>"
    if isinstance(part, Table):
        rows = (row(_cell(one, number) for one, (_, number) in zip(line, part.columns, strict=True))
                for line in part.rows)
        note = f"<p class='soft'>{escape(part.note)}</p>" if part.note else ""
        return title + table(part.columns, rows, caption=part.title) + note
    classes = " class='soft'" if part.soft else ""
    return title + "".join(f"<p{classes}>{escape(one)}</p>" for one in part.lines)


def _cell(one: Cell, number: bool) -> str:
    text = f"▲ {one.text}" if one.changed else one.text
    return cell(text, number=number, bold=one.bold, standing=Standing(one.standing) if one.standing else None)


def _today() -> str:
    return datetime.now(UTC).date().isoformat()
