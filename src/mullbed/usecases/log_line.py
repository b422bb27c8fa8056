"""Keep one line in the record: work done, things seen, weather, batches.

Reads the garden as the record tells it, writes one entry. Raises InputFault with everything in the line that cannot
be understood, RecordError when the record cannot be written.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path
from types import MappingProxyType

from mullbed.diagnose.symptoms import all_signs
from mullbed.domain.bed import Bed, Irrigation, Watering
from mullbed.domain.garden import Garden
from mullbed.domain.layer import Layer
from mullbed.domain.record import Entry, correction, is_entry_id, withdrawal
from mullbed.domain.record_batches import (
    Answer,
    BatchDecided,
    BatchTaken,
    BeanTestRead,
    BeanTestSetUp,
    ContainerWeighed,
    Decision,
    TestVerdict,
)
from mullbed.domain.record_crops import Harvested, Sown
from mullbed.domain.record_kinds import Facts, Kind
from mullbed.domain.record_papers import Document, GardenFileKept, Incident, RuleOverridden
from mullbed.domain.record_seen import Noted, Observed, RainExpected, SoilTested, TestedValue, WeatherDay
from mullbed.domain.record_work import (
    Cost,
    CoverDrawnBack,
    DugIn,
    Fed,
    HoursWorked,
    IrrigationSet,
    LayerLaid,
    LiftLaid,
    Watered,
)
from mullbed.domain.refusal import Refusal, parted
from mullbed.domain.safety import IntakeAnswers
from mullbed.domain.signing import Kept, Signature, Where
from mullbed.domain.supply import Container
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.files import amounts
from mullbed.files.noted_words import (
    batch_typed,
    bed_named,
    depth_of_water,
    harvest_mass,
    layer_typed,
    observation_typed,
    of_which_heap,
    rain_typed,
    temperature_typed,
    weighing_typed,
)
from mullbed.files.record_garden import GARDEN_KINDS, document_content, kept_garden
from mullbed.files.usual_weather import USUAL_FILE, filled, read_usual
from mullbed.reference.crops import find_crop
from mullbed.safety.heaps_meant import heaps_meant
from mullbed.safety.hygiene import intake_verdict
from mullbed.safety.record_states import layer_refusals
from mullbed.safety.refusals import sowing_is_refused
from mullbed.store.database import Record, Transaction, open_record
from mullbed.store.journal import append, entries, entry, history, latest
from mullbed.store.photos import keep_photo
from mullbed.store.which_garden import which_garden
from mullbed.units import Kind as UnitKind
from mullbed.units import parse_as

#: A bean test is read two and three weeks after sowing. Published: extension_leaflets (2-3 weeks). [d]
TEST_DAYS = (14, 21)
#: A plan's layer so many days away is the one that was laid. Judgement. [d]
PLANNED_WITHIN = 14
#: Entries rules of safety look at.
SAFETY_KINDS = (Kind.BATCH, Kind.BATCH_DECISION, Kind.TEST_READ, Kind.OVERRIDE)


@dataclass(frozen=True, slots=True)
class Line:
    """What every line may say beside its own: whose, when, what it corrects."""

    where: Where
    signed: Signature
    day: date | None = None
    """None for today."""
    corrects: str | None = None
    """Id of the entry it puts right, or its last letters."""
    words: str = ""
    """Free words kept with it."""


@dataclass(frozen=True, slots=True)
class _Open:
    """The record while one line is kept."""

    record: Record
    transaction: Transaction
    id: str
    garden: Garden
    line: Line
    carried_over_on: date | None
    texts: dict[str, str] = field(default_factory=dict)

    @property
    def day(self) -> date:
        return self.line.day or self.line.signed.today

    @property
    def containers(self) -> tuple[Container, ...]:
        return self.garden.containers

    def bed(self, name: str) -> Bed:
        return bed_named(self.garden, name)


@contextmanager
def _opened(line: Line) -> Iterator[_Open]:
    """Open the record for one line; what is kept is kept whole."""
    _check_day(line)
    with open_record(line.where.record) as record, record.writing() as transaction:
        identity = which_garden(transaction, line.where.garden)
        told = entries(transaction, identity, kinds=GARDEN_KINDS)
        kept = kept_garden(told)
        if kept is None:
            remedy = "Begin with: mullbed garden new garden.toml"
            raise InputFault([Fault("record", f"no garden file of {identity}", "a garden", remedy)])
        texts = {one.facts.name: one.facts.text for one in told if isinstance(one.facts, GardenFileKept)}
        try:
            yield _Open(record, transaction, identity, kept.garden, line, kept.carried_over_on, texts)
        except ValueError as error:  # facts refuse what cannot be
            raise InputFault([Fault("line", f"{error}", "what can be", "Check the numbers.")]) from error


def _check_day(line: Line) -> None:
    if line.day is not None and line.day > line.signed.today + timedelta(days=1):
        found = f"{line.day} is still to come"
        raise InputFault(
            [Fault("--day", found, f"up to {line.signed.today}", "Write down what was, not what will be.")]
        )


def _keep(
    at: _Open,
    kind: Kind,
    facts: Facts,
    *,
    bed: Bed | None = None,
    batch: str | None = None,
    planned_day: date | None = None,
) -> Kept:
    line, signed = at.line, at.line.signed
    replaced: Entry | None = None
    if line.corrects is not None:
        replaced = _found(at.transaction, at.id, line.corrects)
        if replaced.kind != kind:
            remedy = "Take the old one back and write a new one."
            found = f"{replaced.kind}, but this line is about {kind}"
            raise InputFault([Fault("--corrects", found, f"an entry about {kind}", remedy)])
        new = correction(replaced, facts, id=signed.new_id(), written_at=signed.now, author=signed.author, day=line.day)
        new = replace(new, bed=bed.name if bed is not None else None, batch=batch)
    else:
        new = Entry(
            signed.new_id(), at.id, kind, at.day, signed.now, signed.author, facts,
            bed=bed.name if bed is not None else None, batch=batch,
        )  # fmt: skip
    append(at.transaction, [new])
    remarks = []
    if at.carried_over_on is not None and new.day <= at.carried_over_on:
        remarks.append("before the carry-over")
    area = bed.area if bed is not None else None
    return Kept(new, area, at.garden.site.units, replaced, tuple(remarks), planned_day=planned_day)


def _found(transaction: Transaction, garden: str, asked: str) -> Entry:
    """Return the entry of an id, of its last six letters or more, or the last one written.

    Raises
    ------
    NotFound
        When there is none, or more than one.
    """
    if is_entry_id(asked):
        whole = entry(transaction, asked)
        if whole is not None and whole.garden == garden:
            return whole
    recent = entries(transaction, garden, newest=400)
    if asked.casefold() == "last" and recent:
        return max(recent, key=lambda one: (one.written_at, one.id))
    ending = [one for one in recent if len(asked) >= 6 and one.id.casefold().endswith(asked.casefold())]
    if len(ending) == 1:
        return ending[0]
    raise NotFound("entry", asked, [one.id for one in ending[:3]])


def log_layer(
    line: Line,
    bed: str,
    lifts: Sequence[str],
    *,
    water: str | None = None,
    minutes: float | None = None,
    although: str | None = None,
) -> Kept:
    """Keep a layer as it was really laid; amounts as typed, lifts from the soil up.

    Where one heap of a residue is held and another is not, the lift says which: "hay: 1 bale, of lane hay". What rules
    of safety refuse is kept only with a reason, ``although``, and the reason is kept beside it.
    """
    with _opened(line) as at:
        here = at.bed(bed)
        layer = layer_typed(here, at.day, lifts, water, at.containers)
        told = entries(at.transaction, at.id, kinds=SAFETY_KINDS)
        heaps = heaps_meant(layer, [of_which_heap(text)[1] for text in lifts], told, at.garden, at.day)
        said = [of_which_heap(text)[0].rpartition(":")[2].strip() for text in lifts]
        laid = tuple(LiftLaid(*one) for one in zip(layer.lifts, said, heaps, strict=True))
        plan, planned_day = _planned(at, here.name)
        facts = LayerLaid(laid, layer.water, plan, planned_day, minutes, None, line.words)
        refused, _ = layer_refusals(facts, told, at.garden, here, at.day)
        _refuse(refused, although)
        kept = _keep(at, Kind.LAYER, facts, bed=here, planned_day=planned_day)
        for one in refused:
            _set_aside(at, one, although or "", kept.entry.id, here)
        return kept


def _refuse(
    refused: Sequence[Refusal],
    although: str | None,
    *,
    what: str = "layer",
    otherwise: str = "Take it off the bed, and write it down with: mullbed log incident.",
) -> None:
    """Refuse what rules of safety forbid, but for those a person may set aside and gave a reason for."""
    reason = (although or "").strip()
    faults = []
    for one in refused:
        if one.override_allowed and reason:
            continue
        remedy = (
            'Add --although "reason" if it was done all the same; the reason is kept.'
            if one.override_allowed
            else otherwise
        )
        faults.append(Fault(what, one.told(), "what rules of safety let through", remedy))
    if faults:
        raise InputFault(faults)


def _set_aside(at: _Open, refusal: Refusal, reason: str, layer: str, bed: Bed) -> None:
    """Keep that a rule was set aside for one layer, by whom and why."""
    signed = at.line.signed
    facts = RuleOverridden(refusal.rule, reason.strip(), signed.author, refusal.source, layer)
    new = Entry(signed.new_id(), at.id, Kind.OVERRIDE, at.day, signed.now, signed.author, facts, bed=bed.name)
    append(at.transaction, [new])


def _planned(at: _Open, bed: str) -> tuple[str | None, date | None]:
    """Return the plan's entry and the day of its layer nearest to this one, where it has one."""
    plan = latest(at.transaction, at.id, Kind.PLAN)
    if plan is None or not isinstance(plan.facts, Document):
        return None, None
    layers = document_content(plan.facts).get("layers")
    days = [
        date.fromisoformat(one["layer"]["day"])
        for one in (layers if isinstance(layers, list) else [])
        if one["layer"]["bed"] == bed
    ]
    near = min(days, key=lambda day: abs((day - at.day).days), default=None)
    if near is None or abs((near - at.day).days) > PLANNED_WITHIN:
        return None, None
    return plan.id, near


