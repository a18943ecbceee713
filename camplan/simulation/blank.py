"""The plate before anything is cut, height by height: its outline less what was gone of it before."""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from camplan.features.existing import gone_number
from camplan.features.records import Plate
from camplan.simulation import solids
from camplan.simulation.figures import region_polygon, regions_polygon
from camplan.simulation.solids import Floats, Solid
from camplan.units import Mm

_SAME: Mm = 1e-5
_NARROWER: Mm = 0.004
"""So much narrower than they are earlier hollows may be taken (`simulation.hollows`, `pipeline.existing`)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Blank:
    """A plate's ``outline``, and for the first, the second, ... of ``plate.existing`` what is ``gone``, what of the
    outline ``stands`` beside that, and the ``floors`` at its own depth."""

    plate: Plate
    outline: Solid
    gone: tuple[Solid, ...]
    stands: tuple[Solid, ...]
    floors: tuple[Solid, ...]

    @property
    def sections(self) -> tuple[Solid, ...]:
        """All figures that its section takes."""
        return (self.outline, *self.stands)


def blank_of(plate: Plate) -> Blank:
    """The blank of a plate."""
    outline = region_polygon(plate.outline)
    gone = [regions_polygon(one.regions) for one in plate.existing]
    floors = [solids.less(one, deeper) for deeper, one in itertools.pairwise([solids.NOTHING, *gone])]
    stands = tuple(solids.less(outline, one) for one in gone)
    return Blank(plate=plate, outline=outline, gone=tuple(gone), stands=stands, floors=tuple(floors))


def blank_at(blank: Blank, *, z: Mm) -> Solid:
    """The blank's section at a height; the same figure for all heights between two changes."""
    number = gone_number(blank.plate, z=z)
    return blank.stands[number - 1] if number else blank.outline


def gone_at(blank: Blank, *, z: Mm) -> Solid:
    """What was gone at a height."""
    number = gone_number(blank.plate, z=z)
    return blank.gone[number - 1] if number else solids.NOTHING


def firm_at(blank: Blank, *, z: Mm, by: Mm) -> Solid:
    """What of the blank's section is no skin, up to ``by`` thick, of a wall that was cut before."""
    return solids.less(blank_at(blank, z=z), solids.grown(gone_at(blank, z=z), by=by + _NARROWER))


def floors_in(blank: Blank, *, domain: Solid) -> tuple[Mm, ...]:
    """The heights at which a blank's section changes inside a figure."""
    each = zip(blank.plate.existing, blank.floors, strict=True)
    return tuple(-one.depth for one, floor in each if solids.meets(floor, other=domain))


def blank_tops(blank: Blank, *, places: Floats) -> Floats:
    """How high the blank stands at (n, 2) places, 0 at its top; minus infinity beside it and where it goes through."""
    tops = np.where(solids.holds(blank.outline, places=places), 0.0, -math.inf)
    # the deepest last: what is gone deeper is gone above as well
    for one, stands in reversed(list(zip(blank.plate.existing, blank.stands, strict=True))):
        open_ = (tops > -math.inf) & ~solids.holds(stands, places=places)
        tops[open_] = -one.depth if one.depth < blank.plate.thickness - _SAME else -math.inf
    return tops
