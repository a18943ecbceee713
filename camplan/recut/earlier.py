"""An earlier plan as the stock of the next: its plate, its cutters, and which face was up in its settings."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from camplan.catalogue.records import Cutter, CutterKind
from camplan.errors import InputError, Problem
from camplan.features.records import Existing
from camplan.features.specs import Axis
from camplan.geometry.chains import chain
from camplan.recut.folder import PlanFolder, document_of, read_folder
from camplan.regions import Region
from camplan.units import Mm, rad_from_deg

Bounds = tuple[Mm, Mm, Mm, Mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lying:
    """How the plate lay in a setting: ``about`` which axis it was turned over (None: its top was up), and its box."""

    about: Axis | None
    bounds: Bounds


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """A plan as its folder tells it.  ``existing`` and ``beneath`` is what was gone before it, seen from the top, each
    without the regions that are the same deeper."""

    folder: PlanFolder
    thickness: Mm
    bounds: Bounds
    post: str
    cutters: Mapping[str, Cutter]
    settings: Mapping[str, Lying]
    existing: tuple[Existing, ...]
    beneath: tuple[Existing, ...]


def read_earlier(folder: Path) -> Earlier:
    """The plan of a folder; InputError as in `read_folder`, or if it is from a version that says too little."""
    found = read_folder(folder)
    plan = document_of(folder)
    try:
        plate = plan["plate"]
        return Earlier(
            folder=found,
            thickness=float(plate["thickness_mm"]),
            bounds=_bounds(plate["bounds_mm"]),
            post=str(plan["post"]),
            cutters={name: _cutter(name, said) for name, said in plan["cutters"].items()},
            settings={
                one["name"]: Lying(about=one["about"], bounds=_bounds(one["plate_bounds_mm"]))
                for one in plan["settings"]
            },
            existing=tuple(_existing(one) for one in plan["existing"] if one["face"] == "top"),
            beneath=tuple(_existing(one) for one in plan["existing"] if one["face"] == "back"),
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        message = f"does not say all that is needed of the plate it was for ({error})"
        accepted = "the earlier job planned again"
        raise InputError(Problem(message=message, file=str(folder / "plan.json"), accepted=accepted)) from error


def _bounds(said: Any) -> Bounds:
    x0, y0, x1, y1 = (float(edge) for edge in said)
    return x0, y0, x1, y1


def _existing(said: Any) -> Existing:
    return Existing(
        depth=float(said["depth_mm"]),
        regions=tuple(
            Region(
                outer=chain(one["outer_mm"], closed=True),
                islands=tuple(chain(island, closed=True) for island in one["islands_mm"]),
            )
            for one in said["regions"]
        ),
    )


def _cutter(name: str, said: Any) -> Cutter:
    """A cutter's figures as far as its cutting part goes; the rest says nothing."""
    angle, point = said["half_angle_deg"], said["point_angle_deg"]
    return Cutter(
        name=name,
        kind=CutterKind(said["kind"]),
        diameter=float(said["diameter_mm"]),
        tip_diameter=float(said["tip_diameter_mm"]),
        corner_radius=said["corner_radius_mm"],
        half_angle=None if angle is None else rad_from_deg(angle),
        point_angle=None if point is None else rad_from_deg(point),
        flute_length=float(said["flute_length_mm"]),
        reach=float(said["reach_mm"]),
        shank_diameter=float(said["shank_diameter_mm"]),
        stick_out=float(said["stick_out_mm"]),
        teeth=int(said["teeth"]),
        centre_cutting=False,
        tool_material="",
        rpm_max=None,
        edge_radius=0.0,
        source="",
        file=str(name),
    )
