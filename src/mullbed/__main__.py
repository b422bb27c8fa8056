"""Let ``python -m mullbed`` do what ``mullbed`` does."""

from mullbed.cli.main import run

run()
