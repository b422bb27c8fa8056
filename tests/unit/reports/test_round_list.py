"""The walk in words: the answer first, three stops in full, the rest in lines, what it stands on at the end."""

from __future__ import annotations

from datetime import date

import pytest

from mullbed.domain.garden import UnitSystem
from mullbed.domain.walk import Because, BedVisit, Job, LookFor, Round, Stop
from mullbed.reports.round_list import round_answer, round_document, round_text
from mullbed.reports.terminal_style import Style

DAY = date(2027, 6, 10)


def stop(job: Job, because: Because, amount: float, unit: str, thing: str | None = None, **more: object) -> Stop:
    return Stop(job, "Gate", because, DAY, 50.0, amount, unit, thing, minutes=10.0, **more)  # type: ignore[arg-type]


def visit(bed: str, *stops: Stop, next_day: date | None = date(2027, 6, 14)) -> BedVisit:
    return BedVisit(bed, stops, (LookFor.SMELL,), (), next_day, thickness=(0.01, 0.02, 0.04))


def walk(*visits: BedVisit, heap: tuple[Stop, ...] = (), **more: object) -> Round:
    told = {"forecast_made": DAY, "plan_made": DAY, "fresh": True, "written_since": 0} | more
    minutes = sum(one.minutes for visit in visits for one in visit.stops) + sum(one.minutes for one in heap)
    return Round("Kestrel Yard", DAY, visits, heap, minutes, **told)  # type: ignore[arg-type]


CAP = stop(Job.CAP, Because.NO_CAP, 2.0, "bag", "leaf_municipal")


def test_nothing_due_tells_the_next_look() -> None:
    assert round_answer(walk(visit("Gate"))) == "Nothing to do today. Next look Monday 14 June."
    assert round_answer(walk(visit("Gate", next_day=None))) == "Nothing to do today."


def test_the_answer_counts_beds_and_minutes() -> None:
    assert round_answer(walk(visit("Gate", CAP))) == "One bed needs you. Allow 10 minutes."
    assert round_answer(walk(*(visit(name, CAP) for name in "ABC"))) == "Three beds need you. Allow 30 minutes."
    heap = (stop(Job.USE_UP, Because.WOULD_SPOIL, 3.0, "bucket", "grass_clip"),)
    assert round_answer(walk(visit("Gate"), heap=heap)).startswith("No bed needs you today. One thing at the heap.")


def test_every_stop_has_one_number_one_why_and_one_dont() -> None:
    page = round_text(walk(visit("Gate", CAP)), units=UnitSystem.METRIC)
    told = " ".join(page.split())
    assert "DO Cap it with 2 bags of autumn leaves." in told
    assert "WHY Soft fresh matter has lain open since 10 June" in told
    assert "DON'T Add anything green on top." in told
    assert "LIES About 2.0 cm (1.0 cm to 4.0 cm) of cover, worked out." in told
    assert page.count("WHY") == page.count("DON'T") == 1


@pytest.mark.parametrize("job", Job)
def test_every_job_has_its_words_and_fits_the_page(job: Job) -> None:
    things = {Job.SOW: "radish", Job.HARVEST: "radish", Job.DRAW_BACK: "radish", Job.READ_TEST: "lane hay"}
    thing = things.get(job, "leaf_municipal")
    for because in Because:
        one = stop(job, because, 2.0, "bucket", thing, other_day=date(2027, 6, 30))
        for units in UnitSystem:
            page = round_text(walk(visit("Gate", one)), units=units)
            assert all(len(line) <= 80 for line in page.splitlines())
            assert "{" not in page


def test_the_fourth_bed_waits_in_a_line_unless_all_are_asked_for() -> None:
    visits = [visit(name, CAP) for name in ("Ash", "Box", "Elm", "Fir", "Yew")]
    page = round_text(walk(*visits), units=UnitSystem.METRIC)
    assert page.count("WHY") == 3
    assert "Two beds can wait; --all tells them in full." in page
    assert round_text(walk(*visits), units=UnitSystem.METRIC, everything=True).count("WHY") == 5


def test_beds_with_nothing_due_are_left_alone_until_their_day() -> None:
    page = round_text(walk(visit("Ash", CAP), visit("Box"), visit("Elm")), units=UnitSystem.METRIC)
    assert "Leave Box and Elm alone till Monday 14 June." in page


def test_what_the_walk_stands_on_is_told() -> None:
    old = walk(visit("Ash", CAP), fresh=False, written_since=2, forecast_made=date(2027, 6, 1))
    page = " ".join(round_text(old, units=UnitSystem.METRIC).split())
    assert "The forecast is of 1 June; two notes came since; dates may shift." in page
    bare = walk(visit("Ash", CAP), forecast_made=None, plan_made=None, fresh=False, rain_expected="much")
    page = " ".join(round_text(bare, units=UnitSystem.METRIC).split())
    assert "No plan is kept yet" in page
    assert "No forecast is kept" in page
    assert "Rain expected: much, as you wrote." in page


def test_plain_pages_are_ascii() -> None:
    assert round_text(walk(visit("Ash", CAP)), units=UnitSystem.US, style=Style(plain=True)).isascii()


def test_the_document_holds_the_same_facts() -> None:
    document = round_document(walk(visit("Ash", CAP)), UnitSystem.METRIC)
    (bed,) = document["beds"]  # type: ignore[misc]
    assert bed["stops"][0]["amount"] == 2.0
    assert bed["stops"][0]["unit"] == "bag"
    assert bed["stops"][0]["do"] == "Cap it with 2 bags of autumn leaves"
    assert bed["thickness_mm"] == {"low": 10, "mid": 20, "high": 40}
