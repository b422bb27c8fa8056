"""Lines of keys in TOML text."""

from __future__ import annotations

from mullbed.files.key_lines import KeyLines
from mullbed.files.texture_triangle import texture_of
from mullbed.reference.soils import all_textures

TEXT = '''title = "x"  # [not a header]

[site]
name = "a = b"
note = """
[beds]
name = "inside a text"
"""
[[beds]]
name = "A"
soil = { texture = "loam" }
[[beds.crops]]
crop = "tomato"
[[beds]]
"odd key" = 1
corners = [
  [0, 0],
  [1, 0],
]
after.dots = 2
[[beds.crops]]
crop = "bean"
[[beds.crops]]
crop = "pea"
'''


def test_keys_of_tables_lists_and_texts_stand_on_their_lines() -> None:
    lines = KeyLines(TEXT)
    assert lines.line(("title",)) == 1
    assert lines.line(("site",)) == 3
    assert lines.line(("site", "name")) == 4
    assert lines.line(("beds", 0, "name")) == 10
    assert lines.line(("beds", 0, "crops", 0, "crop")) == 13
    assert lines.line(("beds", 1, "odd key")) == 15
    assert lines.line(("beds", 1, "after", "dots")) == 20
    assert lines.line(("beds", 1, "crops", 1, "crop")) == 24


def test_a_key_that_is_not_found_takes_the_line_it_belongs_to() -> None:
    lines = KeyLines(TEXT)
    assert lines.line(("beds", 0, "soil", "texture")) == 11
    assert lines.line(("beds", 1, "corners", 1)) == 16
    assert lines.line(("nowhere", "at all")) is None


def test_the_middle_of_each_texture_class_is_in_that_class() -> None:
    for key, (sand, clay) in all_textures().items():
        assert texture_of(sand, clay) == key.replace("_", " ")


def test_corners_of_the_texture_triangle_have_their_class() -> None:
    assert texture_of(1.0, 0.0) == "sand"
    assert texture_of(0.0, 0.0) == "silt"
    assert texture_of(0.0, 1.0) == "clay"