def log_water(line: Line, bed: str, amount: str) -> Kept:
    """Keep water given to a bed: cans, litres or a depth."""
    with _opened(line) as at:
        here = at.bed(bed)
        depth = depth_of_water(amount, here.area, at.containers)
        return _keep(at, Kind.WATER, Watered(depth, said=amount.strip()), bed=here)


def log_drawn_back(line: Line, bed: str, *, share: float = 1.0, put_back: bool = False) -> Kept:
    """Keep that cover was drawn off the soil, or put back."""
    with _opened(line) as at:
        return _keep(at, Kind.DRAWN_BACK, CoverDrawnBack(share, line.words, put_back), bed=at.bed(bed))


def log_irrigation(line: Line, bed: str, way: Irrigation, *, per_week: str | None = None, moist: bool = False) -> Kept:
    """Keep how a bed is watered from the day on: litres or a depth a week, or kept moist."""
    with _opened(line) as at:
        here = at.bed(bed)
        depth = None
        if per_week is not None:
            try:
                depth = amounts.weekly_water(per_week, here.area)
            except ValueError as error:
                raise InputFault([Fault("--per-week", f"'{per_week}'", "litres or a depth", str(error))]) from error
        if (way is Irrigation.NONE and (depth is not None or moist)) or (depth is not None and moist):
            remedy = "Say none, litres a week, or kept moist."
            raise InputFault([Fault("irrigation", "two ways at once", "one of them", remedy)])
        return _keep(at, Kind.IRRIGATION, IrrigationSet(Watering(way, depth, moist)), bed=here)


