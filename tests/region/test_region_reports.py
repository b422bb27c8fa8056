"""What a region is written as: points after RFC 7946, tables that agree with the data, maps with legends, documents."""

from __future__ import annotations

import csv
import importlib.util
import json
import xml.etree.ElementTree as Tree
from collections.abc import Callable
from datetime import date
from io import StringIO
from pathlib import Path
from types import ModuleType

import jsonschema
import numpy as np
import pytest

from mullbed.domain.region import THINGS, RegionResult, RegionThing
from mullbed.region.reduce import pooled_figures, ranked
from mullbed.reports.region_folder import write_region
from mullbed.reports.region_map import even_classes, region_map
from mullbed.reports.region_sheet import NITRATE_CLASSES, region_maps, region_sheet
from mullbed.reports.region_tables import gardens_csv, gardens_geojson, groups_csv
from mullbed.reports.region_text import region_document, region_text
from mullbed.reports.sheet import sheet_html
from mullbed.reports.terminal_style import Style
from mullbed.usecases.run_region import run_region


@pytest.fixture(scope="module")
def result(small_region: Path, tmp_path_factory: pytest.TempPathFactory) -> RegionResult:
    """Return what the small region came to."""
    return run_region(small_region, tmp_path_factory.mktemp("reports"), threads=1)


def test_points_are_longitude_first_with_values_as_in_the_table(result: RegionResult) -> None:
    points = json.loads(gardens_geojson(result, 1))
    assert points["type"] == "FeatureCollection"
    assert "crs" not in points  # RFC 7946 knows none
    first = points["features"][0]
    assert first["geometry"] == {"type": "Point", "coordinates": [7.0, 51.0]}
    rows = list(csv.DictReader(StringIO(gardens_csv(result))))
    assert len(rows) == 5 * 3
    same = next(row for row in rows if row["garden"] == "Ash" and row["way"] == "little and often")
    for thing in ("nitrogen_fed", "carbon_kept"):
        for part in ("mean", "p10", "p90"):
            assert first["properties"][f"{thing}_{part}"] == pytest.approx(float(same[f"{thing}_g_m2_{part}"]))
    assert len(list(csv.DictReader(StringIO(groups_csv(result))))) == 3 * len(result.groups)


def test_what_is_told_of_a_way_is_in_the_direction_it_must_be(result: RegionResult) -> None:
    region = result.groups[0].figures
    bare, often, once = (region[way, :, 0] for way in range(3))
    at = THINGS.index
    assert np.all(bare[[at(one) for one in (RegionThing.NITROGEN_FED, RegionThing.NITRATE_ADDED)]] == 0.0)
    assert often[at(RegionThing.NITROGEN_FED)] > once[at(RegionThing.NITROGEN_FED)]  # clippings feed, leaves hardly
    assert often[at(RegionThing.CARBON_KEPT)] > 0.0
    assert once[at(RegionThing.WATER_SAVED)] > 0.0
    assert 0.0 < often[at(RegionThing.LAYERS_USED)] < often[at(RegionThing.LAYERS_FIT)] <= 3.0
    np.testing.assert_allclose(
        region[:, at(RegionThing.NITRATE_ADDED), 0],
        region[:, at(RegionThing.NITRATE_LEACHED), 0] - bare[at(RegionThing.NITRATE_LEACHED)],
        atol=1e-9,
    )


def test_a_document_holds_the_keys_its_page_and_schema_tell(result: RegionResult, repository: Path) -> None:
    documents = _module(repository / "tests" / "cli" / "test_documents.py")
    document = region_document(result)
    assert documents.faults_of(document, repository, "region") == (set(), set())
    schema = json.loads((repository / "docs/reference/region.schema.json").read_text(encoding="utf-8"))
    jsonschema.validate(document, schema)


