"""What is told of a failed pump: kept with the browser, read from an evidence file, and made into one."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any

from wetpath.edge import quantities as q
from wetpath.edge.files import dump_document, loads_document, validate
from wetpath.edge.quantities import Kind
from wetpath.edge.units import parse
from wetpath.errors import InputError
from wetpath.investigation.catalogue import findings
from wetpath.investigation.evidence import EvidenceFile

STATES: tuple[str, ...] = ("not looked at", "seen", "not there", "lost")
WEIGHED = ("seen", "not there")
POWERS = {"power_before": "power before", "power_after": "power when it began"}
#: Longest of what is typed [characters], and most findings of one's own.
LONGEST, MOST_OWN = 500, 40
#: How likely a finding of one's own is with a mechanism that is not named, unless told otherwise.
UNLIKELY = "unlikely"


@dataclass
class Told:
    """Everything that is told, as it is typed."""

    title: str = ""
    states: dict[str, str] = field(default_factory=dict)
    weights: dict[str, str] = field(default_factory=dict)
    notes: dict[str, str] = field(default_factory=dict)
    powers: dict[str, str] = field(default_factory=dict)
    own: list[dict[str, Any]] = field(default_factory=list)          # as in the file
    rest: dict[str, Any] = field(default_factory=dict)               # of a file read: what this page does not show

    @classmethod
    def of_kept(cls, kept: dict[str, Any]) -> Told:
        """What a browser has kept; what this version does not know is left out."""
        told = cls(**{name: value for name, value in kept.items() if name in cls.__dataclass_fields__})
        known = told.titles()
        for texts in (told.states, told.weights, told.notes):
            for name in [name for name in texts if name not in known]:
                del texts[name]
        told.states = {name: state for name, state in told.states.items() if state in STATES}
        told.powers = {name: typed for name, typed in told.powers.items() if name in POWERS}
        return told

    @classmethod
    def of_file(cls, text: str) -> tuple[Told, str]:
        """Read an evidence file; with the name of the case it names.

        Raises
        ------
        FileProblems
            With all that is wrong, each at its field.
        """
        read = loads_document(text, EvidenceFile)
        plain = read.model_dump(mode="json", exclude_defaults=True)
        recorded = dict(plain.get("recorded", {}))
        powers = {name: str(recorded.pop(name)) for name in POWERS if name in recorded}
        likelihoods = {one.id: dict(one.likelihoods) for one in read.findings if one.likelihoods}
        rest = {"recorded": recorded, "likelihoods": likelihoods, "note": read.note, "priors": dict(read.priors)}
        return cls(read.title, {one.id: one.state for one in read.findings},
                   {one.id: f"{one.weight:g}" for one in read.findings if one.weight != 1.0},
                   {one.id: one.note for one in read.findings if one.note}, powers,
                   [one.model_dump(mode="json", exclude_defaults=True) for one in read.own_findings],
                   {name: value for name, value in rest.items() if value}), read.case

    def kept(self) -> dict[str, Any]:
        """The same as plain texts, for the browser."""
        return asdict(self)

    def titles(self) -> dict[str, str]:
        """Titles of all findings by name, own ones last."""
        return {**{one.name: one.title for one in findings().values()},
                **{str(one["id"]): str(one["title"]) for one in self.own}}

    def add(self, title: str, part: str, likelihoods: dict[str, str], otherwise: str) -> str:
        """Add a finding of one's own as seen; return its name."""
        if not title:
            raise InputError("is missing", field="what was found", do="say it in a few words")
        if not likelihoods:
            raise InputError("is missing", field="mechanism", why="a finding that says nothing of any mechanism moves "
                             "nothing", do="choose a mechanism and how likely the finding is with it")
        if len(self.own) >= MOST_OWN:
            raise InputError(f"are {MOST_OWN} already", field="findings of your own")
        name = next(f"own_{number}" for number in range(1, MOST_OWN + 2) if f"own_{number}" not in self.titles())
        self.own.append({"id": name, "title": title, "part": part, "otherwise": otherwise,
                         "likelihoods": dict(likelihoods)})
        self.states[name] = "seen"
        return name

    def drop(self, name: str) -> None:
        """Take a finding of one's own away."""
        self.own = [one for one in self.own if one["id"] != name]
        for texts in (self.states, self.weights, self.notes):
            texts.pop(name, None)

    def evidence(self, title: str, enquiry_file: str, case: str) -> EvidenceFile:
        """The evidence file of what is told; raises for what is mistyped."""
        entries: list[dict[str, Any]] = []
        titles, words = self.titles(), self.rest.get("likelihoods", {})
        for name, state in self.states.items():
            if state != STATES[0] or self.notes.get(name):
                weight = _weight(self.weights.get(name, "1"), titles[name]) if state in WEIGHED else 1.0
                entries.append({"id": name, "state": state, "weight": weight}
                               | ({"note": self.notes[name]} if self.notes.get(name) else {})
                               | ({"likelihoods": words[name]} if words.get(name) else {}))
        powers = {name: typed for name, typed in self.powers.items() if typed}
        for name, typed in powers.items():
            if _read(typed, q.POWER, POWERS[name]) <= 0:
                raise InputError("is not above zero", field=POWERS[name], value=f'"{typed}"')
        if len(powers) == 1:
            missing = next(label for name, label in POWERS.items() if name not in powers)
            raise InputError("is missing", field=missing, why="only the ratio of both powers is compared",
                             do="give both, or none")
        return validate({
            "title": self.title or title, "enquiry_file": enquiry_file, "case": case, "findings": entries,
            "own_findings": self.own, "recorded": {**self.rest.get("recorded", {}), **powers},
            "note": self.rest.get("note", ""), "priors": self.rest.get("priors", {})}, EvidenceFile,
            context={"texts": True})


def text_of(evidence: EvidenceFile) -> str:
    """An evidence file as text."""
    return dump_document(evidence)


def _weight(typed: str, title: str) -> float:
    weight = _read(typed, q.RATIO, f"weight of {title}")
    if not 0 <= weight <= 1:
        raise InputError("is not a weight; allowed: 0 to 1", field=f"weight of {title}", value=f'"{typed}"')
    return weight


def _read(typed: str, kind: Kind, name: str) -> float:
    """A value typed; what is wrong is told with its name."""
    try:
        return parse(typed, kind)
    except InputError as error:
        told = error.problem
        raise InputError(told.text, field=name, value=told.value, why=told.why, do=told.do) from None
