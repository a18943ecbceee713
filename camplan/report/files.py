"""Output files, written whole or not at all.

New files are first written in full to a fresh folder, then put in place by renames that are undone if one fails.
A list beside them (`LIST`) says which files camplan wrote; only those are ever replaced or removed.
"""

import json
import os
import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from camplan.errors import InputError, Problem

LIST = ".camplan-files"
_FRESH = ".camplan-new-"
_EARLIER = ".camplan-earlier"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rename:
    """One step of a swap."""

    source: Path
    target: Path


def write_folder(folder: Path, files: Mapping[str, str]) -> None:
    """Make ``folder`` hold ``files`` (name to text, in UTF-8 with \\n) in place of what an earlier run wrote there.

    Files that camplan did not write stay as they are.  InputError, with the earlier output left whole, if the folder
    cannot be written, or if a file of the user's has one of the names.  An interruption between two renames is made
    good by the next run.
    """
    _check_names(files)
    place = _real(folder)
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        _finish_interrupted(place)
        own = _listed(place)
        _refuse_strangers(place, names=files, own=own)
        if _whole(place, own=own):
            _swap_folder(place, files=files)
        else:
            _swap_files(place, files=files, own=own)
    except OSError as error:
        raise InputError(_problem(folder, error)) from error


def write_new(path: Path, text: str) -> None:
    """Write a file that must not exist yet; InputError if it does, or if it cannot be written."""
    refuse_existing(path)
    fresh = path.with_name(f".{path.name}{_FRESH}{os.getpid()}")
    try:
        try:
            _write(fresh, text)
            refuse_existing(path)
            fresh.rename(path)
        finally:
            fresh.unlink(missing_ok=True)
    except OSError as error:
        raise InputError(_problem(path, error)) from error


def write_over_own(path: Path, text: str, *, mark: str) -> None:
    """Write a file, whole or not at all, over one that begins with ``mark`` or over none; InputError otherwise."""
    try:
        if path.exists():
            with path.open("rb") as earlier:
                if earlier.read(len(mark.encode())) != mark.encode():
                    refuse_existing(path)
        fresh = path.with_name(f".{path.name}{_FRESH}{os.getpid()}")
        try:
            _write(fresh, text)
            fresh.replace(path)
        finally:
            fresh.unlink(missing_ok=True)
    except OSError as error:
        raise InputError(_problem(path, error)) from error


def refuse_existing(path: Path) -> None:
    """InputError if the path is taken."""
    if path.exists():
        raise InputError(
            Problem(
                message="exists already and is not overwritten",
                file=str(path),
                accepted="another name, or move it away first",
            )
        )


def _check_names(files: Mapping[str, str]) -> None:
    for name in files:
        if name in ("", ".", "..", LIST) or Path(name).name != name or "\\" in name:
            raise ValueError(f"{name!r} is no plain file name")


def _real(folder: Path) -> Path:
    """The folder itself, links followed; InputError if something else stands there."""
    place = folder.expanduser()
    place = place.resolve() if place.exists() else place.absolute()
    if place.exists() and not place.is_dir():
        problem = Problem(message="is a file, not a folder", file=str(folder), accepted="a folder, or a new name")
        raise InputError(problem)
    return place


def _refuse_strangers(place: Path, *, names: Mapping[str, str], own: frozenset[str]) -> None:
    problems = tuple(
        Problem(
            message="stands in the output folder, but camplan did not write it; nothing was changed",
            file=str(place / name),
            accepted="another folder (-o), or move the file away",
        )
        for name in sorted(names)
        if name not in own and (place / name).exists()
    )
    if problems:
        raise InputError(problems)


def _listed(place: Path) -> frozenset[str]:
    """The names of the files that camplan wrote to the folder."""
    try:
        names = json.loads((place / LIST).read_text(encoding="utf-8"))
    except (FileNotFoundError, ValueError):
        return frozenset()
    if not isinstance(names, list):
        return frozenset()
    return frozenset((*(name for name in names if isinstance(name, str) and Path(name).name == name), LIST))