def log_fed(
    line: Line, bed: str, name: str, nitrogen: str, *, phosphorus: str | None = None, mineral_share: float = 0.0
) -> Kept:
    """Keep compost, fertiliser or another input, as nutrients per area."""
    with _opened(line) as at:
        loads = []
        for place, text in (("nitrogen", nitrogen), ("--phosphorus", phosphorus)):
            try:
                loads.append(0.0 if text is None else amounts.nutrient_load(text))
            except ValueError as error:
                raise InputFault([Fault(place, f"'{text}'", 'such as "6 g/m2"', str(error))]) from error
        facts = Fed(_said(name, "name"), loads[0], mineral_share, loads[1], None, nitrogen.strip())
        return _keep(at, Kind.FED, facts, bed=at.bed(bed))


def log_dug_in(line: Line, bed: str, depth: str) -> Kept:
    """Keep that what lay on a bed was turned into the soil."""
    with _opened(line) as at:
        metres = parse_as(depth, UnitKind.LENGTH, "depth", "cm")
        if not 0.01 <= metres <= 0.6:
            raise InputFault([Fault("depth", f"{metres:g} m", "1 to 60 cm", "Check number and unit.")])
        return _keep(at, Kind.DUG_IN, DugIn(metres), bed=at.bed(bed))


