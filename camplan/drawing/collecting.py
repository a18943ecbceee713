"""The entities of a drawing, blocks opened, sorted into layers as loose and closed pieces in mm."""

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import numpy as np
from ezdxf.document import Drawing as Document
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.insert import Insert
from ezdxf.math import Vec3

from camplan.drawing import entities
from camplan.drawing.placing import Placement, Tilted, figures, from_extrusion, from_matrix, placed, scaled
from camplan.errors import InputError, Problem
from camplan.findings import Finding, Severity
from camplan.geometry.chains import Chain, Points
from camplan.geometry.places import millimetres, place
from camplan.units import Mm

FARTHEST: Mm = 1e5
"""Coordinates beyond this are no plate's."""

MOST_PIECES = 1_000_000
"""Blocks of blocks may hold more entities than any machine can mill; past this the drawing is refused."""

_SHOWN = 3
_TEXTS = frozenset({"TEXT", "MTEXT", "ATTRIB", "ATTDEF"})
_LEVEL: Mm = 1e-6


@dataclass(slots=True, kw_only=True, eq=False)
class Loose:
    """What one layer holds before joining, and what was noticed there; ``omitted`` counts kinds by name."""

    name: str
    pieces: list[Chain] = field(default_factory=list)
    closed: list[Chain] = field(default_factory=list)
    points: list[tuple[Mm, Mm]] = field(default_factory=list)
    omitted: Counter[str] = field(default_factory=Counter)
    remarks: Counter[str] = field(default_factory=Counter)
    unreadable: list[str] = field(default_factory=list)
    tilted: list[Tilted] = field(default_factory=list)
    heights: Counter[float] = field(default_factory=Counter)
    hidden: int = 0
    state: str = ""
    astray: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Context:
    """Where entities stand: placed how, on which layer if theirs is "0", inside which blocks."""

    placement: Placement
    layer: str | None = None
    blocks: tuple[str, ...] = ()


def collected(document: Document, *, factor: Mm, file: str) -> dict[str, Loose]:
    """Every layer that holds something, in the order of the drawing; lengths times ``factor``."""
    collector = _Collector(document, file=file)
    # figures that are no numbers are reported where they stand, not warned of where they are reckoned with
    with np.errstate(all="ignore"):
        collector.take(document.modelspace(), context=_Context(placement=scaled(factor)))
    return collector.layers


class _Collector:
    def __init__(self, document: Document, *, file: str) -> None:
        self._document = document
        self._file = file
        self._taken = 0
        self._names: dict[str, str] = {}
        self.layers: dict[str, Loose] = {}

    def take(self, found: Iterable[DXFEntity], *, context: _Context) -> None:
        for entity in found:
            layer = self._layer(entity, context=context)
            if _said(entity, "invisible", default=0):
                layer.hidden += 1
            elif isinstance(entity, Insert):
                self._open_block(entity, layer=layer, context=context)
            else:
                self._count()
                self._take_one(entity, layer=layer, placement=context.placement)

    def _count(self) -> None:
        self._taken += 1
        if self._taken > MOST_PIECES:
            message = f"holds more than {MOST_PIECES} entities, blocks opened; that is no plate's drawing"
            raise InputError(Problem(message=message, file=self._file, accepted=f"at most {MOST_PIECES} entities"))

    def _layer(self, entity: DXFEntity, *, context: _Context) -> Loose:
        """Inside a block the layer "0" means the layer of the block's INSERT; upper and lower case are the same."""
        drawn = str(_said(entity, "layer", default="0"))
        if drawn == "0" and context.layer is not None:
            return self.layers[context.layer]
        name = self._names.get(drawn)
        if name is None:
            name = self._names[drawn] = self._proper_name(drawn)
        if name not in self.layers:
            self.layers[name] = Loose(name=name, state=self._state(name))
        return self.layers[name]

    def _proper_name(self, drawn: str) -> str:
        if self._document.layers.has_entry(drawn):
            return _readable(str(self._document.layers.get(drawn).dxf.name))
        return next((name for name in self.layers if name.lower() == drawn.lower()), _readable(drawn))

    def _state(self, name: str) -> str:
        if not self._document.layers.has_entry(name):
            return ""
        entry = self._document.layers.get(name)
        states = [word for word, holds in (("frozen", entry.is_frozen()), ("switched off", entry.is_off())) if holds]
        return " and ".join(states)

    def _open_block(self, insert: Insert, *, layer: Loose, context: _Context) -> None:
        name = str(insert.dxf.get("name", ""))
        layer.omitted.update(attribute.dxftype() for attribute in insert.attribs)
        block = insert.block()
        if block is None:
            layer.unreadable.append(f'an INSERT of the block "{name}", which the drawing does not hold')
            return
        if block.block is not None and (block.block.is_xref or block.block.is_xref_overlay):
            layer.unreadable.append(f'an INSERT of "{name}", which stands in another file')
            return
        if name in context.blocks:
            layer.unreadable.append(f'an INSERT of the block "{name}" inside itself')
            return
        places = _places(insert)
        if isinstance(places, str):
            layer.unreadable.append(f'an INSERT of the block "{name}" that has no place ({places})')
            return
        for inner in places:
            self._count()
            inside = _Context(
                placement=context.placement.after(inner), layer=layer.name, blocks=(*context.blocks, name)
            )
            self.take(block, context=inside)

    def _take_one(self, entity: DXFEntity, *, layer: Loose, placement: Placement) -> None:
        match entities.read(entity):
            case entities.Unknown(kind=kind):
                layer.omitted[kind] += 1
            case entities.Unreadable(why=why):
                layer.unreadable.append(f"a {entity.dxftype()} that {why}")
            case entities.Spot(at=at):
                x, y, z = placement.points(at[None, :])[0]
                if self._near(entity, layer=layer, values=np.array([x, y, z])):
                    layer.points.append((float(x), float(y)))
                    layer.heights[round(float(z), 3)] += abs(float(z)) > _LEVEL
            case entities.Read(curve=curve, placement=own, remarks=remarks):
                layer.remarks.update(remarks)
                whole = placement if own is None else placement.after(own)
                if not self._near(entity, layer=layer, values=figures(curve, by=whole)):
                    return
                found = placed(curve, by=whole)
                if isinstance(found, Tilted):
                    layer.tilted.append(found)
                else:
                    (layer.closed if found.path.closed else layer.pieces).append(found.path)
                    layer.heights[round(found.height, 3)] += abs(found.height) > _LEVEL

    def _near(self, entity: DXFEntity, *, layer: Loose, values: Points) -> bool:
        if np.all(np.abs(values) <= FARTHEST):
            return True
        bad = values[~(np.abs(values) <= FARTHEST)][0]
        layer.astray.append(f"a {entity.dxftype()} with the coordinate {bad:g} mm")
        return False


