"""What a timed program says of its mill, in sentences."""

import textwrap
from collections.abc import Sequence

from camplan.moves.calibration import READ, Calibration, Explained
from camplan.recut.timings import Timing
from camplan.report.words import clock
from camplan.units import PERCENT

_TELLING = 3.0
"""Between scales farther apart than this a program says little (common practice, no source)."""
_LOOK_FIRST = 0.5
"""A scale below this, or above its reverse, is rarely the accelerations' doing (common practice, no source)."""


def timing_text(timing: Timing, *, found: Calibration, lines: Sequence[str], file: str, width: int) -> str:
    """Predicted against measured, what explains the difference, and the ``lines`` for the mill's file ``file``."""
    room = max(width, 40)
    share = max(found.predicted - found.fastest, 0.0)
    blocks = [
        f"{timing.program} on {timing.machine}: predicted {clock(found.predicted)}, measured {clock(found.measured)} "
        f"({_signed(found.measured / found.predicted - 1.0)}).",
        f"Of the predicted time {clock(share)} are speeding up, slowing down and corners; the rest are feeds, rapids "
        "and dwells, which accelerations do not change.",
        *_explanation(found),
    ]
    text = "\n".join(_wrapped(block, width=room) for block in blocks)
    if lines:
        shown = "\n".join(f"  {line}" for line in lines)
        text += f"\n\nIn a copy of {file} beside the job:\n{shown}"
    return text + "\n"


def timings_lines(timings: Sequence[Timing], *, width: int) -> list[str]:
    """Timed runs of a journal, one sentence each."""
    lines = []
    for one in timings:
        said = (
            f"{one.program} of {one.folder} on {one.machine}: {clock(one.measured)} measured, "
            f"{clock(one.predicted)} predicted: {_why(one)}"
        )
        lines += textwrap.wrap(
            said, width=max(width, 40), initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False
        )
    return ["Timed:", *lines] if lines else []


def written_text(*, path: str, name: str, hidden: str | None, job: str, out: str, width: int) -> str:
    """What follows from a mill's file that was written; ``hidden``: the file of the same name that is found no more."""
    if hidden is not None:
        said = (
            f"Written: {path}. It is found before {hidden}, so {out} no longer matches its job: plan it again before "
            "anything is located or cut again by it."
        )
    else:
        said = (
            f'Written: {path}. With machine = "{name}" in {job} the next plan counts on it, and no feed is higher than '
            f"such a mill can reach; until then {out} goes on matching its job."
        )
    return "\n" + _wrapped(said, width=max(width, 40))


def _wrapped(text: str, *, width: int) -> str:
    return textwrap.fill(text, width=width, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)


def _why(timing: Timing) -> str:
    if timing.scale is None:
        return "no acceleration explains it"
    return "they agree" if timing.scale == 1.0 else f"accelerations {timing.scale:.3g} times the file's"


def _explanation(found: Calibration) -> list[str]:
    match found.explained:
        case Explained.AGREES:
            return ["The times agree: nothing is to be changed."]
        case Explained.SCALED:
            scale = found.scale or 1.0
            said = [f"Accelerations {scale:.3g} times those of the mill's file explain it.", *_sure(found)]
            odd = not _LOOK_FIRST <= scale <= 1.0 / _LOOK_FIRST
            return [*said, *(_by_feed(found, first=True) if odd else [])]
        case Explained.TOO_LONG:
            return [
                f"No sane acceleration explains it: even at {found.least:.3g} times the file's it would take "
                f"{clock(found.longest)}. Feed override below 100 %, a feed hold or a pause, or a controller that caps "
                "the feed or stops between lines could.",
                *_by_feed(found, first=False),
            ]
        case Explained.TOO_SHORT:
            endless = (
                f"even without any limit to them it would take {clock(found.fastest)}"
                if found.measured < found.fastest
                else f"even at {found.most:.3g} times the file's it would take {clock(found.shortest)}"
            )
            return [
                f"No sane acceleration explains it: {endless}. Feed override above 100 %, rapids faster than the "
                "file's, a larger junction deviation, or a run that was not timed from its first line to its last "
                "could.",
                *_by_feed(found, first=False),
            ]


def _sure(found: Calibration) -> list[str]:
    if found.low is None or found.high is None:
        return []
    within = f"Timed to {READ:g} s, they are between {found.low:.3g} and {found.high:.3g} times the file's"
    if found.high > _TELLING * found.low:
        return [f"{within}: this program says little of them; one of many short moves says more."]
    return [f"{within}."]


def _by_feed(found: Calibration, *, first: bool) -> list[str]:
    if found.feed is None:
        return []
    share = round(found.feed * PERCENT)
    said = f"All feeds at {share} % would explain it as well"
    return [f"{said}: look at the feed override before the accelerations."] if first else [f"{said}."]


def _signed(share: float) -> str:
    return f"{share * PERCENT:+.1f} %"
