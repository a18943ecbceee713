"""A first job file from a drawing: what the drawing says, and guesses that are marked as guesses.

Takes a drawing, gives the text of a job file.  Never decides anything: every guess stands beside a word that
says so, for the user to go through.
"""

import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePath
from typing import Literal

import shapely

from camplan.drawing.ends import open_ends
from camplan.drawing.records import Drawing, Layer
from camplan.geometry import planar
from camplan.geometry.places import place
from camplan.regions import Nested, area, regions_of, smallest_inner_radius
from camplan.units import Mm

Kind = Literal["pocket", "hole", "groove", "mark", "outline"]

_THICKNESS: Mm = 10.0
_POCKET_DEPTH: Mm = 5.0
_GROOVE_DEPTH: Mm = 1.0
_GROOVE_WIDTH: Mm = 3.0
_MARK_DEPTH: Mm = 0.2
_LARGEST_HOLE: Mm = 16.0
_UNDRAWN = "PLATE"
_CHORD: Mm = 0.01
_WIDTH = 116
_SHOWN = 12
_GROOVE_WORDS = ("groove", "runner", "channel", "vent", "gate", "slot", "cooling")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Seen:
    """One layer and what its closed chains make."""

    layer: Layer
    nested: Nested


@dataclass(frozen=True, slots=True, kw_only=True)
class _Guess:
    kind: Kind
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Outline:
    layer: str
    why: str
    alone: bool


def first_job(drawing: Drawing, *, file: str) -> str:
    """The text of a job file for a drawing that lies beside it as ``file``; lengths in mm."""
    seen = [_Seen(layer=layer, nested=regions_of(layer.closed, layer=name)) for name, layer in drawing.layers.items()]
    outline = _outline(seen)
    blocks = [_head(drawing, file=file), _plate(outline)]
    names: set[str] = set()
    features = [_layer_block(one, outline=outline, names=names) for one in seen]
    blocks.extend(features)
    if not names:
        why = "nothing else was found to cut; the plate is parted along its edge"
        guess = _Guess(kind="outline", why=why)
        blocks.append(_feature(outline.layer, guess=guess, names=names))
    return "\n\n".join(blocks) + "\n"


def _head(drawing: Drawing, *, file: str) -> str:
    notes = [_comment(finding.message) for finding in drawing.findings]
    said = [] if drawing.unit is None else [f"drawing_units = {_text(drawing.unit)}"]
    return "\n".join(
        [
            _comment(f"A first job for {file}. Every line marked as a guess is one: go through them all before a cut."),
            _comment("Lengths are in mm, depths below the plate's top."),
            *notes,
            f"title = {_text(PurePath(file).stem)}",
            f"drawing = {_text(file)}",
            *said,
            'machine = "bench-mill"  # guess: your machine, by its name in tooling/machines',
            'material = "aluminium-6082"  # guess: by its name in tooling/materials',
            'post = "rs274ngc"  # guess: the controller\'s dialect, by its name in posts',
        ]
    )


def _plate(outline: _Outline) -> str:
    return "\n".join(
        [
            "[plate]",
            f"thickness_mm = {_THICKNESS}  # guess: the drawing does not say; measure the plate",
            f"outline = {_text(outline.layer)}  # guess: {_plain(outline.why)}",
            'zero = "front-left"  # guess: front-left front-right back-left back-right centre',
        ]
    )


def _layer_block(seen: _Seen, *, outline: _Outline, names: set[str]) -> str:
    said = "\n".join(_comment(sentence) for sentence in _described(seen))
    guess = _guess(seen, outline=outline)
    if guess is None:
        return said
    return f"{said}\n{_feature(seen.layer.name, guess=guess, names=names)}"


def _feature(layer: str, *, guess: _Guess, names: set[str]) -> str:
    """A feature table; its name is taken up into ``names``."""
    stem = _plain(layer).strip().lower() or "layer"
    name, number = stem, 1
    while name in names:
        number += 1
        name = f"{stem} {number}"
    names.add(name)
    lines = [
        "[[feature]]",
        f"name = {_text(name)}",
        f"kind = {_text(guess.kind)}  # guess: {_plain(guess.why)}",
        f"layer = {_text(layer)}",
    ]
    match guess.kind:
        case "pocket":
            lines.append(f"depth_mm = {_POCKET_DEPTH}  # guess: the drawing has no depths")
        case "hole":
            lines.append('depth = "through"  # guess: or depth_mm = a depth')
        case "groove":
            lines.append(f"width_mm = {_GROOVE_WIDTH}  # guess: the drawing has no widths")
            lines.append(f"depth_mm = {_GROOVE_DEPTH}  # guess: the drawing has no depths")
        case "mark":
            lines.append(f"depth_mm = {_MARK_DEPTH}  # guess: the drawing has no depths")
        case "outline":
            lines.append('depth = "through"  # guess: or depth_mm = a depth')
    return "\n".join(lines)


