"""Cutters read from ``tooling/cutters/NAME.toml``, one a file.

Every file has ``kind``, ``flute_length_mm``, ``shank_diameter_mm``, ``stick_out_mm``, ``teeth``, ``tool_material``
("carbide", "hss"), ``edge_radius_um`` and ``source``; it may have ``reach_mm`` and ``neck_diameter_mm`` (a relieved
neck), ``centre_cutting``, ``helix_deg``, ``rpm_max`` and ``fit``.  The form follows from the kind: ``diameter_mm``;
bull noses ``corner_radius_mm`` too; tapers ``tip_diameter_mm`` and ``half_angle_deg`` instead; drills, spotting drills
and engravers ``point_angle_deg`` too, and engravers ``tip_diameter_mm``.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from camplan import resources
from camplan.catalogue.reading import hidden, opened, optional, unknown_name
from camplan.catalogue.records import Cutter, CutterKind
from camplan.catalogue.shape import taper_diameter
from camplan.errors import InputError, Problem
from camplan.fields import Fields
from camplan.findings import Finding
from camplan.units import UM_PER_MM, Mm, Rad, rad_from_deg

FOLDER = "tooling/cutters"
NECK_RATIO = 0.95
"""A neck's diameter over the cutting part's where the file does not say it (common practice, no source)."""

THINNEST: Mm = 0.05
WIDEST: Mm = 100.0
LONGEST: Mm = 300.0
"""No cutter for a small mill is thinner, wider or longer (common practice, no source)."""

TOOL_MATERIALS = ("carbide", "hss")


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """The cutters that may be used, by name in sorted order, and what was noticed while reading them."""

    cutters: dict[str, Cutter]
    findings: tuple[Finding, ...]


def load_shelf(names: tuple[str, ...] | None, *, beside: Path) -> Shelf:
    """The cutters of ``names`` (None: every cutter there is), found beside the job, in the user's folder, or shipped.

    Raises InputError with every problem of every file, unknown names with the nearest known ones.
    """
    files = resources.named(FOLDER, beside=beside)
    problems: list[Problem] = []
    findings: list[Finding] = []
    cutters: dict[str, Cutter] = {}
    for name in sorted(set(files if names is None else names)):
        found = files.get(name)
        if found is None:
            problems.append(unknown_name(name, folder=FOLDER, files=files))
            continue
        findings.extend(hidden(name, folder=FOLDER, found=found))
        fields = opened(found.path, problems=problems)
        if fields is not None:
            cutters[name] = read_cutter(fields, name=name, file=str(found.path))
    if problems:
        raise InputError(tuple(problems))
    return Shelf(cutters=cutters, findings=tuple(findings))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Form:
    diameter: Mm
    tip: Mm
    corner: Mm | None = None
    half_angle: Rad | None = None
    point_angle: Rad | None = None


def read_cutter(fields: Fields, *, name: str, file: str) -> Cutter:
    """One cutter; problems go into ``fields.problems``, and then the cutter must not be used."""
    before = len(fields.problems)
    kind = fields.choice("kind", tuple(CutterKind))
    flute_length = fields.number("flute_length_mm", at_least=0.1, at_most=LONGEST)
    form = _FORMS[kind](fields, flute_length)
    reach = fields.number("reach_mm", at_least=0.1, at_most=LONGEST, default=flute_length)
    neck = optional(fields, "neck_diameter_mm", at_least=THINNEST, at_most=WIDEST)
    cutter = Cutter(
        name=name,
        kind=kind,
        diameter=form.diameter,
        tip_diameter=form.tip,
        corner_radius=form.corner,
        half_angle=form.half_angle,
        point_angle=form.point_angle,
        flute_length=flute_length,
        reach=reach,
        shank_diameter=fields.number("shank_diameter_mm", at_least=0.5, at_most=WIDEST),
        stick_out=fields.number("stick_out_mm", at_least=0.5, at_most=LONGEST),
        teeth=_teeth(fields),
        centre_cutting=fields.flag("centre_cutting", default=kind in _TO_THE_CENTRE),
        tool_material=fields.choice("tool_material", TOOL_MATERIALS),
        rpm_max=optional(fields, "rpm_max", at_least=1.0, at_most=200_000.0),
        edge_radius=fields.number("edge_radius_um", at_least=0.1, at_most=100.0) / UM_PER_MM,
        source=fields.text("source"),
        file=file,
        helix=rad_from_deg(fields.number("helix_deg", at_least=0.0, at_most=60.0, default=30.0)),
        neck_diameter=None if reach <= flute_length else neck if neck is not None else NECK_RATIO * form.diameter,
        fit=fields.text("fit", default="") or None,
    )
    fields.finish(known=_KEYS)
    wrong = frozenset(problem.key for problem in fields.problems[before:])
    if fields.path("kind") not in wrong:
        _check_lengths(fields, cutter, neck=neck, wrong=wrong)
    return cutter


def _teeth(fields: Fields) -> int:
    teeth = fields.count("teeth", at_least=1)
    if teeth > 20:
        fields.refuse("teeth", f"{teeth} is impossible", accepted="1 to 20")
        return 1
    return teeth


def _check_lengths(fields: Fields, cutter: Cutter, *, neck: Mm | None, wrong: frozenset[str]) -> None:
    """Lengths that do not go together, of those that are not ``wrong`` by themselves."""

    def sure(*keys: str) -> bool:
        return not wrong.intersection(fields.path(key) for key in keys)

    if sure("flute_length_mm", "stick_out_mm") and cutter.flute_length > cutter.stick_out:
        fields.refuse(
            "flute_length_mm",
            f"{cutter.flute_length:g} is longer than the stick-out",
            accepted=f"at most stick_out_mm = {cutter.stick_out:g}",
        )
    elif sure("flute_length_mm", "reach_mm") and cutter.flute_length > cutter.reach:
        fields.refuse(
            "reach_mm",
            f"{cutter.reach:g} is shorter than the flutes",
            accepted=f"flute_length_mm = {cutter.flute_length:g} or more",
        )
    if fields.has("reach_mm") and sure("reach_mm", "stick_out_mm") and cutter.reach > cutter.stick_out:
        fields.refuse(
            "reach_mm",
            f"{cutter.reach:g} is longer than the stick-out",
            accepted=f"at most stick_out_mm = {cutter.stick_out:g}",
        )
    necked = neck is not None and sure("neck_diameter_mm")
    if necked and sure("reach_mm", "flute_length_mm") and cutter.neck_diameter is None:
        fields.refuse("neck_diameter_mm", "there is no neck: reach_mm is no longer than flute_length_mm")
    if neck is not None and necked and sure(*_FORM_KEYS) and neck > cutter.diameter:
        fields.refuse(
            "neck_diameter_mm",
            f"{neck:g} is thicker than the cutting part",
            accepted=f"at most {cutter.diameter:g}",
        )
    lead = _point_height(cutter)
    if sure("flute_length_mm", *_FORM_KEYS) and lead > cutter.flute_length + 1e-9:
        fields.refuse(
            "flute_length_mm", f"{cutter.flute_length:g} is shorter than the point", accepted=f"{lead:.3g} or more"
        )


def _point_height(cutter: Cutter) -> Mm:
    if cutter.point_angle is not None:
        return (cutter.diameter - cutter.tip_diameter) / 2.0 / math.tan(cutter.point_angle / 2.0)
    return cutter.corner_radius or 0.0


def _cylinder(fields: Fields, flute_length: Mm) -> _Form:
    diameter = fields.number("diameter_mm", at_least=THINNEST, at_most=WIDEST)
    return _Form(diameter=diameter, tip=diameter)


def _ball(fields: Fields, flute_length: Mm) -> _Form:
    diameter = fields.number("diameter_mm", at_least=THINNEST, at_most=WIDEST)
    return _Form(diameter=diameter, tip=0.0, corner=diameter / 2.0)


def _bull_nose(fields: Fields, flute_length: Mm) -> _Form:
    diameter = fields.number("diameter_mm", at_least=THINNEST, at_most=WIDEST)
    corner = fields.number("corner_radius_mm", at_least=0.01, at_most=WIDEST / 2.0)
    if 2.0 * corner >= diameter and fields.has("corner_radius_mm"):
        fields.refuse(
            "corner_radius_mm",
            f"{corner:g} leaves no flat tip on {diameter:g} mm",
            accepted=f'below {diameter / 2.0:g}, or kind = "ball"',
        )
    return _Form(diameter=diameter, tip=max(diameter - 2.0 * corner, 0.0), corner=corner)


def _taper(fields: Fields, flute_length: Mm) -> _Form:
    tip = fields.number("tip_diameter_mm", at_least=0.0, at_most=WIDEST)
    half_angle = rad_from_deg(fields.number("half_angle_deg", at_least=0.05, at_most=45.0))
    corner = optional(fields, "corner_radius_mm", at_least=0.01, at_most=WIDEST / 2.0)
    if tip + 2.0 * (corner or 0.0) < THINNEST:
        fields.refuse(
            "tip_diameter_mm",
            f"{tip:g} is a sharp tip",
            accepted=f'{THINNEST:g} or more, a corner_radius_mm, or kind = "engraver"',
        )
    diameter = taper_diameter(tip, half_angle=half_angle, corner_radius=corner or 0.0, flute_length=flute_length)
    said = optional(fields, "diameter_mm", at_least=THINNEST, at_most=WIDEST)
    if said is not None and abs(said - diameter) > 0.01:
        fields.refuse(
            "diameter_mm",
            f"{said:g} does not follow from tip, angle and flute length",
            accepted=f"{diameter:.3f}, or leave it out",
        )
    return _Form(diameter=diameter, tip=tip, corner=corner, half_angle=half_angle)


def _pointed(fields: Fields, flute_length: Mm) -> _Form:
    return _Form(
        diameter=fields.number("diameter_mm", at_least=THINNEST, at_most=WIDEST),
        tip=0.0,
        point_angle=rad_from_deg(fields.number("point_angle_deg", at_least=20.0, at_most=170.0)),
    )


def _engraver(fields: Fields, flute_length: Mm) -> _Form:
    diameter = fields.number("diameter_mm", at_least=THINNEST, at_most=WIDEST)
    return _Form(
        diameter=diameter,
        tip=_narrower_tip(fields, diameter=diameter, default=0.0),
        point_angle=rad_from_deg(fields.number("point_angle_deg", at_least=5.0, at_most=170.0)),
    )


def _reamer(fields: Fields, flute_length: Mm) -> _Form:
    diameter = fields.number("diameter_mm", at_least=THINNEST, at_most=WIDEST)
    tip = _narrower_tip(fields, diameter=diameter, default=diameter)
    return _Form(diameter=diameter, tip=tip, point_angle=math.pi / 2.0 if tip < diameter else None)


def _narrower_tip(fields: Fields, *, diameter: Mm, default: Mm) -> Mm:
    tip = fields.number("tip_diameter_mm", at_least=0.0, at_most=WIDEST, default=default)
    if tip > diameter:
        fields.refuse(
            "tip_diameter_mm", f"{tip:g} is wider than the cutter", accepted=f"at most diameter_mm = {diameter:g}"
        )
    return tip


_FORMS: dict[CutterKind, Callable[[Fields, Mm], _Form]] = {
    CutterKind.SLOT_DRILL: _cylinder,
    CutterKind.END_MILL: _cylinder,
    CutterKind.BALL: _ball,
    CutterKind.BULL_NOSE: _bull_nose,
    CutterKind.TAPER: _taper,
    CutterKind.DRILL: _pointed,
    CutterKind.SPOT_DRILL: _pointed,
    CutterKind.ENGRAVER: _engraver,
    CutterKind.REAMER: _reamer,
}

_TO_THE_CENTRE = (
    CutterKind.SLOT_DRILL,
    CutterKind.BALL,
    CutterKind.DRILL,
    CutterKind.SPOT_DRILL,
    CutterKind.ENGRAVER,
)

_FORM_KEYS = ("diameter_mm", "tip_diameter_mm", "corner_radius_mm", "half_angle_deg", "point_angle_deg")
"""The keys that a cutter's shape follows from."""

_KEYS = (
    "kind",
    "diameter_mm",
    "tip_diameter_mm",
    "corner_radius_mm",
    "half_angle_deg",
    "point_angle_deg",
    "flute_length_mm",
    "reach_mm",
    "neck_diameter_mm",
    "shank_diameter_mm",
    "stick_out_mm",
    "teeth",
    "tool_material",
    "edge_radius_um",
    "source",
)
