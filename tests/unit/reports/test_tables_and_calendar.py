"""Open tables with units in their heads, and a calendar whose events keep their identity."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date, timedelta
from io import StringIO

from icalendar import Calendar
from season_sample import FIRST, GARDEN, PLAN, PLANNED

from mullbed.domain.garden import UnitSystem
from mullbed.reports.calendar_file import calendar_ics
from mullbed.reports.csv_tables import gather_csv, layers_csv
from mullbed.reports.forecast_csv import forecast_csv
from mullbed.reports.json_documents import plan_document

METRIC, US = UnitSystem.METRIC, UnitSystem.US


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(text)))


def test_layers_have_a_row_a_lift_and_the_thickness_of_plan_json() -> None:
    table = rows(layers_csv(PLAN, METRIC))
    document = plan_document(PLAN, GARDEN)
    wanted = [str(lift["thickness_mm"]) for layer in document["layers"] for lift in layer["lifts"]]  # type: ignore
    assert [row["thickness [mm]"] for row in table] == wanted
    assert [row["lift"] for row in table][:2] == ["1", "2"]
    assert table[-1]["bed"] == "Gate & <Arch>"


def test_us_tables_say_their_units() -> None:
    table = rows(layers_csv(PLAN, US))
    assert table[0]["thickness [[in_i]]"] == "0.8"
    assert table[0]["layer_water [[gal_us]]"] == "4.755"


def test_gathering_is_by_week() -> None:
    table = rows(gather_csv(PLAN))
    assert [(row["week"], row["count [1]"], row["use_by"]) for row in table] == [
        ("2027-04-19", "3", "2027-04-25"), ("2027-04-19", "2", ""),
    ]  # fmt: skip


def test_a_forecast_has_a_row_a_bed_and_day() -> None:
    table = rows(forecast_csv(PLAN.forecasts))
    days = (PLAN.last_day - PLAN.first_day).days + 1
    assert len(table) == len(PLAN.forecasts) * days
    assert float(table[-1]["soil_nitrogen_p50 [g/m2]"]) > 4.9
    assert "thickness_p10 [m]" in table[0]


def events(plan=PLAN) -> dict[str, Calendar]:  # type: ignore[no-untyped-def]
    calendar = Calendar.from_ical(calendar_ics(plan, METRIC, made_on=FIRST))
    return {str(event["uid"]): event for event in calendar.walk("VEVENT")}


def test_events_last_all_day_and_say_what_to_lay() -> None:
    found = events()
    assert len(found) == len(PLANNED) + 1 + 1  # layers, one gathering week, the end of one hold
    wall = next(event for event in found.values() if str(event["summary"]).startswith("Wall bed"))
    assert wall["dtstart"].dt == date(2027, 4, 24) and wall["dtend"].dt == date(2027, 4, 25)
    assert "3 buckets of fresh grass clippings" in wall["summary"]
    assert "Why:" in wall["description"]


def test_a_second_plan_moves_the_event_instead_of_adding_one() -> None:
    later = replace(PLANNED[0], layer=replace(PLANNED[0].layer, day=PLANNED[0].layer.day + timedelta(days=3)))
    moved = replace(PLAN, layers=(later, *PLANNED[1:]))
    assert set(events(moved)) == set(events())
    assert any(event["dtstart"].dt == date(2027, 4, 27) for event in events(moved).values())
