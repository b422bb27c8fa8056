"""Answers for programs: the questions of the pages, answered as JSON by the same use cases; one file a question."""

from __future__ import annotations

from fastapi import APIRouter

from mullbed.web.answers import bed, cautions, description, entries, in_hand, noticed, preview, season, walk

ANSWERS: tuple[APIRouter, ...] = (
    walk.router,
    bed.router,
    preview.router,
    in_hand.router,
    season.router,
    noticed.router,
    cautions.router,
    entries.router,
    description.router,
)
