"""The tables of the store."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    CheckConstraint,
    DateTime,
    Dialect,
    Double,
    ForeignKey,
    Index,
    LargeBinary,
    MetaData,
    String,
    Text,
    TypeDecorator,
    UniqueConstraint,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

#: Longest name of a project, user, or path of a document.
NAME_LENGTH = 200


class UtcTime(TypeDecorator[datetime]):
    """A moment, kept in UTC and returned with its time zone; one without a time zone is refused."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Bring a moment to UTC."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a moment without its time zone")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Give a moment its time zone back, which SQLite does not keep."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Words(TypeDecorator[str]):
    """Words of a user, without the characters that a database cannot hold."""

    impl = Text()
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:
        """Leave out the zero character and halves of characters."""
        return _holdable(value)


class Name(TypeDecorator[str]):
    """A name of limited length, without those characters."""

    impl = String(NAME_LENGTH)
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:
        """Leave out the zero character and halves of characters."""
        return _holdable(value)


def _holdable(value: str | None) -> str | None:
    return None if value is None else value.replace("\x00", "").encode("utf-8", "ignore").decode("utf-8")


class Base(DeclarativeBase):
    """Base of all tables; constraints have fixed names, so that migrations can name them."""

    metadata = MetaData(naming_convention={
        "ix": "ix_%(column_0_N_label)s", "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s", "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s"})
    type_annotation_map = {datetime: UtcTime(), dict[str, Any]: JSON(), list[dict[str, Any]]: JSON(),   # noqa: RUF012
                           list[str]: JSON(), float: Double()}


