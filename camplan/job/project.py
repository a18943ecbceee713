"""A project file: plates that belong together, read whole.

``title`` (the file's name), ``units`` ("mm"), ``common`` ("centre"): what the plates have in common when they are
laid over each other: the "centre" of each plate, the "drawing" (all are drawn in the same coordinates) or the "zero"
of each plate.

``[[plate]]``: ``name``, ``job`` (a job file beside the project or in a folder below it), ``mirrored`` (false; true
for a plate drawn as its own parting face is seen, so that it lies mirrored on the others), ``about`` ("y": the
direction of the axis it is mirrored about), ``axis_mm`` (where that axis lies in the common coordinates; left out,
through the plate's middle), ``x_mm`` and ``y_mm`` (0: how far the plate is moved afterwards).

``[[pattern]]``: holes with the same centres. ``features`` ("PLATE: FEATURE", two or more; the first is what the
others are held against), ``name``, ``within_um`` (5).

``[[mating]]``: a core in a cavity. ``core`` and ``cavity`` ("PLATE: FEATURE"), ``name``, ``gap_mm`` between their walls
at every height, ``gap_tolerance_um`` (20), ``closed_mm`` (how far the core reaches below the cavity plate's top when
the plates are closed; left out, as deep as the core's feature goes: its floor is then the parting face),
``floor_gap_mm`` (wanted between the core's end and the cavity's floor; left out, it is said but not judged).
"""

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from camplan.errors import InputError, Problem
from camplan.fields import Fields, parsed_toml, quoted
from camplan.job.keys import LONGEST, length, line, optional_length
from camplan.units import MM_PER_INCH, UM_PER_MM, Mm

Axis = Literal["x", "y"]
Common = Literal["centre", "drawing", "zero"]

PAGE = "project.html"
"""The page that stands beside the plates' folders, so that no plate can have its name."""

