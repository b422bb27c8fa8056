"""Our own signs, drawn in a 48 box with round strokes; never used without a word."""

# ruff: noqa: E501 - strings of SVG and HTML are kept whole, they read worse when broken

from __future__ import annotations

from mullbed.reports import pigments

_SHAPES: dict[str, str] = {
    "nose": (
        '<path d="M29 4C27 13 22 19 19 25c-3 5-1 9 4 9 2 4 8 6 12 2 2-2 2-5 0-7"/>'
        '<path d="M14 33c-4 1-5 4-3 6s0 5-3 5M7 31c-3 2-4 4-2 6"/>'
    ),
    "eye": (
        '<path d="M4 28c8-13 32-13 40 0-8 12-32 12-40 0Z"/><circle cx="24" cy="27" r="5.5" fill="currentColor"/>'
        '<path d="M24 11V4M12 14 8 8M36 14l4-6"/>'
    ),
    "hand": (
        '<path d="M14 26V12c0-4 5-4 5 0v10V7c0-4 5-4 5 0v15V8c0-4 5-4 5 0v15V12c0-4 5-4 5 0v19c0 8-4 13-11 13-6 0-9-3-12-8'
        'L6 29c-2-4 2-6 5-3l4 5"/>'
    ),
    "sticks": ('<path d="M7 9 40 41M41 8 8 40M14 16l-7 2M31 33l7 1M34 15l-1-8M15 33l-8-1" stroke-width="4"/>'),
}


def sign(name: str, *, size: float = 40.0, colour: str = pigments.INK) -> str:
    """Return a sign as SVG; it is decoration, the word beside it says it all."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 48 48" width="{size:.0f}" height="{size:.0f}" '
        f'aria-hidden="true">{sign_shape(name, colour)}</svg>'
    )


def sign_shape(name: str, colour: str) -> str:
    """Return the strokes of a sign in its 48 box, for use inside another picture."""
    shape = _SHAPES[name].replace("currentColor", colour)
    return (
        f'<g fill="none" stroke="{colour}" stroke-width="3" stroke-linecap="round" stroke-linejoin="round">{shape}</g>'
    )
