"""What a controller does with a block: modes, offsets, motions, cycles.

Order on a line as in NISTIR 6556, table 8.  Lengths are turned into mm as soon as they are read.
"""

import math
from collections.abc import Mapping

from camplan.findings import Severity
from camplan.moves.expand import BACK_GAP
from camplan.moves.records import Arc, Dwell, Line, Move, Position, Rapid, Spindle, ToolChange
from camplan.moves.table import Kind
from camplan.rs274.expressions import BrokenError
from camplan.rs274.modal import GRBL_LETTERS, sorted_codes
from camplan.rs274.words import LETTERS, Block
from camplan.units import MM_PER_INCH, UM_PER_MM

_AXES = "XYZ"
_CYCLES = frozenset({81, 82, 83, 84, 85, 86, 87, 88, 89})
_NO_CENTRE = (math.nan, math.nan)


class Controller:
    """A controller's state while a program is read; the rows it has moved are in its lists."""

    def __init__(self, *, grbl: bool, start: Position | None) -> None:
        self.grbl = grbl
        self.at: list[float | None] = list(start) if start else [None, None, None]
        self.shift = [0.0, 0.0, 0.0]
        self.parameters: dict[int, float] = {}
        self.motion: float | None = 1.0 if not grbl else 0.0
        self.absolute, self.inch, self.inverse, self.to_start = True, False, False, True
        self.plane, self.system = 17.0, 54.0
        self.compensated = False
        self.feed: float | None = None
        self.speed, self.turning = 0.0, False
        self.tool = 0
        self.cycle: dict[str, float] = {}
        self.ended = False
        self.moves: list[Move] = []
        self.remarks: list[tuple[int, str, str, Severity]] = []
        self.start: list[Position] = []
        self.end: list[Position] = []
        self.centre: list[tuple[float, float]] = []
        self.kind: list[int] = []
        self.feeds: list[float] = []
        self.speeds: list[float] = []
        self.lines: list[int] = []

    def execute(self, block: Block, *, line: int, arc_tolerance: float) -> None:
        """Run one block; `BrokenError` if it is in error, the state then being as far as the line had come."""
        if block.deletable:
            self._remark(line, "block-delete", "begins with /: it is taken as run", Severity.NOTE)
        if block.words:
            self._run(block.words, line=line, arc_tolerance=arc_tolerance)
        for index, value in block.settings:
            self.parameters[index] = value

    def _remark(self, line: int, code: str, said: str, severity: Severity) -> None:
        self.remarks.append((line, code, said, severity))

    def _run(self, words: tuple[tuple[str, float], ...], *, line: int, arc_tolerance: float) -> None:
        values: dict[str, float] = {}
        coded = False
        for letter, value in words:
            if letter in ("G", "M"):
                coded = True
                continue
            if letter not in LETTERS or (self.grbl and letter not in GRBL_LETTERS):
                raise BrokenError(f"the word {letter} is not known", code="unknown-word")
            if letter in values:
                raise BrokenError(f"{letter} stands twice (NISTIR 6556 §3.3.5)", code="word-twice")
            values[letter] = value
        codes: Mapping[str, float] = {}
        ms: list[int] = []
        if coded:
            codes, ms = sorted_codes(words, grbl=self.grbl)
        if "A" in values or "B" in values or "C" in values:
            raise BrokenError("rotary axes are not proven", code="rotary-axis")
        for letter in "FSTP":
            if values.get(letter, 0.0) < 0.0:
                raise BrokenError(f"{letter} is negative (NISTIR 6556 §3.7)", code="negative-value")
        if coded:
            self._modes(codes, ms, values, line=line)
        elif "F" in values or "S" in values or "T" in values:
            self._settings(values, line=line)
        special = codes.get("non-modal")
        if special is not None and special not in (4, 53):
            self._special(special, values, codes, line=line)
        else:
            self._move(codes.get("motion"), values, line=line, machine=special == 53, arc_tolerance=arc_tolerance)
        for m in ms:
            if m in (2, 30):
                self._finish()

    def _settings(self, values: Mapping[str, float], *, line: int) -> None:
        del line
        if "F" in values:
            self.feed = values["F"] if self.inverse else values["F"] * (MM_PER_INCH if self.inch else 1.0)
        if "S" in values:
            self.speed = values["S"]
        if "T" in values:
            self.tool = round(values["T"])

    def _modes(self, codes: Mapping[str, float], ms: list[int], values: Mapping[str, float], *, line: int) -> None:
        if "feed mode" in codes:
            self.inverse = codes["feed mode"] == 93
            self.feed = None
        if "units" in codes:
            self.inch = codes["units"] == 20
        self._settings(values, line=line)
        if 6 in ms:
            self.moves.append(ToolChange(number=self.tool, cutter=""))
            self.turning = False
        for m in ms:
            if m in (3, 4, 5):
                self.turning = m != 5
                self.moves.append(Spindle(rpm=self.speed if self.turning else 0.0))
        if codes.get("non-modal") == 4:
            if "P" not in values:
                raise BrokenError("G4 needs its P (NISTIR 6556 §3.5.4)", code="word-missing")
            self.moves.append(Dwell(seconds=values["P"]))
        self.plane = codes.get("plane", self.plane)
        compensation = codes.get("radius compensation")
        if compensation is not None:
            self.compensated = compensation != 40
            if self.compensated:
                said = f"G{compensation:g}: the controller shifts the path by a radius that the text does not say"
                self._remark(line, "cutter-compensation", said, Severity.UNSAFE)
        system = codes.get("work system")
        if system is not None and system != self.system:
            if self.kind:
                said = f"G{system:g} moves the zero by what the text does not say"
                self._remark(line, "work-system-changed", said, Severity.UNSAFE)
            self.system = system
        if "distance" in codes:
            self.absolute = codes["distance"] == 90
        if "cycle return" in codes:
            self.to_start = codes["cycle return"] == 98

    def _special(self, code: float, values: Mapping[str, float], codes: Mapping[str, float], *, line: int) -> None:
        axes = [letter for letter in _AXES if letter in values]
        if axes and "motion" in codes and codes["motion"] != 80:
            said = f"G{code:g} and G{codes['motion']:g} both want the axis words (NISTIR 6556 §3.4)"
            raise BrokenError(said, code="modal-conflict")
        factor = MM_PER_INCH if self.inch else 1.0
        if code == 92:
            if not axes:
                raise BrokenError("G92 needs an axis word (NISTIR 6556 §3.5.18)", code="word-missing")
            for axis, letter in enumerate(_AXES):
                here = self.at[axis]
                if letter in values:
                    self.shift[axis] = (here if here is not None else 0.0) - values[letter] * factor
            self._remark(line, "zero-shifted", "G92 shifts the zero from here on", Severity.CAUTION)
        elif code in (92.1, 92.2):
            self.shift = [0.0, 0.0, 0.0]
        elif code in (28, 30):
            if axes:
                self._straight(Kind.RAPID, self._target(values), line=line)
            said = f"G{code:g} goes to a stored point that the text does not say: that way is not proven"
            self._remark(line, "stored-point", said, Severity.CAUTION)
            self.at = [None, None, None]
        elif code == 10:
            said = "G10 sets a zero that the text's own coordinates may rest on"
            self._remark(line, "zero-set", said, Severity.UNSAFE if self.kind else Severity.CAUTION)
        else:
            raise BrokenError(f"G{code:g} is not read by this proof", code="unknown-code")

    def _target(self, values: Mapping[str, float]) -> list[float | None]:
        factor = MM_PER_INCH if self.inch else 1.0
        target = list(self.at)
        for axis, letter in enumerate(_AXES):
            if letter in values:
                value = values[letter] * factor
                if self.absolute:
                    target[axis] = value + self.shift[axis]
                else:
                    target[axis] = (self.at[axis] or 0.0) + value
        return target

    def _move(
        self,
        code: float | None,
        values: Mapping[str, float],
        *,
        line: int,
        machine: bool,
        arc_tolerance: float,
    ) -> None:
        if code is not None:
            if code in _CYCLES and code != self.motion:
                self.cycle = {}
            self.motion = code
        has_axis = "X" in values or "Y" in values or "Z" in values
        motion = self.motion
        if motion in (2, 3) and (code is not None or has_axis):
            self._round(motion == 2, values, line=line, arc_tolerance=arc_tolerance)
            return
        if not has_axis:
            if code in (0, 1) or code in _CYCLES:
                raise BrokenError(f"G{code:g} needs an axis word (NISTIR 6556 §3.5.1)", code="word-missing")
            return
        if machine:
            said = "G53 goes to a place of the machine that the text's zero does not tell: not proven"
            self._remark(line, "stored-point", said, Severity.CAUTION)
            self.at = [None, None, None]
        elif motion == 0:
            self._straight(Kind.RAPID, self._target(values), line=line)
        elif motion == 1:
            self._straight(Kind.LINE, self._target(values), line=line)
        elif motion in _CYCLES:
            self._bore(values, line=line)
        elif motion == 38.2:
            self._straight(Kind.LINE, self._target(values), line=line)
            self._remark(line, "probe", "a probe may stop anywhere on its way", Severity.CAUTION)
        else:
            raise BrokenError("axis words stand on a line without a motion (NISTIR 6556 §3.5.15)", code="no-motion")

    def _rate(self, length: float) -> float:
        if self.feed is None or self.feed == 0.0:
            raise BrokenError("there is no feed for this motion (NISTIR 6556 §3.5.2)", code="feed-missing")
        if self.inverse:
            rate, self.feed = self.feed * length, None
            return rate
        return self.feed

    def _straight(self, kind: Kind, target: list[float | None], *, line: int) -> None:
        known = [value for value in target if value is not None]
        start = [there if here is None else here for here, there in zip(self.at, target, strict=True)]
        if len(known) < 3:
            self.at = target
            if kind is Kind.LINE:
                self._rate(0.0)
            return
        to = (known[0], known[1], known[2])
        begin = (float(start[0] or 0.0), float(start[1] or 0.0), float(start[2] or 0.0))
        if kind is Kind.LINE:
            feed = self._rate(math.dist(begin, to))
            self.moves.append(Line(to=to, feed=feed))
        else:
            feed = math.nan
            self.moves.append(Rapid(to=to))
        self._row(kind, start=begin, to=to, centre=_NO_CENTRE, feed=feed, line=line)

    def _row(
        self, kind: Kind, *, start: Position, to: Position, centre: tuple[float, float], feed: float, line: int
    ) -> None:
        self.start.append(start)
        self.end.append(to)
        self.centre.append(centre)
        self.kind.append(int(kind))
        self.feeds.append(feed)
        self.speeds.append(self.speed if self.turning else 0.0)
        self.lines.append(line)
        self.at = [to[0], to[1], to[2]]

    def _round(self, clockwise: bool, values: Mapping[str, float], *, line: int, arc_tolerance: float) -> None:
        if self.plane != 17:
            raise BrokenError(f"an arc in the plane of G{self.plane:g} is not proven", code="arc-plane")
        x, y, z = self.at
        if x is None or y is None or z is None:
            raise BrokenError("an arc begins where no word has yet put the cutter", code="unknown-start")
        target = self._target(values)
        to = (float(target[0] or 0.0), float(target[1] or 0.0), float(target[2] or 0.0))
        factor = MM_PER_INCH if self.inch else 1.0
        if "R" in values:
            if "I" in values or "J" in values:
                raise BrokenError("R stands beside I or J (NISTIR 6556 §3.5.3)", code="arc-words")
            centre = _by_radius((x, y), to=to, radius=values["R"] * factor, clockwise=clockwise, slip=arc_tolerance)
        else:
            if "K" in values:
                raise BrokenError("K has no place in an arc in XY (NISTIR 6556 §3.5.3.2)", code="arc-words")
            if "I" not in values and "J" not in values:
                raise BrokenError("an arc needs I, J or R (NISTIR 6556 §3.5.3)", code="arc-words")
            if "X" not in values and "Y" not in values and self.grbl:
                raise BrokenError("an arc needs X or Y (Grbl error 26)", code="arc-words")
            centre = (x + values.get("I", 0.0) * factor, y + values.get("J", 0.0) * factor)
            first, last = math.dist(centre, (x, y)), math.dist(centre, to[:2])
            off = abs(first - last)
            granted = arc_tolerance if not self.grbl else max(arc_tolerance, min(0.5, 0.001 * first))
            if off > granted + 1e-9:
                said = (
                    f"its two radii differ by {off * UM_PER_MM:.1f} um; {granted * UM_PER_MM:g} are allowed "
                    "(NISTIR 6556 §3.5.3.2)"
                )
                raise BrokenError(said, code="arc-radius-mismatch")
            if first < 1e-9:
                raise BrokenError("an arc without a radius", code="arc-words")
        turn = math.dist(centre, (x, y)) * 2.0 * math.pi
        feed = self._rate(math.hypot(turn, to[2] - z))
        self.moves.append(Arc(to=to, centre=centre, clockwise=clockwise, feed=feed))
        kind = Kind.CLOCKWISE if clockwise else Kind.COUNTER_CLOCKWISE
        self._row(kind, start=(x, y, z), to=to, centre=centre, feed=feed, line=line)

    def _bore(self, values: Mapping[str, float], *, line: int) -> None:
        """A canned cycle, taken apart (NISTIR 6556 §3.5.16)."""
        if self.inverse:
            raise BrokenError("a cycle cannot run at inverse time (NISTIR 6556 §3.5.16)", code="modal-conflict")
        cycle = self.cycle
        factor = MM_PER_INCH if self.inch else 1.0
        cycle.update({letter: values[letter] * factor for letter in "RZQ" if letter in values})
        for letter in "RZ":
            if letter not in cycle:
                raise BrokenError(f"the cycle has no {letter} yet (NISTIR 6556 §3.5.16)", code="word-missing")
        if self.motion == 83 and cycle.get("Q", 0.0) <= 0.0:
            raise BrokenError("G83 needs a Q above 0 (NISTIR 6556 §3.5.16.4)", code="word-missing")
        if self.feed is None or self.feed == 0.0:
            raise BrokenError("there is no feed for this cycle", code="feed-missing")
        times = round(values.get("L", 1.0))
        if times < 1:
            raise BrokenError("L must be a positive whole number (NISTIR 6556 §3.5.16)", code="negative-value")
        old = self.at[2]
        before = old if old is not None else cycle["R"] + self.shift[2]
        plane = cycle["R"] + (self.shift[2] if self.absolute else before)
        bottom = cycle["Z"] + (self.shift[2] if self.absolute else plane)
        if bottom > plane:
            raise BrokenError("R lies below Z (NISTIR 6556 §3.5.16)", code="word-missing")
        across = {letter: values[letter] for letter in "XY" if letter in values}
        if before < plane:
            self._straight(Kind.RAPID, [self.at[0], self.at[1], plane], line=line)
            before = plane
        for _ in range(min(times, 10_000)):
            target = self._target(across)
            height = self.at[2] if self.at[2] is not None else before
            self._straight(Kind.RAPID, [target[0], target[1], height], line=line)
            self._down(plane=plane, bottom=bottom, line=line)
            up = before if self.to_start else plane
            out = Kind.LINE if self.motion in (84, 85, 89) else Kind.RAPID
            if out is Kind.LINE:
                self._straight(Kind.LINE, [self.at[0], self.at[1], plane], line=line)
            if self.at[2] != up:
                self._straight(Kind.RAPID, [self.at[0], self.at[1], up], line=line)

    def _down(self, *, plane: float, bottom: float, line: int) -> None:
        x, y = self.at[0], self.at[1]
        if self.at[2] != plane:
            self._straight(Kind.RAPID, [x, y, plane], line=line)
        depth = plane
        step = self.cycle["Q"] if self.motion == 83 else plane - bottom
        while depth > bottom + 1e-9 and step > 1e-6:
            deeper = max(bottom, depth - step)
            if depth < plane:
                self._straight(Kind.RAPID, [x, y, plane], line=line)
                self._straight(Kind.RAPID, [x, y, depth + BACK_GAP], line=line)
            self._straight(Kind.LINE, [x, y, deeper], line=line)
            depth = deeper

    def _finish(self) -> None:
        self.ended = True
        self.turning = False
        self.moves.append(Spindle(rpm=0.0))


def _by_radius(
    start: tuple[float, float], *, to: Position, radius: float, clockwise: bool, slip: float
) -> tuple[float, float]:
    """The centre of an arc in radius format (NISTIR 6556 §3.5.3.1)."""
    dx, dy = to[0] - start[0], to[1] - start[1]
    chord = math.hypot(dx, dy)
    if chord < 1e-9:
        raise BrokenError("an arc by R cannot end where it starts (NISTIR 6556 §3.5.3.1)", code="arc-words")
    size = abs(radius)
    if chord / 2.0 > size + slip:
        raise BrokenError(f"R {radius:g} is too small for a chord of {chord:g}", code="arc-radius-mismatch")
    rise = math.sqrt(max(size**2 - (chord / 2.0) ** 2, 0.0))
    left = (radius > 0.0) != clockwise
    side = rise if left else -rise
    return (start[0] + dx / 2.0 - dy / chord * side, start[1] + dy / 2.0 + dx / chord * side)
