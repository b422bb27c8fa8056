"""Pack a case into flat arrays, run its members through the compiled loop, judge the books."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from math import ceil
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mullbed.simulate import layout as at
from mullbed.simulate.balance import Balance, judge
from mullbed.simulate.case import BedCase, DigIn, Feed, Lay, Pour, RakeOff
from mullbed.simulate.ensemble import Members
from mullbed.simulate.past import LEAST_DAYS, KeptState, name_of, past_called, remember

Array = NDArray[np.float64]

#: Heaviest sublayer. [g m-2]
HEAVIEST = 250.0
#: Members in one piece of work; fixed, so that results do not depend on the number of threads.
CHUNK = 64


@dataclass(frozen=True, slots=True)
class LiftMeans:
    """Mean over members by day; arrays of shape (lifts, days), NaN where a lift does not lie."""

    thickness: Array
    """[m]"""
    carbon_left: Array
    """[g m-2]"""
    moisture: Array
    """[fraction, wet basis]"""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a run showed; daily arrays have shape (members, rows), a row every ``every`` days."""

    daily: dict[str, Array]
    ledgers: Array
    """Final ledger, shape (members, ledger columns)."""
    balance: Balance
    every: int
    lifts: LiftMeans | None
    kept: KeptState | None = None
    """As the day began that was to be kept."""

    def final(self, column: int) -> Array:
        """Return one ledger column at the end, shape (members,)."""
        return self.ledgers[:, column]


@dataclass(frozen=True, slots=True)
class Packed:
    """A case as the kernel wants it."""

    weather: tuple[Array, Array, Array, Array]
    cover: tuple[Array, Array, Array]
    soil: Array
    pools: Array
    residue: Array
    cohort_lift: NDArray[np.int64]
    cohort_sublayer: NDArray[np.int64]
    cohort_part: Array
    sublayers: int
    event_day: NDArray[np.int64]
    event_kind: NDArray[np.int64]
    event_values: Array
    digs: bool
    start_day: int


def sublayer_count(dry_matter: float) -> int:
    """Return the number of equal sublayers a lift of so much dry matter [g m-2] is cut into."""
    return max(1, ceil(dry_matter / HEAVIEST - 1e-9))


def pack(case: BedCase, *, with_layers: bool = True, cut: int = 1) -> Packed:
    """Return the flat arrays of a case; without layers for its bare twin.

    ``cut`` cuts every sublayer into so many more, for the check that results do not depend on it.
    """
    soil = case.soil
    weather = case.weather
    air = 0.5 * (weather.low + weather.high)
    rain, reference, radiation = weather.rain, weather.reference_evaporation, weather.radiation
    if case.under_cover:  # judgement: no rain, a little warmer, less wind and sun
        air, rain, reference, radiation = air + 1.5, np.zeros_like(rain), 0.7 * reference, 0.75 * radiation
    if case.shade > 0.0:  # judgement: three quarters of the evaporation follows the sun
        reference, radiation = reference * (1.0 - 0.75 * case.shade), radiation * (1.0 - case.shade)
    start = soil.start_warmth
    if start is None:
        start = float(np.mean(air[:, case.start_day : case.start_day + 7]))
    constants = np.zeros(at.SOIL_CONSTANTS)
    constants[at.FIELD_CAPACITY] = soil.field_capacity
    constants[at.WILTING_POINT] = soil.wilting_point
    constants[at.CLAY] = soil.clay
    constants[at.KEPT_MOIST] = 1.0 if case.kept_moist else 0.0
    constants[at.START_WATER] = soil.start_water
    constants[at.START_AMMONIUM] = soil.start_ammonium
    constants[at.START_NITRATE] = soil.start_nitrate
    constants[at.START_WARMTH] = start

    residue_rows: list[list[float]] = []
    cohort_lift: list[int] = []
    cohort_part: list[float] = []
    events: list[tuple[int, int, list[float]]] = []
    digs = False
    for event in sorted(case.events, key=lambda one: one.day):
        if isinstance(event, Lay):
            if not with_layers:
                continue
            for lift in event.lifts:
                number = len(residue_rows)
                per_kg = 1000.0 / lift.dry_matter
                residue = lift.residue
                residue_rows.append(
                    [
                        residue.water_held,
                        residue.interception,
                        0.0,
                        residue.size_factor,
                        residue.laid_density,
                        residue.palatability,
                        1.0 if lift.fresh else 0.0,
                        lift.tissue_water * per_kg,
                        lift.free_water * per_kg,
                    ]
                )
                pieces = sublayer_count(lift.dry_matter) * cut
                cohort_lift += [number] * pieces
                cohort_part += [1.0 / pieces] * pieces
                events.append((event.day, at.LAY, [float(number), 0.0, 0.0, 0.0]))
            if event.water > 0.0:
                events.append((event.day, at.POUR, [event.water, 0.0, 0.0, 0.0]))
        elif isinstance(event, Pour):
            events.append((event.day, at.POUR, [event.water, 0.0, 0.0, 0.0]))
        elif isinstance(event, Feed):
            values = [event.ammonium, event.nitrate, event.organic_carbon, event.organic_nitrogen]
            events.append((event.day, at.FEED, values))
        elif isinstance(event, RakeOff):
            if with_layers:
                events.append((event.day, at.RAKE_OFF, [event.share, 0.0, 0.0, 0.0]))
        elif isinstance(event, DigIn) and with_layers:
            events.append((event.day, at.DIG_IN, [event.depth, 0.0, 0.0, 0.0]))
            digs = True
    cover = case.cover
    days = weather.days
    crop = (
        (np.full(days, 0.15), np.zeros(days), np.zeros(days))
        if cover is None
        else (cover.basal_coefficient, cover.ground_cover, cover.nitrogen_demand)
    )
    return Packed(
        weather=(_flat(air), _flat(rain), _flat(reference), _flat(radiation)),
        cover=tuple(_flat(one) for one in crop),  # type: ignore[arg-type]
        soil=constants,
        pools=np.array([*soil.pools, *soil.pool_nitrogen]),
        residue=np.array(residue_rows, dtype=np.float64).reshape(-1, at.RESIDUE_CONSTANTS),
        cohort_lift=np.array(cohort_lift, dtype=np.int64),
        cohort_sublayer=np.arange(len(cohort_lift), dtype=np.int64),
        cohort_part=np.array(cohort_part, dtype=np.float64),
        sublayers=len(cohort_lift),
        event_day=np.array([one[0] for one in events], dtype=np.int64),
        event_kind=np.array([one[1] for one in events], dtype=np.int64),
        event_values=np.array([one[2] for one in events], dtype=np.float64).reshape(-1, at.EVENT_VALUES),
        digs=digs,
        start_day=case.start_day,
    )


