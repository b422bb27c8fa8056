"""A day without signal: twenty notes on each tier, the server restarted meanwhile; all arrive, each once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from mullbed.domain.signing import Where
from mullbed.usecases.log_line import list_notes

NOTES = 20


def waters(served: Any) -> list[str]:
    return [one.facts.said for one in list_notes(Where(str(served.record)), kinds=["water"], newest=200)]


@pytest.mark.parametrize("tier", ["plain", "local"])
def test_a_day_without_signal_arrives_whole_and_once(
    served: Any, phone: Callable[..., Any], until: Callable[..., None], tier: str
):
    page = phone()
    before = len(waters(served))
    page.goto(f"{getattr(served, tier)}/did?bed=Garlic+Bed")
    if tier == "local":
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        page.reload()
        until(page, "caches.keys().then((names) => names.some((one) => one.startsWith('mullbed-pages-')))")
    else:
        assert page.evaluate("!isSecureContext && !('serviceWorker' in navigator)")
    page.context.set_offline(True)
    served.stop()
    for number in range(NOTES):
        page.locator("button[name=amount]").nth(number % 5).click()
        until(page, f"document.getElementById('signal').textContent.includes('{number + 1} note')")
        if tier == "local" and number == NOTES // 2:
            page.reload()  # last seen page, and what waits is still there
            until(page, "document.getElementById('signal').textContent.includes('11 notes wait')")
    assert len(waters(served)) == before
    served.start()
    page.context.set_offline(False)
    until(page, "document.getElementById('signal').textContent.includes('All notes are in')")
    assert len(waters(served)) == before + NOTES
    page.reload()
    page.wait_for_timeout(300)
    assert len(waters(served)) == before + NOTES


def test_undo_on_a_waiting_note_takes_it_away_before_it_is_sent(
    served: Any, phone: Callable[..., Any], until: Callable[..., None]
):
    page = phone()
    before = len(waters(served))
    page.goto(f"{served.plain}/did?bed=Garlic+Bed")
    page.context.set_offline(True)
    page.get_by_role("button", name="3 cans").click()
    page.get_by_role("button", name="Undo").click()
    until(page, "!document.getElementById('waits-here')")
    page.context.set_offline(False)
    page.wait_for_timeout(500)
    assert len(waters(served)) == before


def test_what_was_noticed_without_signal_leads_to_the_first_action(
    served: Any, phone: Callable[..., Any], until: Callable[..., None]
):
    page = phone()
    page.goto(f"{served.local}/noticed?bed=Garlic+Bed")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.reload()
    until(page, "caches.keys().then((names) => names.some((one) => one.startsWith('mullbed-pages-')))")
    page.context.set_offline(True)
    page.get_by_role("checkbox", name="Sour", exact=True).check()
    page.get_by_role("button", name="Next").click()
    page.get_by_role("link", name="What to do first: sour").click()
    page.wait_for_selector("details#sour[open]")
    assert "Don't" in page.locator("details#sour").inner_text()


def test_pages_of_one_reader_are_dropped_when_another_reads(
    served: Any, phone: Callable[..., Any], until: Callable[..., None]
):
    page = phone()
    page.goto(f"{served.local}/did?bed=Garlic+Bed")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.evaluate(
        "caches.open('mullbed-pages-someoneelse').then((own) => own.put('/secret', new Response('not yours')))"
    )
    page.reload()
    until(page, "caches.has('mullbed-pages-someoneelse').then((there) => !there)")