def _whole(place: Path, *, own: frozenset[str]) -> bool:
    """Whether the folder as a whole can be put in place of the other: nothing in it but camplan's own files.

    Never a drive's root, the folder that somebody stands in, or one whose parent cannot be written.
    """
    if not place.exists():
        return True
    if os.path.ismount(place) or Path.cwd().is_relative_to(place) or not os.access(place.parent, os.W_OK):
        return False
    return all(item.name in own and item.is_file() for item in place.iterdir())


def _swap_folder(place: Path, *, files: Mapping[str, str]) -> None:
    earlier = _earlier_folder(place)
    fresh = place.with_name(f".{place.name}{_FRESH}{os.getpid()}")
    try:
        _fill(fresh, files=files)
        if place.exists():
            shutil.copymode(place, fresh)
        away = [_Rename(source=place, target=earlier)] if place.exists() else []
        _swap([*away, _Rename(source=fresh, target=place)])
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
    shutil.rmtree(earlier, ignore_errors=True)


def _swap_files(place: Path, *, files: Mapping[str, str], own: frozenset[str]) -> None:
    earlier = place / _EARLIER
    fresh = place / f"{_FRESH}{os.getpid()}"
    try:
        _fill(fresh, files=files)
        earlier.mkdir()
        # The old ones leave before the first new one comes, so that the folder never shows a mixture.
        there = [name for name in sorted(own) if (place / name).is_file()]
        leave = [_Rename(source=place / name, target=earlier / name) for name in there]
        come = [_Rename(source=fresh / name, target=place / name) for name in (LIST, *files)]
        _swap([*leave, *come])
        (earlier / LIST).unlink(missing_ok=True)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
        if earlier.is_dir() and not (earlier / LIST).exists():
            shutil.rmtree(earlier, ignore_errors=True)


def _swap(steps: Sequence[_Rename]) -> None:
    """All renames, or none: those done are undone if one fails or the run is interrupted."""
    done: list[_Rename] = []
    try:
        for step in steps:
            done.append(step)
            step.source.rename(step.target)
    except BaseException:
        for step in reversed(done):
            if step.target.exists() and not step.source.exists():
                step.target.rename(step.source)
        raise


def _fill(folder: Path, *, files: Mapping[str, str]) -> None:
    folder.mkdir()
    for name, text in files.items():
        _write(folder / name, text)
    _write(folder / LIST, json.dumps(sorted(files), indent=0) + "\n")


def _write(path: Path, text: str) -> None:
    with path.open("w", encoding="utf-8", newline="\n") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())


def _finish_interrupted(place: Path) -> None:
    """Put back what a run that was killed between two renames had moved away."""
    earlier = _earlier_folder(place)
    if earlier.is_dir():
        if place.exists():
            shutil.rmtree(earlier)
        else:
            earlier.rename(place)
    inside = place / _EARLIER
    if inside.is_dir():
        if (inside / LIST).exists():
            # In this order it can itself be broken off at any point and begun again.
            for name in (*sorted(_listed(place) - {LIST}), LIST):
                (place / name).unlink(missing_ok=True)
            for item in sorted(inside.iterdir(), key=lambda item: (item.name == LIST, item.name)):
                item.replace(place / item.name)
        shutil.rmtree(inside)
    for stale in (*place.parent.glob(f".{place.name}{_FRESH}*"), *place.glob(f"{_FRESH}*")):
        shutil.rmtree(stale, ignore_errors=True)


def _earlier_folder(place: Path) -> Path:
    return place.with_name(f".{place.name}{_EARLIER}")


def _problem(path: Path, error: OSError) -> Problem:
    why = error.strerror or str(error)
    return Problem(
        message=f"cannot be written: {why}; the files of an earlier run are as they were",
        file=str(path),
        accepted="a folder that you may write to, with none of its files open in another program",
    )
