"""The evidence of one failure as a file describes it: what was seen, what was not, what was recorded."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field

from wetpath.edge.fields import Length, Power, Ratio, Time
from wetpath.edge.files import Document
from wetpath.edge.part import Part, drawing, rule
from wetpath.errors import InputError, UnknownName
from wetpath.investigation.catalogue import SOMETHING_ELSE, USER_TAG, Finding, band, findings, mechanisms

State = Literal["seen", "not there", "not looked at", "lost"]
#: Prior weight of a mechanism that the file does not name.
EVEN = 1.0


class FindingEntry(Part):
    """One finding, of the catalogue or of this file."""

    id: str = drawing("name of the finding: wetpath investigate --list tells them, or one of own_findings")
    state: State = drawing("whether it was seen; lost: nobody can look any more")
    note: str = drawing("where, how much, who says so", default="")
    weight: Ratio = drawing("how far it is trusted: 1 fully, 0 not at all", default=1.0, lower=0.0, upper=1.0)
    likelihoods: dict[str, str] = Field(default={}, description="own words of likelihood by mechanism, in place of "
                                                                "those of the catalogue")

    @rule
    def words_are_known(self) -> None:
        """Own likelihoods name mechanisms and words that are known."""
        _known(self.likelihoods, "likelihoods")


class OwnFinding(Part):
    """A finding that the catalogue does not have."""

    id: str = drawing("short name, used in findings")
    title: str = drawing("what was found, as reports print it")
    part: str = drawing("part or record it belongs to", default="others")
    group: str = drawing("findings of one group come from one trace and count once; without it a group of its own",
                         default="")
    otherwise: str = drawing("word of likelihood for all mechanisms not named", default="unlikely")
    likelihoods: dict[str, str] = Field(description="words of likelihood by mechanism")

    @rule
    def words_are_known(self) -> None:
        """Likelihoods name mechanisms and words that are known."""
        _known(self.likelihoods, "likelihoods")
        _known({SOMETHING_ELSE: self.otherwise}, "otherwise")

    @rule
    def name_is_free(self) -> None:
        """The name is not one of the catalogue."""
        if self.id in findings():
            raise self.refuse("id", "is a finding of the catalogue", do="give it another name, or use likelihoods of "
                                                                        "the finding")

    def finding(self) -> Finding:
        """The same as a finding of the catalogue."""
        return Finding(self.id, self.title, self.part, self.group or f"own: {self.id}", self.otherwise,
                       self.likelihoods, USER_TAG)


class Recorded(Part):
    """What was measured."""

    power_before: Power | None = drawing("power before the event, at the motor shaft or from the supply", default=None,
                                         above="0 kW")
    power_after: Power | None = drawing("power when it began, at the same place, before anything rubbed", default=None)
    running_time: Time | None = drawing("running time of the external bearings", default=None)
    particle_size: Length | None = drawing("largest solid found in the liquid or in the pump", default=None)

    @rule
    def both_powers(self) -> None:
        """The power is told before and after, or not at all."""
        if (self.power_before is None) != (self.power_after is None):
            missing = "power_before" if self.power_before is None else "power_after"
            raise InputError("is missing", field=missing, why="only the ratio of both powers is compared",
                             do="give both, or none")


class EvidenceFile(Document):
    """The evidence of one failure."""

    document_kind: ClassVar[str] = "evidence"
    document_name: ClassVar[str] = "evidence file"
    document_use: ClassVar[str] = "investigate: wetpath investigate FILE"

    title: str = drawing("what failed, and when")
    note: str = drawing("anything the reader should know", default="")
    enquiry_file: str = drawing("enquiry of the pump, beside this file")
    pump_file: str = drawing("pump file beside this file, in place of the one the enquiry names", default="")
    case: str = drawing("operating case it ran in when it failed; without it the governing one", default="")
    findings: tuple[FindingEntry, ...] = drawing("what was looked for", default=())
    own_findings: tuple[OwnFinding, ...] = drawing("findings that the catalogue does not have", default=())
    priors: dict[str, float] = Field(default={}, description="weights of the mechanisms before any evidence, over 1 "
                                                             "for those not named")
    weights: dict[str, float] = Field(default={}, description="how far the tests of the physics are trusted, by their "
                                                              "names, and power_recorded: 1 fully, 0 not at all")
    recorded: Recorded = Recorded()

    @rule
    def names_are_known(self) -> None:
        """Findings are known, and each is told once."""
        known = self.catalogue()
        seen: set[str] = set()
        for number, one in enumerate(self.findings, start=1):
            if one.id not in known:
                raise UnknownName("finding", one.id, known, field=f"findings[{number}].id",
                                  do="wetpath investigate --list tells all")
            if one.id in seen:
                raise InputError("is told twice", field=f"findings[{number}].id", value=f'"{one.id}"', do="keep one")
            seen.add(one.id)
        if len({one.id for one in self.own_findings}) < len(self.own_findings):
            raise InputError("has two findings of one name", field="own_findings", do="give each a name of its own")

    @rule
    def priors_are_weights(self) -> None:
        """Priors name mechanisms and are above zero."""
        for name, weight in self.priors.items():
            if name not in mechanisms():
                raise UnknownName("mechanism", name, mechanisms(), field="priors")
            if not 1e-6 <= weight <= 1e6:
                raise InputError("is not a weight; allowed: 0.000001 to 1000000", field=f"priors.{name}",
                                 value=f"{weight:g}", why="no evidence could ever raise a mechanism of weight 0")

    @rule
    def weights_are_shares(self) -> None:
        """Weights of tests are from 0 to 1."""
        for name, weight in self.weights.items():
            if not 0.0 <= weight <= 1.0:
                raise InputError("is not a weight; allowed: 0 to 1", field=f"weights.{name}", value=f"{weight:g}")

    def weight(self, test: str) -> float:
        """How far a test of the physics, or the power recorded, is trusted."""
        return self.weights.get(test, 1.0)

    def catalogue(self) -> dict[str, Finding]:
        """Every finding that may be looked for, own ones last."""
        return {**findings(), **{one.id: one.finding() for one in self.own_findings}}


def _known(likelihoods: dict[str, str], field: str) -> None:
    for mechanism, word in likelihoods.items():
        if mechanism not in mechanisms():
            raise UnknownName("mechanism", mechanism, mechanisms(), field=field)
        try:
            band(word)
        except UnknownName as error:
            raise UnknownName("word of likelihood", word, error.nearest, field=f"{field}.{mechanism}",
                              do=error.problem.do) from None
