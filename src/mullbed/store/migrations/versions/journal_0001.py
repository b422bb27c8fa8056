"""First schema: gardens and the journal of entries."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "gardens", sa.Column("id", sa.String(200), nullable=False), sa.PrimaryKeyConstraint("id", name="pk_gardens")
    )
    op.create_table(
        "entries",
        sa.Column("number", sa.BigInteger().with_variant(sa.Integer, "sqlite"), autoincrement=True, nullable=False),
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("garden", sa.String(200), nullable=False),
        sa.Column("kind", sa.String(200), nullable=False),
        sa.Column("day", sa.Date, nullable=False),
        sa.Column("written_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("author", sa.String(200), nullable=False),
        sa.Column("bed", sa.String(200)),
        sa.Column("batch", sa.String(200)),
        sa.Column("subject", sa.String(32)),
        sa.Column("corrects", sa.String(32)),
        sa.Column("withdraws", sa.String(32)),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("facts", sa.Text, nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_entries"),
        sa.UniqueConstraint("id", name="uq_entries_id"),
        sa.ForeignKeyConstraint(["garden"], ["gardens.id"], name="fk_entries_garden"),
        sa.ForeignKeyConstraint(["corrects"], ["entries.id"], name="fk_entries_corrects"),
        sa.ForeignKeyConstraint(["withdraws"], ["entries.id"], name="fk_entries_withdraws"),
        sqlite_autoincrement=True,
    )
    for columns in (("garden", "kind", "bed", "day"), ("garden", "day")):
        op.create_index(f"ix_entries_{'_'.join(columns)}", "entries", list(columns))


def downgrade() -> None:
    """Take the tables away."""
    op.drop_table("entries")
    op.drop_table("gardens")