_COMMON: tuple[Common, ...] = ("centre", "drawing", "zero")
_AXES: tuple[Axis, ...] = ("y", "x")
_BESIDE = "a job file (.toml) beside the project, or in a folder below it"
_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9 _.-]*")
_MOST_UM = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ProjectPlate:
    """One plate: its job, and how it lies over the others.  ``about`` None: as drawn; ``axis`` None: the plate's
    middle; ``by`` moves it after that."""

    name: str
    job: Path
    about: Axis | None
    axis: Mm | None
    by: tuple[Mm, Mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """A feature of a plate, by their names."""

    plate: str
    feature: str

    def __str__(self) -> str:
        return f"{self.plate}: {self.feature}"


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternSpec:
    """Features whose holes share their centres; the first is what the others are held against."""

    name: str
    features: tuple[Named, ...]
    within: Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class MatingSpec:
    """A core in a cavity; ``closed`` None: as deep as the core's feature; ``floor_gap`` None: not judged."""

    name: str
    core: Named
    cavity: Named
    gap: Mm
    tolerance: Mm
    closed: Mm | None
    floor_gap: Mm | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Project:
    """Plates that belong together, and what has to agree between them.  Lengths in mm whatever the file's unit."""

    title: str
    file: Path
    common: Common
    plates: tuple[ProjectPlate, ...]
    patterns: tuple[PatternSpec, ...]
    matings: tuple[MatingSpec, ...]


def is_project(path: Path) -> bool:
    """Whether a file is a project: TOML with ``[[plate]]`` tables.  False for what cannot be read."""
    try:
        return isinstance(tomllib.loads(path.read_text(encoding="utf-8-sig")).get("plate"), list)
    except (OSError, ValueError, RecursionError):
        return False


def read_project(path: Path) -> Project:
    """The project in a TOML file; InputError with everything that is wrong with it."""
    problems: list[Problem] = []
    project = project_of(path, problems=problems)
    if problems:
        raise InputError(tuple(problems))
    return project


def project_of(path: Path, *, problems: list[Problem]) -> Project:
    """The project as far as it can be read, what is wrong with it in ``problems``; with any, only its plates and those
    of their jobs that exist are of use, to be looked through in the same run.  InputError for what is no TOML."""
    fields = Fields(parsed_toml(path), file=str(path), problems=problems)
    unit = MM_PER_INCH if fields.choice("units", ("mm", "inch"), default="mm") == "inch" else 1.0
    title = line(fields, "title", default=path.stem)
    common = fields.choice("common", _COMMON, default="centre")
    plates = _plates(fields, folder=path.parent, unit=unit)
    names = [plate.name for plate in plates]
    patterns = tuple(
        _pattern(table, plates=names, number=number) for number, table in enumerate(fields.tables("pattern"), start=1)
    )
    matings = tuple(
        _mating(table, plates=names, unit=unit, number=number)
        for number, table in enumerate(fields.tables("mating"), start=1)
    )
    fields.finish()
    return Project(title=title, file=path, common=common, plates=plates, patterns=patterns, matings=matings)


def _plates(fields: Fields, *, folder: Path, unit: Mm) -> tuple[ProjectPlate, ...]:
    found: list[ProjectPlate] = []
    for table in fields.tables("plate"):
        plate = _plate(table, folder=folder, unit=unit)
        if plate.name.casefold() in [other.name.casefold() for other in found]:
            table.refuse("name", f"{quoted(plate.name)} is the name of another plate", accepted="a name for each")
        found.append(plate)
    return tuple(found)


def _plate(fields: Fields, *, folder: Path, unit: Mm) -> ProjectPlate:
    name = line(fields, "name")
    if name and (not _PLAIN.fullmatch(name) or name != name.rstrip(" .") or name.casefold() == PAGE):
        accepted = "letters, figures, blanks, points, - and _: it is the name of the plate's output folder too"
        fields.refuse("name", f"{quoted(name)} is no name of a plate", accepted=accepted)
    mirrored = fields.flag("mirrored", default=False)
    about = fields.choice("about", _AXES, default="y")
    axis = None
    if fields.has("axis_mm"):
        axis = length(fields, "axis_mm", unit=unit, at_least=-LONGEST)
    for key in ("about", "axis_mm"):
        fields.raw(key)
        if fields.has(key) and not mirrored:
            fields.refuse(key, "has no use where the plate is not mirrored", accepted="mirrored = true, or no such key")
    plate = ProjectPlate(
        name=name,
        job=_job(fields, folder=folder),
        about=about if mirrored else None,
        axis=axis,
        by=(
            length(fields, "x_mm", unit=unit, default=0.0, at_least=-LONGEST),
            length(fields, "y_mm", unit=unit, default=0.0, at_least=-LONGEST),
        ),
    )
    fields.finish()
    return plate


def _job(fields: Fields, *, folder: Path) -> Path:
    """The job's path, which may not lead out of the project's folder."""
    before = len(fields.problems)
    text = line(fields, "job")
    if len(fields.problems) > before:
        return folder
    parts = re.split(r"[/\\]", text)
    if parts[0] in ("", "~") or ".." in parts or ":" in parts[0]:
        fields.refuse("job", f"{quoted(text)} leads out of the project's folder", accepted=_BESIDE)
        return folder
    path = folder / text
    try:
        there = path.is_file()
    except (OSError, ValueError):  # names that no system takes
        there = False
    if not there:
        fields.refuse("job", f"there is no file {quoted(text)}", accepted=_BESIDE)
    elif is_project(path):
        fields.refuse("job", f"{quoted(text)} is a project, not a job", accepted=_BESIDE)
        return folder
    return path


def _pattern(fields: Fields, *, plates: list[str], number: int) -> PatternSpec:
    before = len(fields.problems)
    texts = fields.texts("features")
    features = tuple(found for text in texts if (found := _named(fields, "features", text, plates=plates)) is not None)
    if len(fields.problems) == before:
        if len(features) < 2:
            fields.refuse("features", "names fewer than two", accepted='two or more, each as "PLATE: FEATURE"')
        elif len(set(features)) < len(features):
            fields.refuse("features", "names one of them twice", accepted="each once")
    alike = dict.fromkeys(feature.feature for feature in features)
    spec = PatternSpec(
        name=line(fields, "name", default=" / ".join(alike) or f"pattern {number}"),
        features=features,
        within=fields.number("within_um", default=5.0, above=0.0, at_most=_MOST_UM) / UM_PER_MM,
    )
    fields.finish()
    return spec


def _mating(fields: Fields, *, plates: list[str], unit: Mm, number: int) -> MatingSpec:
    core = _named(fields, "core", fields.text("core"), plates=plates)
    cavity = _named(fields, "cavity", fields.text("cavity"), plates=plates)
    nowhere = Named(plate="", feature="")
    if core is not None and cavity is not None and core.plate == cavity.plate:
        fields.refuse("core", "is in the same plate as its cavity", accepted="a core and a cavity of two plates")
    said = f"{core.feature} in {cavity.feature}" if core and cavity else f"mating {number}"
    spec = MatingSpec(
        name=line(fields, "name", default=said),
        core=core or nowhere,
        cavity=cavity or nowhere,
        gap=length(fields, "gap_mm", unit=unit, at_least=0.0),
        tolerance=fields.number("gap_tolerance_um", default=20.0, above=0.0, at_most=_MOST_UM) / UM_PER_MM,
        closed=optional_length(fields, "closed_mm", unit=unit, above=0.0),
        floor_gap=optional_length(fields, "floor_gap_mm", unit=unit, at_least=0.0),
    )
    fields.finish()
    return spec


def _named(fields: Fields, key: str, text: str, *, plates: list[str]) -> Named | None:
    """ "PLATE: FEATURE" taken apart; None, with the problem, if it is not that."""
    if not text:
        return None
    plate, colon, feature = text.partition(":")
    plate, feature = plate.strip(), feature.strip()
    if not colon or not plate or not feature:
        accepted = f'"PLATE: FEATURE", such as "{plates[0] if plates else "cavity"}: dowels"'
        fields.refuse(key, f"{quoted(text)} does not name a plate and its feature", accepted=accepted)
        return None
    if plate not in plates:
        fields.refuse(key, f"{quoted(text)}: there is no plate {quoted(plate)}", accepted=", ".join(plates))
        return None
    return Named(plate=plate, feature=feature)
