"""What planning for bad years is worth, in the terminal and as a document."""

from __future__ import annotations

from dataclasses import replace

from mullbed.domain.plan_worth import PlanInYears, PlanWorth
from mullbed.reports.plan_worth_text import plan_worth_document, plan_worth_text, worth_sentence
from mullbed.reports.terminal_style import Style

AHEAD = PlanInYears(16, 80.0, 110.0, 40.0, 90.0, 5.0, 12.0, 600.0)
MEAN = PlanInYears(13, 100.0, 120.0, 60.0, 80.0, 3.0, 20.0, 300.0)
FOUND = PlanWorth("Mill Field", ("2011", "2013"), ("2012", "2014"), 128, AHEAD, MEAN, (-5.0, 19.0, 40.0), 0.92)


def test_the_sentence_tells_how_often_and_by_how_much_known() -> None:
    assert worth_sentence(FOUND) == (
        "In 128 seasons that neither plan knew, planning for what may come was better in 92 of 100: "
        "20 % better in the mean, 8 % better in the bad tenth."
    )
    worse = worth_sentence(replace(FOUND, for_what_may_come=replace(AHEAD, cost=100.1, bad_tenth_cost=132.0)))
    assert "no different in the mean, 10 % worse in the bad tenth" in worse


def test_the_page_shows_both_plans_goal_by_goal_and_which_years_were_unseen() -> None:
    page = plan_worth_text(FOUND, Style(plain=True))
    row = next(line for line in page.splitlines() if "crops miss" in line)
    assert row.split()[-2:] == ["40", "60"]
    assert next(line for line in page.splitlines() if "hours" in line).split()[-2:] == ["10", "5"]
    assert "Planned with 2011, 2013; tried in 2012, 2014." in page
    assert all(len(line) <= 80 for line in page.splitlines())


def test_the_document_holds_every_figure() -> None:
    document = plan_worth_document(FOUND)
    assert document["saved"] == {"low": -5.0, "mid": 19.0, "high": 40.0}
    assert document["for_what_may_come"]["bad_tenth_cost"] == 110.0
    assert document["for_the_mean_season"]["layers"] == 13
