"""Pictures of a trial: plots from the side and from above, blind where they must be, and every pair as it was read."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from mullbed.domain.bed import Bed, Soil
from mullbed.domain.garden import UnitSystem
from mullbed.domain.spread import Evidence, Spread
from mullbed.domain.trial import Arrangement, Fairness, Measure, Reading, Scale, Treatment, TrialPlan, Way
from mullbed.reports.lesson_pictures import lesson_picture
from mullbed.reports.trial_map import trial_map_svg
from mullbed.reports.trial_pairs import pairs_chart, pairs_sentence, raw_rows
from mullbed.reports.trial_picture import strips_svg
from mullbed.trials.analysis import analyse
from mullbed.trials.layout import laid_out

SOIL = Soil(0.4, 0.2, Spread(0.03, 0.035, 0.04, "1", Evidence.GUESS), "loam")
BEDS = (Bed("Low", 6.0, SOIL), Bed("High", 3.0, SOIL))


def drawn(blocks: int = 4, ways: str = "AB", beds: tuple[str, ...] = ("Low", "High")) -> TrialPlan:
    kinds = (Way.LAYERS, Way.PILE, Way.CHIPS)
    treatments = tuple(Treatment(code, kinds[place]) for place, code in enumerate(ways))
    arrangement = Arrangement.PAIRS if len(ways) == 2 else Arrangement.BLOCKS
    measure = Measure("harvest", "kg", Scale.PLAIN, 0.2, "known", False)
    plan = TrialPlan(
        "Beans", "More?", treatments, "B", arrangement, Fairness.SAME_ORIGIN, blocks, (measure,), 0.05, 0.3, 0.2, 3, (),
        beds,
    )  # fmt: skip
    return laid_out(plan)


def texts(svg: str) -> list[str]:
    """Return the words that stand in a picture; it must be sound XML."""
    root = ElementTree.fromstring(svg)
    return [one.text or "" for one in root.iter() if one.tag.endswith("text")]


def test_every_plot_stands_once_in_each_picture_and_blind_ones_name_no_way():
    plan = drawn()
    for svg in (strips_svg(plan, blind=True), trial_map_svg(plan, BEDS, UnitSystem.METRIC, blind=True)):
        told = texts(svg)
        assert sorted(one for one in told if re.fullmatch(r"P\d\d", one)) == sorted(plot.code for plot in plan.plots)
        assert not {"A", "B"} & set(told)
        assert "layers" not in svg
    open_map = " ".join(texts(trial_map_svg(plan, BEDS, UnitSystem.METRIC)))
    for plot in plan.plots:
        assert f"{plot.code} {plot.treatment}" in open_map or plot.code in open_map
    assert len(strips_svg(plan)) < 60_000


def test_a_bed_is_parted_along_its_length_at_one_scale():
    svg = trial_map_svg(drawn(), BEDS, UnitSystem.METRIC, blind=True)
    frames = [(float(w), float(h)) for w, h in re.findall(r'width="([\d.]+)" height="([\d.]+)" fill="none"', svg)]
    assert len(frames) == 2
    assert frames[0][0] / frames[1][0] == pytest.approx(2.0, abs=0.01)  # known: 6 and 3 square metres, equally wide
    assert "1 m" in texts(svg)
    assert "5 ft" in texts(trial_map_svg(drawn(), BEDS, UnitSystem.US))


def test_a_bed_with_plots_too_narrow_to_read_is_folded_and_says_so():
    svg = trial_map_svg(drawn(8, beds=("Low",)), BEDS, UnitSystem.METRIC)
    assert any("folded" in one for one in texts(svg))
    widths = [float(one) for one in re.findall(r'<rect [^>]*width="([\d.]+)" height="38.0"', svg)]
    assert len(widths) == 16 and min(widths) > 100


def test_plots_on_no_bed_have_no_map():
    assert trial_map_svg(drawn(beds=()), BEDS, UnitSystem.METRIC) == ""


def test_every_pair_is_one_line_and_a_lost_plot_leaves_its_pair_open():
    plan = drawn(6)
    values = {plot.code: 2.0 + 0.1 * plot.block + (0.5 if plot.treatment == "A" else 0.0) for plot in plan.plots}
    lost = next(plot.code for plot in plan.plots if plot.block == 3 and plot.treatment == "A")
    readings = [Reading(code, "harvest", "2027", None if code == lost else value) for code, value in values.items()]
    result = analyse(plan, readings).primary
    svg = pairs_chart(plan, result)
    assert svg.count("<circle") == 11
    assert len(re.findall(r'<path d="M[\d.]+ [\d.]+L', svg)) == 5
    assert "in 5 of 5" in pairs_sentence(plan, result)
    assert len(raw_rows(plan, result)) == 11 and lost not in {row[0] for row in raw_rows(plan, result)}
    assert pairs_chart(plan, replace(result, plot_values=())) == ""


@pytest.mark.parametrize("key", ["does_it_work", "why_not_dig_in", "smell_first", "what_soil_is_it"])
def test_a_lesson_has_a_sound_picture_with_its_sentence(key: str):
    svg, sentence = lesson_picture(key)
    root = ElementTree.fromstring(svg)
    assert next(one.text for one in root.iter() if one.tag.endswith("title")) == sentence
    assert sentence.endswith(".")
    assert lesson_picture("none") == ("", "")
