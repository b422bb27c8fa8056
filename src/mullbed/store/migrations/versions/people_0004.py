"""People: accounts, what each may do where, invitations, sessions, attempts to sign in."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Make the tables."""
    moment = sa.DateTime(timezone=True)
    op.create_table(
        "accounts",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("folded", sa.String(200), nullable=False),
        sa.Column("phrase", sa.Text, nullable=False),
        sa.Column("made_at", moment, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_accounts"),
        sa.UniqueConstraint("folded", name="uq_accounts_folded"),
    )
    op.create_table(
        "memberships",
        sa.Column("account", sa.String(32), nullable=False),
        sa.Column("garden", sa.String(200), nullable=False),
        sa.Column("role", sa.String(20), nullable=False),
        sa.Column("beds", sa.Text),
        sa.PrimaryKeyConstraint("account", "garden", name="pk_memberships"),
        sa.ForeignKeyConstraint(["account"], ["accounts.id"], name="fk_memberships_account"),
    )
    op.create_table(
        "invitations",
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("garden", sa.String(200), nullable=False),
        sa.Column("role", sa.String(20), nullable=False),
        sa.Column("beds", sa.Text),
        sa.Column("made_by", sa.String(200), nullable=False),
        sa.Column("expires_at", moment, nullable=False),
        sa.Column("used_at", moment),
        sa.PrimaryKeyConstraint("digest", name="pk_invitations"),
    )
    op.create_table(
        "sessions",
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("account", sa.String(32), nullable=False),
        sa.Column("expires_at", moment, nullable=False),
        sa.PrimaryKeyConstraint("digest", name="pk_sessions"),
        sa.ForeignKeyConstraint(["account"], ["accounts.id"], name="fk_sessions_account"),
    )
    op.create_table(
        "attempts",
        sa.Column("number", sa.BigInteger().with_variant(sa.Integer, "sqlite"), autoincrement=True, nullable=False),
        sa.Column("who", sa.String(64), nullable=False),
        sa.Column("at", moment, nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_attempts"),
    )
    op.create_index("ix_attempts_who_at", "attempts", ["who", "at"])


def downgrade() -> None:
    """Take the tables away."""
    for name in ("attempts", "sessions", "invitations", "memberships", "accounts"):
        op.drop_table(name)
