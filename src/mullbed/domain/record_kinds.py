"""The kinds of entry, and for each the facts it holds and the version of their written form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from mullbed.domain.record_batches import BatchDecided, BatchTaken, BeanTestRead, BeanTestSetUp, ContainerWeighed
from mullbed.domain.record_crops import CropTold, Harvested, Sown
from mullbed.domain.record_ground import BedTold, ContainerTold, SiteTold, SupplyTold
from mullbed.domain.record_papers import (
    Document,
    GardenFileKept,
    Incident,
    KeptVerbatim,
    PhotoTaken,
    RuleOverridden,
    TakenBack,
)
from mullbed.domain.record_seen import FieldChecked, Noted, Observed, SoilTested, WeatherDay
from mullbed.domain.record_work import Cost, CoverDrawnBack, DugIn, Fed, HoursWorked, IrrigationSet, LayerLaid, Watered


class Kind(StrEnum):
    """What an entry is about."""

    SITE = "site"
    BED = "bed"
    CONTAINER = "container"
    SUPPLY = "supply"
    BATCH = "batch"
    BATCH_DECISION = "batch decision"
    TEST_SET_UP = "bean test set up"
    TEST_READ = "bean test read"
    WEIGHING = "weighing"
    LAYER = "layer"
    DRAWN_BACK = "cover drawn back"
    WATER = "water"
    IRRIGATION = "irrigation"
    FED = "fed"
    DUG_IN = "dug in"
    SEEN = "seen"
    NOTE = "note"
    FIELD_CHECK = "field check"
    SOIL_TEST = "soil test"
    WEATHER = "weather"
    CROP = "crop"
    SOWN = "sown"
    HARVEST = "harvest"
    HOURS = "hours"
    COST = "cost"
    INCIDENT = "incident"
    OVERRIDE = "override"
    PHOTO = "photo"
    GARDEN_FILE = "garden file"
    PLAN = "plan"
    FORECAST = "forecast"
    LEARNT = "learnt"
    DIAGNOSIS = "diagnosis"
    TRIAL = "trial"
    TRIAL_RESULT = "trial result"
    CARRIED_OVER = "carried over"
    TAKEN_BACK = "taken back"


Facts = (
    SiteTold | BedTold | ContainerTold | SupplyTold | BatchTaken | BatchDecided | BeanTestSetUp | BeanTestRead
    | ContainerWeighed | LayerLaid | CoverDrawnBack | Watered | IrrigationSet | Fed | DugIn | Observed | Noted
    | FieldChecked | SoilTested | WeatherDay | CropTold | Sown | Harvested | HoursWorked | Cost | Incident
    | RuleOverridden | PhotoTaken | GardenFileKept | Document | TakenBack | KeptVerbatim
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Form:
    """How facts of a kind are written."""

    facts: type
    version: int = 1
    """Raised whenever a reader of the former version could not read it rightly."""
    needs_bed: bool = False
    needs_batch: bool = False


#: For each kind, what it holds.
FORMS: Mapping[Kind, Form] = MappingProxyType(
    {
        Kind.SITE: Form(SiteTold),
        Kind.BED: Form(BedTold, needs_bed=True),
        Kind.CONTAINER: Form(ContainerTold),
        Kind.SUPPLY: Form(SupplyTold),
        Kind.BATCH: Form(BatchTaken, needs_batch=True),
        Kind.BATCH_DECISION: Form(BatchDecided, needs_batch=True),
        Kind.TEST_SET_UP: Form(BeanTestSetUp, needs_batch=True),
        Kind.TEST_READ: Form(BeanTestRead, needs_batch=True),
        Kind.WEIGHING: Form(ContainerWeighed),
        Kind.LAYER: Form(LayerLaid, needs_bed=True),
        Kind.DRAWN_BACK: Form(CoverDrawnBack, needs_bed=True),
        Kind.WATER: Form(Watered, needs_bed=True),
        Kind.IRRIGATION: Form(IrrigationSet, needs_bed=True),
        Kind.FED: Form(Fed, needs_bed=True),
        Kind.DUG_IN: Form(DugIn, needs_bed=True),
        Kind.SEEN: Form(Observed, needs_bed=True),
        Kind.NOTE: Form(Noted),
        Kind.FIELD_CHECK: Form(FieldChecked, version=2),
        Kind.SOIL_TEST: Form(SoilTested),
        Kind.WEATHER: Form(WeatherDay),
        Kind.CROP: Form(CropTold, needs_bed=True),
        Kind.SOWN: Form(Sown, needs_bed=True),
        Kind.HARVEST: Form(Harvested, needs_bed=True),
        Kind.HOURS: Form(HoursWorked),
        Kind.COST: Form(Cost),
        Kind.INCIDENT: Form(Incident),
        Kind.OVERRIDE: Form(RuleOverridden),
        Kind.PHOTO: Form(PhotoTaken),
        Kind.GARDEN_FILE: Form(GardenFileKept),
        Kind.PLAN: Form(Document),
        Kind.FORECAST: Form(Document),
        Kind.LEARNT: Form(Document),
        Kind.DIAGNOSIS: Form(Document),
        Kind.TRIAL: Form(Document),
        Kind.TRIAL_RESULT: Form(Document),
        Kind.CARRIED_OVER: Form(Document),
        Kind.TAKEN_BACK: Form(TakenBack),
    }
)