def log_seen(line: Line, bed: str, words: Sequence[str], *, repeats: int = 1) -> Kept:
    """Keep what was seen, smelt, felt or measured on a bed."""
    with _opened(line) as at:
        here = at.bed(bed)
        seen = observation_typed(here.name, at.day, words, repeats=repeats)
        said = " ".join(words)
        facts = Observed(seen.what, seen.word, seen.value, seen.error, seen.repeats, said, words=line.words)
        return _keep(at, Kind.SEEN, facts, bed=here)


def log_note(line: Line, text: str, *, bed: str | None = None) -> Kept:
    """Keep a note in the grower's own words."""
    with _opened(line) as at:
        return _keep(at, Kind.NOTE, Noted(_said(text, "note")), bed=at.bed(bed) if bed is not None else None)


def log_signs(line: Line, bed: str, signs: Sequence[str]) -> tuple[Kept, ...]:
    """Keep signs that were noticed: each as an observation where one says the same, the rest as one note of signs."""
    known = all_signs()
    if not signs or not set(signs) <= set(known):
        near = ", ".join(key for key in known)
        raise InputFault([Fault("signs", ", ".join(signs)[:120] or "none", near, "Choose what you noticed.")])
    kept = []
    with _opened(line) as at:
        here = at.bed(bed)
        noted = [known[key] for key in dict.fromkeys(signs) if not known[key].observed]
        for key in dict.fromkeys(signs):
            for what, word in known[key].observed:
                facts = Observed(what, word, said=known[key].name, words=line.words)
                kept.append(_keep(at, Kind.SEEN, facts, bed=here))
        if noted:
            words = ", ".join(one.name for one in noted)
            facts_of_note = Noted(words, tuple(one.key for one in noted))
            kept.append(_keep(at, Kind.NOTE, facts_of_note, bed=here))
    return tuple(kept)


def kept_entries(where: Where, ids: Sequence[str]) -> tuple[Entry, ...]:
    """Return the entries of some ids that are kept in this garden, whether they hold or not, in the order asked."""
    with open_record(where.record) as record, record.reading() as transaction:
        identity = which_garden(transaction, where.garden)
        found = [entry(transaction, one) for one in ids if is_entry_id(one)]
    return tuple(one for one in found if one is not None and one.garden == identity)


def log_photo(line: Line, file: Path, *, bed: str | None = None, place: str = "") -> Kept:
    """Keep a picture beside the record, under its own digest."""
    try:
        content = file.read_bytes()
    except OSError as error:
        found = error.strerror or "it cannot be read"
        raise InputFault([Fault(str(file), found, "a picture", "Check the path.")]) from error
    with _opened(line) as at:
        facts = keep_photo(at.record, at.transaction, content, line.words, place)
        return _keep(at, Kind.PHOTO, facts, bed=at.bed(bed) if bed is not None else None)


def log_weighed(line: Line, text: str, *, pressed: bool = False) -> Kept:
    """Keep the weighing of full containers."""
    with _opened(line) as at:
        residue, container, kilograms = weighing_typed(text, at.containers)
        facts = ContainerWeighed(container.name, residue.key, kilograms, pressed, line.words)
        return _keep(at, Kind.WEIGHING, facts)


def log_sown(
    line: Line,
    bed: str,
    crop: str,
    *,
    share: float | None = None,
    planted: bool | None = None,
    variety: str = "",
    cleared: bool = False,
    although: str | None = None,
) -> Kept:
    """Keep a sowing or planting; what is not said is as the garden file has it.

    Seed that goes in too soon after a soft fresh layer, or a crop that lead in the soil forbids, is kept only with a
    reason; ``cleared`` says that the slot was cleared of the layer.
    """
    with _opened(line) as at:
        here = at.bed(bed)
        row = _crop(crop)
        meant = min(
            (one for one in here.crops if one.crop == row),
            key=lambda one: abs((one.planted - at.day).days),
            default=None,
        )
        direct = find_crop(row).sown_direct if meant is None else meant.sown_direct
        part = share if share is not None else (meant.share if meant is not None else 1.0)
        facts = Sown(row, direct if planted is None else not planted, part, variety, None, line.words)
        refused = _sowing_refused(at, here, row, seed=facts.direct, cleared=cleared)
        _refuse(refused, although, what="sowing", otherwise="Take it out, and grow something else there.")
        kept = _keep(at, Kind.SOWN, facts, bed=here)
        for one in refused:
            _set_aside(at, one, although or "", kept.entry.id, here)
        return kept


