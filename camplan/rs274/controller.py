"""What a controller does with a block: modes, zeros, motions, cycles.

The order on a line is that of NISTIR 6556, table 8.  Lengths are turned into mm as soon as they are read.
"""

import copy
import math
from dataclasses import replace

from camplan.findings import Severity
from camplan.moves.records import Arc, Dwell, Line, Move, Position, Rapid, Spindle, ToolChange
from camplan.rs274.arcs import (
    AXES_OF_PLANE,
    INCH_TOLERANCE,
    Centred,
    Turn,
    centred,
    check_words,
    chords_of,
    closed,
    length_of,
)
from camplan.rs274.checks import check_block, idle_words, motion_of
from camplan.rs274.cycles import CYCLES, NOT_FOLLOWED, bore_of, cycle_moves, held, strokes
from camplan.rs274.dialects import Dialect
from camplan.rs274.expressions import BrokenError
from camplan.rs274.modes import NOWHERE, Modes, Sticky, is_plain
from camplan.rs274.places import SYSTEMS, framed, machine_to_frame
from camplan.rs274.said import Said
from camplan.rs274.words import Block
from camplan.rs274.zero_watch import Zeros
from camplan.rs274.zeros import SHIFTS
from camplan.units import MM_PER_INCH, S_PER_MIN, Mm, MmPerMin

_SHORTEST_PROBE: Mm = 0.254
_MOST_STEPS = 500_000
"""Chords and strokes of cycles in a whole program."""
_STORED = range(5161, 5391)
"""Parameters that are the controller's own stored points and zeros (NISTIR 6556, table 2)."""


