"""One page, one file, one context; pages do not know each other."""

from __future__ import annotations

from fastapi import APIRouter

from mullbed.web.pages import (
    bed,
    begin,
    card,
    did,
    field,
    garden_map,
    in_hand,
    lay,
    look,
    making,
    noticed,
    paper,
    people,
    reading,
    season,
    show,
    sign_in,
    walk,
)

PAGES: tuple[APIRouter, ...] = (
    walk.router,
    bed.router,
    begin.router,
    card.router,
    did.router,
    field.router,
    garden_map.router,
    in_hand.router,
    lay.router,
    look.router,
    making.router,
    noticed.router,
    paper.router,
    people.router,
    reading.router,
    season.router,
    show.router,
    sign_in.router,
)
