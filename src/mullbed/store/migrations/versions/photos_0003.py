"""Photos by the hash of their content."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "photos",
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("media_type", sa.String(40), nullable=False),
        sa.Column("size", sa.Integer, nullable=False),
        sa.Column("content", sa.LargeBinary),
        sa.PrimaryKeyConstraint("digest", name="pk_photos"),
    )


def downgrade() -> None:
    """Take the table away."""
    op.drop_table("photos")
