"""Posts: what a controller's dialect allows, read from ``posts/NAME.toml``."""

import difflib
import re
from dataclasses import dataclass
from pathlib import Path

from camplan import resources
from camplan.errors import InputError, Problem
from camplan.fields import Fields, parsed_toml, quoted
from camplan.findings import Finding, Severity
from camplan.rs274.dialects import DialectName, dialect_named
from camplan.rs274.read import read
from camplan.rs274.records import Post
from camplan.units import Mm

_DIALECTS: tuple[DialectName, ...] = ("rs274ngc", "grbl", "iso6983")
_SHORTEST_LINE = 72
"""Room for an arc with every word and a line number."""
_ROOM_FOR_NUMBER = 7
_MOST_DECIMALS = 6
_MOST_STEP = 1000
_CODE = re.compile(r"([GM])\s*(\d+)(?![.\d])")
_NEEDED = (("G17", {"G17"}), ("G21", {"G21", "G71"}), ("G90", {"G90"}), ("G94", {"G94"}))


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadedPost:
    """A post, and what was noticed on finding it."""

    post: Post
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Limits:
    line_length: int
    arc_tolerance: Mm


_LIMITS: dict[DialectName, _Limits] = {
    "rs274ngc": _Limits(line_length=256, arc_tolerance=0.002),  # NISTIR 6556 §3.3 and §3.5.3.2
    "grbl": _Limits(line_length=79, arc_tolerance=0.005),  # Grbl 1.1h: line buffer of 80, arc check
    "iso6983": _Limits(line_length=256, arc_tolerance=0.002),  # common practice, no source
}


def load_post(name: str, *, beside: Path) -> LoadedPost:
    """The post called ``name``: beside the job first, then the user's own, then the shipped one."""
    files = resources.named("posts", beside=beside)
    found = files.get(name)
    if found is None:
        near = difflib.get_close_matches(name, list(files), n=1)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        raise InputError(
            Problem(message=f"there is no post {name!r}{hint}", key="post", accepted=", ".join(sorted(files)))
        )
    problems: list[Problem] = []
    post = read_post(
        Fields(parsed_toml(found.path), file=str(found.path), problems=problems), name=name, file=str(found.path)
    )
    if problems:
        raise InputError(tuple(problems))
    hides = tuple(
        Finding(
            severity=Severity.NOTE,
            code="hidden-file",
            message=f"the post {name!r} is read from {found.path}, which hides {other}",
        )
        for other in found.hides
    )
    return LoadedPost(post=post, findings=hides)


def read_post(fields: Fields, *, name: str, file: str) -> Post:
    """One post's table; what is wrong, or wider than its dialect, goes into the reader's problems."""
    before = len(fields.problems)
    post = Post(
        name=name,
        title=fields.text("title"),
        dialect=fields.choice("dialect", _DIALECTS),
        extension=fields.text("extension"),
        decimals=fields.count("decimals", at_least=2),
        line_length=fields.count("line_length", at_least=_SHORTEST_LINE),
        line_numbers=fields.flag("line_numbers", default=False),
        line_number_step=fields.count("line_number_step", default=10, at_least=1),
        percent_lines=fields.flag("percent_lines", default=False),
        comments=fields.flag("comments", default=True),
        cycles=fields.flag("cycles", default=False),
        changes_cutters=fields.flag("changes_cutters", default=False),
        arc_tolerance=fields.number("arc_tolerance_mm", above=0.0),
        arc_radius_max=fields.number("arc_radius_max_mm", above=0.0),
        preamble=fields.texts("preamble"),
        closing=fields.texts("closing"),
        source=fields.text("source"),
        file=file,
    )
    fields.finish()
    if len(fields.problems) == before:
        _check_limits(post, fields=fields)
        _check_lines(post, fields=fields)
    return post


def _check_limits(post: Post, *, fields: Fields) -> None:
    """A post may be narrower than its dialect, never wider."""
    dialect = dialect_named(post.dialect)
    if not re.fullmatch(r"\.[A-Za-z0-9_-]+", post.extension):
        fields.refuse("extension", f"{quoted(post.extension)} is none", accepted='a point and letters, such as ".nc"')
    limits = _LIMITS[post.dialect]
    for key, value, most in (
        ("decimals", post.decimals, _MOST_DECIMALS),
        ("line_length", post.line_length, limits.line_length),
        ("arc_tolerance_mm", post.arc_tolerance, limits.arc_tolerance),
        ("line_number_step", post.line_number_step, _MOST_STEP),
    ):
        if value > most:
            fields.refuse(key, f"{value:g} is more than {post.dialect} bears", accepted=f"at most {most:g}")
    for key, wanted, known in (
        ("percent_lines", post.percent_lines, dialect.percent),
        ("cycles", post.cycles, 81 in dialect.g),
        ("changes_cutters", post.changes_cutters, 6 in dialect.m),
    ):
        if wanted and not known:
            fields.refuse(key, f"{post.dialect} has none of this ({dialect.source})", accepted="false")


def _check_lines(post: Post, *, fields: Fields) -> None:
    """The preamble sets what is written afterwards; the closing ends the program; the reader knows both."""
    for key, lines in (("preamble", post.preamble), ("closing", post.closing)):
        for line in lines:
            if len(line) + _ROOM_FOR_NUMBER > post.line_length:
                fields.refuse(key, f"{quoted(line)} is too long", accepted=f"{post.line_length} characters a line")
    codes = {f"{letter}{int(number)}" for letter, number in _CODE.findall(" ".join(post.preamble).upper())}
    missing = [name for name, same in _NEEDED if not codes & same]
    if missing:
        fields.refuse("preamble", f"does not say {', '.join(missing)}", accepted="G17, G21, G90 and G94 in it")
    ends = {f"{letter}{int(number)}" for letter, number in _CODE.findall(" ".join(post.closing).upper())}
    if not ends & {"M2", "M30"}:
        fields.refuse("closing", "does not end the program", accepted="M2 or M30 as the last line")
    for key, text in (("preamble", "\n".join(post.preamble)), ("closing", "\n".join((*post.preamble, *post.closing)))):
        wrong = [found for found in read(text, file=key, post=post).findings if found.severity is Severity.UNSAFE]
        if wrong:
            fields.refuse(key, wrong[0].message, accepted=f"lines that {post.dialect} reads")
            return
