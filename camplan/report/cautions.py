"""The usual cautions of milling, in a few lines for the sheet.

The machine maker's manual, the material's data sheet and local rules come before them.  Sources: HSE HSG129,
*Health and safety in engineering workshops* (2nd ed. 1999, detail from memory) for eyes, clothing, swarf and lifting;
ISO 16090-1:2022 for its scope; DGUV Information 209-090 for magnesium; the rest common practice, no source.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A few words to remember it by, and what to do."""

    point: str
    advice: str


FIRST = (
    "These lines remind; they replace nothing. The machine's manual, the material's data sheet and the rules of "
    "your place come first."
)

CAUTIONS = (
    Caution(
        point="Eyes and ears.",
        advice="Eye protection whenever the spindle turns near you; hearing protection with a fast spindle.",
    ),
    Caution(
        point="Nothing loose.",
        advice="No gloves, sleeves, rings, lanyards or loose hair near the spindle. Gloves only for sharp blanks and "
        "swarf, with the spindle stopped.",
    ),
    Caution(
        point="Know the stop.",
        advice="Try the stop button before the first cut. A feed hold stops the axes, often not the spindle; after a "
        "reset the position may be lost, so set zero again.",
    ),
    Caution(
        point="Guards shut.",
        advice="Cut with guard or enclosure closed; leave interlocks alone.",
    ),
    Caution(
        point="Hold it down.",
        advice="Clamp against the cut and against lift. Compare each clamp with the picture: place and height are what "
        "the programs were proven with. Support thin plates; check tape or vacuum at the corners.",
    ),
    Caution(
        point="Check the cutter.",
        advice="Right one, sharp, unchipped, turning the right way, within its rated speed; shank well seated, "
        "stick-out at least as listed, holder and nut clear of walls and clamps.",
    ),
    Caution(
        point="Air first.",
        advice="Check zero, then run the program with Z zero set well above the plate; then block by block with feed "
        "and rapids turned down and a hand at the stop.",
    ),
    Caution(
        point="Start low.",
        advice="Speeds and feeds here are estimates. Listen, look at chip and edge, then raise them.",
    ),
    Caution(
        point="Swarf and dust.",
        advice="Stop, then brush or hook, never fingers; do not blow it at anybody. Extract dust of wood, board and "
        "filled plastics at the cutter and wear a fitting mask.",
    ),
    Caution(
        point="Know the metal.",
        advice="No magnesium on this class of machine: its chips burn and water feeds the fire. Do not take a "
        "magnesium offcut for aluminium.",
    ),
    Caution(
        point="Fluids.",
        advice="Keep coolant and oil off your skin and out of your lungs, and electrics dry.",
    ),
    Caution(
        point="Stay with it.",
        advice="Do not leave a cutting machine alone. Deburr before handling, lift heavy plates with help, and know "
        "which extinguisher is right.",
    ),
)

SOURCES = (
    "After HSE HSG129, Health and safety in engineering workshops (2nd ed. 1999, detail from memory), DGUV Information "
    "209-090 (magnesium), and common practice."
)
