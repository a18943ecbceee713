"""Printing: answers to standard output, troubles and progress to standard error."""

import contextlib
import io
import os
import shutil
import sys
from typing import TextIO

WIDEST = 110
NARROWEST = 60


def forgiving(*streams: TextIO) -> None:
    """Let streams replace what a terminal cannot show (a Windows console may know neither ° nor µ)."""
    for stream in streams:
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def text_width() -> int:
    """How wide printed text may be."""
    return min(max(shutil.get_terminal_size((100, 24)).columns - 1, NARROWEST), WIDEST)


def say(text: str) -> None:
    """Print an answer; a reader that has gone away (``| head``) is no trouble."""
    try:
        sys.stdout.write(text if text.endswith("\n") else text + "\n")
        sys.stdout.flush()
    except BrokenPipeError:
        sink = os.open(os.devnull, os.O_WRONLY)
        os.dup2(sink, sys.stdout.fileno())


def complain(*lines: str) -> None:
    """Print lines to standard error."""
    for line in lines:
        print(line, file=sys.stderr)


class ProgressLine:
    """One line on a terminal that says what is being done; nothing where nobody looks."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._shown = ""
        self._on = stream.isatty()

    def __call__(self, what: str, share: float) -> None:
        """Say ``what`` is being done and the ``share`` (0 to 1) that is behind."""
        line = f"{round(100 * min(max(share, 0.0), 1.0)):>3} %  {what}"[: text_width()]
        if self._on and line != self._shown:
            self._write(f"\r{line:<{len(self._shown)}}")
            self._shown = line

    def clear(self) -> None:
        """Wipe the line before anything else is printed."""
        if self._shown:
            self._write("\r" + " " * len(self._shown) + "\r")
            self._shown = ""

    def _write(self, text: str) -> None:
        with contextlib.suppress(OSError):
            self._stream.write(text)
            self._stream.flush()
