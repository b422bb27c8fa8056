"""Trials and checks of the ground as people see them: by visible words, without script, without signal."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from browser.conftest import Walker

PAGES = {
    "trial-new": "/trials/new",
    "ring": "/ground/infiltration?bed=Garlic+Bed",
    "soil": "/soil?bed=Garlic+Bed&years=3",
    "soil-tests": "/soil/tests?bed=Garlic+Bed",
    "teach": "/teach",
    "claims": "/teach/claims",
}


@pytest.mark.parametrize("name", PAGES)
def test_a_page_has_no_fault_of_access_and_fits(name: str, served: Any, sound: Callable[[str, str], Any]):
    sound(served.local + PAGES[name], name)


def test_a_trial_from_choosing_to_its_verdict(
    served: Any, phone: Callable[..., Any], sound: Callable[[str, str], Any], until: Callable[..., None]
):
    page = phone()
    walker = Walker(page)
    page.goto(f"{served.local}/trials/new")
    page.get_by_role("radio", name="4 pairs").check()
    walker.tap("What would it show?")
    until(page, "document.querySelector('h1').textContent.startsWith('Four pairs')")
    walker.tap("Draw it by lot")
    walker.sees("Sides drawn by lot.")
    sound(page.url, "trial-open")
    walker.tap("Draw again")
    walker.tap("Lock this plan")
    walker.sees("Locked on")
    walker.tap("Read the plots")
    for number, value in enumerate((2.1, 2.9, 2.0, 3.1, 1.8, 2.6, 2.2, 2.9), start=1):
        page.locator(f'input[name="plot.P{number:02d}"]').fill(f"{value}")
    page.locator('input[name="lost.P08"]').check()
    walker.tap("Write it down")
    walker.sees("Written down.")
    walker.tap("Stop here")
    walker.tap("The verdict")
    walker.sees("The report as PDF")
    assert page.locator("figure svg").count() >= 2
    sound(page.url, "trial-verdict")


def test_two_rings_are_timed_and_the_next_one_is_called(
    served: Any, phone: Callable[..., Any], until: Callable[..., None]
):
    page = phone()
    page.clock.install()
    page.goto(served.local + PAGES["ring"])
    first, second = page.locator('button[data-ring="1"]'), page.locator('button[data-ring="2"]')
    first.click()
    page.clock.run_for(61_000)
    assert page.locator("#rings-told").text_content() == "Pour ring 2 now."
    second.click()
    page.clock.run_for(139_000)
    first.click()
    page.clock.run_for(30_000)
    second.click()
    values = [one.input_value() for one in page.locator('input[name="value"]').all()]
    assert values[:3] == ["3:20", "2:49", ""]


def test_rings_are_written_down_without_script(served: Any, phone: Callable[..., Any]):
    page = phone(java_script_enabled=False)
    page.goto(served.local + PAGES["ring"])
    assert not page.get_by_role("button", name="Poured").count()
    page.locator('input[name="value"]').first.fill("3:00")
    page.get_by_role("button", name="Write it down").click()
    page.get_by_text("Written down.").wait_for()
    assert page.get_by_text("rapid").count()


def test_a_check_without_signal_waits_and_sends_itself(
    served: Any, phone: Callable[..., Any], until: Callable[..., None]
):
    page = phone()
    page.goto(f"{served.plain}/ground/worms?bed=Garlic+Bed")
    page.context.set_offline(True)
    page.locator('textarea[name="value"]').fill("6 9 12")
    page.get_by_role("button", name="Write it down").click()
    page.get_by_text("Written down on this phone.").wait_for()
    page.context.set_offline(False)
    until(page, "document.getElementById('signal').textContent === 'All notes are in.'", 25.0)
    page.goto(f"{served.plain}/bed/Garlic%20Bed")
    assert "worms: 8.7" in page.content() or "worms: 9" in page.content()
