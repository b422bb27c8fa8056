"""Lead in the soil: what may grow."""

from __future__ import annotations

from mullbed.domain.bed import Bed
from mullbed.domain.garden import Site
from mullbed.domain.refusal import Refusal
from mullbed.domain.safety import SafetyRule
from mullbed.reference.crops import all_crops
from mullbed.safety.residue_risks import grows
from mullbed.safety.rules import refused_by, rule_at


def lead_rules(lead: float, site: Site) -> tuple[SafetyRule, ...]:
    """Return the rules that a soil's lead calls up, the strictest first; none below the moderate band.

    Parameters
    ----------
    lead : float
        [mg kg-1]
    site : Site
    """
    bands = (
        (rule_at("lead_no_food", site), "above"),
        (rule_at("lead_leaf_and_root", site), "from"),
        (rule_at("lead_covered", site), "moderate_from"),
    )
    found = []
    for rule, name in bands:
        if rule is not None and (lead > rule.number(name) or (name != "above" and lead == rule.number(name))):
            found.append(rule)
    return tuple(found)


def lead_refusals(bed: Bed, crop: str, site: Site) -> tuple[Refusal, ...]:
    """Return what keeps a crop out of a bed's soil: the strictest rule its lead breaks."""
    known = all_crops().get(crop)
    eaten = known is None or not ("cover_crop" in known.key or "flowers" in known.key)
    if bed.soil.lead is None or not eaten:
        return ()
    for rule in lead_rules(bed.soil.lead, site):
        if rule.key == "lead_no_food" or (rule.key == "lead_leaf_and_root" and grows(rule, crop)):
            what = f"{bed.name} holds {bed.soil.lead:g} mg/kg of lead and {crop.replace('_', ' ')} is to grow there"
            return (refused_by(rule, what, bed=bed.name, subject=crop),)
    return ()