def _module(path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location("documents_of_the_command_line", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_a_map_tells_every_class_by_number_and_words(result: RegionResult) -> None:
    values = np.array([5.0, 30.0, 70.0, 170.0, np.nan])
    drawn = region_map(result, values, NITRATE_CLASSES, title="Nitrate", sentence="Two of five are high.")
    words = [one.text for one in Tree.fromstring(drawn).iter() if one.text]
    for told in ("under 25 mg/L", "25 to 50 mg/L", "50 to 100 mg/L", "100 to 200 mg/L", "200 mg/L and more"):
        assert told in words
    assert {"–", "no value"} <= set(words)  # the garden without one
    assert {"1", "2", "3", "4"} <= set(words)


@pytest.mark.parametrize(
    ("values", "breaks", "takes"),
    [  # known: by hand
        ([0.0, 10.0, 20.0, 50.0], (10.0, 20.0, 30.0, 40.0), False),
        ([-5.0, 5.0, 10.0], (2.0, 4.0, 6.0, 8.0), True),
        ([100.0, 101.0, 104.0, 105.0], (101.0, 102.0, 103.0, 104.0), False),
    ],
)
def test_classes_have_round_steps(values: list[float], breaks: tuple[float, ...], takes: bool) -> None:
    classes = even_classes(np.array(values), "g/m²")
    assert classes.breaks == pytest.approx(breaks)
    assert classes.below_zero is takes
    assert classes.of(max(values)) == 5
    assert classes.of(min(values)) == (0 if takes else 1)


def test_gardens_far_apart_stand_in_panels_of_their_own(result: RegionResult) -> None:
    from dataclasses import replace

    spec = result.spec
    moved = tuple(replace(garden, latitude=-30.0) if garden.district == "dry" else garden for garden in spec.gardens)
    values = np.arange(5.0)
    together = region_map(result, values, NITRATE_CLASSES, title="t", sentence="s")
    apart = region_map(
        replace(result, spec=replace(spec, gardens=moved)), values, NITRATE_CLASSES, title="t", sentence="s"
    )
    assert ">dry<" not in together
    assert ">dry<" in apart
    assert ">wet<" in apart


def test_a_garden_alone_gives_back_its_own_tenth_half_and_nine_tenths() -> None:
    runs = np.random.default_rng(1).gamma(2.0, 3.0, (1, 1, 400))
    kept = ranked(runs)
    told = pooled_figures(kept, runs.reshape(1, 1, 4, 100).mean(axis=-1))
    np.testing.assert_allclose(told[0, 1:], np.quantile(runs, [0.1, 0.5, 0.9]), rtol=1e-6)
    assert told[0, 0] == pytest.approx(runs.mean())


def test_gardens_together_pool_their_runs_to_within_a_twentieth() -> None:
    chances = np.random.default_rng(2)
    runs = chances.normal(chances.uniform(0.0, 40.0, (60, 1, 1)), 5.0, (60, 1, 320))
    told = pooled_figures(ranked(runs), runs.reshape(60, 1, 10, 32).mean(axis=-1))[0, 1:]
    below = [(runs < one).mean() for one in told]
    np.testing.assert_allclose(below, [0.1, 0.5, 0.9], atol=0.01)


def test_the_report_says_what_was_stopped_and_what_it_rests_on(
    result: RegionResult, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = sheet_html(region_sheet(result, region_maps(result), date(2027, 1, 2)))
    text = region_text(result, Style())
    for part in (
        "Council Directive 91/676/EEC",
        "wet.csv",
        result.fingerprint,
        "5 gardens",
        "8 in 10",
        "from year to year",
    ):
        assert part in page
    assert "NITRATE AT RISK" in text
    written = {path.name for path in write_region(tmp_path, result, date(2027, 1, 2))}
    assert {
        "report.html",
        "report.pdf",
        "groups.csv",
        "region.json",
        "gardens_0.geojson",
        "map_1_nitrogen_fed.svg",
    } <= written
    assert (tmp_path / "report.pdf").read_bytes().startswith(b"%PDF")


def test_the_command_runs_goes_on_and_prints_one_document(
    small_region: Path, tmp_path: Path, mullbed_words: Callable[..., tuple[int, str, str]]
) -> None:
    words = ("region", str(small_region), "--out", str(tmp_path), "--threads", "1", "--json")
    code, out, err = mullbed_words(*words)
    assert code == 0, err
    assert json.loads(out)["complete"] is True
    assert "180 seasons of 70 days" in err
    again, _, told = mullbed_words(*words)
    assert again == 0
    assert "There already: 1." in told


def test_less_than_nothing_is_a_class_of_its_own(result: RegionResult) -> None:
    values = np.array([-8.0, -2.0, 4.0, 9.0, 12.0])
    drawn = region_map(result, values, even_classes(values, "g/m²"), title="Fed", sentence="Two take.")
    words = [one.text for one in Tree.fromstring(drawn).iter() if one.text]
    assert "below 0 g/m²" in words
    assert "<0" in words
    assert "no value" not in words
