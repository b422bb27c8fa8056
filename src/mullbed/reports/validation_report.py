"""A validation as files: the scores as JSON, a page in Markdown, and a chart of every set."""

from __future__ import annotations

from mullbed.domain.validation import SetResult, Validation
from mullbed.reports.document_text import rendered
from mullbed.reports.validation_charts import set_chart
from mullbed.reports.validation_document import figure_of, validation_document
from mullbed.reports.validation_words import KINDS, absence_words, figure, percent, set_sentence

PAGE = "VALIDATION.md"

_OPENING = """# How right the model is

Written by `make docs` from `mullbed validate`; do not edit. Every figure compares what the model says with what was
measured in open data sets. **Nothing is fitted here**: one set of numbers serves all sets (EURODECO alone has a climate
factor of its own, and the drive of LIDET is scaled by the decomposition index its file gives). The sets are the half of
the data the numbers were fitted on before, so the plain figures flatter the model a little; the cross-validated ones
beside them, five folds by site, study or source, do not.

- **error** is the root mean square of predicted less seen, in the unit of the set; **bias** its mean.
- **r2** is the squared correlation; **efficiency** is one less squared error over squared spread of the values seen.
- **80 %, 90 %** is the share of values within the bands that are told to the grower in the same way.
- **CRPS** is the mean continuous ranked probability score of the bands: lower is better, it has the unit of the set.
- A **reference model** is a simple model fitted on these very data by ourselves; the best of several is shown. Like is
  held against like: our figure here, in the sample, against theirs in the sample; ours on places held out against
  theirs there. Only the CRPS is held against theirs on places held out, with the numbers in use; that flatters ours a
  little.
- **Held out** figures come from `mullbed calibrate`: the numbers fitted anew five times, whole sites, studies and
  sources left out in turn, started from neutral values.
"""


def report_files(found: Validation) -> dict[str, str]:
    """Return the files of a report by name."""
    charts = {f"{one.key}.svg": set_chart(one) for one in found.sets}
    return {"scores.json": rendered(validation_document(found)), PAGE: validation_page(found), **charts}


def validation_page(found: Validation) -> str:
    """Return the page in Markdown; its charts lie beside it."""
    parts = [_OPENING, "## All scores\n", _table(found), "## Set by set\n"]
    parts += [_section(one) for one in found.sets]
    if found.missing:
        parts.append("## Not run\n")
        parts += [f"- `{one.key}`: {absence_words(one)}." for one in found.missing]
        parts.append("")
    parts.append(
        f"Hash of the numbers: `{found.fingerprint}`; {found.members} members, seed {found.seed}. What is drawn for "
        "the bands: every parameter within its published or judged doubt; a factor of the place and one of the "
        "material on all rates, by what is known of the place; assumed chemistry; and the noise of a value seen.\n"
    )
    return "\n".join(parts)


def _table(found: Validation) -> str:
    head = (
        "| set | n | error | bias | r2 | efficiency | mean of groups | 80 % | 90 % | CRPS |\n"
        "|---|---|---|---|---|---|---|---|---|---|\n"
    )
    rows = []
    for one in found.sets:
        score = one.score
        cells = (
            f"`{one.key}`", str(score.n), figure(score.rmse), figure(score.bias, sign=True), figure(score.r2),
            figure(score.efficiency), figure(score.further.get(f"rmse_mean_{one.comparison.grouped_by}")),
            percent(score.coverage80), percent(score.coverage90), figure(score.crps),
        )  # fmt: skip
        rows.append(f"| {' | '.join(cells)} |")
    return head + "\n".join(rows) + "\n"


def _section(one: SetResult) -> str:
    parts = [f"### {one.comparison.title} (`{one.key}`)\n", set_sentence(one) + "\n"]
    if one.yardsticks:
        parts.append("| beside it | figure | ours here | theirs | bias |\n|---|---|---|---|---|")
        for stick in one.yardsticks:
            ours = figure(figure_of(one.score, stick.figure))
            parts.append(
                f"| {stick.name}: {KINDS[stick.kind]} | {stick.figure} | {ours} | {figure(stick.rmse)} | "
                f"{figure(stick.bias, sign=True)} |"
            )
        parts.append("")
    further = [f"{name} {figure(value)}" for name, value in one.score.further.items()]
    if further:
        parts.append(f"Also: {', '.join(further)}.\n")
    parts.append(f"![{one.comparison.title}: charts]({one.key}.svg)\n")
    return "\n".join(parts)