def _sowing_refused(at: _Open, bed: Bed, crop: str, *, seed: bool, cleared: bool) -> tuple[Refusal, ...]:
    """Return the rules that speak against a sowing, with the layers the record tells of."""
    told = entries(at.transaction, at.id, kinds=(Kind.LAYER,), bed=bed.name, last_day=at.day)
    laid = tuple(
        Layer(bed.name, one.day, tuple(lift.lift for lift in one.facts.lifts), one.facts.water)
        for one in told
        if isinstance(one.facts, LayerLaid)
    )
    here = replace(bed, layers=(*bed.layers, *laid))
    slot = Answer.YES if cleared or not seed else Answer.NO
    found = sowing_is_refused(crop, here, at.day, at.garden.site, at.garden.limits, in_cleared_slot=slot)
    return parted(found, at.garden.overrides)[0]


def log_harvest(line: Line, bed: str, crop: str, mass: str, *, last: bool = False, plot: str | None = None) -> Kept:
    """Keep a harvest, weighed; ``last`` when the crop is cleared."""
    with _opened(line) as at:
        here = at.bed(bed)
        facts = Harvested(_crop(crop), harvest_mass(mass), plot, None, last, None, mass.strip(), line.words)
        return _keep(at, Kind.HARVEST, facts, bed=here)


def _crop(name: str) -> str:
    try:
        return find_crop(name).key
    except NotFound as error:
        near = f"Did you mean {', '.join(error.nearest[:4])}?" if error.nearest else "`mullbed crops` lists them."
        raise InputFault([Fault("crop", f"'{name}'", "a crop of the table", near)]) from error


def log_weather(
    line: Line,
    *,
    rain: str | None = None,
    low: str | None = None,
    high: str | None = None,
    expected: RainExpected | None = None,
) -> Kept:
    """Keep a day's weather: the rain gauge, the low and high, and rain expected in words."""
    if (rain, low, high, expected) == (None, None, None, None):
        remedy = "Write --rain 12mm, --low 4, --high 15, or --expected some."
        raise InputFault([Fault("weather", "nothing", "at least one reading", remedy)])
    with _opened(line) as at:
        told = WeatherDay(
            None if rain is None else rain_typed(rain, "--rain"),
            None if low is None else temperature_typed(low, "--low"),
            None if high is None else temperature_typed(high, "--high"),
            expected,
            words=line.words,
        )
        before = latest(at.transaction, at.id, Kind.WEATHER)
        kept = _keep(at, Kind.WEATHER, told)
        whole = filled(told, at.day, read_usual(at.texts.get(USUAL_FILE, "")))
        usual = tuple((name, float(getattr(whole, name))) for name in whole.filled if getattr(whole, name) is not None)
        unread = max(0, (at.day - before.day).days - 1) if before is not None else 0
        return replace(kept, usual=usual, unread=unread)


def log_batch(
    line: Line,
    text: str,
    *,
    name: str | None = None,
    origin: str = "",
    sprayed: Answer = Answer.NOT_KNOWN,
    seeded: Answer = Answer.NOT_KNOWN,
    diseased: Answer = Answer.NOT_KNOWN,
    on_soil: Answer = Answer.NOT_KNOWN,
    decision: Decision | None = None,
    because: str = "",
) -> Kept:
    """Keep a batch that was offered, its intake check and what becomes of it; where nobody decided, the answers do."""
    with _opened(line) as at:
        residue, container, count = batch_typed(text, at.containers)
        answers = IntakeAnswers(sprayed, seeded, diseased, on_soil)
        called = name or f"{residue.key.replace('_', ' ')} of {at.day.isoformat()}"
        verdict = intake_verdict(answers, residue, called, at.garden.site)
        decided, reason = verdict.decision, verdict.short
        if decision is not None:
            decided, reason = decision, because or (reason if decision is decided else "")
        hold = at.day + timedelta(days=TEST_DAYS[-1]) if decided is Decision.HOLD_AND_TEST else None
        facts = BatchTaken(
            residue.key, container.name, count, decided, because or reason or "looked sound", line.signed.author,
            sprayed, seeded, diseased, on_soil, origin, None, hold,
        )  # fmt: skip
        return _keep(at, Kind.BATCH, facts, batch=called)


