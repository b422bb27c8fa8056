"""What the first look at a page would wait for, done while nobody waits: templates, words, tables, modules."""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime
from functools import cache
from importlib import import_module
from threading import Thread

from mullbed.errors import MullbedError
from mullbed.web.reading import LANGUAGES
from mullbed.web.rendering import environment
from mullbed.web.settings import Settings

ASKED_FIRST = (
    "mullbed.files.record_garden",
    "mullbed.plan.bed_forecast",
    "mullbed.plan.garden_as_done",
    "mullbed.simulate.bed_case",
    "mullbed.usecases.list_in_hand",
    "mullbed.usecases.preview_layer",
    "mullbed.usecases.show_bed",
    "mullbed.usecases.show_plan",
    "mullbed.usecases.walk_round",
    "mullbed.weather.place_weather",
)
"""Modules that pages import when they are first looked at, by name: front doors compute nothing with them here."""


def warm_pages() -> None:
    """Make ready what pages share."""
    from mullbed.reports.names import crop_name, residue_name
    from mullbed.web.catalogue import translations

    templates = environment()
    for name in templates.list_templates(extensions=["html"]):
        templates.get_template(name)
    residue_name("straw_general")  # reads the tables
    crop_name("kale")
    for code in LANGUAGES:
        if code != "en":
            translations(code)
    for name in ASKED_FIRST:
        import_module(name)


def warm_garden(settings: Settings) -> None:
    """Run the beds of a served garden once, so that the first look goes on from there; says nothing where it cannot."""
    from mullbed.usecases.show_bed import show_bed
    from mullbed.usecases.show_plan import season_ahead, show_plan

    warm_pages()
    day = settings.today or datetime.now().astimezone().date()
    with suppress(MullbedError):  # a record without a garden, or with several of which none is named
        season_ahead(settings.where, day)
        for bed in show_plan(settings.where).beds:
            show_bed(settings.where, bed, day)


@cache
def begin_warming() -> None:
    """Do so beside the first answers, once in a process."""
    Thread(target=warm_pages, name="warm pages", daemon=True).start()
