"""Two journeys: a lead invites a helper who then sees their own bed alone; cards go to paper and come back."""

from __future__ import annotations

import os
import re
import shutil
import socket
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from browser.conftest import Served, Walker
from mullbed.domain.people import Role
from mullbed.domain.signing import Where
from mullbed.usecases.invite_person import Attempt, accept_invitation, invite_person
from pages.conftest import DAY
from pages.kept_plan import keep_plan, planned

PHRASE = "four odd words do well"


@pytest.fixture
def shared_garden(garden_record: Path, tmp_path: Path) -> Iterator[Served]:
    """Return a running server that asks who is there; Ada leads."""
    place = tmp_path / "record.sqlite"
    shutil.copy(garden_record, place)
    moment = datetime.now(UTC)
    invite_person(Where(str(place)), "a token", Role.LEAD, None, ("Ada", moment))
    accept_invitation(Where(str(place)), "a token", Attempt("Ada", PHRASE, "here"), os.urandom(8).hex(), moment)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    one = Served(place, port, signs_in=True)
    one.start()
    yield one
    one.stop()


def enter(page: Any, name: str) -> None:
    """Type name and phrase, as everybody must once."""
    page.get_by_label("Name").fill(name)
    page.get_by_label("Pass phrase").fill(PHRASE)


def test_a_lead_invites_a_helper_who_sees_their_bed_alone(
    shared_garden: Served, phone: Callable[..., Any], picture: Callable[[Any, str], None], sound: Callable[..., Any]
):
    lead = Walker(phone())
    lead.page.goto(f"{shared_garden.local}/")
    picture(lead.page, "sign-in-390x844")
    enter(lead.page, "Ada")
    lead.tap("Let me in")
    lead.tap("People of this garden")
    lead.page.get_by_role("checkbox", name="Garlic Bed").last.check()
    lead.tap("Make a link")
    lead.sees("It is not shown again.")
    picture(lead.page, "people-390x844")
    link = lead.page.get_by_label("Link").input_value()
    helper = Walker(phone())
    helper.page.goto(link)
    enter(helper.page, "Bo")
    helper.tap("Let me in")
    if helper.page.get_by_label("Pass phrase").count():
        enter(helper.page, "Bo")
        helper.tap("Let me in")
    helper.tap("The garden from above")
    names = helper.page.locator("ol.lines a").all_inner_texts()
    assert len(names) == 1 and "Garlic Bed" in names[0]
    answer = helper.page.goto(f"{shared_garden.local}/bed/Gate%20Bed")
    assert answer.status == 404
    helper.page.goto(f"{shared_garden.local}/people")
    helper.sees("This is not yours to change.")
    sound(f"{shared_garden.local}/sign-in", "sign-in")
    sound(f"{shared_garden.local}/sign-in?invited=yes", "sign-in-invited")


def test_cards_go_to_paper_and_come_back_in_one_tap(
    served: Served, phone: Callable[..., Any], picture: Callable[[Any, str], None], sound: Callable[..., Any]
):
    keep_plan(served.record, planned("Gate Bed", DAY))
    page = phone()
    walker = Walker(page)
    page.goto(f"{served.local}/")
    walker.tap("Print cards and sheets")
    link = page.get_by_role("link", name="Cards of all beds")
    content = page.request.get(served.local + link.get_attribute("href"))
    assert content.headers["content-type"] == "application/pdf" and content.body().startswith(b"%PDF")
    walker.tap(re.sub(r" \d.*", "", page.locator("#day-cards a").first.inner_text()))
    page.emulate_media(media="print")
    picture(page, "task-cards-printed")
    assert not page.locator(".ground").is_visible()
    page.emulate_media(media="screen")
    sound(f"{served.local}/season", "season")
    sound(f"{served.local}/bed/Gate%20Bed/card", "card-planned")
    page.goto(f"{served.local}/bed/Gate%20Bed")
    walker.tap("Copy the paper card")
    if page.get_by_label("Laid all the same?").count():
        page.get_by_label("Laid all the same?").fill("the beans stand tall by now")
    walker.tap("All as planned")
    walker.sees("Written down.")
    walker.tap("Undo")
    walker.sees("Taken back.")


def test_a_link_shows_the_garden_and_ends_with_a_tap(
    served: Served, phone: Callable[..., Any], sound: Callable[..., Any]
):
    page = phone()
    walker = Walker(page)
    page.goto(f"{served.local}/")
    walker.tap("Show it to others")
    walker.tap("Make a link")
    link = page.get_by_label("Link; it is not shown again").input_value()
    sound(link, "look")
    sound(f"{link}/Garlic%20Bed", "look-bed")
    walker.tap("Take it back")
    walker.sees("Taken back.")
    assert phone().goto(link).status == 404
