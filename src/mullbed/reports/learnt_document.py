"""What the record taught as one JSON document."""

from __future__ import annotations

from mullbed.domain.learnt import LearntGarden
from mullbed.domain.spread import Spread
from mullbed.reports.learnt_text import doubt_sentence

Json = dict[str, object]


def learnt_document(learnt: LearntGarden) -> Json:
    """Return the document of `mullbed learnt`."""
    return {
        "beds": {
            bed.bed: {
                "place_rate": _spread(bed.place_rate),
                "runs": bed.runs,
                "entries": [
                    {
                        "day": look.observation.day.isoformat(),
                        "what": look.observation.what,
                        "word": look.observation.word,
                        "value": look.observation.value,
                        "expected": None if look.expected is None else _spread(look.expected),
                        "likely_word": look.likely_word,
                        "chance": look.chance,
                        "slip": look.slip,
                        "surprise": str(look.surprise),
                    }
                    for look in bed.entries
                ],
                "doubt": {
                    one.what: {"before": one.before, "after": one.after, "removed": one.share} for one in bed.removed
                },
                "says": doubt_sentence(bed),
            }
            for bed in learnt.beds
        },
        "containers": [
            {
                "container": one.container,
                "residue": one.residue,
                "fresh_kg": _spread(one.fresh_kg),
                "dry_kg": _spread(one.dry_kg),
                "weighings": one.weighings,
                "known": one.known,
            }
            for one in learnt.containers.fillings
        ],
        "unused": len(learnt.unused),
    }


def _spread(spread: Spread) -> Json:
    return {"low": spread.low, "mid": spread.mid, "high": spread.high}
