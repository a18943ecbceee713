"""Posts: what a controller's dialect allows, read from ``posts/NAME.toml``."""

import difflib
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from camplan import resources
from camplan.errors import InputError, Problem
from camplan.fields import Fields, parsed_toml
from camplan.findings import Finding, Severity
from camplan.rs274.records import Post

_DIALECTS: tuple[Literal["rs274ngc", "grbl", "iso6983"], ...] = ("rs274ngc", "grbl", "iso6983")


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadedPost:
    """A post, and what was noticed on finding it."""

    post: Post
    findings: tuple[Finding, ...]


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
    """One post's table; what is wrong goes into the reader's problems."""
    post = Post(
        name=name,
        title=fields.text("title"),
        dialect=fields.choice("dialect", _DIALECTS),
        extension=fields.text("extension"),
        decimals=fields.count("decimals", at_least=2),
        line_length=fields.count("line_length", at_least=40),
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
    if not post.extension.startswith("."):
        fields.refuse("extension", f"{post.extension!r} must begin with a point", accepted='".nc" or the like')
    return post
