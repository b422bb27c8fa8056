"""Soil of a bed: texture by class or by sand and clay, organic matter, and what a soil test said."""

from __future__ import annotations

from mullbed.domain.bed import PhosphorusStatus, Soil
from mullbed.domain.spread import Evidence, Spread
from mullbed.errors import NotFound
from mullbed.files import amounts
from mullbed.files.garden_containers import candidates
from mullbed.files.reading import Table
from mullbed.files.texture_triangle import texture_of
from mullbed.reference.soils import find_texture

UNTESTED_ORGANIC_MATTER = Spread(0.02, 0.035, 0.06, "fraction of dry soil", Evidence.GUESS)
"""Garden soil nobody has tested. Judgement."""
TEST_DOUBT = 0.15
"""Doubt of a laboratory's organic matter, 10th to 90th percentile. Judgement. [1]"""


def read_soil(table: Table) -> Soil | None:
    """Return the soil, or None after noting what is wrong."""
    texture = table.parsed("texture", _texture, 'a texture class such as "sandy loam"')
    sand = table.parsed("sand", amounts.share, '0 to 100 %, such as "60 %"')
    clay = table.parsed("clay", amounts.share, '0 to 100 %, such as "12 %"')
    matter = table.parsed("organic_matter", amounts.share, '0.1 to 40 %, such as "3.5 %"')
    ends = (
        table.parsed("organic_matter_low", amounts.share, '0.1 to 40 %, such as "2 %"'),
        table.parsed("organic_matter_high", amounts.share, '0.1 to 40 %, such as "6 %"'),
    )
    mineral = table.parsed("mineral_nitrogen", amounts.nutrient_load, '0 to 200 g/m2 in 0-60 cm, such as "4 g/m2"')
    phosphorus = table.word("phosphorus", PhosphorusStatus) or PhosphorusStatus.NOT_TESTED
    density = table.number("bulk_density", 200.0, 2000.0, "kg/m3")
    lead = table.number("lead", 0.0, 100_000.0, "mg/kg")
    by_class, by_shares = table.has("texture"), table.has("sand") or table.has("clay")
    table.no_others()
    if matter is not None and not 0.001 <= matter <= 0.4:
        remedy = "Write the share of dry soil as the laboratory gives it."
        table.fault("organic_matter", f"{matter:.1%}", "0.1 to 40 %", remedy)
        return None
    if not _range_holds(table, matter, ends):
        return None
    if by_class and by_shares:
        remedy = "Keep the texture class, or sand and clay, not both."
        table.fault("texture", "given beside sand and clay", "one of the two", remedy)
        return None
    if by_shares:
        if not (table.has("sand") and table.has("clay")):
            table.reading.fault(table.path, "sand or clay is missing", "both", 'Write sand = "60 %" and clay = "12 %".')
            return None
        if sand is None or clay is None:
            return None
        if sand + clay > 1.0:
            remedy = "Give both as shares of the mineral soil; the rest is silt."
            table.fault("clay", f"sand and clay together {sand + clay:.0%}", "at most 100 %", remedy)
            return None
        name = texture_of(sand, clay)
    elif texture is not None:
        name, sand, clay = texture
    else:
        if not by_class:
            remedy = 'Write texture = "loam" (by feel is enough), or sand and clay.'
            table.reading.fault(table.path, "no texture", "texture, or sand and clay", remedy)
        return None
    spread = UNTESTED_ORGANIC_MATTER
    if matter is not None:
        low, high = matter * (1.0 - TEST_DOUBT), matter * (1.0 + TEST_DOUBT)
        spread = Spread(low, matter, high, "fraction of dry soil", Evidence.MEASURED)
        if ends[0] is not None and ends[1] is not None:  # read off a map or a table, not tested
            spread = Spread(ends[0], matter, ends[1], "fraction of dry soil", Evidence.PUBLISHED)
    return Soil(sand, clay, spread, name, mineral, phosphorus, density, lead)


def _range_holds(table: Table, matter: float | None, ends: tuple[float | None, float | None]) -> bool:
    """Tell whether low and high of organic matter are both given, around its middle, or neither."""
    low, high = ends
    given = [end for end in ("low", "high") if table.has(f"organic_matter_{end}")]
    if not given:
        return True
    if len(given) == 2 and low is not None and matter is not None and high is not None and low <= matter <= high:
        return True
    remedy = "Give organic_matter with organic_matter_low and organic_matter_high around it, or leave the two out."
    table.fault(f"organic_matter_{given[0]}", "a range that is not whole", "low, middle and high in order", remedy)
    return False


def _texture(value: object) -> tuple[str, float, float]:
    name = amounts.written(value, "sandy loam")
    try:
        return find_texture(name)
    except NotFound as error:
        raise ValueError(candidates(error)) from error
