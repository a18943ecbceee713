"""The one error that stops a run: the input cannot be used.

A problem that leaves the answer meaningful is a `Finding` instead.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing wrong with an input: what, where, and what would be accepted."""

    message: str
    file: str = ""
    key: str = ""
    accepted: str = ""

    def __str__(self) -> str:
        place = ": ".join(part for part in (self.file, self.key) if part)
        sentence = f"{place}: {self.message}" if place else self.message
        return f"{sentence} (accepted: {self.accepted})" if self.accepted else sentence


class InputError(Exception):
    """Every problem found in the input, in one raise; the CLI prints them all and exits with 2."""

    def __init__(self, problems: tuple[Problem, ...] | Problem) -> None:
        self.problems = (problems,) if isinstance(problems, Problem) else problems
        super().__init__("\n".join(str(problem) for problem in self.problems))


def kept(load: Callable[[], T], *, problems: list[Problem]) -> T | None:
    """What a loader gives; its problems are kept and None comes back."""
    try:
        return load()
    except InputError as error:
        problems.extend(error.problems)
        return None