def _described(seen: _Seen) -> list[str]:
    """What a layer holds, in sentences."""
    layer, regions = seen.layer, seen.nested.regions
    counts = [
        f"closed regions: {len(regions)}" if regions else "",
        f"of them with islands: {sum(1 for region in regions if region.islands)}" if regions else "",
        f"open lines: {len(layer.open)}" if layer.open else "",
        f"points: {len(layer.points)}" if len(layer.points) else "",
    ]
    sentences = [f'Layer "{layer.name}": ' + ("; ".join(part for part in counts if part) or "nothing to cut")]
    if layer.circles:
        sizes = [f"{count} x {size:.3f} mm" for size, count in _sizes(layer).items()]
        sentences.append(f"circles by diameter: {', '.join(sizes)}")
    corners = [corner for region in regions if (corner := smallest_inner_radius(region)) is not None]
    if corners:
        tight = min(corners, key=lambda corner: (corner.radius, corner.at))
        size = f"{tight.radius:.3f} mm" if tight.radius > 0.0 else "0, a sharp corner,"
        sentences.append(f"smallest inner radius: {size} at {place(tight.at)}")
    ends = [f"open ends: {place(path.points[0])} and {place(path.points[-1])}" for path in layer.open]
    if layer.closed and layer.open:
        ends = [finding.message for finding in open_ends(layer)]
    sentences.extend(ends[:_SHOWN])
    if len(ends) > _SHOWN:
        sentences.append(f"and {len(ends) - _SHOWN} more open lines")
    sentences.extend(problem.message for problem in seen.nested.problems)
    sentences.extend(finding.message for finding in (*layer.findings, *seen.nested.findings))
    return sentences


def _sizes(layer: Layer) -> dict[float, int]:
    """Diameters to the micron, smallest first, and how often each occurs."""
    return dict(sorted(Counter(round(circle.diameter, 3) for circle in layer.circles).items()))


def _guess(seen: _Seen, *, outline: _Outline) -> _Guess | None:
    """What a layer may be for; None if nothing can be said."""
    layer, nested = seen.layer, seen.nested
    if layer.name == outline.layer:
        if layer.circles and not outline.alone:
            return _Guess(kind="hole", why="circles on the layer of the plate's edge")
        return None
    if nested.problems and not nested.regions:
        return None
    if layer.closed and not _marks_rather(seen):
        if _holes(seen):
            return _Guess(kind="hole", why="circles only, none in another")
        return _Guess(kind="pocket", why="closed regions; contours in contours are islands")
    if layer.open or layer.closed:
        if any(word in layer.name.lower() for word in _GROOVE_WORDS):
            return _Guess(kind="groove", why="open lines, and the layer's name; a mark is engraved instead")
        return _Guess(kind="mark", why="open lines; a groove has a width and follows them too")
    if len(layer.points):
        return _Guess(kind="mark", why="points, marked with crosses; a hole needs diameter_mm")
    return None


def _holes(seen: _Seen) -> bool:
    layer = seen.layer
    return (
        len(layer.circles) == len(layer.closed)
        and not layer.open
        and not any(region.islands for region in seen.nested.regions)
        and max(circle.diameter for circle in layer.circles) <= _LARGEST_HOLE
    )


def _marks_rather(seen: _Seen) -> bool:
    """Letters and scales are mostly open lines with a few closed ones among them."""
    return len(seen.layer.open) > len(seen.layer.closed)


def _outline(seen: Sequence[_Seen]) -> _Outline:
    """The layer of the largest region, with the reason why it may be the plate's edge."""
    candidates = [
        (area(region) + sum(planar.filled(island, chord=_CHORD).area for island in region.islands), place)
        for place, one in enumerate(seen)
        for region in one.nested.regions
    ]
    if not candidates:
        why = "no layer has a closed contour; draw the plate's edge as one and name its layer here"
        return _Outline(layer=_UNDRAWN, why=why, alone=True)
    _, place = max(candidates, key=lambda candidate: (candidate[0], -candidate[1]))
    chosen = seen[place]
    outer = max(
        (region.outer for region in chosen.nested.regions), key=lambda path: planar.filled(path, chord=_CHORD).area
    )
    around = planar.filled(outer, chord=_CHORD).buffer(2.0 * _CHORD)
    lines = [planar.line(path, chord=_CHORD) for one in seen for path in (*one.layer.closed, *one.layer.open)]
    points = [point for one in seen for point in shapely.points(one.layer.points)]
    alone = len(chosen.layer.closed) == 1
    if not bool(shapely.covers(around, [*lines, *points]).all()):
        why = "the largest contour, though it does not hold all of the drawing"
    elif alone:
        why = "its one contour holds everything else"
    else:
        why = "its largest contour holds everything else; move its other contours to layers of their own"
    return _Outline(layer=chosen.layer.name, why=why, alone=alone)


def _text(value: str) -> str:
    """A TOML basic string."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _plain(value: str) -> str:
    """Text without control characters, which TOML comments may not hold."""
    return "".join(sign if sign.isprintable() else " " for sign in value)


def _comment(sentence: str) -> str:
    """Comment lines of bearable width."""
    lines: list[str] = [""]
    for word in _plain(sentence).split(" "):
        if lines[-1] and len(lines[-1]) + 1 + len(word) > _WIDTH:
            lines.append("  " + word)
        else:
            lines[-1] = f"{lines[-1]} {word}" if lines[-1] else word
    return "\n".join(f"# {line}" for line in lines)
