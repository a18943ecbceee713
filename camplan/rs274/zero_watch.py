"""What becomes of the zero that was touched off on the plate, line by line.

The proof holds for a program whose zero is where the setup sheet says.  So, for each way in which a text can move it:

- another work system, used from the first move to the last: its zero is set on the machine like that of the job's own,
  and no text can say whether it was.  A caution, to be read before the first start.
- another work system after the first move: the cuts before and behind that line have two zeros, and only by chance
  are both on the plate.  Unsafe.  (Where the program has itself said how the two lie, they are told apart.)
- G10 L2 or L20 of a system in use, and G92 before the first move: either the zero is there already, and the line is
  idle, or it moves and every cut with it.  Such a line can only harm.  Unsafe.
- G10 of a system that the program does not use: harmless here, and kept by the controller for good.  A caution.
- G92 where the text has said where the cutter stands: the shift is known, its cuts are judged where they fall.  A
  caution; but unsafe if it is still in force at the end, for the next program then cuts elsewhere (Grbl 1.1h keeps it
  over M2 and M30; NISTIR 6556 §3.6.1 takes it away there).
"""

from dataclasses import dataclass, field, replace

from camplan.findings import Severity
from camplan.rs274.modes import Modes
from camplan.rs274.places import SYSTEMS, Places, followed, framed, moved
from camplan.rs274.said import Said
from camplan.rs274.words import Block
from camplan.rs274.zeros import rebased, shifted

_IDLE_OR_MOVED = "either that is where the plate was touched off, and the line is idle, or every cut moves"


@dataclass(slots=True, kw_only=True)
class Zeros:
    """``home`` is the code of the work system that is touched off on the plate; ``rewritten`` are the systems, by
    number, whose zero the program has set in the machine's coordinates; ``shifted_at`` is the line of the last shift.
    """

    home: float
    rewritten: set[int] = field(default_factory=set)
    shifted_at: int = 0
    foreign: Said | None = None

    def at_first_move(self) -> list[Said]:
        """What is to be said once the system that is in force is used."""
        return [] if self.foreign is None else [self.foreign]

    def taken_up(self, system: float, *, modes: Modes, line: int) -> list[Said]:
        """Another work system from here on."""
        number = SYSTEMS[system]
        self.foreign = None
        if system != self.home:
            message = (
                f"runs in G{system:g}, and the job's zero is that of G{self.home:g}: touch off G{system:g} on the "
                "plate, or every cut lies as far aside as its stored zero"
            )
            self.foreign = Said(line=line, code="other-work-system", message=message, severity=Severity.CAUTION)
        said = _new_zero(replace(modes.places, system=number), what=f"G{system:g}", modes=modes, line=line)
        if not said and number in self.rewritten:
            return [_overwritten(f"G{system:g} takes up a zero that G10 L2 has set", line=line)]
        return said

    def rebased_by(self, block: Block, *, modes: Modes, grbl: bool, line: int) -> list[Said]:
        """G10; `BrokenError` if its words do not fit."""
        places = rebased(block, modes=modes, grbl=grbl)
        changed = [number for number, old in enumerate(modes.places.origins) if moved(old, to=places.origins[number])]
        what = f"G10 L{block.values['L']:g}"
        if block.values["L"] == 2:
            self.rewritten.update(changed)
        said = _new_zero(places, what=what, modes=modes, line=line)
        if changed and places.system not in changed:
            message = f"{what} changes, for good, the zero of a system that is not in use: programs that use it move"
            return [Said(line=line, code="stored-zero", message=message, severity=Severity.CAUTION)]
        if changed and not said:
            return [_overwritten(f"{what} sets the zero of the system in use", line=line)]
        return said

    def shifted_by(self, code: float, *, block: Block, modes: Modes, line: int) -> list[Said]:
        """G92 and its family; `BrokenError` if its words do not fit."""
        places, at = shifted(code, block=block, modes=modes)
        said: list[Said] = []
        if places.shift != modes.places.shift:
            self.shifted_at = line
            message = f"G{code:g} shifts the zero from here on, in all work systems"
            said.append(Said(line=line, code="zero-shifted", message=message, severity=Severity.CAUTION))
        modes.places, modes.at = places, at
        if code == 92 and places.frame is None:
            said.append(_overwritten("G92 puts the zero where the cutter stands before the first move", line=line))
            modes.places = framed(places)
        modes.offset = modes.places.offset()
        return said

    def at_end(self, places: Places, *, kept: bool) -> list[Said]:
        """``kept``: a shift outlasts the program."""
        if not (kept and any(places.shift)):
            return []
        message = "the shift is still in force at the end, and what runs next cuts elsewhere: G92.1 takes it away"
        return [Said(line=self.shifted_at, code="zero-stays-shifted", message=message, severity=Severity.UNSAFE)]


def _overwritten(what: str, *, line: int) -> Said:
    return Said(line=line, code="zero-overwritten", message=f"{what}: {_IDLE_OR_MOVED}", severity=Severity.UNSAFE)


def _new_zero(places: Places, *, what: str, modes: Modes, line: int) -> list[Said]:
    """Go on in new places; where the text does not say how they lie, as if the zero were the same."""
    modes.places, modes.offset, known = followed(places, before=modes.offset)
    if known:
        return []
    message = (
        f"{what} moves the zero by what the text does not say: every cut from here on may lie elsewhere "
        "(read on as if it were the same zero)"
    )
    return [Said(line=line, code="work-system-changed", message=message, severity=Severity.UNSAFE)]
