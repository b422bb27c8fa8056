"""How heavy a filled container is, and when to take half loads."""

from __future__ import annotations

import math

from mullbed.domain.filling import container_mass
from mullbed.domain.residue import Residue
from mullbed.domain.safety import Load
from mullbed.domain.supply import Container
from mullbed.reference.safety_rules import all_safety_rules

#: Dry matter that was rained on weighs up to so many times as much. Judgement. [1]
RAINED_ON = 1.5
#: Of a normal distribution. [standard deviations]
NINETIETH = 1.2815515655446004


def load_of(residue: Residue, container: Container, others: tuple[Container, ...] = ()) -> Load:
    """Return the load of a container filled with a residue.

    Parameters
    ----------
    residue : Residue
    container : Container
        Its own weighing of the residue is used where there is one.
    others : tuple of Container
        Own containers whose weighings serve too.
    """
    limit = all_safety_rules()["lifting"].numbers["one_person"]
    mass = container_mass(residue, container, others=others)
    heaviest = mass.fresh_kg * math.exp(NINETIETH * mass.log_sd) * (1.0 if residue.fresh else RAINED_ON)
    parts = max(1, math.ceil(mass.fresh_kg / limit.value), 2 if heaviest > limit.value else 1)
    return Load(heaviest, mass.fresh_kg, limit.value, parts, mass.evidence, limit.source, limit.mark)
