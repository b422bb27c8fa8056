"""Earth pigments, type and contrast: the tokens every page, card and chart draws with."""

from __future__ import annotations

KAOLIN = "#FBFBF7"
INK = "#17120E"
UMBER = "#32231A"
SLATE = "#4A443C"
LIMONITE = "#F2C14A"
SINOPIA = "#861F12"
VERTE = "#2F4A1C"
VERTE_TINT = "#C6D196"
OCHRE_INK = "#59400C"
OCHRE = "#ECD193"
RUSSET = "#DDAF84"
GLEY = "#17475F"
GLEY_WASH = "#CFE1E8"
SOIL = "#8A6A4F"
SOIL_INK = "#2C1E14"
DECAYED = "#5B4128"
WHITE = "#FFFFFF"
BLACK = "#000000"

READING_PAIRS: tuple[tuple[str, str], ...] = (
    (INK, KAOLIN),
    (SLATE, KAOLIN),
    (SINOPIA, KAOLIN),
    (VERTE, KAOLIN),
    (OCHRE_INK, KAOLIN),
    (GLEY, KAOLIN),
    (INK, LIMONITE),
    (KAOLIN, UMBER),
)
"""Pairs of words and ground in use for reading text; each must reach 7:1."""

NARROW = "'Roboto Condensed','Avenir Next Condensed','Arial Narrow','Liberation Sans Narrow',system-ui,sans-serif"
READING = "system-ui,'Segoe UI',Roboto,'Liberation Sans',sans-serif"
PRINT_FONTS = ("Roboto", "Liberation Sans", "Arial", "Helvetica Neue", "DejaVu Sans")
"""Families for paper, of which the narrow cut is taken where it is installed."""


def _channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def blend(first: str, second: str, share: float) -> str:
    """Return the colour that lies `share` of the way from the first to the second."""
    share = min(1.0, max(0.0, share))
    mixed = (round(one + (two - one) * share) for one, two in zip(_channels(first), _channels(second), strict=True))
    return "#" + "".join(f"{channel:02X}" for channel in mixed)


def contrast(first: str, second: str) -> float:
    """Return the contrast ratio of two colours (W3C, Web Content Accessibility Guidelines 2.2, 1.4.3)."""

    def luminance(colour: str) -> float:
        linear = []
        for channel in _channels(colour):
            share = channel / 255
            linear.append(share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4)
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)
