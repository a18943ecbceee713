"""The motions of a program as arrays: one row a straight or round motion."""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray


class Kind(IntEnum):
    """What a row of the table is."""

    RAPID = 0
    LINE = 1
    CLOCKWISE = 2
    COUNTER_CLOCKWISE = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MotionTable:
    """n motions: ``start`` and ``end`` (n, 3), ``centre`` (n, 2; NaN for straight ones), and per row the
    `Kind`, feed (mm/min; NaN for rapids), spindle speed (1/min) and 1-based line of the text (0: none).
    """

    start: NDArray[np.float64]
    end: NDArray[np.float64]
    centre: NDArray[np.float64]
    kind: NDArray[np.int8]
    feed: NDArray[np.float64]
    rpm: NDArray[np.float64]
    line: NDArray[np.int64]
