"""The story of a plate as its journal tells it: plans made, sizes measured, skims written.

A skim's entry says where it put the walls of which regions, and with which programs; a measurement's what was found
after which skim, and how far the walls stood short of where the program had put them.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from camplan.findings import Finding, Severity
from camplan.recut.figures import Place
from camplan.recut.journal import Entry, Journal, Value, number_of, text_of
from camplan.recut.learned import FAR, Observation, lasting
from camplan.recut.sides import Side, Sides, both, facing, in_order
from camplan.units import Mm

MADE = "made"
MEASURED = "measured"
SKIM = "skim"
NOT_RUN = "not-run"


@dataclass(frozen=True, slots=True, kw_only=True)
class SkimProgram:
    """A program of a skim as it was written: its folder beside the plan's, and its check sum."""

    folder: str
    file: str
    check_sum: str
    setting: str
    cutter: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Skimmed:
    """One skim: ``regions`` of a feature whose walls stand ``grow`` outside the drawn ones since, those of their
    ``islands`` so much inside theirs, and whose floor stands ``deeper`` than drawn; ``bends``: what of an error after
    it may be by bending, which a thinner cut does not repeat.  It cut ``walls`` and ``island_walls`` and left all
    others alone."""

    number: int
    feature: str
    regions: tuple[int, ...]
    grow: Sides
    islands: Sides
    deeper: Mm
    bends: Mm
    programs: tuple[SkimProgram, ...]
    walls: tuple[Side, ...] = tuple(Side)
    island_walls: tuple[Side, ...] = tuple(Side)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One size that was measured, in mm: after skim number ``skim`` (0: after the plan's own programs).

    ``short`` is how far each of ``walls`` stands from where the program put it that cut it last: that of skim number
    ``cut`` (0: the plan's own, or it is not known whose error it is).  ``wall``: the one that was measured by itself,
    as how far beyond the drawn one it stands."""

    line: int
    plan: str
    feature: str
    regions: tuple[int, ...]
    along: str
    at: Place | None
    at_depth: Mm | None
    skim: int
    mean: Mm
    half_width: Mm
    wanted: Mm
    programmed: Mm
    cutter: str
    material: str
    short: Mm
    error: Mm
    bends: Mm
    cut: int
    walls: tuple[Side, ...]
    wall: Side | None = None

    @property
    def direction(self) -> str:
        """What it runs along: of a wall by itself the axis that it faces."""
        return self.along if self.wall is None else "xy"[self.wall.axis]


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """Of one plan: its skims and what was measured, in order; and of all plans in the journal what teaches."""

    skims: tuple[Skimmed, ...]
    readings: tuple[Reading, ...]
    all_readings: tuple[Reading, ...]
    plan: str
    known_plan: bool
    findings: tuple[Finding, ...]


def history_of(journal: Journal, *, plan_sum: str) -> History:
    """The story of the plan of a check sum.  Entries that lack a figure are left out with a caution."""
    skims: dict[int, Skimmed] = {}
    readings: list[Reading] = []
    everything: list[Reading] = []
    findings = list(journal.findings)
    known = False
    for entry in journal.entries:
        mine = text_of(entry, "plan") == plan_sum
        known = known or (entry.kind == MADE and mine)
        if entry.kind == SKIM and mine:
            skim = skim_of(entry)
            if skim is None:
                findings.append(_incomplete(journal, entry))
            else:
                skims[skim.number] = skim
        elif entry.kind == NOT_RUN and mine:
            skims.pop(int(number_of(entry, "skim")), None)
        elif entry.kind == MEASURED:
            reading = reading_of(entry)
            if reading is None:
                findings.append(_incomplete(journal, entry))
                continue
            everything.append(reading)
            if mine:
                readings.append(reading)
    return History(
        skims=tuple(skims[number] for number in sorted(skims)),
        readings=tuple(readings),
        all_readings=tuple(everything),
        plan=plan_sum,
        known_plan=known,
        findings=tuple(findings),
    )


def observations(
    history: History, *, cutter: str, material: str, along: str, now: Sequence[Reading] = ()
) -> list[Observation]:
    """What skims by a cutter in a material taught along a direction, what is measured ``now`` included; of sizes that
    were measured twice the last.  Walls that no skim cut teach nothing."""
    found: dict[tuple[object, ...], Observation] = {}
    for one in (*history.all_readings, *now):
        if (
            one.cut > 0
            and abs(one.short) <= FAR
            and (one.cutter, one.material, one.direction) == (cutter, material, along)
        ):
            key = (one.plan, one.feature, one.regions, one.at, one.at_depth, one.wall, one.cut)
            found[key] = Observation(short=lasting(one.short, bends=one.bends), error=one.error)
    return list(found.values())


def last_skim(history: History, *, feature: str, region: int) -> Skimmed | None:
    """The last skim that moved the walls or the floor of a region."""
    mine = [one for one in history.skims if one.feature == feature and region in one.regions]
    return mine[-1] if mine else None


def last_cut(history: History, *, feature: str, region: int, side: Side, island: bool) -> Skimmed | None:
    """The last skim that cut one wall of a region, or of its islands."""
    mine = [
        one
        for one in history.skims
        if one.feature == feature and region in one.regions and side in (one.island_walls if island else one.walls)
    ]
    return mine[-1] if mine else None


def skim_said(skim: Skimmed, *, plan_sum: str, aims: Mapping[str, Mm]) -> dict[str, Value]:
    """A skim's entry; ``aims``: along each direction the size that it is to make."""
    return {
        "plan": plan_sum,
        "skim": skim.number,
        "feature": skim.feature,
        "regions": _numbers(skim.regions),
        "grow_mm": _each(skim.grow),
        "islands_mm": _each(skim.islands),
        "walls": [side.value for side in skim.walls],
        "island_walls": [side.value for side in skim.island_walls],
        "deeper_mm": _exact(skim.deeper),
        "bends_mm": _exact(skim.bends),
        "aims_mm": {along: _exact(aim) for along, aim in aims.items()},
        "programs": [
            {
                "folder": one.folder,
                "file": one.file,
                "sha256": one.check_sum,
                "setting": one.setting,
                "cutter": one.cutter,
            }
            for one in skim.programs
        ],
    }


def reading_said(reading: Reading, *, readings: Sequence[Mm]) -> dict[str, Value]:
    """A measurement's entry."""
    every: list[Value] = [_exact(one) for one in readings]
    place: list[Value] | None = None if reading.at is None else [_exact(one) for one in reading.at]
    return {
        "plan": reading.plan,
        "feature": reading.feature,
        "regions": _numbers(reading.regions),
        "along": reading.along,
        "at_mm": place,
        "at_depth_mm": None if reading.at_depth is None else _exact(reading.at_depth),
        "skim": reading.skim,
        "readings_mm": every,
        "mean_mm": _exact(reading.mean),
        "half_width_mm": _exact(reading.half_width),
        "wanted_mm": _exact(reading.wanted),
        "programmed_mm": _exact(reading.programmed),
        "cutter": reading.cutter,
        "material": reading.material,
        "short_mm": _exact(reading.short),
        "error_mm": _exact(reading.error),
        "bends_mm": _exact(reading.bends),
        "cut_by_skim": reading.cut,
        "walls": [side.value for side in reading.walls],
        "wall": None if reading.wall is None else reading.wall.value,
    }


def _each(sides: Sides) -> dict[str, Value]:
    return {side.value: _exact(sides.at(side)) for side in Side}


def _exact(value: Mm) -> float:
    return round(value, 6) + 0.0


def _numbers(regions: Sequence[int]) -> list[Value]:
    return [int(one) for one in regions]


def skim_of(entry: Entry) -> Skimmed | None:
    """A skim as its entry tells it; None where figures lack."""
    figures = [number_of(entry, key) for key in ("skim", "deeper_mm", "bends_mm")]
    grow, islands = _sides(entry, "grow"), _sides(entry, "islands")
    listed = entry.said.get("programs")
    if not all(math.isfinite(one) for one in (*figures, *grow, *islands)) or not isinstance(listed, list):
        return None
    programs = []
    for one in listed:
        words = (
            [one.get(key) for key in ("folder", "file", "sha256", "setting", "cutter")] if isinstance(one, dict) else []
        )
        if len(words) != 5 or not all(isinstance(word, str) for word in words):
            return None
        folder, file, check_sum, setting, cutter = (str(word) for word in words)
        programs.append(SkimProgram(folder=folder, file=file, check_sum=check_sum, setting=setting, cutter=cutter))
    number, deeper, bends = figures
    return Skimmed(
        number=int(number),
        feature=text_of(entry, "feature"),
        regions=_regions(entry),
        grow=grow,
        islands=islands,
        deeper=deeper,
        bends=bends,
        programs=tuple(programs),
        walls=_walls(entry, "walls", else_=tuple(Side)),
        island_walls=_walls(entry, "island_walls", else_=tuple(Side)),
    )


def reading_of(entry: Entry) -> Reading | None:
    """A measurement as its entry tells it; None where figures lack."""
    keys = ("skim", "mean_mm", "half_width_mm", "wanted_mm", "programmed_mm", "short_mm", "error_mm", "bends_mm")
    figures = [number_of(entry, key) for key in keys]
    if not all(math.isfinite(one) for one in figures):
        return None
    skim, mean, half, wanted, programmed, short, error, bends = figures
    place = entry.said.get("at_mm")
    at = None
    if isinstance(place, list) and len(place) == 2:
        at = (float(str(place[0])), float(str(place[1])))
    along, cut = text_of(entry, "along"), number_of(entry, "cut_by_skim")
    named = text_of(entry, "wall")
    return Reading(
        line=entry.line,
        plan=text_of(entry, "plan"),
        feature=text_of(entry, "feature"),
        regions=_regions(entry),
        along=along,
        at=at,
        at_depth=deep if math.isfinite(deep := number_of(entry, "at_depth_mm")) else None,
        skim=int(skim),
        mean=mean,
        half_width=half,
        wanted=wanted,
        programmed=programmed,
        cutter=text_of(entry, "cutter"),
        material=text_of(entry, "material"),
        short=short,
        error=error,
        bends=bends,
        cut=int(cut if math.isfinite(cut) else skim),
        walls=_walls(entry, "walls", else_=walls_along(along)),
        wall=Side(named) if named in set(Side) else None,
    )


def walls_along(along: str) -> tuple[Side, ...]:
    """The walls that a width along something lies between."""
    return {"x": facing(0), "y": facing(1), "diameter": tuple(Side)}.get(along, ())


def _sides(entry: Entry, of: str) -> Sides:
    """A figure for each wall; as it was written before walls were told apart, one for both of an axis; NaN where none
    stands."""
    said = entry.said.get(f"{of}_mm")
    if not isinstance(said, dict):
        return both(x=number_of(entry, f"{of}_x_mm"), y=number_of(entry, f"{of}_y_mm"))
    each = [said.get(side.value) for side in Side]
    left, right, front, back = (
        float(one) if isinstance(one, int | float) and not isinstance(one, bool) else math.nan for one in each
    )
    return Sides(left=left, right=right, front=front, back=back)


def _walls(entry: Entry, key: str, *, else_: tuple[Side, ...]) -> tuple[Side, ...]:
    """The walls that are listed; those that are meant where none are, as in entries from before walls were told
    apart."""
    listed = entry.said.get(key)
    return in_order(side for side in Side if side.value in listed) if isinstance(listed, list) else else_


def _regions(entry: Entry) -> tuple[int, ...]:
    listed = entry.said.get("regions")
    return tuple(int(one) for one in listed if isinstance(one, int)) if isinstance(listed, list) else ()


def _incomplete(journal: Journal, entry: Entry) -> Finding:
    message = f"an entry {entry.kind!r} lacks figures and is not believed"
    where = f"{journal.file}, line {entry.line}"
    return Finding(severity=Severity.CAUTION, code="journal-entry-incomplete", message=message, where=where)
