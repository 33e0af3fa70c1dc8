"""Triggers that refuse to change or delete what is kept for good."""

from __future__ import annotations

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

#: Tables to which rows are only added, and their columns that may not be given twice together.
KEPT = {"project": ("name",), "document": ("project_id", "path"), "revision": ("document_id", "number"),
        "retirement": ("id",), "rating": ("id",), "issue": ("document_id", "number"),
        "issued_file": ("issue_id", "name")}


def upgrade() -> None:
    """Make the triggers."""
    if op.get_bind().dialect.name == "sqlite":
        for table, columns in KEPT.items():
            said = f"SELECT RAISE(ABORT, 'rows of {table} are kept as they are')"
            for verb in ("UPDATE", "DELETE"):
                op.execute(f"CREATE TRIGGER {table}_kept_{verb.lower()} BEFORE {verb} ON {table} BEGIN {said}; END")
            # INSERT OR REPLACE deletes without asking the trigger above.
            twice = " AND ".join(f"{column} = NEW.{column}" for column in columns)
            op.execute(f"CREATE TRIGGER {table}_kept_insert BEFORE INSERT ON {table} WHEN EXISTS "
                       f"(SELECT 1 FROM {table} WHERE id = NEW.id OR ({twice})) BEGIN {said}; END")
        return
    op.execute("CREATE FUNCTION wetpath_kept() RETURNS trigger LANGUAGE plpgsql AS "
               "$$ BEGIN RAISE EXCEPTION 'rows of % are kept as they are', TG_TABLE_NAME; END $$")
    for table in KEPT:
        op.execute(f"CREATE TRIGGER {table}_kept_row BEFORE UPDATE OR DELETE ON {table} "
                   "FOR EACH ROW EXECUTE FUNCTION wetpath_kept()")
        op.execute(f"CREATE TRIGGER {table}_kept_all BEFORE TRUNCATE ON {table} "
                   "FOR EACH STATEMENT EXECUTE FUNCTION wetpath_kept()")


def downgrade() -> None:
    """Take the triggers away."""
    if op.get_bind().dialect.name == "sqlite":
        for table in KEPT:
            for verb in ("update", "delete", "insert"):
                op.execute(f"DROP TRIGGER {table}_kept_{verb}")
        return
    for table in KEPT:
        op.execute(f"DROP TRIGGER {table}_kept_row ON {table}")
        op.execute(f"DROP TRIGGER {table}_kept_all ON {table}")
    op.execute("DROP FUNCTION wetpath_kept()")
