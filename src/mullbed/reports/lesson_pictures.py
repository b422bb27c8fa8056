"""Pictures of the lessons: each shows the one thing to look at, drawn by us, told in words beneath."""

# ruff: noqa: E501 - strings of SVG are kept whole, they read worse when broken

from __future__ import annotations

from collections.abc import Callable
from html import escape

from mullbed.domain.residue import Texture
from mullbed.language import marked, say
from mullbed.reports import pigments
from mullbed.reports.garden_map_patterns import bare_pattern, matter_pattern
from mullbed.reports.signs import sign_shape

_WIDE, _HIGH = 360.0, 176.0
_LINE = f'fill="none" stroke="{pigments.INK}" stroke-width="3" stroke-linecap="round" stroke-linejoin="round"'


def lesson_picture(key: str) -> tuple[str, str]:
    """Return a lesson's picture as SVG and the sentence it says; empty texts for a lesson without one."""
    if key not in _PICTURES:
        return "", ""
    draw, sentence = _PICTURES[key]
    told = say(sentence)
    return (
        f'<svg class="chart" viewBox="0 0 {_WIDE:.0f} {_HIGH:.0f}" role="img" font-family="{pigments.NARROW}" fill="{pigments.INK}">'
        f"<title>{escape(told)}</title>{draw()}</svg>",
        told,
    )


def _word(x: float, y: float, words: str, anchor: str = "middle", size: int = 18) -> str:
    return f'<text x="{x:.0f}" y="{y:.0f}" text-anchor="{anchor}" font-size="{size}" font-weight="700">{escape(say(words))}</text>'


def _glass(left: float, inside: str) -> str:
    return (
        f'<path d="M{left:.0f} 52h100v92h-100Z" fill="{pigments.GLEY_WASH}"/>{inside}'
        f'<path d="M{left - 4:.0f} 34v110q0 8 8 8h92q8 0 8-8v-110" {_LINE}/>'
    )


def _does_it_work() -> str:
    whole = f'<path d="M84 118q-4-20 14-22 16-6 24 8 12 12 0 22-20 12-38-8Z" fill="{pigments.SOIL}" stroke="{pigments.INK}" stroke-width="2.4"/><circle cx="98" cy="112" r="2"/><circle cx="110" cy="120" r="2"/><circle cx="112" cy="106" r="2"/>'
    crumbs = "".join(
        f'<circle cx="{222 + 11 * (place % 8):.0f}" cy="{128 + 6 * (place % 3):.0f}" r="{1.6 + place % 3:.1f}"/>'
        for place in range(16)
    )
    fallen = f'<path d="M214 146q40-22 84 0Z" fill="{pigments.SOIL}" stroke="{pigments.INK}" stroke-width="2"/>{crumbs}<path d="M226 92q10 8 0 16M256 86q-10 10 0 18M284 94q8 8 0 14" {_LINE} stroke-dasharray="2 6"/>'
    return (
        _glass(54, whole)
        + _glass(206, fallen)
        + _word(104, 24, marked("holds together"))
        + _word(256, 24, marked("falls apart"))
    )


def _what_on_saturday() -> str:
    return (
        f"<defs>{bare_pattern()}{matter_pattern(Texture.CLIPPINGS)}{matter_pattern(Texture.STRAW)}</defs>"
        f'<rect x="40" y="112" width="150" height="52" fill="url(#bare)"/>'
        f'<path d="M40 112V86q37-6 75 0t75 0v26Z" fill="url(#top-clippings)" stroke="{pigments.INK}" stroke-width="1.8"/>'
        f'<path d="M40 86V44q37-6 75 0t75 0v42q-37 6-75 0t-75 0Z" fill="url(#top-straw)" stroke="{pigments.INK}" stroke-width="1.8"/>'
        f'<path d="M30 112H200" stroke="{pigments.INK}" stroke-width="4"/>'
        f'<path d="M24 112V36M18 112h12M20 86h8M20 44h8" {_LINE}/>'
        + _word(206, 70, marked("dry, two fingers"), "start")
        + _word(206, 104, marked("soft fresh, one"), "start")
        + _word(206, 140, marked("soil"), "start")
    )


def _plant(x: float, ground: float, high: float) -> str:
    leaves = "".join(
        f'<path d="M{x:.0f} {ground - high * share:.0f}q{side * 16:.0f}-10 {side * 22:.0f} 2q{-side * 10:.0f} 8 {-side * 22:.0f}-2Z" fill="{pigments.VERTE_TINT}" stroke="{pigments.VERTE}" stroke-width="2"/>'
        for share in (0.45, 0.85)
        for side in (-1, 1)
    )
    roots = (
        f'<path d="M{x:.0f} {ground:.0f}v26M{x:.0f} {ground + 6:.0f}l-14 16M{x:.0f} {ground + 6:.0f}l14 16" {_LINE}/>'
    )
    return f'<path d="M{x:.0f} {ground:.0f}V{ground - high:.0f}" stroke="{pigments.VERTE}" stroke-width="4"/>{leaves}{roots}'


def _straws(left: float, top: float, wide: float, high: float) -> str:
    return "".join(
        f'<path d="M{left + (37 * place) % wide:.0f} {top + (23 * place) % high:.0f}l{18 if place % 2 else 20} {(-5, 4, 7)[place % 3]}" stroke="{pigments.OCHRE_INK}" stroke-width="5"/><path d="M{left + (37 * place) % wide:.0f} {top + (23 * place) % high:.0f}l{18 if place % 2 else 20} {(-5, 4, 7)[place % 3]}" stroke="{pigments.OCHRE}" stroke-width="2.4"/>'
        for place in range(12)
    )


