"""One page, one file, one context; pages do not know each other."""

from __future__ import annotations

from fastapi import APIRouter

from mullbed.web.pages import bed, walk

PAGES: tuple[APIRouter, ...] = (walk.router, bed.router)
