"""Ways of gardening beside each other: tables in the terminal and a JSON document."""

from __future__ import annotations

from dataclasses import fields

from mullbed.domain.spread import Evidence, Spread
from mullbed.domain.ways import WayInYears, WaysCompared
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.words import number

#: Key of the figure, its head and the factor to the unit told.
_FED = (
    ("want_met", "want met, %", 100.0),
    ("nitrogen_lost", "N lost, g/m²", 1.0),
    ("nitrogen_kept", "N kept, g/m²", 1.0),
)
_SOIL = (
    ("covered_days", "covered, d", 1.0),
    ("carbon_kept", "C kept, g/m²", 1.0),
    ("phosphorus_balance", "P balance, g/m²", 1.0),
    ("hours", "hours", 1.0),
    ("water", "water, L", 1.0),
)
UNKNOWN = (
    "What is unknown: no trial of thin alternating layers against a pile of the same residues is known to us, nor one "
    "against the rules of thumb. These figures are what the daily model works out; a pair of strips on your own beds "
    "(mullbed trial) would tell more than they do."
)
_READ_AS = (
    "Middle, with 8 of 10 seasons in brackets; against the same beds left alone. A figure with ? is a guess; others "
    "are worked out by the daily model. Every way without * keeps the ceilings of the garden, in the years planned "
    "with, as the plan does. What a pile loses is published (43 to 62 % of its nitrogen, 70 % without dry matter; "
    "reference/pile.toml); it gets the residues the plan lays. Work of pile and spade is judgement. Chips on top take "
    "nitrogen up in the model for a season; in published trials they mostly do not, so doubt that row first."
)


def ways_sentence(ways: WaysCompared) -> str:
    """Return the answer in a sentence."""
    plan = ways.ways[0]
    rules = [way for way in ways.ways[1:] if way.ceiling_kept and way.name != "nothing"]
    worst = min(rules, key=lambda way: (way.plan_better_years, way.plan_better_seasons))
    years, seasons = 100.0 * worst.plan_better_years, 100.0 * worst.plan_better_seasons
    return (
        f"In {len(ways.tried_in)} years nobody planned with, the plan met {_share(plan.want_met)} % of what crops "
        f"wanted. By all goals together the hardest to beat was {worst.name}: the plan was better in {years:.0f} % of "
        f"the years and {seasons:.0f} % of the seasons."
    )


def _share(spread: Spread) -> str:
    return f"{100.0 * spread.mid:.0f} ({100.0 * spread.low:.0f} to {100.0 * spread.high:.0f})"


def cell(spread: Spread, factor: float = 1.0) -> str:
    """Return middle and range; with a question mark where it is a guess."""
    low, mid, high = (number(factor * one) for one in (spread.low, spread.mid, spread.high))
    mark = "?" if spread.evidence is Evidence.GUESS else ""
    return f"{mid}{mark}" if low == high else f"{mid} ({low} to {high}){mark}"


def shown_name(way: WayInYears) -> str:
    """Return a way's name; with a mark where the ceiling of nitrogen fed was let go."""
    return way.name if way.ceiling_kept else f"{way.name} *"


def ways_text(ways: WaysCompared, style: Style) -> str:
    """Return the page for the terminal."""
    lines = [style.bold(line) for line in paragraph(ways_sentence(ways))]
    fed = [("way", *(head for _, head, _ in _FED), "past ceiling", "plan better")]
    for way in ways.ways:
        better = "–" if way.name == "planned" else f"{100.0 * way.plan_better_years:.0f} %"
        cells = (cell(getattr(way, key), factor) for key, _, factor in _FED)
        fed.append((shown_name(way), *cells, f"{100.0 * way.past_ceiling:.0f} %", better))
    soil = [("way", *(head for _, head, _ in _SOIL))]
    for way in ways.ways:
        soil.append((shown_name(way), *(cell(getattr(way, key), factor) for key, _, factor in _SOIL)))
    settings = "; ".join(f"{shown_name(way)}: {way.setting}" for way in ways.ways if way.setting)
    lines += ["", *columns(fed, right=frozenset()), "", *_stacked(soil), ""]
    lines += paragraph(
        "* lays as if there were no ceiling of nitrogen fed, which nobody sees on a bed; it is held against the plan "
        "made so. Past ceiling: share of beds and seasons fed beyond it. Plan better: share of the unseen years in "
        "which the plan costs less by all goals."
    )
    lines += paragraph(f"How they were set, on the years planned with: {settings}.")
    lines += paragraph(_READ_AS)
    lines += [style.bold(line) for line in paragraph(UNKNOWN)]
    return style.finished(lines)


def _stacked(rows: list[tuple[str, ...]]) -> list[str]:
    """Return a table too wide for a line as two, one under the other."""
    first = [(row[0], *row[1:4]) for row in rows]
    rest = [(row[0], *row[4:]) for row in rows]
    return [*columns(first), "", *columns(rest)]


def ways_document(ways: WaysCompared) -> dict[str, object]:
    """Return the JSON document."""
    return {
        "garden": ways.garden,
        "area": ways.area,
        "planned_with": list(ways.planned_with),
        "tried_in": list(ways.tried_in),
        "seasons": ways.seasons,
        "gap": ways.gap,
        "gap_ceiling_let_go": ways.gap_ceiling_let_go,
        "unknown": UNKNOWN,
        "ways": [_way(way) for way in ways.ways],
    }


def _way(way: WayInYears) -> dict[str, object]:
    found: dict[str, object] = {}
    for one in fields(way):
        value = getattr(way, one.name)
        found[one.name] = (
            {
                "low": value.low,
                "mid": value.mid,
                "high": value.high,
                "unit": value.unit,
                "evidence": str(value.evidence),
            }
            if isinstance(value, Spread)
            else value
        )
    return found


def ways_markdown(ways: WaysCompared) -> str:
    """Return the tables as Markdown, for documents."""
    heads = [
        "way",
        "set to",
        *(head for _, head, _ in (*_FED, *_SOIL)),
        "past ceiling, %",
        "all goals, g",
        "bad tenth, g",
    ]
    heads += ["plan better, % of years", "% of seasons"]
    rows = ["| " + " | ".join(heads) + " |", "|" + "---|" * len(heads)]
    for way in ways.ways:
        cells = [shown_name(way).replace("*", "\\*"), way.setting]
        cells += [cell(getattr(way, key), factor) for key, _, factor in (*_FED, *_SOIL)]
        cells += [f"{100.0 * way.past_ceiling:.0f}", number(way.cost), number(way.bad_tenth_cost)]
        same = way.name == "planned"
        cells += ["–" if same else f"{100.0 * share:.0f}" for share in (way.plan_better_years, way.plan_better_seasons)]
        rows.append("| " + " | ".join(cells) + " |")
    return "\n".join(rows) + "\n"
