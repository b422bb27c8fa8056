"""What a residue may not be laid on: scraps and manure by site, sludge, poison, walnut, worms from outside."""

from __future__ import annotations

from mullbed.domain.bed import Bed, BedCrop
from mullbed.domain.garden import Site
from mullbed.domain.refusal import Refusal
from mullbed.domain.residue import Group, Residue, Texture
from mullbed.domain.safety import SafetyRule
from mullbed.reference.crops import all_crops
from mullbed.safety.rules import refused_by, rule_at

#: Rules that bar a residue from a site as such.
BY_SITE = ("scraps_near_livestock", "scraps_at_school", "manure_near_children", "sewage_on_food", "toxic_clippings")
#: What can carry cocoons. Judgement.
CARRIES_WORMS = frozenset({Texture.LEAVES, Texture.CHIPS, Texture.MULL, Texture.WEEDS})


def is_rich(residue: Residue) -> bool:
    """Say whether a residue feeds water with nitrogen when rain washes it: soft fresh matter, scraps, manures."""
    return residue.group is Group.SOFT_FRESH or "raw_manure" in residue.cautions or "kitchen_scraps" in residue.cautions


def grows(rule: SafetyRule, crop: str) -> bool:
    """Say whether a rule speaks of a crop, by its key or its family."""
    known = all_crops().get(crop)
    return crop in rule.crops or (known is not None and known.family in rule.crops)


def site_refusals(
    residue: Residue, site: Site, *, name: str = "", brought_in: bool = False, heated: bool = False
) -> tuple[Refusal, ...]:
    """Return what keeps a residue off every bed of a site.

    Parameters
    ----------
    residue : Residue
    site : Site
    name : str
        Of the supply or batch; the residue's key where empty.
    brought_in : bool
        True for what comes from outside of the garden.
    heated : bool
        True for what was composted as hot and as long as the rules ask.
    """
    subject = name or residue.key
    found = []
    for key in BY_SITE:
        rule = rule_at(key, site)
        exempt = heated and key == "manure_near_children"
        if rule is not None and rule.concerns(residue) and not exempt:
            found.append(refused_by(rule, f"{residue.name} at a {site.profile} garden", subject=subject))
    outside = rule_at("scraps_from_elsewhere", site)
    if outside is not None and brought_in and outside.concerns(residue):
        found.append(refused_by(outside, f"{residue.name} from outside", subject=subject))
    worms = rule_at("jumping_worms", site)
    if worms is not None and brought_in and not heated and residue.texture in CARRIES_WORMS:
        found.append(refused_by(worms, f"{residue.name} from outside", subject=subject))
    return tuple(found)


def juglone_refusal(
    residue: Residue, bed: Bed, site: Site, crops: tuple[BedCrop, ...], name: str = ""
) -> Refusal | None:
    """Return what keeps walnut off a bed with the crops that stand or come there, or None."""
    rule = rule_at("juglone", site)
    harmed = [one for one in crops if rule is not None and grows(rule, one.crop)]
    if rule is None or not rule.concerns(residue) or not harmed:
        return None
    until = max(one.harvested for one in harmed)
    what = f"{residue.name} on {bed.name}, where {harmed[0].crop.replace('_', ' ')} grows"
    return refused_by(rule, what, bed=bed.name, subject=name or residue.key, until=until)
