"""Journeys by visible words alone, in few taps; every page without a fault of access, small, and pictured."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from browser.conftest import Walker

PAGES = {
    "round": "/",
    "bed": "/bed/Garlic%20Bed",
    "lay": "/bed/Garlic%20Bed/lay?n.leaf+stack=2&n.neighbour%27s+lawn=1",
    "laid": "/bed/Garlic%20Bed/laid",
    "noticed-where": "/noticed",
    "noticed": "/noticed?bed=Garlic+Bed",
    "question": "/noticed/look?bed=Garlic+Bed&sign=sour",
    "diagnosis": "/noticed/look?bed=Garlic+Bed&sign=sour&enough=yes",
    "first-actions": "/noticed/first",
    "did-where": "/did",
    "did": "/did?bed=Garlic+Bed",
    "in-hand": "/in-hand",
    "came-in": "/in-hand/more",
    "weigh": "/in-hand/weigh",
    "map": "/map",
    "season-without-plan": "/season",
    "card": "/bed/Garlic%20Bed/card",
    "print": "/print",
    "sheet-while-away": "/print/away",
    "task-cards": "/print/day",
    "show": "/show",
}


@pytest.fixture
def walker(served: Any, phone: Callable[..., Any]) -> Walker:
    page = phone()
    page.goto(f"{served.local}/")
    return Walker(page)


def test_lay_a_layer(walker: Walker, until: Callable[..., None]):
    walker.page.get_by_role("link", name="Garlic").first.click()
    walker.tap("Lay a layer")
    walker.tap("One more: Autumn leaves, leaf stack")
    walker.sees("cm new")
    walker.tap("One more: Autumn leaves, leaf stack")
    until(walker.page, "document.querySelector('[name=\"n.leaf stack\"]').value === '2'")
    walker.tap("It is laid")
    walker.sees("Laid and written down.")
    walker.tap("Undo this layer")
    walker.sees("Taken back.")
    assert walker.taps <= 40


def test_a_sour_smell(walker: Walker):
    walker.tap("Noticed", exact=True)
    walker.tap("Garlic Bed")
    walker.tap("Sour", exact=True)
    walker.tap("Next: a closer look")
    for _ in range(6):
        walker.page.wait_for_selector("h1")
        if walker.page.get_by_text("How sure:").count():
            break
        walker.tap("I can't tell")
    walker.sees("How sure:")
    walker.tap("Undo")
    walker.sees("Taken back.")
    assert walker.taps <= 12


def test_count_bags(walker: Walker):
    walker.tap("In hand")
    walker.tap("One Autumn leaves less")
    walker.sees("Written down.")
    assert walker.page.get_by_role("button", name="One Autumn leaves less: 58").count() == 1
    walker.tap("Undo")
    walker.sees("Taken back.")
    assert walker.taps <= 6


@pytest.mark.parametrize("name", PAGES)
def test_a_page_has_no_fault_of_access_and_fits(name: str, served: Any, sound: Callable[[str, str], Any]):
    sound(served.local + PAGES[name], name)


def test_twice_the_text_loses_nothing_and_the_keyboard_reaches_the_stone(served: Any, phone: Callable[..., Any]):
    page = phone(320, 422, device_scale_factor=2)  # what a browser of 640 px shows at 200 %
    page.goto(f"{served.local}/noticed?bed=Garlic+Bed")
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.classList.contains('main')"):
            break
    assert page.evaluate("document.activeElement.textContent") == "Next: a closer look"


def test_without_script_a_layer_is_laid_all_the_same(served: Any, phone: Callable[..., Any]):
    page = phone(java_script_enabled=False)
    page.goto(f"{served.local}/bed/Gate%20Bed/lay")
    page.get_by_role("button", name="One more: Autumn leaves, leaf stack").click()
    assert page.locator('[name="n.leaf stack"]').input_value() == "1"
    page.get_by_role("button", name="It is laid").click()
    page.get_by_text("Laid and written down.").wait_for()
