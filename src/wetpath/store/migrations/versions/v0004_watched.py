"""The history of fleets of watched pumps: hours, alarms, the catalogue of series, notes."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

#: Numbers of an hour that may not be known.
_NUMBERS = ("told_flow", "flow", "suction_temperature", "speed", "suction_pressure", "discharge_pressure",
            "motor_power", "shell_temperature", "return_temperature")


def _moment(name: str, *, nullable: bool = False) -> sa.Column:
    return sa.Column(name, sa.DateTime(timezone=True), nullable=nullable)


def _number(name: str, *, nullable: bool = True) -> sa.Column:
    return sa.Column(name, sa.Double(), nullable=nullable)


def _count(name: str) -> sa.Column:
    return sa.Column(name, sa.Integer(), nullable=False)


def _of_watch(table: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(["watch_id"], ["watched_pump.id"], name=f"fk_{table}_watch_id")


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "watched_pump", _count("id"), sa.Column("fleet", sa.String(200), nullable=False),
        sa.Column("pump", sa.String(200), nullable=False), sa.Column("model_sha256", sa.String(64), nullable=False),
        sa.Column("about", sa.JSON(), nullable=False), _moment("begun"), _moment("until", nullable=True),
        sa.Column("state", sa.LargeBinary(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_watched_pump"),
        sa.UniqueConstraint("fleet", "pump", "model_sha256", name="uq_watched_pump_fleet_pump_model_sha256"))
    op.create_table(
        "watched_hour", _count("watch_id"), _moment("hour"), _count("samples"), _count("running"), _count("outside"),
        _number("margin"), _number("half_range"), _number("least"), _number("wall_least"),
        sa.Column("station", sa.String(200), nullable=False), _number("misfit"), _number("feed", nullable=False),
        *map(_number, _NUMBERS), _of_watch("watched_hour"),
        sa.PrimaryKeyConstraint("watch_id", "hour", name="pk_watched_hour"))
    op.create_table(
        "watched_alarm", _count("id"), _count("watch_id"), sa.Column("name", sa.String(200), nullable=False),
        _moment("opened"), _moment("closed", nullable=True), sa.Column("text", sa.Text(), nullable=False),
        sa.Column("details", sa.JSON(), nullable=False), _of_watch("watched_alarm"),
        sa.PrimaryKeyConstraint("id", name="pk_watched_alarm"),
        sa.UniqueConstraint("watch_id", "name", "opened", name="uq_watched_alarm_watch_id_name_opened"))
    op.create_table(
        "watched_series", _count("watch_id"), _moment("begins"), _moment("ends"),
        sa.Column("file", sa.Text(), nullable=False), _count("rows"),
        sa.Column("sha256", sa.String(64), nullable=False),
        _of_watch("watched_series"), sa.PrimaryKeyConstraint("watch_id", "begins", name="pk_watched_series"))
    op.create_table(
        "watched_note", _count("id"), _count("watch_id"), _count("user_id"), _moment("at"), _number("margin"),
        _number("half_range"), sa.Column("alarms", sa.JSON(), nullable=False), _of_watch("watched_note"),
        sa.ForeignKeyConstraint(["user_id"], ["account.id"], name="fk_watched_note_user_id"),
        sa.PrimaryKeyConstraint("id", name="pk_watched_note"))
    op.create_index("ix_watched_note_watch_id", "watched_note", ["watch_id"])


def downgrade() -> None:
    """Drop them."""
    for table in ("watched_note", "watched_series", "watched_alarm", "watched_hour", "watched_pump"):
        op.drop_table(table)
