"""A mill's file with other accelerations, everything else as it stands there."""

import tomllib
from collections.abc import Sequence

from camplan.errors import InputError, Problem

ACCELERATION = "acceleration_mm_s2"
JERK = "jerk_mm_s3"


def line_of(key: str, *, figures: Sequence[float]) -> str:
    """A line of a mill's file, such as ``acceleration_mm_s2 = [310.0, 310.0, 186.0]``."""
    return f"{key} = [{', '.join(str(round(one, 1)) for one in figures)}]"


def with_figures(text: str, *, file: str, head: Sequence[str], figures: dict[str, tuple[float, ...]]) -> str:
    """The text of a mill's file, ``head`` above it as comments, with ``figures`` by key in place of those in it.

    InputError if a key does not begin a line of the top table, so that it would not be clear what to replace.
    """
    lines = text.replace("\r\n", "\n").removeprefix("\ufeff").split("\n")
    wanted = tomllib.loads("\n".join(lines))
    for key, values in figures.items():
        place = _place(lines, key=key)
        if place is None:
            message = f"no line begins with {key} =, so it is not clear what to replace"
            accepted = f"{line_of(key, figures=values)} put in by hand"
            raise InputError(Problem(message=message, file=file, key=key, accepted=accepted))
        lines[place[0] : place[1]] = [line_of(key, figures=values)]
        wanted[key] = [round(one, 1) for one in values]
    made = "\n".join([*(f"# {one}" for one in head), *lines])
    if tomllib.loads(made) != wanted:
        message = "cannot be copied with other accelerations: something else would change as well"
        raise InputError(Problem(message=message, file=file, accepted="the lines put in by hand"))
    return made


def _place(lines: Sequence[str], *, key: str) -> tuple[int, int] | None:
    """The lines that hold a key of the top table and its value, from the first to the one after the last."""
    for begin, line in enumerate(lines):
        if line.lstrip().startswith("["):
            return None
        if line.partition("=")[0].strip() != key:
            continue
        for end in range(begin + 1, len(lines) + 1):
            try:
                tomllib.loads("\n".join(lines[begin:end]))
            except tomllib.TOMLDecodeError:
                continue
            return begin, end
    return None