def log_decision(line: Line, batch: str, decision: Decision, because: str) -> Kept:
    """Keep a later decision on a batch."""
    with _opened(line) as at:
        name = _batch(at, batch)
        hold = at.day + timedelta(days=TEST_DAYS[-1]) if decision is Decision.HOLD_AND_TEST else None
        facts = BatchDecided(decision, _said(because, "--because"), line.signed.author, None, hold)
        return _keep(at, Kind.BATCH_DECISION, facts, batch=name)


def log_test_set_up(line: Line, batch: str, *, pots: int = 3, control_pots: int = 3, beans: int = 3) -> Kept:
    """Keep that a bean test was sown; it is read after two and three weeks."""
    with _opened(line) as at:
        due = tuple(at.day + timedelta(days=days) for days in TEST_DAYS)
        facts = BeanTestSetUp(pots, control_pots, beans, due, line.words)
        return _keep(at, Kind.TEST_SET_UP, facts, batch=_batch(at, batch))


def log_test_read(line: Line, batch: str, verdict: TestVerdict, *, last: bool = True) -> Kept:
    """Keep a reading of a bean test; a last one that is clear frees the batch, one that is harmed sends it back."""
    with _opened(line) as at:
        name = _batch(at, batch)
        set_up = latest(at.transaction, at.id, Kind.TEST_SET_UP, batch=name)
        if set_up is None:
            remedy = f'Write: mullbed log test "{name}"'
            raise InputFault([Fault("batch", f"no bean test of '{name}' is kept", "a test that was sown", remedy)])
        facts = BeanTestRead(set_up.id, verdict, last=last, words=line.words)
        kept = _keep(at, Kind.TEST_READ, facts, batch=name)
        freed = {TestVerdict.CLEAR: Decision.KEEP, TestVerdict.HARMED: Decision.SEND_BACK}.get(verdict)
        if freed is not None and (last or freed is Decision.SEND_BACK):
            reason = f"bean test {verdict}"
            signed = line.signed
            told = BatchDecided(freed, reason, signed.author, kept.entry.id)
            decided = Entry(
                signed.new_id(), at.id, Kind.BATCH_DECISION, at.day, signed.now, signed.author, told, batch=name
            )
            append(at.transaction, [decided])
            return replace(kept, remarks=(*kept.remarks, str(freed)))
        return kept


def _batch(at: _Open, asked: str) -> str:
    """Return the name of the batch that is meant."""
    known = [one.batch for one in entries(at.transaction, at.id, kinds=(Kind.BATCH,)) if one.batch is not None]
    words = asked.casefold().split()
    near = [name for name in known if name.casefold() == asked.casefold()] or [
        name for name in known if words and all(word in name.casefold() for word in words)
    ]
    if len(set(near)) == 1:
        return near[0]
    remedy = "Say which one." if near else "Write it down first: mullbed log batch"
    found = f"'{asked}' could be {len(near)} batches" if near else f"no batch is called '{asked}'"
    raise InputFault([Fault("batch", found, ", ".join(near or known[-12:]) or "none yet", remedy)])


def log_soil_test(
    line: Line,
    bed: str,
    *,
    organic_matter: float | None = None,
    mineral_nitrogen: float | None = None,
    phosphorus: str | None = None,
    laboratory: str = "",
) -> Kept:
    """Keep a soil test of a bed: organic matter [fraction], mineral nitrogen [g m-2], the class of phosphorus."""
    values = []
    if organic_matter is not None:
        values.append(TestedValue("organic matter", organic_matter, "1"))
    if mineral_nitrogen is not None:
        values.append(TestedValue("mineral nitrogen", mineral_nitrogen, "g/m2"))
    if phosphorus is not None:
        values.append(TestedValue("phosphorus class", None, "", phosphorus))
    if not values:
        remedy = "Give --organic-matter, --mineral-nitrogen or --phosphorus."
        raise InputFault([Fault("soil test", "no value", "at least one", remedy)])
    with _opened(line) as at:
        return _keep(at, Kind.SOIL_TEST, SoilTested(tuple(values), laboratory), bed=at.bed(bed))


def log_hours(line: Line, job: str, minutes: float, *, people: int = 1, bed: str | None = None) -> Kept:
    """Keep work: minutes of all people together."""
    with _opened(line) as at:
        here = at.bed(bed) if bed is not None else None
        return _keep(at, Kind.HOURS, HoursWorked(_said(job, "job"), minutes, people), bed=here)


