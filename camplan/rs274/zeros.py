"""Codes that move the zero: work systems, G10 and the G92 family (NISTIR 6556 §3.5.5, §3.5.13, §3.5.18)."""

import math
from dataclasses import replace

from camplan.moves.records import Position
from camplan.rs274.expressions import NEAR_WHOLE, BrokenError
from camplan.rs274.modes import Modes
from camplan.rs274.places import Axes, Places, origin_for, program_coordinates, with_origin
from camplan.rs274.words import Block

SHIFTS = frozenset({92, 92.1, 92.2, 92.3})


def wanted_axes(block: Block, *, modes: Modes) -> tuple[float | None, float | None, float | None]:
    """The values of the axis words in mm, None where no word stands."""
    x, y, z = (block.values[letter] * modes.unit if letter in block.values else None for letter in "XYZ")
    return (x, y, z)


def shifted(code: float, *, block: Block, modes: Modes) -> tuple[Places, Position]:
    """The places and the cutter's own place after a code of the G92 family.

    While no line has said a place, G92 says where the cutter stands: no shift is needed for that.
    """
    places = modes.places
    if code == 92.1:
        return replace(places, shift=(0.0, 0.0, 0.0), kept=(0.0, 0.0, 0.0)), modes.at
    if code == 92.2:
        return replace(places, shift=(0.0, 0.0, 0.0)), modes.at
    if code == 92.3:
        if places.kept is None:
            said = "G92.3 brings back a shift that the program has not made"
            raise BrokenError(said, code="parameter-unset")
        return replace(places, shift=places.kept), modes.at
    wanted = wanted_axes(block, modes=modes)
    if all(value is None for value in wanted):
        raise BrokenError("G92 needs a word for X, Y or Z (NISTIR 6556 §3.5.18)", code="word-missing")
    here = program_coordinates(places, at=modes.at)
    at, shift = list(modes.at), list(places.shift)
    for axis, value in enumerate(wanted):
        if value is None:
            continue
        if math.isnan(here[axis]):
            if places.frame is not None:
                raise BrokenError("G92 names a place that no line has said", code="unknown-start")
            at[axis] = value
        else:
            shift[axis] += here[axis] - value
    new: Axes = (shift[0], shift[1], shift[2])
    return replace(places, shift=new, kept=new), (at[0], at[1], at[2])


def rebased(block: Block, *, modes: Modes, grbl: bool) -> Places:
    """The places after G10 L2 (machine coordinates of an origin) or Grbl's G10 L20 (what the place here shall read)."""
    kind, number = block.values.get("L"), block.values.get("P")
    lowest, highest = (0, 6) if grbl else (1, 9)
    if kind not in ((2, 20) if grbl else (2,)):
        said = f"G10 needs L2{' or L20' if grbl else ''} (NISTIR 6556 §3.5.5)"
        raise BrokenError(said, code="word-missing")
    if number is None or abs(number - round(number)) > NEAR_WHOLE or not lowest <= round(number) <= highest:
        raise BrokenError(f"G10 needs a whole P from {lowest} to {highest} (NISTIR 6556 §3.5.5)", code="word-missing")
    system = round(number) - 1 if round(number) else modes.places.system
    wanted = wanted_axes(block, modes=modes)
    if kind == 2:
        x, y, z = ((0, value) if value is not None else None for value in wanted)
        return with_origin(modes.places, system=system, origin=(x, y, z))
    found = [
        origin_for(modes.places, at=modes.at[axis], axis=axis, wanted=value) if value is not None else None
        for axis, value in enumerate(wanted)
    ]
    if any(value is not None and origin is None for value, origin in zip(wanted, found, strict=True)):
        raise BrokenError("G10 L20 names a place that no line has said", code="unknown-start")
    return with_origin(modes.places, system=system, origin=(found[0], found[1], found[2]))