def _places(insert: Insert) -> Iterator[Placement] | str:
    """Where an INSERT puts its block, in rows and columns that are turned with it; or why it is nowhere."""
    try:
        first = from_matrix(insert.matrix44())
        own = from_extrusion(Vec3(insert.dxf.extrusion)).linear
        turn = math.radians(insert.dxf.rotation)
        across = own @ np.array([math.cos(turn), math.sin(turn), 0.0]) * insert.dxf.column_spacing
        along = own @ np.array([-math.sin(turn), math.cos(turn), 0.0]) * insert.dxf.row_spacing
        columns = int(insert.dxf.column_count) if across.any() else 1
        rows = int(insert.dxf.row_count) if along.any() else 1
    except Exception as error:  # in a damaged file any of these can be missing or of another type
        return str(error)
    return (
        Placement(linear=first.linear, origin=first.origin + across * column + along * row)
        for row in range(max(rows, 1))
        for column in range(max(columns, 1))
    )


def _said(entity: DXFEntity, attribute: str, *, default: object) -> object:
    """What an entity says, the default also if entities of its kind cannot say it."""
    return entity.dxf.get(attribute, default) if entity.dxf.is_supported(attribute) else default


def _readable(name: str) -> str:
    """A name without signs that cannot be printed, stand-ins for bytes that are no text among them."""
    return "".join(sign if sign.isprintable() else "?" for sign in name) or "?"


def problems(layer: Loose, *, file: str) -> tuple[Problem, ...]:
    """What makes the drawing unusable: coordinates that are no plate's."""
    if not layer.astray:
        return ()
    message = f'layer "{layer.name}" holds {_listed(layer.astray)}'
    return (Problem(message=message, file=file, accepted=f"coordinates within {FARTHEST:g} mm of the origin"),)


def findings(layer: Loose) -> tuple[Finding, ...]:
    """What was left out of a layer or read with a grain of salt."""
    found: list[Finding] = []

    def say(severity: Severity, code: str, message: str) -> None:
        found.append(Finding(severity=severity, code=code, message=message, where=layer.name))

    name = f'layer "{layer.name}"'
    if layer.state:
        say(Severity.NOTE, "layer-hidden", f"{name} is {layer.state} in the drawing; it is read all the same")
    if layer.hidden:
        say(Severity.CAUTION, "entity-hidden", f"{name}: {layer.hidden} invisible entities are left out")
    if layer.omitted:
        kinds = ", ".join(f"{count} {kind}" for kind, count in sorted(layer.omitted.items()))
        message = f"{name}: left out, as they hold no lines to mill along: {kinds}"
        if texts(layer):
            message += "; text is not turned into lines: explode it to lines in the drawing if it is to be engraved"
        say(Severity.NOTE, "entity-omitted", message)
    if layer.unreadable:
        say(Severity.CAUTION, "entity-unreadable", f"{name}: left out {_listed(layer.unreadable)}")
    for remark, count in sorted(layer.remarks.items()):
        say(Severity.NOTE, "entity-remark", f"{name}: curves {remark}: {count}")
    if layer.tilted:
        places = [f"{place(t.at)} from z {millimetres(t.low)} to {millimetres(t.high)}" for t in layer.tilted]
        message = f"{name}: {len(layer.tilted)} curves do not lie flat and are left out, at {_listed(places)}"
        say(Severity.CAUTION, "not-flat", message)
    heights = sorted(height for height, count in layer.heights.items() if count)
    if heights:
        at = _listed([f"{millimetres(height)} mm" for height in heights])
        say(Severity.NOTE, "drawn-at-height", f"{name}: curves drawn at the height {at} are read as flat")
    return tuple(found)


def texts(layer: Loose) -> int:
    """How many entities of text a layer holds."""
    return sum(count for kind, count in layer.omitted.items() if kind in _TEXTS)


def on_sheets(document: Document, *, file: str) -> tuple[Finding, ...]:
    """A note if entities stand on paper sheets, which are not read."""
    sheets = [layout for layout in document.layouts if layout.name != "Model"]
    count = sum(1 for sheet in sheets for entity in sheet if entity.dxftype() != "VIEWPORT")
    if not count:
        return ()
    message = f"{count} entities on paper sheets are not read; only the model space is"
    return (Finding(severity=Severity.NOTE, code="paper-omitted", message=message, where=file),)


def _listed(items: list[str]) -> str:
    shown = "; ".join(items[:_SHOWN])
    return shown if len(items) <= _SHOWN else f"{shown}; and {len(items) - _SHOWN} more"
