"""How a plate is turned over, said on the sheet of a setting with its back up."""

from html import escape

from camplan.features.records import PlateFace
from camplan.features.turned import turned_zero

_AGAIN = (
    "Find X and Y zero from the same two edges of the plate as before: push them against stops, or locate the plate by "
    "pins in holes cut from the top. What is off here, the two faces are off from each other."
)


def turning_words(face: PlateFace) -> str:
    """How the plate is turned over, and where its zero is then; nothing for its top."""
    if face.about is None:
        return ""
    swapped, kept = ("left and right", "front") if face.about == "y" else ("front and back", "left side")
    now = face.plate.zero.replace("-", " ")
    same = turned_zero(face.plate.zero, about=face.about).replace("-", " ")
    return (
        f"Turn the plate over about its {face.about.upper()} axis: {swapped} change places, its {kept} stays where it "
        f"is. X and Y zero are then at the {now} as it lies, the same place of the plate that was {same} seen from its "
        "top. Z zero is the face that is up now, the back: touch off Z again. Depths count from it."
    )


def turning_block(face: PlateFace) -> str:
    """The same as a block of the sheet, and how to find the zero again."""
    words = turning_words(face)
    if not words:
        return ""
    return f"<h3>Turn the plate over</h3><p>{escape(words)}</p><p><b>{escape(_AGAIN)}</b></p>"