def _why_not_dig_in() -> str:
    def side(left: float, straw: str, high: float, words: str) -> str:
        return (
            f'<rect x="{left:.0f}" y="104" width="144" height="66" fill="{pigments.SOIL}"/><path d="M{left:.0f} 104h144" stroke="{pigments.INK}" stroke-width="4"/>'
            f"{straw}{_plant(left + 72, 104, high)}" + _word(left + 72, 22, words)
        )

    return side(24, _straws(34, 114, 104, 46), 30, marked("dug in")) + side(
        192, _straws(198, 92, 112, 10), 62, marked("on top")
    )


def _smell_first() -> str:
    noses = "".join(
        f'<g transform="translate({place:.0f} 44) scale(1.7)">{sign_shape("nose", pigments.INK)}</g>'
        for place in (24, 142, 258)
    )
    breaths = (
        f'<path d="M22 144l8-12 8 12 8-12 8 12 8-12" {_LINE}/>'
        f'<path d="M148 132q-8 8 0 14t0 0M166 132q-8 8 0 14M184 132q-8 8 0 14" {_LINE}/>'
        f'<path d="M264 140q12-12 24 0t24 0" {_LINE}/>'
    )
    return (
        noses
        + breaths
        + _word(64, 170, marked("stings: cap it"), size=17)
        + _word(182, 170, marked("sour: open it"), size=17)
        + _word(300, 170, marked("earthy: leave it"), size=17)
    )


def _how_many_beds() -> str:
    pairs = "".join(
        f'<rect x="{24 + 54 * pair + 22 * side:.0f}" y="92" width="20" height="52" fill="{pigments.OCHRE if (pair * 5 // 2 + side) % 2 else pigments.WHITE}" stroke="{pigments.INK}" stroke-width="2.4"/>'
        for pair in range(6)
        for side in (0, 1)
    )
    coins = "".join(
        f'<circle cx="{45 + 54 * pair:.0f}" cy="58" r="15" fill="{pigments.LIMONITE}" stroke="{pigments.INK}" stroke-width="2.6"/><text x="{45 + 54 * pair:.0f}" y="64" text-anchor="middle" font-size="17" font-weight="700">{"A" if (pair * 5 // 2) % 2 else "B"}</text>'
        for pair in range(6)
    )
    return (
        pairs
        + coins
        + _word(180, 26, marked("a coin for every pair"))
        + _word(180, 168, marked("all six one way by luck: once in thirty-two"))
    )


def _does_rain_get_in() -> str:
    return (
        f'<rect x="20" y="108" width="220" height="56" fill="{pigments.SOIL}"/><path d="M20 108h220" stroke="{pigments.INK}" stroke-width="4"/>'
        f'<rect x="72" y="76" width="116" height="32" fill="{pigments.GLEY_WASH}" stroke="{pigments.GLEY}" stroke-width="2"/>'
        f'<path d="M70 52v84M190 52v84" stroke="{pigments.INK}" stroke-width="6"/>'
        f'<path d="M96 122v24m-6-8 6 8 6-8M130 122v30m-6-8 6 8 6-8M164 122v24m-6-8 6 8 6-8" {_LINE}/>'
        f'<circle cx="292" cy="84" r="42" fill="{pigments.WHITE}" stroke="{pigments.INK}" stroke-width="4"/><path d="M292 84V54M292 84l20 12M284 36h16" {_LINE}/>'
        + _word(130, 34, marked("the second inch"))
        + _word(292, 152, marked("time it"))
    )


def _what_soil_is_it() -> str:
    return (
        f'<path d="M60 24h92v8h-8v116q0 8-8 8H76q-8 0-8-8V32h-8Z" fill="{pigments.GLEY_WASH}"/>'
        f'<rect x="70" y="112" width="72" height="42" fill="{pigments.OCHRE}"/><rect x="70" y="84" width="72" height="28" fill="{pigments.SOIL}"/><rect x="70" y="70" width="72" height="14" fill="{pigments.UMBER}"/>'
        f'<path d="M60 24h92v8h-8v116q0 8-8 8H76q-8 0-8-8V32h-8Z" {_LINE}/><path d="M70 112h72M70 84h72M70 70h72" {_LINE}/>'
        + _word(166, 138, marked("sand: 45 seconds"), "start")
        + _word(166, 104, marked("silt: about 8 hours"), "start")
        + _word(166, 80, marked("clay: the rest"), "start")
        + _word(166, 48, marked("10 cm of water, 20 °C"), "start", 17)
    )


_PICTURES: dict[str, tuple[Callable[[], str], str]] = {
    "does_it_work": (_does_it_work, marked("Two crumbs in water: one holds together, one falls apart.")),
    "what_on_saturday": (_what_on_saturday, marked("From the soil up: a finger of soft fresh, two fingers of dry.")),
    "why_not_dig_in": (
        _why_not_dig_in,
        marked("Straw dug in eats among the roots and the plant stays small; on top it does not."),
    ),
    "smell_first": (
        _smell_first,
        marked("Three smells and what to do: stings, cap it; sour, open it; earthy, leave it."),
    ),
    "how_many_beds": (_how_many_beds, marked("Six pairs of strips; a coin decides the side of each.")),
    "does_rain_get_in": (_does_rain_get_in, marked("A ring in the soil with an inch of water, and a clock.")),
    "what_soil_is_it": (
        _what_soil_is_it,
        marked("A jar: sand below, silt on it, clay on top, each read by the clock."),
    ),
}
