"""Write the garden of the record back as a garden file, with all it names.

Reads the record, writes nothing. Raises InputFault where no garden is kept.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from mullbed.domain.garden import Garden
from mullbed.domain.signing import Where
from mullbed.errors import Fault, InputFault
from mullbed.files.garden_writer import garden_toml
from mullbed.files.record_garden import GARDEN_FILE, GARDEN_KINDS, kept_garden, parsed_text
from mullbed.store.database import open_record
from mullbed.store.journal import entries
from mullbed.store.which_garden import which_garden


@dataclass(frozen=True, slots=True)
class WrittenGarden:
    """A garden file and what lies beside it."""

    garden: Garden
    files: dict[str, str]
    """Texts by name: the garden file, and its weather file where it has one."""
    as_given: bool
    """True where it is the very file that was kept, remarks and all."""

    @property
    def text(self) -> str:
        """The garden file."""
        return self.files[GARDEN_FILE]


def write_garden(where: Where) -> WrittenGarden:
    """Return the garden file of the record: the very text where nothing was told since, else written anew.

    Raises
    ------
    InputFault
        When the record holds no garden.
    """
    with open_record(where.record) as record, record.reading() as transaction:
        identity = which_garden(transaction, where.garden)
        kept = kept_garden(entries(transaction, identity, kinds=GARDEN_KINDS))
    if kept is None:
        remedy = "Begin with: mullbed garden new garden.toml"
        raise InputFault([Fault("record", f"no garden file of {identity}", "a garden", remedy)])
    as_given = kept.text is not None and parsed_text(kept.text) == kept.garden
    files = {GARDEN_FILE: kept.text if kept.text is not None and as_given else garden_toml(kept.garden, Path())}
    station = kept.garden.site.weather.daily_file
    if station is not None and kept.station_text is not None:
        files[station.name] = kept.station_text
    return WrittenGarden(kept.garden, files, as_given)
