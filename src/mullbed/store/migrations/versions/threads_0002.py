"""Every entry knows the first of its chain of corrections, and the database itself refuses changes to entries."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

INDEXES = (
    ("thread",), ("garden", "kind", "day"), ("garden", "written_at"), ("garden", "batch", "kind"), ("subject",),
)  # fmt: skip


def upgrade() -> None:
    """Add the column, fill it, then forbid changes."""
    op.add_column("entries", sa.Column("thread", sa.String(32)))
    _fill()
    with op.batch_alter_table("entries", table_kwargs={"sqlite_autoincrement": True}) as batch:
        batch.alter_column("thread", existing_type=sa.String(32), nullable=False)
        batch.create_foreign_key("fk_entries_thread", "entries", ["thread"], ["id"])
    for columns in INDEXES:
        op.create_index(f"ix_entries_{'_'.join(columns)}", "entries", list(columns))
    if op.get_bind().dialect.name == "sqlite":
        for change in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER entries_never_{change.lower()} BEFORE {change} ON entries "
                "BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END"
            )
    else:
        op.execute(
            "CREATE FUNCTION entries_never_changed() RETURNS trigger LANGUAGE plpgsql AS "
            "$$ BEGIN RAISE EXCEPTION 'entries are never changed'; END $$"
        )
        op.execute(
            "CREATE TRIGGER entries_never_changed BEFORE UPDATE OR DELETE ON entries "
            "FOR EACH ROW EXECUTE FUNCTION entries_never_changed()"
        )


def _fill() -> None:
    """Follow corrections and withdrawals to the first entry, step by step until no chain is open."""
    op.execute("UPDATE entries SET thread = id WHERE corrects IS NULL AND withdraws IS NULL")
    while True:
        done = op.get_bind().execute(
            sa.text(
                "UPDATE entries SET thread = (SELECT first.thread FROM entries AS first "
                "WHERE first.id = coalesce(entries.corrects, entries.withdraws)) "
                "WHERE thread IS NULL AND EXISTS (SELECT 1 FROM entries AS first "
                "WHERE first.id = coalesce(entries.corrects, entries.withdraws) AND first.thread IS NOT NULL)"
            )
        )
        if not done.rowcount:
            return


def downgrade() -> None:
    """Allow changes again and take the column away."""
    if op.get_bind().dialect.name == "sqlite":
        op.execute("DROP TRIGGER entries_never_update")
        op.execute("DROP TRIGGER entries_never_delete")
    else:
        op.execute("DROP TRIGGER entries_never_changed ON entries")
        op.execute("DROP FUNCTION entries_never_changed()")
    for columns in INDEXES:
        op.drop_index(f"ix_entries_{'_'.join(columns)}", "entries")
    with op.batch_alter_table("entries", table_kwargs={"sqlite_autoincrement": True}) as batch:
        batch.drop_constraint("fk_entries_thread", type_="foreignkey")
        batch.drop_column("thread")
