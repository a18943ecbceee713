"""A mill that cuts a job's programs, and what they leave, worked out from their text alone."""

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import shapely
from acceptance import shadow

DEPTH = 3.0


def removed(program: Path, *, diameter: float, off: float, depth: float = DEPTH / 2.0) -> Any:
    """What a program removes at a depth with a cutter that leaves walls ``off`` short; all moves that cut are level."""
    found, broken = shadow.steps(program.read_text(encoding="utf-8").splitlines())
    assert broken == []
    shapes = [
        shapely.LineString(step.path[:, :2]).buffer(diameter / 2.0 - off, quad_segs=64)
        for step in found
        if step.mode != 0 and float(step.path[:, 2].max()) <= -depth
    ]
    return shapely.union_all(shapes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mill:
    """A mill that cuts a job's programs, the plan's and those of skims, each wall ``off`` short."""

    job: Path
    off: float

    @property
    def plan(self) -> Path:
        return self.job.parent / f"{self.job.stem}-out"

    def skims(self) -> list[Path]:
        return sorted(self.job.parent.glob(f"{self.job.stem}-out-skim-*"))

    def plate(self) -> Any:
        document = json.loads((self.plan / "plan.json").read_text(encoding="utf-8"))
        sizes = {name: cutter["diameter_mm"] for name, cutter in document["cutters"].items()}
        programs = [(self.plan / one["file"], one["cutter"]) for one in document["programs"]]
        for folder in self.skims():
            skim = json.loads((folder / "skim.json").read_text(encoding="utf-8"))
            programs += [(folder / one["file"], one["cutter"]) for one in skim["programs"] if one["cutter"]]
        return shapely.union_all([removed(path, diameter=sizes[name], off=self.off) for path, name in programs])

    def across(self, *, at: tuple[float, float] | None = None) -> tuple[float, float]:
        """Widths of what is open along X and Y: over all, or between the walls that face each other at a place."""
        x0, y0, x1, y1 = self.plate().bounds
        if at is None:
            return x1 - x0, y1 - y0
        lines = [
            shapely.LineString([(x0 - 1, at[1]), (x1 + 1, at[1])]),
            shapely.LineString([(at[0], y0 - 1), (at[0], y1 + 1)]),
        ]
        cut = [self.plate().intersection(line) for line in lines]
        near = [min(shapely.get_parts(one), key=lambda part: part.distance(shapely.Point(at))).length for one in cut]
        return near[0], near[1]


def planned(folder: Path, plates: Any, run: Callable[..., Any], *, closed: Sequence[Any], more: str = "") -> Path:
    plates.drawn(folder / "plate.dxf", closed=[("PLATE", plates.rounded(0, 0, 60, 40, radius=2)), *closed])
    text = plates.HEAD.replace('"slot-6",', '"slot-6", "slot-3",') + plates.POCKET
    job: Path = plates.job(folder, text + "allowance_mm = 0.15\n" + more)
    ran = run("plan", job)
    assert ran.code == 0, ran.out + ran.err
    return job


def told(text: str) -> str:
    """A text without its line breaks."""
    return " ".join(text.split())