class Controller:
    """A controller while a program is read: its modes, and the moves it has made with the line of each.

    ``home`` is the code of the work system whose zero is touched off on the plate.
    """

    def __init__(self, *, dialect: Dialect, start: Position | None, arc_tolerance: Mm, home: float = 54) -> None:
        self.dialect = dialect
        self.zeros = Zeros(home=home)
        self.arc_tolerance = arc_tolerance
        self.start = start or NOWHERE
        self.modes = Modes(at=self.start)
        self.modes.places = replace(self.modes.places, system=SYSTEMS[home])
        if start is not None:
            self.modes.places = framed(self.modes.places)
        self.parameters: dict[int, float] = {}
        self.moves: list[Move] = []
        self.lines: list[int] = []
        self.said: list[Said] = []
        self.cutter = ""
        self._line = 0
        self._steps = 0.0
        self.point_said = not dialect.points_matter

    def execute(self, block: Block, *, line: int) -> None:
        """Run one block; `BrokenError` if it is in error, and then nothing of it has been done."""
        before, moves, said = copy.copy(self.modes), len(self.moves), len(self.said)
        self._line = line
        try:
            if block.values or block.g or block.m:
                self._run(block)
        except BrokenError:
            self.modes = before
            del self.moves[moves:], self.lines[moves:], self.said[said:]
            self.go_on_as(block.g.get("motion"), feed=block.values.get("F", 0.0))
            raise
        for index, value in block.settings:
            self.parameters[index] = value
            if index in _STORED:
                message = f"#{index} is where the controller keeps a point or a zero: setting it may move either"
                self.note("reserved-parameter", message, severity=Severity.UNSAFE)
        if block.pointless and not self.point_said:
            self.point_said = True
            message = "a length without its decimal point may be meant in least increments: read as whole units"
            self.note("point-missing", f"{message} ({self.dialect.source})")
        self.modes.plain = is_plain(self.modes)

    def note(self, code: str, message: str, *, severity: Severity = Severity.CAUTION) -> None:
        """Something to say about the line that is being run."""
        self.said.append(Said(line=self._line, code=code, message=message, severity=severity))

    def _hear(self, said: list[Said]) -> None:
        self.said.extend(said)

    def _make(self, *moves: Move) -> None:
        self.moves.extend(moves)
        self.lines.extend([self._line] * len(moves))

    def _count(self, steps: float) -> None:
        """Steps that one line asks for; `BrokenError` if the whole program asks for too many."""
        if self._steps + steps > _MOST_STEPS:
            said = f"the program asks for more than {_MOST_STEPS} chords and strokes in all"
            raise BrokenError(said, code="too-many-steps")
        self._steps += steps

    def go_on_as(self, motion: float | None, *, feed: float) -> None:
        """Take on the motion and the feed (0: none) that a line in error says: the lines after it are read as meant."""
        modes = self.modes
        if motion is not None and motion != modes.motion:
            modes.motion, modes.cycle = motion, Sticky()
        if feed > 0.0 and not modes.inverse:
            modes.feed = feed * modes.unit

    def go_on(self, *, line: int) -> None:
        """Be as after M2 or M30 where lines after them are run (Grbl 1.1h)."""
        modes, self._line = self.modes, line
        modes.ended = False
        self.note("after-end", f"stands after the end of the program and is run all the same ({self.dialect.source})")
        modes.motion, modes.cycle, modes.plane, modes.absolute = 1, Sticky(), 17, True
        if modes.inverse:
            modes.inverse, modes.feed = False, None
        if modes.places.system != SYSTEMS[54]:
            self._hear(self.zeros.taken_up(54, modes=modes, line=line))

    def _run(self, block: Block) -> None:
        modes = self.modes
        if block.deletable:
            severity = Severity.NOTE if self.dialect.name == "grbl" else Severity.CAUTION
            self.note("block-delete", "begins with / and is read as run; a switch may leave it out", severity=severity)
        motion = motion_of(block, modes=modes, dialect=self.dialect)
        check_block(block, motion=motion, modes=modes, dialect=self.dialect)
        if idle := idle_words(block, motion=motion):
            said = f"nothing on the line uses {', '.join(idle)} (NISTIR 6556 §3.5; Grbl error 36)"
            if motion is not None:
                said += "; read on without, so that later lines can be judged"
            self.note("word-unused", said, severity=Severity.UNSAFE)
        self._settings(block)
        self._spindle(block)
        if block.g.get("non-modal") == 4:
            if "P" not in block.values:
                raise BrokenError("G4 needs its P in seconds (NISTIR 6556 §3.5.4)", code="word-missing")
            self._make(Dwell(seconds=block.values["P"]))
        self._frame(block)
        special = block.g.get("non-modal")
        if special in (28, 30):
            self._stored(special, block=block)
        elif special in (28.1, 30.1):
            self.note("stored-point", f"G{special:g} writes the place here into the controller")
        elif special == 10:
            self._hear(self.zeros.rebased_by(block, modes=modes, grbl=self.dialect.name == "grbl", line=self._line))
        elif special in SHIFTS:
            self._hear(self.zeros.shifted_by(special, block=block, modes=modes, line=self._line))
            if self.start == NOWHERE and modes.places.frame is not None and not self.moves:
                self.start = modes.at
        if "motion" in block.g and block.g["motion"] != modes.motion:
            modes.motion, modes.cycle = block.g["motion"], Sticky()
        if motion is not None:
            self._move(motion, block=block, machine=special == 53)
        elif special == 53:
            raise BrokenError("G53 needs words for axes, and G0 or G1 (NISTIR 6556 §3.5.12)", code="word-missing")
        if block.m.get("stop") in (2, 30):
            if modes.turning:
                self._make(Spindle(rpm=0.0))
            modes.ended, modes.turning = True, 0

    def _settings(self, block: Block) -> None:
        """Feed mode, F, S and T: steps 2 to 5 of table 8."""
        modes, values = self.modes, block.values
        if "feed mode" in block.g and (block.g["feed mode"] == 93) != modes.inverse:
            modes.inverse, modes.feed = not modes.inverse, None
        units = block.g.get("units")
        if "F" in values:
            # F comes before G20 and G21 in table 8; the first of these says what all before it meant
            inch = modes.inch if modes.inch is not None else units in (20, 70)
            modes.feed = values["F"] * (MM_PER_INCH if inch and not modes.inverse else 1.0)
        if units is not None:
            inch = units in (20, 70)
            if modes.inch is not None and inch != modes.inch and modes.feed is not None:
                self.note("feed-before-units", "the feed in force was said in the other unit, and is kept as it was")
            modes.inch = inch
        if "T" in values:
            modes.tool = round(values["T"])

    def _spindle(self, block: Block) -> None:
        """M6, S and the spindle."""
        modes = self.modes
        before = (modes.speed, modes.turning)
        modes.speed = block.values.get("S", modes.speed)
        if "tool change" in block.m:
            self._make(ToolChange(number=modes.tool, cutter=self.cutter))
            modes.turning = 0
            modes.length_of_moves, modes.z_moved = None, False
            before = (modes.speed, 0)
        if (code := block.m.get("spindle")) is not None:
            modes.turning = {3: 1, 4: -1, 5: 0}[code]
            if modes.turning < 0:
                said = "M4 turns the spindle backwards: right-handed cutters rub and break; M3 cuts"
                self.note("spindle-reversed", said, severity=Severity.UNSAFE)
        if (modes.speed, modes.turning) != before and (modes.turning or before[1]):
            self._make(Spindle(rpm=modes.speed if modes.turning else 0.0))

    def _frame(self, block: Block) -> None:
        """Plane, compensation, length, work system, path control, distances: steps 11 to 18."""
        modes = self.modes
        modes.plane = round(block.g.get("plane", modes.plane))
        if (compensation := block.g.get("radius compensation")) is not None:
            if compensation != 40:
                if modes.compensated:
                    said = "radius compensation is on already (NISTIR 6556 §3.5.10)"
                    raise BrokenError(said, code="modal-conflict")
                if modes.plane != 17:
                    raise BrokenError("radius compensation needs G17 (NISTIR 6556 §3.5.10)", code="modal-conflict")
                said = f"G{compensation:g}: the controller shifts the path by a radius that the text does not say"
                self.note("cutter-compensation", said, severity=Severity.UNSAFE)
            modes.compensated = compensation != 40
        if (length := block.g.get("length offset")) is not None:
            if length == 43 and "H" not in block.values:
                raise BrokenError("G43 needs its H (NISTIR 6556 §3.5.11)", code="word-missing")
            # H0 is no offset, as after G49 (NISTIR 6556 §3.5.11)
            modes.length = None if length == 49 else block.values.get("H", block.values.get("Z", 0.0)) or None
            if modes.length is not None:
                self.note("length-offset", f"G{length:g} takes the cutter's length from the controller's table")
        if (system := block.g.get("work system")) is not None and SYSTEMS[system] != modes.places.system:
            self._hear(self.zeros.taken_up(system, modes=modes, line=self._line))
        if block.g.get("path control") == 64:
            self.note("path-control", "G64 lets the controller round corners", severity=Severity.NOTE)
        modes.absolute = block.g.get("distance", 90 if modes.absolute else 91) == 90
        modes.to_start = block.g.get("cycle return", 98 if modes.to_start else 99) == 98

    def _stored(self, code: float, *, block: Block) -> None:
        """By way of the words' place to a stored point of the machine, which no text says (NISTIR 6556 §3.5.8)."""
        named = [letter in block.values for letter in "XYZ"]
        if any(named):
            self._fix()
            self._straight(0, to=self._target(block), z_said=named[2])
        goes = named if self.dialect.name == "grbl" and any(named) else [True, True, True]
        self._lose(goes, what=f"G{code:g} goes to a point that the controller has stored")

    def _lose(self, goes: list[bool], *, what: str) -> None:
        """A rapid to where no text says: to be looked at, and unsafe sideways in the material."""
        modes = self.modes
        low = (goes[0] or goes[1]) and modes.at[2] <= 0.0
        severity = Severity.UNSAFE if low else Severity.CAUTION
        self.note("stored-point", f"{what}: the way there cannot be followed", severity=severity)
        x, y, z = (math.nan if gone else here for gone, here in zip(goes, modes.at, strict=True))
        self._make(Rapid(to=(x, y, z)))
        modes.at = (x, y, z)

    def _fix(self) -> None:
        """From the first motion on, places are told in the coordinates then in force."""
        modes = self.modes
        if modes.places.frame is None:
            modes.places = framed(modes.places)
            modes.offset = modes.places.offset()
            self._hear(self.zeros.at_first_move())
        if modes.inch is None:
            modes.inch = False
            self.note("units-unsaid", "moves before any line has said G20 or G21: read as mm")

    def _target(self, block: Block, *, machine: bool = False) -> Position:
        modes, values = self.modes, block.values
        unit = modes.unit
        place = list(modes.at)
        for axis, letter in enumerate("XYZ"):
            if letter in values:
                value = values[letter] * unit
                if machine:
                    place[axis] = machine_to_frame(modes.places, value=value, axis=axis)
                elif modes.absolute:
                    place[axis] = value + modes.offset[axis]
                else:
                    place[axis] += value
        return (place[0], place[1], place[2])

    def _move(self, motion: float, *, block: Block, machine: bool) -> None:
        modes = self.modes
        self._fix()
        if machine and motion not in (0, 1):
            raise BrokenError("G53 needs G0 or G1 (NISTIR 6556 §3.5.12)", code="modal-conflict")
        if modes.inverse and motion in (1, 2, 3) and "F" not in block.values:
            raise BrokenError("at inverse time each line needs its F (NISTIR 6556 §3.5.19)", code="feed-missing")
        if motion == 38.2 and self.dialect.name != "grbl":
            if modes.inverse:
                raise BrokenError("G38.2 cannot stand under G93 (NISTIR 6556 §3.5.9)", code="modal-conflict")
            if math.dist(modes.at, self._target(block, machine=machine)) < _SHORTEST_PROBE:
                raise BrokenError("G38.2 begins within 0.254 mm of its end (NISTIR 6556 §3.5.9)", code="probe-short")
        if motion != 0 and not modes.feed:
            raise BrokenError(f"G{motion:g} has no feed (NISTIR 6556 §3.5.2)", code="feed-missing")
        if motion in NOT_FOLLOWED:
            raise BrokenError(NOT_FOLLOWED[motion], code="cycle-not-followed")
        if motion in CYCLES:
            self._cycle(motion, block=block)
            return
        to = self._target(block, machine=machine)
        if machine and any(
            math.isnan(place) for place, letter in zip(to, "XYZ", strict=True) if letter in block.values
        ):
            if motion == 1:
                raise BrokenError("G53 G1 cuts to a place that no text says", code="stored-point")
            self._lose([letter in block.values for letter in "XYZ"], what="G53 goes to a place of the machine's own")
        elif motion in (2, 3):
            self._round(motion == 2, to=to, block=block)
        else:
            if motion not in (0, 1):
                said = f"G{motion:g} may stop anywhere on its way: what follows is not certain"
                self.note("probe", said, severity=Severity.UNSAFE)
            self._straight(motion, to=to, z_said="Z" in block.values)

    def _straight(self, motion: float, *, to: Position, z_said: bool) -> None:
        modes = self.modes
        self._check_length(z_said)
        start = modes.at
        across = to[:2] != start[:2]
        if across and (math.isnan(to[2]) or (math.isnan(start[2]) and motion == 1)):
            self.note("height-unsaid", "goes across before any line has said the height", severity=Severity.CAUTION)
        if motion == 1 and any(map(math.isnan, (*start[:2], *to))):
            said = "cuts from or to a place that no line has said"
            self.note("unknown-start", said, severity=Severity.UNSAFE)
        if motion == 0 or modes.feed is None:
            self._make(Rapid(to=to))
        else:
            self._cut(to, length=math.dist(start, to))
        modes.at = to

    def _cut(self, to: Position, *, length: Mm) -> None:
        """A straight cut; at inverse time one without length is a wait (NISTIR 6556 §3.5.19)."""
        if self.modes.inverse and length == 0.0:
            self._make(Dwell(seconds=S_PER_MIN / (self.modes.feed or math.inf)))
        else:
            self._make(Line(to=to, feed=self._rate(length)))

    def _rate(self, length: Mm) -> MmPerMin:
        """mm/min along the path; at inverse time F is one over minutes (NISTIR 6556 §3.5.19)."""
        feed = self.modes.feed or 0.0
        if self.modes.inverse and math.isnan(length):
            said = "at inverse time the feed follows from where a cut starts, and no line has said that"
            raise BrokenError(said, code="unknown-start")
        return feed * length if self.modes.inverse else feed

    def _check_length(self, z_said: bool) -> None:
        """Heights before and after a change of the length offset are not told in one frame."""
        modes = self.modes
        if not z_said:
            return
        if modes.z_moved and modes.length != modes.length_of_moves:
            said = "the length offset has changed since the last height: the tip stands elsewhere than the text says"
            self.note("length-offset-changed", said, severity=Severity.UNSAFE)
        modes.length_of_moves, modes.z_moved = modes.length, True

    def _round(self, clockwise: bool, *, to: Position, block: Block) -> None:
        modes, values, unit = self.modes, block.values, self.modes.unit
        self._check_length("Z" in values)
        i, j, k = (values[letter] * unit if letter in values else None for letter in "IJK")
        radius = values["R"] * unit if "R" in values else None
        turn = closed(
            Turn(clockwise=clockwise, plane=modes.plane, start=modes.at, to=to, offsets=(i, j, k), radius=radius)
        )
        to = turn.to
        granted = max(INCH_TOLERANCE, self.arc_tolerance) if modes.inch else self.arc_tolerance
        code = "arc-radius-mismatch"
        try:
            check_words(values, plane=modes.plane, dialect=self.dialect)
            found = centred(turn, dialect=self.dialect, granted=granted)
        except BrokenError as error:
            if any(map(math.isnan, (*turn.start, *to))):
                raise
            found, code = Centred(centre=(math.nan, math.nan), mismatch=str(error)), error.code
        if found.caution:
            self.note("arc-by-radius", found.caution)
        modes.at = to
        if found.mismatch:
            said = f"{found.mismatch}; read on as a straight cut, so that later lines can be judged"
            self.note(code, said, severity=Severity.UNSAFE)
            self._cut(to, length=math.dist(turn.start, to))
            return
        feed = self._rate(length_of(turn, centre=found.centre)) if modes.inverse else modes.feed or 0.0
        if AXES_OF_PLANE[modes.plane] == (0, 1, 2):
            self._make(Arc(to=to, centre=found.centre, clockwise=clockwise, feed=feed))
        else:
            said = f"an arc in the plane of G{modes.plane} is read as chords"
            self.note("arc-as-chords", said, severity=Severity.NOTE)
            points = chords_of(turn, centre=found.centre)
            self._count(len(points))
            self._make(*(Line(to=point, feed=feed) for point in points))

    def _cycle(self, motion: float, *, block: Block) -> None:
        modes = self.modes
        modes.cycle = held(modes.cycle, block=block, unit=modes.unit)
        bore = bore_of(motion, block=block, modes=modes)
        if math.isnan(modes.at[2]):
            self.note("height-unsaid", "goes across before any line has said the height")
        self._check_length(True)
        self._count(strokes(bore))
        self._make(*cycle_moves(bore, at=modes.at))
        modes.at = (*bore.holes[-1], bore.high)
