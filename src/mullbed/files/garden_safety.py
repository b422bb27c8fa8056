"""What rules of safety ask of a garden file: dangers, what is near a bed, rules set aside with a reason."""

from __future__ import annotations

from datetime import date

from mullbed.domain.bed import Near
from mullbed.domain.garden import Danger
from mullbed.domain.refusal import Override
from mullbed.files import amounts
from mullbed.files.reading import Table, nearest_remedy, shown, shown_text
from mullbed.reference.safety_rules import all_safety_rules

NEAR = ("building", "drain", "water", "well")


def read_dangers(site: Table) -> tuple[Danger, ...]:
    """Return the dangers a site names, each once."""
    value = site.raw("dangers")
    if value is None:
        return ()
    known = [str(one) for one in Danger]
    if not isinstance(value, list) or not all(isinstance(one, str) and one in known for one in value):
        listed = ", ".join(f'"{one}"' for one in known)
        site.fault("dangers", shown(value), f"a list of {listed}", 'Write dangers = ["fire"], or remove the line.')
        return ()
    return tuple(Danger(one) for one in dict.fromkeys(value))


def read_near(bed: Table, start: Near) -> Near:
    """Return how far things are from a bed; what is not told is that of the bed it is like."""
    table = bed.table("near")
    if table is None:
        return start
    told = {
        key: table.parsed(key, amounts.distance, '0 to 10 km, such as "1.5 m" or "6 ft"')
        for key in NEAR
        if table.has(key)
    }
    table.no_others()
    return Near(**{key: told.get(key, getattr(start, key)) for key in NEAR})


def read_overrides(root: Table, beds: tuple[str, ...]) -> tuple[Override, ...]:
    """Return the rules set aside; each needs the rule, a reason, who says so and the day."""
    rules, found = all_safety_rules(), []
    names = {name.casefold(): name for name in beds}
    for table in root.tables("overrides"):
        key = table.text("rule", required='Write rule = "..."; `mullbed cautions` lists the rules.')
        reason = table.text("reason", required='Write reason = "..." in a few words; it is kept.')
        who = table.text("who", required='Write who = "..." with the name of who decided.')
        day: date | None = table.day("day", required="Write day = 2027-03-01.")
        bed, subject = table.text("bed"), table.text("subject")
        table.no_others()
        if key is not None and key not in rules:
            remedy = nearest_remedy(key, list(rules)) or "`mullbed cautions` lists the rules."
            table.fault("rule", shown_text(key), "the key of a rule of safety", remedy)
            continue
        if key is not None and not rules[key].override_allowed:
            remedy = "Remove this table; keep to the rule, or ask whoever the law names."
            table.fault("rule", f"'{key}' cannot be set aside", "rules that a person may set aside", remedy)
            continue
        if bed is not None and bed.casefold() not in names:
            remedy = nearest_remedy(bed, list(names)) or "Name a bed of this garden, or remove the line."
            table.fault("bed", shown_text(bed), ", ".join(beds[:12]), remedy)
            continue
        if key is not None and reason is not None and who is not None and day is not None:
            found.append(Override(key, reason, who, day, None if bed is None else names[bed.casefold()], subject))
    return tuple(found)