def log_cost(line: Line, what: str, amount: str, currency: str) -> Kept:
    """Keep money spent, or taken in where it is below zero."""
    with _opened(line) as at:
        try:
            facts = Cost(_said(what, "what"), amount.strip(), currency.strip().upper())
        except ValueError as error:
            raise InputFault([Fault("cost", f"{amount} {currency}", "12.50 EUR", f"{error}.")]) from error
        return _keep(at, Kind.COST, facts)


def log_incident(line: Line, what: str, text: str, *, done: str = "", told: Sequence[str] = ()) -> Kept:
    """Keep an incident: injury, vermin, fire, illness."""
    with _opened(line) as at:
        facts = Incident(_said(what, "what"), _said(text, "words"), done, tuple(told))
        return _keep(at, Kind.INCIDENT, facts)


def _said(text: str, place: str) -> str:
    if text.strip():
        return text.strip()
    raise InputFault([Fault(place, "nothing", "a few words", "Say it in a few words.")])


def take_back(line: Line, asked: str) -> Kept:
    """Take an entry back; it stays in the record and no longer counts."""
    with _opened(line) as at:
        of = _found(at.transaction, at.id, asked)
        signed = line.signed
        if of.kind == Kind.GARDEN_FILE:
            remedy = "Keep the earlier garden file again: mullbed garden new FILE"
            raise InputFault([Fault("entry", "a garden file", "any other entry", remedy)])
        thread = history(at.transaction, of.id)
        held = {one.withdraws for one in thread}
        if of.id in held:
            raise InputFault([Fault("entry", f"{of.id} is taken back already", "one that holds", "Nothing to do.")])
        new = withdrawal(of, id=signed.new_id(), written_at=signed.now, author=signed.author, reason=line.words)
        append(at.transaction, [new])
        return Kept(new, units=at.garden.site.units, replaced=of)


def list_notes(
    where: Where, *, bed: str | None = None, kinds: Sequence[str] = (), since: date | None = None, newest: int = 20
) -> tuple[Entry, ...]:
    """Return the newest entries that hold, oldest first."""
    with open_record(where.record) as record, record.reading() as transaction:
        identity = which_garden(transaction, where.garden)
        name = None
        if bed is not None:
            kept = kept_garden(entries(transaction, identity, kinds=GARDEN_KINDS))
            name = bed_named(kept.garden, bed).name if kept is not None else bed
        wanted = kinds or [kind for kind in Kind if kind not in (Kind.SITE, Kind.BED, Kind.GARDEN_FILE)]
        return entries(transaction, identity, kinds=wanted, bed=name, first_day=since, newest=newest)


#: What keeps a line of each kind; a door that knows only the kind, such as a form, goes through :func:`log_line`.
KEEPERS: Mapping[Kind, Callable[..., Kept]] = MappingProxyType(
    {
        Kind.LAYER: log_layer,
        Kind.WATER: log_water,
        Kind.DRAWN_BACK: log_drawn_back,
        Kind.IRRIGATION: log_irrigation,
        Kind.FED: log_fed,
        Kind.DUG_IN: log_dug_in,
        Kind.SEEN: log_seen,
        Kind.NOTE: log_note,
        Kind.PHOTO: log_photo,
        Kind.WEIGHING: log_weighed,
        Kind.SOWN: log_sown,
        Kind.HARVEST: log_harvest,
        Kind.WEATHER: log_weather,
        Kind.BATCH: log_batch,
        Kind.BATCH_DECISION: log_decision,
        Kind.TEST_SET_UP: log_test_set_up,
        Kind.TEST_READ: log_test_read,
        Kind.SOIL_TEST: log_soil_test,
        Kind.HOURS: log_hours,
        Kind.COST: log_cost,
        Kind.INCIDENT: log_incident,
        Kind.TAKEN_BACK: take_back,
    }
)


def log_line(line: Line, kind: Kind, **given: object) -> Kept:
    """Keep one line of a kind, with the words its own function takes.

    Raises
    ------
    InputFault
        When lines of that kind are not typed, or something in it cannot be understood.
    """
    if kind not in KEEPERS:
        raise InputFault([Fault("kind", str(kind), ", ".join(KEEPERS), "Choose one of these.")])
    return KEEPERS[kind](line, **given)