class UserRow(Base):
    """An account; the local user has no password and cannot log in."""

    __tablename__ = "account"
    __table_args__ = (CheckConstraint("role IN ('reader', 'engineer', 'approver')", name="role"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(Name())
    key: Mapped[str] = mapped_column(Name(), unique=True)
    role: Mapped[str] = mapped_column(String(20))
    password_hash: Mapped[str | None] = mapped_column(Text)
    open: Mapped[bool]
    created: Mapped[datetime]


class SessionRow(Base):
    """A login; of its token only the hash is kept."""

    __tablename__ = "login_session"

    token_sha256: Mapped[str] = mapped_column(String(64), primary_key=True)
    user_id: Mapped[int] = mapped_column(ForeignKey("account.id"), index=True)
    created: Mapped[datetime]
    seen: Mapped[datetime]
    expires: Mapped[datetime]


class TokenRow(Base):
    """A token with which a program asks in the name of a user; only its hash is kept."""

    __tablename__ = "access_token"

    id: Mapped[int] = mapped_column(primary_key=True)
    token_sha256: Mapped[str] = mapped_column(String(64), unique=True)
    user_id: Mapped[int] = mapped_column(ForeignKey("account.id"), index=True)
    purpose: Mapped[str] = mapped_column(Name())
    created: Mapped[datetime]
    expires: Mapped[datetime]


class AttemptRow(Base):
    """One try to log in."""

    __tablename__ = "login_attempt"
    __table_args__ = (Index(None, "key", "at"), Index(None, "address", "at"))

    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(Name())
    address: Mapped[str] = mapped_column(Name())
    at: Mapped[datetime]
    succeeded: Mapped[bool]


class ProjectRow(Base):
    """A project."""

    __tablename__ = "project"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(Name(), unique=True)
    author_id: Mapped[int] = mapped_column(ForeignKey("account.id"))
    created: Mapped[datetime]


class DocumentRow(Base):
    """A document of a project: its kind, and the path it has as a file."""

    __tablename__ = "document"
    __table_args__ = (UniqueConstraint("project_id", "path"),
                      CheckConstraint("kind IN ('enquiry', 'pump', 'liquid', 'practice')", name="kind"))

    id: Mapped[int] = mapped_column(primary_key=True)
    project_id: Mapped[int] = mapped_column(ForeignKey("project.id"))
    kind: Mapped[str] = mapped_column(String(20))
    path: Mapped[str] = mapped_column(Name())


class RevisionRow(Base):
    """One content of a document."""

    __tablename__ = "revision"
    __table_args__ = (UniqueConstraint("document_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    document_id: Mapped[int] = mapped_column(ForeignKey("document.id"))
    number: Mapped[int]
    parent: Mapped[int | None]
    author_id: Mapped[int] = mapped_column(ForeignKey("account.id"))
    at: Mapped[datetime]
    reason: Mapped[str] = mapped_column(Words())
    content: Mapped[str] = mapped_column(Text)
    sha256: Mapped[str] = mapped_column(String(64))
    changes: Mapped[list[dict[str, Any]]]


class RetirementRow(Base):
    """A document taken out of use, or put back; the last row of a document counts."""

    __tablename__ = "retirement"

    id: Mapped[int] = mapped_column(primary_key=True)
    document_id: Mapped[int] = mapped_column(ForeignKey("document.id"), index=True)
    retired: Mapped[bool]
    author_id: Mapped[int] = mapped_column(ForeignKey("account.id"))
    at: Mapped[datetime]
    reason: Mapped[str] = mapped_column(Words())


class RatingRow(Base):
    """The record of a rating of an enquiry, with the revisions it was made from."""

    __tablename__ = "rating"

    id: Mapped[int] = mapped_column(primary_key=True)
    document_id: Mapped[int] = mapped_column(ForeignKey("document.id"), index=True)
    author_id: Mapped[int] = mapped_column(ForeignKey("account.id"))
    at: Mapped[datetime]
    record: Mapped[str] = mapped_column(Text)
    sha256: Mapped[str] = mapped_column(String(64))
    made_from: Mapped[dict[str, Any]]


class IssueRow(Base):
    """A rating that was sent out, under its number (1 is A)."""

    __tablename__ = "issue"
    __table_args__ = (UniqueConstraint("document_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    document_id: Mapped[int] = mapped_column(ForeignKey("document.id"))
    number: Mapped[int]
    rating_id: Mapped[int] = mapped_column(ForeignKey("rating.id"))
    author_id: Mapped[int] = mapped_column(ForeignKey("account.id"))
    at: Mapped[datetime]
    reason: Mapped[str] = mapped_column(Words())


class IssuedFileRow(Base):
    """A file that went out with an issue, as the data sheet."""

    __tablename__ = "issued_file"
    __table_args__ = (UniqueConstraint("issue_id", "name"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    issue_id: Mapped[int] = mapped_column(ForeignKey("issue.id"))
    name: Mapped[str] = mapped_column(Name())
    content: Mapped[bytes] = mapped_column(LargeBinary)
    sha256: Mapped[str] = mapped_column(String(64))


class DraftRow(Base):
    """An unfinished text of one user; bytes, since it may be any text."""

    __tablename__ = "draft"
    __table_args__ = (UniqueConstraint("user_id", "project_id", "path"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    user_id: Mapped[int] = mapped_column(ForeignKey("account.id"))
    project_id: Mapped[int] = mapped_column(ForeignKey("project.id"))
    path: Mapped[str] = mapped_column(Name())
    based_on: Mapped[int | None]
    content: Mapped[bytes] = mapped_column(LargeBinary)
    at: Mapped[datetime]


class WatchedPumpRow(Base):
    """A pump of a fleet as it is watched with one model; ``until`` is how far, ``state`` what the watch remembers."""

    __tablename__ = "watched_pump"
    __table_args__ = (UniqueConstraint("fleet", "pump", "model_sha256"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    fleet: Mapped[str] = mapped_column(Name())
    pump: Mapped[str] = mapped_column(Name())
    model_sha256: Mapped[str] = mapped_column(String(64))
    about: Mapped[dict[str, Any]]
    begun: Mapped[datetime]
    until: Mapped[datetime | None]
    state: Mapped[bytes | None] = mapped_column(LargeBinary)


class WatchedHourRow(Base):
    """One hour of a watched pump: its margin with range, its operating point, what was measured; SI, absolute."""

    __tablename__ = "watched_hour"

    watch_id: Mapped[int] = mapped_column(ForeignKey("watched_pump.id"), primary_key=True)
    hour: Mapped[datetime] = mapped_column(primary_key=True)
    samples: Mapped[int]
    running: Mapped[int]
    outside: Mapped[int]
    margin: Mapped[float | None]
    half_range: Mapped[float | None]
    least: Mapped[float | None]
    wall_least: Mapped[float | None]
    station: Mapped[str] = mapped_column(Name())
    misfit: Mapped[float | None]
    feed: Mapped[float]
    told_flow: Mapped[float | None]
    flow: Mapped[float | None]
    suction_temperature: Mapped[float | None]
    speed: Mapped[float | None]
    suction_pressure: Mapped[float | None]
    discharge_pressure: Mapped[float | None]
    motor_power: Mapped[float | None]
    shell_temperature: Mapped[float | None]
    return_temperature: Mapped[float | None]


class WatchedAlarmRow(Base):
    """An alarm of a watched pump, open until ``closed``."""

    __tablename__ = "watched_alarm"
    __table_args__ = (UniqueConstraint("watch_id", "name", "opened"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    watch_id: Mapped[int] = mapped_column(ForeignKey("watched_pump.id"))
    name: Mapped[str] = mapped_column(Name())
    opened: Mapped[datetime]
    closed: Mapped[datetime | None]
    text: Mapped[str] = mapped_column(Words())
    details: Mapped[dict[str, Any]]


class WatchedSeriesRow(Base):
    """The catalogue of the files with a row for each minute: which pump, which span, which file, its SHA-256."""

    __tablename__ = "watched_series"

    watch_id: Mapped[int] = mapped_column(ForeignKey("watched_pump.id"), primary_key=True)
    begins: Mapped[datetime] = mapped_column(primary_key=True)
    ends: Mapped[datetime]
    file: Mapped[str] = mapped_column(Words())
    rows: Mapped[int]
    sha256: Mapped[str] = mapped_column(String(64))


class WatchedNoteRow(Base):
    """Somebody has seen how a pump runs; the last row of a pump counts."""

    __tablename__ = "watched_note"

    id: Mapped[int] = mapped_column(primary_key=True)
    watch_id: Mapped[int] = mapped_column(ForeignKey("watched_pump.id"), index=True)
    user_id: Mapped[int] = mapped_column(ForeignKey("account.id"))
    at: Mapped[datetime]
    margin: Mapped[float | None]
    half_range: Mapped[float | None]
    alarms: Mapped[list[str]]
