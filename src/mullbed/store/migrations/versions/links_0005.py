"""Links that let anybody look and nobody change."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Make the table."""
    moment = sa.DateTime(timezone=True)
    op.create_table(
        "links",
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("garden", sa.String(200), nullable=False),
        sa.Column("bed", sa.String(200)),
        sa.Column("made_by", sa.String(200), nullable=False),
        sa.Column("made_at", moment, nullable=False),
        sa.Column("expires_at", moment, nullable=False),
        sa.Column("ended_at", moment),
        sa.PrimaryKeyConstraint("digest", name="pk_links"),
    )


def downgrade() -> None:
    """Take the table away."""
    op.drop_table("links")
