"""The last use of a session; tokens for programs. Sessions that were open end: everybody logs in anew."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def _moment(name: str) -> sa.Column:
    return sa.Column(name, sa.DateTime(timezone=True), nullable=False)


def _sessions(*more: sa.Column) -> None:
    op.drop_table("login_session")
    op.create_table(
        "login_session", sa.Column("token_sha256", sa.String(64), nullable=False),
        sa.Column("user_id", sa.Integer(), nullable=False), _moment("created"), *more, _moment("expires"),
        sa.ForeignKeyConstraint(["user_id"], ["account.id"], name="fk_login_session_user_id"),
        sa.PrimaryKeyConstraint("token_sha256", name="pk_login_session"))
    op.create_index("ix_login_session_user_id", "login_session", ["user_id"])


def upgrade() -> None:
    """Make the tables."""
    _sessions(_moment("seen"))
    op.create_table(
        "access_token", sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token_sha256", sa.String(64), nullable=False), sa.Column("user_id", sa.Integer(), nullable=False),
        sa.Column("purpose", sa.String(200), nullable=False), _moment("created"), _moment("expires"),
        sa.ForeignKeyConstraint(["user_id"], ["account.id"], name="fk_access_token_user_id"),
        sa.PrimaryKeyConstraint("id", name="pk_access_token"),
        sa.UniqueConstraint("token_sha256", name="uq_access_token_token_sha256"))
    op.create_index("ix_access_token_user_id", "access_token", ["user_id"])


def downgrade() -> None:
    """Go back to sessions without their last use, and no tokens."""
    op.drop_table("access_token")
    _sessions()
