"""Beds of the garden file: sizes, soils, water, what grows and lies there; many alike by ``like`` and ``count``."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from mullbed.domain.bed import Bed, DatedInput, Irrigation, Near, Soil, Watering
from mullbed.domain.supply import Container, Supply
from mullbed.files import amounts
from mullbed.files.garden_crops import CropEntry, read_crops
from mullbed.files.garden_layers import LaidEntry, read_inputs, read_layers
from mullbed.files.garden_safety import read_near
from mullbed.files.garden_soil import read_soil
from mullbed.files.outline import Outline, outline_area, read_outline
from mullbed.files.reading import Table, nearest_remedy, shown

NOT_WATERED = Watering()
NOTHING_NEAR = Near()
MOST_BEDS = 2000
MOST_ALIKE = 500
SMALLEST_BED, LARGEST_BED = 0.01, 10_000.0
"""[m2]"""


class Cover(StrEnum):
    """Whether rain reaches the bed."""

    OPEN = "open"
    TUNNEL = "tunnel"


@dataclass(frozen=True, slots=True)
class BedEntry:
    """A bed as written; what is missing may come from the bed it is like."""

    name: str
    area: float | None = None
    outline: Outline | None = None
    soil: Soil | None = None
    watering: Watering = NOT_WATERED
    under_cover: bool = False
    shade: float = 0.0
    crops: tuple[CropEntry, ...] = ()
    laid: tuple[LaidEntry, ...] = ()
    inputs: tuple[DatedInput, ...] = ()
    near: Near = NOTHING_NEAR
    sound: bool = True
    """False when a fault was noted that leaves the bed out."""


class BedReader:
    """Reads beds one after the other, from the garden file and from a list beside it."""

    def __init__(
        self,
        season: tuple[date, date],
        containers: tuple[Container, ...],
        soil: Soil | None,
        *,
        soil_faulty: bool = False,
    ) -> None:
        self.beds: list[Bed] = []
        self.supplies: list[Supply] = []
        """What crops carried off give."""
        self._season = season
        self._containers = containers
        self._soil = soil
        self._soil_faulty = soil_faulty
        self._entries: dict[str, BedEntry] = {}

    def read(self, table: Table) -> None:
        """Read one table of beds; every fault is noted."""
        name = table.text("name", required='Write name = "..." for the bed.')
        like = table.text("like")
        count = table.whole("count", 1, MOST_ALIKE, "beds")
        counted = table.has("count")
        start = BedEntry(name or "", soil=self._soil)
        base = self._entries.get(like.casefold()) if like else None
        if like and base is None:
            known = [entry.name for entry in self._entries.values()]
            remedy = nearest_remedy(like, [word.casefold() for word in known]) or "Write the bed it is like above it."
            table.fault("like", shown(like), "a bed described above: " + (", ".join(known[:12]) or "none yet"), remedy)
        entry = self._entry(table, base or start, name or "", inherits=like is not None)
        table.no_others()
        if name is None or (counted and count is None):
            return
        if name.casefold() in self._entries:
            table.fault("name", f"'{name}' twice", "each bed once", "Give one of them another name.")
            return
        self._entries[name.casefold()] = entry
        names = [f"{name} {number}" for number in range(1, (count or 0) + 1)] if counted else [name]
        if len(self.beds) + len(names) > MOST_BEDS:
            table.fault(
                "name", f"more than {MOST_BEDS} beds", f"at most {MOST_BEDS} beds", "Part the garden in two files."
            )
            return
        if entry.sound:
            for bed_name in names:
                self._add(table, entry, bed_name)

    def _entry(self, table: Table, start: BedEntry, name: str, *, inherits: bool) -> BedEntry:
        """Return the bed as written, beginning from the bed it is like."""
        before = len(table.reading.faults)
        area, outline = _size(table)
        if area is None and start.area is not None and not _has_size(table):
            area, outline = start.area, start.outline
        if area is None and not inherits and len(table.reading.faults) == before:
            remedy = 'Write size = "1.2 m x 6 m", or area = "7.2 m2", or an outline of corners in metres.'
            table.reading.fault(table.path, "no area", "size, area or outline", remedy)
        soil = start.soil
        soil_table = table.table("soil")
        if soil_table is not None:
            soil = read_soil(soil_table)
        elif soil is None and not inherits and not self._soil_faulty:
            remedy = 'Write soil = { texture = "loam", organic_matter = "3.5 %" }, or a [soil] for all beds.'
            table.reading.fault(table.path, "no soil", "soil of the bed or of the garden", remedy)
        cover = table.word("cover", Cover)
        shade = table.parsed("shade", amounts.share, '0 to 1 of the sun kept off, such as "30 %"')
        watering = _watering(table, area, start.watering)
        crops = read_crops(table, self._season, self._containers) if table.has("crops") else start.crops
        laid = start.laid
        if table.has("layers"):
            laid = read_layers(table, self._season, self._containers)
        elif area is not None and start.area is not None and area != start.area:
            laid = tuple(layer.scaled(area / start.area) for layer in start.laid)
        inputs = read_inputs(table, self._season) if table.has("inputs") else start.inputs
        near = read_near(table, start.near)
        return BedEntry(
            name=name,
            area=area,
            outline=outline,
            soil=soil,
            watering=watering,
            under_cover=start.under_cover if cover is None else cover is Cover.TUNNEL,
            shade=start.shade if shade is None else shade,
            crops=crops,
            laid=laid,
            inputs=inputs,
            near=near,
            sound=start.sound and area is not None and soil is not None and len(table.reading.faults) == before,
        )

    def _add(self, table: Table, entry: BedEntry, name: str) -> None:
        if entry.area is None or entry.soil is None:
            return
        if any(bed.name.casefold() == name.casefold() for bed in self.beds):
            table.fault("name", f"'{name}' twice", "each bed once", "Give one of them another name.")
            return
        layers = [laid.layer(name, entry.area, self._containers) for laid in entry.laid]
        self.beds.append(
            Bed(
                name=name,
                area=entry.area,
                soil=entry.soil,
                watering=entry.watering,
                crops=tuple(crop.crop for crop in entry.crops),
                layers=tuple(layer for layer in layers if layer is not None),
                inputs=entry.inputs,
                under_cover=entry.under_cover,
                shade=entry.shade,
                outline=entry.outline,
                near=entry.near,
            )
        )
        for crop in entry.crops:
            if crop.gives is not None and crop.gives.container is not None:
                self.supplies.append(
                    Supply(
                        residue=crop.gives.residue.key,
                        container=crop.gives.container.name,
                        count=crop.gives.amount,
                        first_day=crop.crop.harvested,
                        name=f"{crop.gives.residue.name} from {name}",
                    )
                )


def _has_size(table: Table) -> bool:
    return sum(table.has(key) for key in ("size", "area", "outline")) > 0


def _size(table: Table) -> tuple[float | None, Outline | None]:
    """Return area and outline, from whichever of size, area and outline is given."""
    given = [key for key in ("size", "area", "outline") if table.has(key)]
    if len(given) > 1:
        remedy = "Keep one of them."
        table.fault(given[1], f"given beside {given[0]}", "one of size, area and outline", remedy)
        return None, None
    if table.has("outline"):
        outline = read_outline(table)
        if outline is None:
            return None, None
        area = outline_area(outline)
        if not SMALLEST_BED <= area <= LARGEST_BED:
            remedy = "Give the corners in metres, in order round the bed."
            table.fault("outline", f"{area:g} m2", f"{SMALLEST_BED:g} to {LARGEST_BED:g} m2", remedy)
            return None, None
        return area, outline
    allowed = '0.01 m2 to 1 ha, such as "1.2 m x 6 m" or "60 ft2"'
    key = given[0] if given else "size"
    return table.parsed(key, amounts.area, allowed), None


def _watering(table: Table, area: float | None, start: Watering) -> Watering:
    way = table.word("watering", Irrigation)
    moist = table.flag("kept_moist")
    depth: float | None = None
    if area is not None:
        allowed = '0 to 300 mm a week, as litres for the bed such as "40 L" or a depth such as "25 mm"'
        depth = table.parsed("water_per_week", lambda value: amounts.weekly_water(value, area), allowed)
    weekly, moist_given = table.has("water_per_week"), table.has("kept_moist")
    if way is Irrigation.NONE and (weekly or moist):
        remedy = 'Write watering = "by hand" or "drip", or remove the water.'
        table.fault("watering", "none, yet water is given", "by hand | drip", remedy)
    if weekly and moist:
        remedy = "Keep litres a week, or kept_moist = true."
        table.fault("kept_moist", "given beside water_per_week", "one of the two", remedy)
    if way is None and (weekly or moist) and start.way is Irrigation.NONE:
        way = Irrigation.BY_HAND
    if way is Irrigation.NONE:
        return Watering()
    watering = start if way is None else replace(start, way=way)
    if weekly:
        return replace(watering, depth_per_week=depth, kept_moist=False)
    return (
        replace(watering, kept_moist=moist, depth_per_week=None if moist else watering.depth_per_week)
        if (moist_given)
        else watering
    )
