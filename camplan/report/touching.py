"""Where Z is zeroed for shallow work, said on the sheet."""

from collections.abc import Sequence
from html import escape

from camplan.planned import PlannedProgram
from camplan.report.words import figure, place


def touch_off_words(program: PlannedProgram) -> str:
    """A paragraph that says where to touch off; nothing for programs zeroed anywhere on the plate's top."""
    spot = program.touch_off
    if spot is None:
        return ""
    more = f", or on the nearest of {'; '.join(place(at) for at in spot.at[1:])}" if len(spot.at) > 1 else ""
    said = (
        f"{spot.feature} is only {figure(spot.depth, places=3)} deep. Touch off Z on the plate at "
        f"{place(spot.at[0])}{more}: there nothing is cut before, and the plate's flatness does not count."
    )
    return f"<p><b>{escape(said)}</b></p>"


def zero_words_of(program: PlannedProgram, *, programs: Sequence[PlannedProgram]) -> str:
    """What is to be done to Z zero before a program, among those of its setting in order."""
    before = programs[: programs.index(program)]
    if program.touch_off is not None:
        return f"; first zero Z at {place(program.touch_off.at[0])}, for {program.touch_off.feature}"
    if before and before[-1].touch_off is not None:
        return "; first zero Z on the plate's top again"
    return ""
