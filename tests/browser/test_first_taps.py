"""From nothing to a first plan and a logged layer on a phone, by visible words alone; no address is typed.

The taps are written down as a list; whoever wants to follow it on a screen reads it from the top.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from browser.conftest import Walker

MOST_TAPS = 40
TAPS = (
    "Mild winter, rain all year",
    "Holds, then crumbles",
    "Next",
    "More: Long",
    "More: Long",
    "Courgettes",
    "Next",
    "More: Lawn clippings",
    "More: Autumn leaves",
    "More: Autumn leaves",
    "More: Autumn leaves",
    "Make my plan",
)
"""Where, how big, what comes."""
LAYER = ("Round", "Bed 1", "Lay a layer")
"""From the plan to the bed."""


def test_a_first_plan_and_a_logged_layer_in_few_taps(
    empty_served: Any, phone: Callable[..., Any], picture: Callable[[Any, str], None]
):
    page = phone()
    page.goto(f"{empty_served.local}/")
    walker = Walker(page)
    walker.sees("Where is it?")
    for words in TAPS:
        if words.startswith("More"):
            name = words.removeprefix("More: ")
            before = page.get_by_role("textbox", name=name).first.input_value()
            walker.tap(words)
            page.wait_for_timeout(50)
            box = page.get_by_role("textbox", name=name).first
            for _ in range(100):
                if box.input_value() != before:
                    break
                page.wait_for_timeout(50)
            assert box.input_value() != before, words
        else:
            walker.tap(words)
    page.wait_for_url("**/season", timeout=120_000)
    picture(page, "first-plan-390x844")
    walker.sees("What comes")
    for words in LAYER:
        walker.tap(words)
    if page.locator("input[name='n.autumn leaves']").input_value() == "0":
        walker.tap("One more: Autumn leaves")
        walker.sees("cm new")
    picture(page, "first-layer-390x844")
    walker.tap("It is laid")
    walker.sees("Laid and written down.")
    picture(page, "first-laid-390x844")
    assert walker.taps <= MOST_TAPS
    walker.tap("Undo this layer")
    walker.sees("Taken back.")
    begin_anew(walker)


def begin_anew(walker: Walker) -> None:
    """Take the garden back, so that the record is as it was."""
    walker.page.goto(walker.page.url.split("/", 3)[0] + "//" + walker.page.url.split("/")[2] + "/season")
    walker.tap("Take the garden back and begin anew")
    walker.sees("Where is it?")


def test_the_three_questions_and_the_garden_file_have_no_fault_of_access(
    empty_served: Any, sound: Callable[[str, str], Any]
):
    for name, path in (
        ("begin-1", "/begin"),
        ("begin-2", "/begin?at=2&beds=2"),
        ("begin-3", "/begin?at=3"),
        ("begin-file", "/begin/bring"),
    ):
        sound(empty_served.local + path, name)


def test_without_script_the_plan_tells_how_far_it_is_and_comes_by_itself(empty_served: Any, phone: Callable[..., Any]):
    page = phone(java_script_enabled=False, locale="en-GB")
    page.goto(f"{empty_served.local}/")
    walker = Walker(page)
    walker.tap("Next")
    walker.tap("More: Wide")
    assert page.get_by_role("textbox", name="Wide").first.input_value() == "1.4"
    walker.tap("Next")
    for _ in range(3):
        walker.tap("More: Autumn leaves")
    walker.tap("Make my plan")
    page.wait_for_url("**/season", timeout=120_000)
    walker.sees("Take this plan back")
    begin_anew(walker)
