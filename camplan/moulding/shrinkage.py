"""Shrinkage: by which share a moulding is smaller than its cavity.

S = (cavity - moulding) / cavity, along and across the flow (ISO 294-4:2018, formula from memory), so the cavity is the
drawn size over 1 - S.  The rule of thumb of many guides, the drawn size times 1 + S, is smaller by S^2 / (1 - S) of it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import assert_never

from camplan.catalogue.plastics import MOST_SHRINKAGE, Plastic
from camplan.units import PERCENT, Mm

MEASURED = "measured"
"""The source of a share that follows from sizes of the user's own."""
CONFIDENCE = 0.95
"""The chance that a fitted share lies within its interval."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizePair:
    """One size of a first cavity as it was cut, and of the moulding that came out of it."""

    cut: Mm
    moulded: Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """The share is said by the user."""

    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OfPlastic:
    """The plastic's own share to start with."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """The share follows from sizes that were measured."""

    pairs: tuple[SizePair, ...]


Origin = Stated | OfPlastic | Measured
"""Where the share of one direction comes from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShrinkageSpec:
    """What the user asks: the origin of the share in ``x`` and in ``y``, and which ``features`` are scaled.

    ``about``: the place that stays put, in the drawing's coordinates (None: the middle of the plate's outline).
    ``depths``: whether depths are scaled too.  ``plastic``: whose range the shares are held against.
    """

    x: Origin
    y: Origin
    features: tuple[str, ...]
    about: tuple[Mm, Mm] | None = None
    depths: bool = False
    plastic: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """The share that measured sizes give, and its standard ``error`` and the ``half_width`` of its interval of
    `CONFIDENCE` (None: a single pair says nothing of its scatter)."""

    share: float
    error: float | None
    half_width: float | None
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Along:
    """The share in one direction, and the ``span`` from the least to the most it may be (None: nothing is known)."""

    share: float
    span: tuple[float, float] | None
    sentence: str
    source: str

    @property
    def factor(self) -> float:
        """What a drawn size is multiplied by to give the cavity's."""
        return cavity_factor(self.share)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shrinkage:
    """What is scaled and by how much; ``about`` and ``depths`` as in `ShrinkageSpec`."""

    x: Along
    y: Along
    features: tuple[str, ...]
    about: tuple[Mm, Mm] | None
    depths: bool
    plastic: Plastic | None

    @property
    def mean(self) -> float:
        """The share of a size that lies in no one direction."""
        return (self.x.share + self.y.share) / 2.0


def cavity_factor(share: float) -> float:
    """1 / (1 - S), for 0 <= S <= `MOST_SHRINKAGE`; ValueError outside.

    >>> round(100.0 * cavity_factor(0.02), 3)
    102.041
    """
    if not 0.0 <= share <= MOST_SHRINKAGE:
        raise ValueError(f"no plastic shrinks by {PERCENT * share:g} %")
    return 1.0 / (1.0 - share)


def fitted(pairs: Sequence[SizePair]) -> Fit:
    """The share that fits ``pairs`` best: m = (1 - S) c by least squares through the origin.

    With b = sum(c m) / sum(c^2) and s^2 = sum((m - b c)^2) / (n - 1) the standard error of b, and so of S = 1 - b, is
    s / sqrt(sum(c^2)); the interval takes Student's t with n - 1 degrees of freedom (any textbook on regression).
    ValueError without pairs or for sizes that are not above 0.

    >>> fit = fitted([SizePair(cut=50.0, moulded=49.2), SizePair(cut=100.0, moulded=98.4)])
    >>> round(fit.share, 6), round(fit.error, 6)
    (0.016, 0.0)
    """
    if not pairs or any(not (pair.cut > 0.0 and pair.moulded > 0.0) for pair in pairs):
        raise ValueError("a fit needs sizes above 0")
    squares = math.fsum(pair.cut**2 for pair in pairs)
    slope = math.fsum(pair.cut * pair.moulded for pair in pairs) / squares
    count = len(pairs)
    if count == 1:
        return Fit(share=1.0 - slope, error=None, half_width=None, count=1)
    scatter = math.fsum((pair.moulded - slope * pair.cut) ** 2 for pair in pairs) / (count - 1)
    error = math.sqrt(scatter / squares)
    # few jobs ask for it, and it takes a tenth of a second to load
    from scipy.special import stdtrit  # noqa: PLC0415

    student = float(stdtrit(count - 1, (1.0 + CONFIDENCE) / 2.0))
    return Fit(share=1.0 - slope, error=error, half_width=student * error, count=count)


def resolved(spec: ShrinkageSpec, *, plastic: Plastic | None) -> Shrinkage:
    """The shares of ``spec``; ``plastic`` is the one that it names.  ValueError if it has to give one and is None."""
    return Shrinkage(
        x=_along(spec.x, plastic=plastic),
        y=_along(spec.y, plastic=plastic),
        features=spec.features,
        about=spec.about,
        depths=spec.depths,
        plastic=plastic,
    )


def _along(origin: Origin, *, plastic: Plastic | None) -> Along:
    match origin:
        case Stated(share=share):
            return Along(share=share, span=None, sentence="as the job says", source="")
        case OfPlastic():
            if plastic is None:
                raise ValueError("no plastic to take the share from")
            span = plastic.shrinkage
            sentence = (
                f"{plastic.title}: printed from {PERCENT * span.least:g} to {PERCENT * span.most:g} %, a first figure "
                "to try"
            )
            return Along(
                share=plastic.start,
                span=(span.least, span.most),
                sentence=sentence,
                source=plastic.shrinkage_source,
            )
        case Measured(pairs=pairs):
            return _fitted_along(fitted(pairs))
        case _:
            assert_never(origin)


def _fitted_along(fit: Fit) -> Along:
    if fit.error is None or fit.half_width is None:
        sentence = "one measured pair, which says nothing of its scatter"
        return Along(share=fit.share, span=None, sentence=sentence, source=MEASURED)
    sentence = (
        f"{fit.count} measured pairs by least squares, standard error {PERCENT * fit.error:.3f} %, "
        f"95 % within ± {PERCENT * fit.half_width:.3f} %"
    )
    return Along(
        share=fit.share,
        span=(fit.share - fit.half_width, fit.share + fit.half_width),
        sentence=sentence,
        source=MEASURED,
    )
