"""Accounts, projects, documents with their revisions, ratings, issues, drafts.

Tables are written out here and do not follow later changes of the program.
"""

from __future__ import annotations

from datetime import datetime

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

NAME = sa.String(200)


def _moment(name: str) -> sa.Column[datetime]:
    return sa.Column(name, sa.DateTime(timezone=True), nullable=False)


def _to(name: str, target: str) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), nullable=False, info={"target": target})


def _table(name: str, *items: sa.Column | sa.Constraint) -> None:
    columns = [item for item in items if isinstance(item, sa.Column)]
    keys = [sa.ForeignKeyConstraint([column.name], [column.info["target"]], name=f"fk_{name}_{column.name}")
            for column in columns if "target" in column.info]
    primary = next(column.name for column in columns if column.name in ("id", "token_sha256"))
    op.create_table(name, *items, *keys, sa.PrimaryKeyConstraint(primary, name=f"pk_{name}"))


def _id() -> sa.Column[int]:
    return sa.Column("id", sa.Integer(), nullable=False)


def upgrade() -> None:
    """Make the tables."""
    _table("account", _id(), sa.Column("name", NAME, nullable=False), sa.Column("key", NAME, nullable=False),
           sa.Column("role", sa.String(20), nullable=False), sa.Column("password_hash", sa.Text()),
           sa.Column("open", sa.Boolean(), nullable=False), _moment("created"),
           sa.UniqueConstraint("key", name="uq_account_key"),
           sa.CheckConstraint("role IN ('reader', 'engineer', 'approver')", name=op.f("ck_account_role")))
    _table("login_session", sa.Column("token_sha256", sa.String(64), nullable=False), _to("user_id", "account.id"),
           _moment("created"), _moment("expires"))
    op.create_index("ix_login_session_user_id", "login_session", ["user_id"])
    _table("login_attempt", _id(), sa.Column("key", NAME, nullable=False), sa.Column("address", NAME, nullable=False),
           _moment("at"), sa.Column("succeeded", sa.Boolean(), nullable=False))
    op.create_index("ix_login_attempt_key_login_attempt_at", "login_attempt", ["key", "at"])
    op.create_index("ix_login_attempt_address_login_attempt_at", "login_attempt", ["address", "at"])
    _table("project", _id(), sa.Column("name", NAME, nullable=False), _to("author_id", "account.id"),
           _moment("created"), sa.UniqueConstraint("name", name="uq_project_name"))
    _table("document", _id(), _to("project_id", "project.id"), sa.Column("kind", sa.String(20), nullable=False),
           sa.Column("path", NAME, nullable=False),
           sa.UniqueConstraint("project_id", "path", name="uq_document_project_id_path"),
           sa.CheckConstraint("kind IN ('enquiry', 'pump', 'liquid', 'practice')", name=op.f("ck_document_kind")))
    _table("revision", _id(), _to("document_id", "document.id"), sa.Column("number", sa.Integer(), nullable=False),
           sa.Column("parent", sa.Integer()), _to("author_id", "account.id"), _moment("at"),
           sa.Column("reason", sa.Text(), nullable=False), sa.Column("content", sa.Text(), nullable=False),
           sa.Column("sha256", sa.String(64), nullable=False), sa.Column("changes", sa.JSON(), nullable=False),
           sa.UniqueConstraint("document_id", "number", name="uq_revision_document_id_number"))
    _table("retirement", _id(), _to("document_id", "document.id"), sa.Column("retired", sa.Boolean(), nullable=False),
           _to("author_id", "account.id"), _moment("at"), sa.Column("reason", sa.Text(), nullable=False))
    op.create_index("ix_retirement_document_id", "retirement", ["document_id"])
    _table("rating", _id(), _to("document_id", "document.id"), _to("author_id", "account.id"), _moment("at"),
           sa.Column("record", sa.Text(), nullable=False), sa.Column("sha256", sa.String(64), nullable=False),
           sa.Column("made_from", sa.JSON(), nullable=False))
    op.create_index("ix_rating_document_id", "rating", ["document_id"])
    _table("issue", _id(), _to("document_id", "document.id"), sa.Column("number", sa.Integer(), nullable=False),
           _to("rating_id", "rating.id"), _to("author_id", "account.id"), _moment("at"),
           sa.Column("reason", sa.Text(), nullable=False),
           sa.UniqueConstraint("document_id", "number", name="uq_issue_document_id_number"))
    _table("issued_file", _id(), _to("issue_id", "issue.id"), sa.Column("name", NAME, nullable=False),
           sa.Column("content", sa.LargeBinary(), nullable=False), sa.Column("sha256", sa.String(64), nullable=False),
           sa.UniqueConstraint("issue_id", "name", name="uq_issued_file_issue_id_name"))
    _table("draft", _id(), _to("user_id", "account.id"), _to("project_id", "project.id"),
           sa.Column("path", NAME, nullable=False), sa.Column("based_on", sa.Integer()),
           sa.Column("content", sa.LargeBinary(), nullable=False), _moment("at"),
           sa.UniqueConstraint("user_id", "project_id", "path", name="uq_draft_user_id_project_id_path"))


def downgrade() -> None:
    """Take the tables away, those that point to others first."""
    for name in ("draft", "issued_file", "issue", "rating", "retirement", "revision", "document", "project",
                 "login_attempt", "login_session", "account"):
        op.drop_table(name)