def _flat(values: Array) -> Array:
    return np.ascontiguousarray(values, dtype=np.float64)


def run_packed(
    packed: Packed,
    members: Members,
    *,
    every: int = 1,
    threads: int = 1,
    per_lift: bool = False,
    name: str = "a bed",
    tolerance: float = 1e-9,
    keep: Collection[str] | None = None,
    begin: KeptState | None = None,
    keep_day: int | None = None,
) -> Outcome:
    """Run the members through a packed case.

    ``keep`` names the daily outputs that are kept; all where not given. Memory beyond them is that of one piece of
    work a thread, however many members there are. ``begin`` is what an earlier run of the same members and the same
    past kept: days before it are not run and stay NaN. ``keep_day`` is a day whose beginning is kept.

    Raises
    ------
    BalanceError, DirectionError
        When the books of any member do not close or a law of direction is broken.
    """
    from mullbed.compiled import tell_before_compiling
    from mullbed.simulate.kernel import run_members
    from mullbed.simulate.rows import LANES

    tell_before_compiling()

    days = packed.cover[0].shape[0]
    count = members.records.shape[0]
    rows = days // every
    wanted = tuple(at.OUTPUTS if keep is None else keep)
    columns = np.array([at.OUTPUT[output] for output in wanted], dtype=np.int64)
    daily = {output: np.empty((count, rows)) for output in wanted}
    ledgers = np.zeros((count, at.LEDGER))
    books = np.zeros((count, at.BOOKS))
    lifts = packed.residue.shape[0]
    bounds = [(first, min(count, first + CHUNK)) for first in range(0, count, CHUNK)]
    sums = [np.zeros((4, lifts, days) if per_lift else (0, 0, 0)) for _ in bounds]
    draws = members.draws if lifts else np.zeros((count, 0, at.LIFT_DRAWS))
    begin_day = packed.start_day if begin is None else begin.day
    state = begin if begin is not None else _empty_state(packed, count, keep_day)

    def work(piece: int) -> None:
        first, last = bounds[piece]
        blocks, rest = divmod(last - first, LANES)
        out = np.empty((blocks + (rest > 0), rows, len(wanted), LANES))
        out[:, : begin_day // every] = np.nan
        rows_of = slice(first // LANES, first // LANES + out.shape[0])
        run_members(
            first,
            last,
            every,
            *packed.weather,
            members.year_of,
            packed.start_day,
            *packed.cover,
            members.records,
            packed.soil,
            packed.pools,
            packed.residue,
            draws,
            packed.cohort_lift,
            packed.cohort_sublayer,
            packed.cohort_part,
            packed.event_day,
            packed.event_kind,
            packed.event_values,
            packed.digs,
            columns,
            out,
            ledgers,
            books,
            sums[piece],
            begin_day,
            -1 if keep_day is None or begin is not None else keep_day,
            state.column[rows_of],
            state.slots[rows_of],
            state.buried[rows_of],
            state.marks[rows_of],
        )
        whole = first + blocks * LANES
        for kept, output in enumerate(wanted):
            lanes = out[:, :, kept].transpose(0, 2, 1)
            daily[output][first:whole].reshape(blocks, LANES, rows)[...] = lanes[:blocks]
            if rest:
                daily[output][whole:last] = lanes[blocks, :rest]

    if threads <= 1 or len(bounds) == 1:
        for piece in range(len(bounds)):
            work(piece)
    else:
        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(work, range(len(bounds))))
    balance = judge(books, name, tolerance)
    kept_state = state if begin is None and keep_day is not None else None
    return Outcome(daily, ledgers, balance, every, _lift_means(sums, count) if per_lift else None, kept_state)


def run_called(case: BedCase, members: Members) -> str:
    """Return what a whole run is called: two of one name give the same bits."""
    packed = pack(case)
    return name_of((*_touching(packed, members, packed.cover[0].shape[0]), packed.event_day, members.draws))


def _touching(packed: Packed, members: Members, day: int) -> tuple[NDArray[Any], ...]:
    """Return all that touches the days before a day."""
    before = packed.event_day < day
    lifts = int(np.count_nonzero(before & (packed.event_kind == at.LAY)))
    laid = packed.cohort_lift < lifts
    return (
        np.array([packed.start_day, day, lifts, int(packed.digs)]),
        *(one[:, :day] for one in packed.weather),
        *(one[:day] for one in packed.cover),
        packed.soil,
        packed.pools,
        packed.residue[:lifts],
        packed.cohort_lift[laid],
        packed.cohort_sublayer[laid],
        packed.cohort_part[laid],
        packed.event_day[before],
        packed.event_kind[before],
        packed.event_values[before],
        members.records,
        members.draws[:, :lifts],
        members.year_of,
    )


def _empty_state(packed: Packed, count: int, keep_day: int | None) -> KeptState:
    """Return where a state is kept: of all cohorts laid before the day, nothing where none is kept."""
    from mullbed.simulate.rows import BURIED_ROWS, COLUMN_ROWS, LANES, SLOT_ROWS

    if keep_day is None:
        return KeptState(-1, np.empty((0, 0)), np.empty((0, 0)), np.empty((0, 0)), np.empty((0, 1), dtype=np.int64))
    lifts = int(np.count_nonzero((packed.event_kind == at.LAY) & (packed.event_day < keep_day)))
    cohorts = int(np.count_nonzero(packed.cohort_lift < lifts))
    blocks = -(-count // LANES)
    return KeptState(
        keep_day,
        np.zeros((blocks, COLUMN_ROWS)),
        np.zeros((blocks, cohorts * SLOT_ROWS)),
        np.zeros((blocks, 3 * cohorts * BURIED_ROWS if packed.digs else 0)),
        np.zeros((blocks, 1 + 5 * cohorts), dtype=np.int64),
    )


def _lift_means(sums: Sequence[Array], count: int) -> LiftMeans:
    total = np.zeros_like(sums[0])
    for one in sums:
        total += one
    lying = total[2] > 0.0
    with np.errstate(invalid="ignore", divide="ignore"):
        moisture = np.where(lying, total[3] / (total[3] + total[2]), np.nan)
    return LiftMeans(
        thickness=np.where(lying, total[0] / count, np.nan),
        carbon_left=np.where(lying, total[1] / count, np.nan),
        moisture=moisture,
    )


def simulate(
    case: BedCase,
    members: Members,
    *,
    every: int = 1,
    threads: int = 1,
    per_lift: bool = False,
    twin: bool = True,
    keep: Collection[str] | None = None,
    past: int = 0,
) -> Outcome:
    """Run a bed and, for ``net_nitrogen`` and ``soil_nitrogen``, its bare twin with the same members.

    ``net_nitrogen`` is the nitrogen given to the soil because of the layers: mineral nitrogen of the soil, crop,
    leached and gaseous, less the same of the twin without layers. ``soil_nitrogen`` is what the soil alone gives.
    ``keep`` names the daily outputs that are kept besides; all where not given. ``past`` is a day nobody looks before:
    members that were run up to it before, through the very same days, go on from there to the same bits.

    Raises
    ------
    BalanceError, DirectionError
        When the books of any member do not close or a law of direction is broken.
    """
    wanted = None if keep is None else tuple(dict.fromkeys((*keep, "soil_side_nitrogen")))
    packed = pack(case)
    key = "" if past - packed.start_day < LEAST_DAYS else name_of(_touching(packed, members, past))
    outcome = run_packed(
        packed,
        members,
        every=every,
        threads=threads,
        per_lift=per_lift,
        name=case.name,
        keep=wanted,
        begin=past_called(key) if key else None,
        keep_day=past if key else None,
    )
    if outcome.kept is not None:
        remember(key, outcome.kept)
    if twin:
        bare = run_packed(
            pack(case, with_layers=False),
            members,
            every=every,
            threads=threads,
            name=f"{case.name} without layers",
            keep=("soil_side_nitrogen", "leached"),
        )
        side = bare.daily["soil_side_nitrogen"]
        outcome.daily["net_nitrogen"] = outcome.daily["soil_side_nitrogen"] - side
        start = (case.soil.start_ammonium + case.soil.start_nitrate) * members.mineral_factor
        outcome.daily["soil_nitrogen"] = side - start[:, None]
        outcome.daily["leached_bare"] = bare.daily["leached"]
    return outcome
