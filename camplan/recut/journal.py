"""The journal of a plate: what was made, measured and skimmed, one line each, in a file that only ever grows.

A line is a check sum of eight hexadecimal digits, a space and a JSON object, so that the file can be read by eye and a
line that was torn by a crash, at any byte, is known for what it is.  What stands in a torn line was never promised; the
next line begins on a new one.
"""

import json
import math
import os
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from camplan.errors import InputError, Problem
from camplan.findings import Finding, Severity

SUFFIX = ".journal"
Value = str | float | int | bool | None | list["Value"] | dict[str, "Value"]
_DIGITS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line: what ``kind`` of thing was written down, its 1-based ``line``, and what it says."""

    kind: str
    line: int
    said: dict[str, Value]


@dataclass(frozen=True, slots=True, kw_only=True)
class Journal:
    """The entries of a file in their order, and lines that cannot be read."""

    file: Path
    entries: tuple[Entry, ...]
    findings: tuple[Finding, ...]


def journal_beside(job: Path) -> Path:
    """The journal's file: that of the job with another suffix."""
    return job.with_suffix(SUFFIX)


def read_journal(file: Path) -> Journal:
    """All whole lines of a journal; an absent file has none.

    A torn last line is a note, a spoilt line before it a caution: both are left as they stand.  InputError if the file
    cannot be read.
    """
    try:
        raw = file.read_bytes() if file.exists() else b""
    except OSError as error:
        raise _unusable(file, error) from error
    entries: list[Entry] = []
    findings: list[Finding] = []
    lines = raw.split(b"\n")
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        entry = _entry(line, number=number)
        if entry is not None:
            entries.append(entry)
        else:
            findings.append(_spoilt(file, number=number, last=all(not rest.strip() for rest in lines[number:])))
    return Journal(file=file, entries=tuple(entries), findings=tuple(findings))


def add_to_journal(file: Path, *, kind: str, said: Mapping[str, Value]) -> None:
    """Add one line at the end and see it on the disk; nothing that stands there is ever changed.

    After a torn line the new one begins on a line of its own.  InputError if the file cannot be written; ValueError
    for figures that are not finite.
    """
    text = line_of(kind, said=said)
    try:
        handle = os.open(file, os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o644)
        try:
            size = os.lseek(handle, 0, os.SEEK_END)
            if size and not _ends_whole(handle, size=size):
                text = "\n" + text
            data = text.encode("utf-8")
            while data:
                data = data[os.write(handle, data) :]
            os.fsync(handle)
        finally:
            os.close(handle)
    except OSError as error:
        raise _unusable(file, error) from error


def line_of(kind: str, *, said: Mapping[str, Value]) -> str:
    """The line of an entry, with its line end."""
    body = json.dumps({"kind": kind, **said}, ensure_ascii=False, allow_nan=False, separators=(", ", ": "))
    return f"{zlib.crc32(body.encode('utf-8')):08x} {body}\n"


def _ends_whole(handle: int, *, size: int) -> bool:
    os.lseek(handle, size - 1, os.SEEK_SET)
    return os.read(handle, 1) == b"\n"


def _entry(line: bytes, *, number: int) -> Entry | None:
    head, body = line[:_DIGITS], line[_DIGITS + 1 :]
    try:
        if line[_DIGITS : _DIGITS + 1] != b" " or int(head, 16) != zlib.crc32(body):
            return None
        said = json.loads(body.decode("utf-8"))
    except ValueError:
        return None
    kind = said.pop("kind", None) if isinstance(said, dict) else None
    return Entry(kind=kind, line=number, said=said) if isinstance(kind, str) else None


def _spoilt(file: Path, *, number: int, last: bool) -> Finding:
    if last:
        message = "the last line was torn off in writing; what it was to say is not known, all before it is whole"
        return Finding(severity=Severity.NOTE, code="journal-torn", message=message, where=f"{file}, line {number}")
    message = "the line is not as it was written; it is left as it is and not believed"
    return Finding(
        severity=Severity.CAUTION, code="journal-line-spoilt", message=message, where=f"{file}, line {number}"
    )


def _unusable(file: Path, error: OSError) -> InputError:
    said = error.strerror or str(error)
    return InputError(Problem(message=f"cannot be used: {said}", file=str(file), accepted="a file that can be written"))


def number_of(entry: Entry, key: str) -> float:
    """A figure of an entry; NaN where none stands."""
    value = entry.said.get(key)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else math.nan


def text_of(entry: Entry, key: str) -> str:
    """A text of an entry; empty where none stands."""
    value = entry.said.get(key)
    return value if isinstance(value, str) else ""
