"""Which rules hold at a site, and how a rule refuses."""

from __future__ import annotations

from datetime import date

from mullbed.domain.garden import Site
from mullbed.domain.refusal import Refusal
from mullbed.domain.safety import SafetyRule
from mullbed.reference.safety_rules import all_safety_rules


def holds(rule: SafetyRule, site: Site) -> bool:
    """Say whether a rule holds for who gardens there and for what threatens the place."""
    return site.profile in rule.profiles and (rule.danger is None or rule.danger in site.dangers)


def in_force(site: Site | None = None) -> tuple[SafetyRule, ...]:
    """Return the rules that hold at a site, in the order of the table; every rule without a site."""
    return tuple(rule for rule in all_safety_rules().values() if site is None or holds(rule, site))


def rule_at(key: str, site: Site) -> SafetyRule | None:
    """Return a rule where it holds at a site, else None; a rule the table does not hold never holds."""
    rule = all_safety_rules().get(key)
    return rule if rule is not None and holds(rule, site) else None


def refused_by(
    rule: SafetyRule, what: str, *, bed: str | None = None, subject: str = "", until: date | None = None
) -> Refusal:
    """Return the refusal of a rule: first what is the matter here, then what the rule says."""
    return Refusal(
        rule=rule.key,
        sentence=f"{what}. {rule.says}" if what else rule.says,
        source=rule.source,
        checked=rule.checked,
        override_allowed=rule.override_allowed,
        mark=rule.mark,
        bed=bed,
        subject=subject,
        until=until,
    )
