"""Rules on a block as a whole: which motion its words belong to, and which word stands idle."""

from camplan.rs274.dialects import Dialect
from camplan.rs274.expressions import NEAR_WHOLE, BrokenError
from camplan.rs274.modes import Modes
from camplan.rs274.words import Block

USES_AXES = frozenset({10, 28, 30, 92})
"""Codes that take the axis words for themselves (NISTIR 6556 §3.4)."""
_LETTERS: dict[float, str] = {
    2: "IJKR",
    3: "IJKR",
    81: "RL",
    82: "RLP",
    83: "RLQ",
    84: "RL",
    85: "RL",
    86: "RLP",
    87: "RLIJK",
    88: "RLP",
    89: "RLP",
}
_OTHER_LETTERS: dict[float, str] = {4: "P", 10: "LPXYZ", 28: "XYZ", 30: "XYZ", 92: "XYZ", 41: "D", 42: "D", 43: "H"}


def has_axis(block: Block) -> bool:
    """Whether a word for X, Y or Z stands in the block."""
    return "X" in block.values or "Y" in block.values or "Z" in block.values


def motion_of(block: Block, *, modes: Modes, dialect: Dialect) -> float | None:
    """The motion that the block makes, said or implied; None if it makes none (NISTIR 6556 §3.4)."""
    said = block.g.get("motion")
    special = block.g.get("non-modal")
    length = block.g.get("length offset")
    axes = has_axis(block)
    if special in USES_AXES or length == 43.1:
        code = special if special in USES_AXES else length
        if axes and said is not None and said != 80:
            message = f"G{code:g} and G{said:g} both want the axis words (NISTIR 6556 §3.4)"
            raise BrokenError(message, code="modal-conflict")
        axes = False
    if said == 80 and axes:
        raise BrokenError("axis words stand beside G80 (NISTIR 6556 §3.5.15)", code="no-motion")
    if said is not None and said != 80:
        if not axes and dialect.axes_optional and said in (0, 1):
            if said == 1 and not block.values.get("F", modes.feed):
                raise BrokenError("G1 has no feed (Grbl 1.1h error 22)", code="feed-missing")
            return None
        if not axes:
            raise BrokenError(f"G{said:g} needs a word for X, Y or Z (NISTIR 6556 §3.5)", code="word-missing")
        return said
    if not axes or said == 80:
        return None
    if modes.motion is None:
        message = "axis words stand before any line has said a motion: what the controller does is left to chance"
        raise BrokenError(message, code="no-motion")
    if modes.motion == 80:
        raise BrokenError("axis words stand after G80, without a motion (NISTIR 6556 §3.5.15)", code="no-motion")
    return modes.motion


def check_block(block: Block, *, motion: float | None, modes: Modes, dialect: Dialect) -> None:
    """No negative or broken words (NISTIR 6556 §3.3.5, §3.5, §3.7; Grbl errors 4 and 38)."""
    values = block.values
    for letter in "ABC":
        if letter in values:
            raise BrokenError(f"{letter} turns an axis that is not followed", code="rotary-axis")
    for letter in "FSTPDH":
        if values.get(letter, 0.0) < 0.0:
            raise BrokenError(f"{letter} is negative (NISTIR 6556 §3.7)", code="negative-value")
    for letter in "TDHL":
        value = values.get(letter, 0.0)
        if abs(value - round(value)) > NEAR_WHOLE:
            raise BrokenError(f"{letter} wants a whole number (NISTIR 6556 §3.3.2.1)", code="bad-number")
    if dialect.tool_max is not None and values.get("T", 0.0) > dialect.tool_max:
        raise BrokenError(f"T goes up to {dialect.tool_max} ({dialect.source})", code="bad-number")
    if modes.compensated and block.g.get("non-modal") == 53:
        raise BrokenError("G53 cannot stand under G41 or G42 (NISTIR 6556 §3.5.12)", code="modal-conflict")


def idle_words(block: Block, *, motion: float | None) -> tuple[str, ...]:
    """The letters of words that nothing on the line uses (NISTIR 6556 §3.5; Grbl error 36)."""
    used = set("FST")
    if motion is not None:
        used.update("XYZ", _LETTERS.get(motion, ""))
    for code in block.g.values():
        used.update(_OTHER_LETTERS.get(code, ""))
    if block.g.get("length offset") == 43.1:
        used.add("Z")
    return tuple(sorted(letter for letter in block.values if letter not in used))
