"""The side sheet of one part of the pump: its fields of the pump file, and what the rating says of it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any

from nicegui import ui
from pydantic import BaseModel

from wetpath.edge.annotations import literals_in, models_in, quantity_marks
from wetpath.edge.fields import Measured
from wetpath.edge.tables import magnets, materials
from wetpath.faces.web.fault import fault_html
from wetpath.faces.web.part_numbers import part_numbers
from wetpath.faces.web.sentence import with_unit
from wetpath.faces.web.session import Session

if TYPE_CHECKING:
    from wetpath.faces.web.enquiry_page import EnquiryPage

#: What each part of the drawing is called, and its tables of the pump file.
PARTS: dict[str, tuple[str, tuple[str, ...]]] = {
    "casing": ("Casing", ("casing",)), "bush-holder": ("Bush holder", ("bush_holder",)),
    "impeller": ("Impeller", ("impeller",)), "shaft": ("Pump shaft", ("shaft",)),
    "bearings": ("Plain bearings", ("journal_bearings", "thrust_bearings")),
    "inner-ring": ("Inner magnet ring", ("inner_ring",)), "outer-ring": ("Outer magnet ring", ("outer_ring",)),
    "shell": ("Containment shell", ("containment_shell",)), "housing": ("Coupling housing", ("coupling_housing",)),
    "external-bearings": ("Rolling bearings of the drive shaft", ("external_bearings",)),
    "drive-shaft": ("Drive shaft and driver", ("driver",))}
#: Fields that name a row of a table.
_MATERIALS, _MAGNETS = ("material", "sheath_material"), ("magnets",)


@dataclass(frozen=True)
class Field:
    """One field of the form: its place in the papers, how it is called, what it shows, what it may be."""

    path: str
    name: str
    shown: str
    unit: str = ""                               # taken by a bare number
    choices: tuple[tuple[str, str], ...] = ()    # value, words
    plain: bool = False                          # a bare number of the file, not a text


@dataclass(frozen=True)
class Group:
    """Fields under one heading."""

    title: str
    fields: tuple[Field, ...]


def groups_of(session: Session, part: str) -> list[Group]:
    """Every table of a part with its fields, in the order of the pump file."""
    pump = session.desk.rated.rating.pump
    found: list[Group] = []
    for table in PARTS[part][1]:
        holder = getattr(pump, table)
        several = isinstance(holder, tuple)
        entries = holder if several else () if holder is None else (holder,)
        for number, entry in enumerate(entries, start=1):
            path = f"pump:{table}[{number}]" if several else f"pump:{table}"
            name = f"{table.replace('_', ' ')[:-1].capitalize()} {entry.name}" if several else ""
            _walk(session, entry, path, name, found)
    return found


def _walk(session: Session, entry: BaseModel, path: str, title: str, found: list[Group]) -> None:
    fields, inner = [], []
    for name, info in type(entry).model_fields.items():
        value, place = getattr(entry, name), f"{path}.{name}"
        if isinstance(value, BaseModel):
            inner.append((value, place, name.replace("_", " ").capitalize()))
        elif not models_in(info) and not (name == "name" and "[" in path):
            fields.append(_field(session, place, name, info, value))
    found.append(Group(title, tuple(fields)))
    for value, place, name in inner:
        _walk(session, value, place, f"{title}, {name.lower()}" if title else name, found)


def _field(session: Session, path: str, name: str, info: Any, value: Any) -> Field:
    marks, words = quantity_marks(info), info.description or name.replace("_", " ")
    if name in _MATERIALS and (value in materials() or not value):
        rows = tuple((key, f"{key}, {row.text}") for key, row in materials().items())
        return Field(path, words, str(value), choices=rows if value else (("", "not given"), *rows))
    if name in _MAGNETS:
        return Field(path, words, str(value), choices=tuple((key, f"{key}, {row.text}")
                                                            for key, row in magnets().items()))
    if literals := literals_in(info):
        return Field(path, words, str(value), choices=tuple((str(one), str(one)) for one in literals))
    if isinstance(value, bool):
        return Field(path, words, "yes" if value else "no", choices=(("yes", "yes"), ("no", "no")))
    typed = session.desk.papers.value(path)
    if not marks or not isinstance(marks[0], Measured):
        return Field(path, words, "" if value is None else str(value if typed is None else typed),
                     plain=isinstance(value, int))
    kind = marks[0].kind
    figures = session.figures
    unit = figures.unit(kind)
    shown = "" if value is None else f"{figures.significant(value, kind)}\u2009{unit}".rstrip()
    return Field(path, f"{words}, {unit}" if unit else words, shown, unit, plain=not unit)


class PartEditor:
    """The form of the part that was clicked."""

    def __init__(self, page: EnquiryPage) -> None:
        self.page = page
        self.part = ""

    def open(self, part: str) -> None:
        """Open the form of one part of the drawing."""
        part = {"bush-front": "bearings", "bush-rear": "bearings"}.get(part, part)
        if part not in PARTS:
            return
        self.page.session.station = ""
        self.page.open_drawer(f"<h2>{escape(PARTS[part][0])}</h2>")
        self.part = part
        self._write()
        ui.run_javascript("document.querySelector('.drawer .close').focus()")

    def close(self) -> None:
        """Forget the part: the side sheet shows something else."""
        self.part = ""

    def write(self) -> None:
        """Write the form anew, after a change of papers, units or case, while it is open."""
        if self.part and self.page.drawer.visible:
            self._write()

    def _write(self) -> None:
        page, session = self.page, self.page.session
        page.drawer_fields.clear()
        with page.drawer_fields:
            groups = groups_of(session, self.part)
            if not any(group.fields for group in groups):
                ui.html("<p>Not in the pump file.</p>", sanitize=False)
            for group in groups:
                if group.title:
                    ui.html(f"<h3>{escape(group.title)}</h3>", sanitize=False)
                for field in group.fields:
                    self._entry(field)
            numbers = part_numbers(session, self.part)
            if numbers:
                rows = "".join(f"<dt>{escape(name)}</dt><dd>{escape(value)}</dd>" for name, value in numbers)
                ui.html(f"<h3>What the rating gives, case {escape(session.case_record.name)}</h3><dl>{rows}</dl>",
                        sanitize=False)

    def _entry(self, field: Field) -> None:
        session = self.page.session
        fault = session.faults.get(field.path)
        with ui.element("div").classes("faulty" if fault else ""):
            label = escape(field.name[:1].upper() + field.name[1:]).replace("degC", "°C")
            name = f"part-{field.path.removeprefix('pump:')}"
            ui.html(f'<label for="{escape(name)}">{label}</label>', sanitize=False)
            entry = ui.element("select" if field.choices else "input")
            entry._props.update({"id": name, "data-path": field.path})
            if session.locked:
                entry._props.update({"disabled" if field.choices else "readonly": True, "title": session.locked})
            if field.choices:
                with entry:
                    for value, words in field.choices:
                        option = ui.element("option").props(f"value={json.dumps(value)}")
                        option._props["selected"] = value == field.shown
                        with option:
                            ui.html(escape(words), tag="span", sanitize=False)
            else:
                entry._props.update({"type": "text", "autocomplete": "off", "spellcheck": "false",
                                     "^value": session.typed.get(field.path, field.shown)})
            if fault:
                entry._props.update({"aria-invalid": "true", "aria-describedby": f"{name}-fault"})
                ui.html(fault_html(field.path, fault), sanitize=False).classes("fault").props(
                    f'role="alert" id="{name}-fault"')

    async def enter(self, path: str, typed: str) -> None:
        """A field of a part was changed: rate, or say under it what is wrong."""
        session = self.page.session
        field = next((one for part in PARTS for group in groups_of(session, part) for one in group.fields
                      if one.path == path), None)
        if field is not None:
            value = value_typed(field, typed)
            await self.page.take(lambda papers: papers.with_value(path, value), path, typed)


def value_typed(field: Field, typed: str) -> object:
    """What goes into the pump file for what was typed; nothing typed takes the entry out.

    >>> value_typed(Field("", "", "", "mm"), "2"), value_typed(Field("", "", "", plain=True), "12")
    ('2 mm', 12)
    """
    plain = typed.strip()
    if not plain:
        return None
    if field.choices and {value for value, _ in field.choices} == {"yes", "no"}:
        return plain == "yes"
    if field.plain:
        for number in (int, float):
            try:
                return number(plain.replace(",", ".").replace("−", "-"))
            except ValueError:
                continue
    return with_unit(plain, field.unit)
