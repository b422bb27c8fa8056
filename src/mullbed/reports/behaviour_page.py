"""The catalogue of behaviour as files: a page in Markdown and a chart of every case."""

from __future__ import annotations

from mullbed.domain.behaviour import Behaviour, Catalogue
from mullbed.reports.behaviour_chart import behaviour_chart
from mullbed.reports.behaviour_text import came, expected_range, rounded

PAGE = "BEHAVIOUR.md"

_OPENING = """# How beds behave in the model

Written by `make docs` from `mullbed behaviour`; do not edit. Each case was written down with what is expected, as a
range, and where that comes from, before it was run; the range is never moved to fit. One definition feeds this page and
the tests. What comes is told as the middle of the members with 8 in 10 of them; **share** is how many members meet the
expectation. All weather is made up, beds are bare loam, residues are those of the table, amounts are dry matter per m2.

*Published*: a source says so. *Derived*: worked out from published numbers or from the numbered checks of the model.
*From memory*: general knowledge, to be verified. *Judgement*: what we would expect ourselves.
"""


def behaviour_files(found: Catalogue) -> dict[str, str]:
    """Return the files of a report by name."""
    charts = {f"{case.key}.svg": behaviour_chart(case, chart_sentence(case)) for case in found.cases}
    return {PAGE: behaviour_page(found), **charts}


def chart_sentence(case: Behaviour) -> str:
    """Return a chart in a sentence: where each run ends."""
    ends = []
    for one in case.courses:
        shown = [at for at in range(len(one.days)) if one.band.p50[at] == one.band.p50[at]]
        if shown:
            ends.append(f"{one.label} {rounded(float(one.band.p50[shown[-1]]))}")
    last = max(max(one.days) for one in case.courses)
    when = f"after {round(last / 365)} years" if last > 1500 else f"on day {last}"
    return f"{case.drawn}, {case.drawn_unit}, {when}: {'; '.join(ends)}."


def behaviour_page(found: Catalogue) -> str:
    """Return the page in Markdown; its charts lie beside it."""
    count = sum(len(case.judged) for case in found.cases)
    parts = [_OPENING, "## Where the model differs\n"]
    parts.append(f"{count - len(found.disagreements)} of {count} expectations are met.\n")
    for case, one in found.disagreements:
        why = one.expected.finding or "Not yet explained."
        parts.append(
            f"- **{case.title}.** {one.expected.says} Expected {expected_range(one.expected, one.unit)}, came "
            f"{came(one)}. {why}"
        )
    parts.append("")
    parts += [_section(case) for case in found.cases]
    parts.append(f"Seed {found.seed}.\n")
    return "\n".join(parts)


def _section(case: Behaviour) -> str:
    lines = [
        f"## {case.title}\n",
        f"Weather: {case.setting}. {case.members} members.\n",
        f"![{case.title}: {case.drawn.lower()}]({case.key}.svg)\n",
        f"{chart_sentence(case)}\n",
        "| expected | range | came | share | met | from |",
        "|---|---|---|---|---|---|",
    ]
    for one in case.judged:
        sources = ", ".join(f"`{key}`" for key in one.expected.sources)
        lines.append(
            f"| {one.expected.says} | {expected_range(one.expected, one.unit)} | {came(one)} | "
            f"{round(100 * one.share)} % | {'yes' if one.holds else '**no**'} | {one.expected.standing}: {sources}. "
            f"{one.expected.note} |"
        )
    return "\n".join([*lines, ""])
