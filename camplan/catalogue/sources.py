"""The sources behind the figures, read from ``tooling/sources.toml``."""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal, get_args

from camplan import resources
from camplan.catalogue.reading import hidden, opened
from camplan.errors import InputError, Problem
from camplan.findings import Finding

Status = Literal["confirmed", "from memory", "common practice, no source", "invented"]
STATUSES: tuple[Status, ...] = get_args(Status)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A publication by its short code; ``status`` says whether the figures were read in it."""

    code: str
    publication: str
    used_for: str
    status: Status
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sources:
    """Every source by code, sorted, and hidden files."""

    by_code: dict[str, Source]
    findings: tuple[Finding, ...]


def load_sources(*, beside: Path) -> Sources:
    """Every source; InputError with all that is wrong in the file."""
    found = resources.named("tooling", beside=beside).get("sources")
    if found is None:
        raise InputError(Problem(message="there is no tooling/sources.toml", file=str(resources.shipped())))
    problems: list[Problem] = []
    fields = opened(found.path, problems=problems)
    sources: list[Source] = []
    for table in fields.tables("source") if fields else []:
        sources.append(
            Source(
                code=table.text("code"),
                publication=table.text("publication"),
                used_for=table.text("used_for"),
                status=table.choice("status", STATUSES),
                note=table.text("note", default=""),
            )
        )
        table.finish()
    if fields:
        codes = [source.code for source in sources]
        for code in sorted({code for code in codes if codes.count(code) > 1}):
            fields.refuse("source", f"{code} stands twice")
        fields.finish()
    if problems:
        raise InputError(tuple(problems))
    by_code = {source.code: source for source in sorted(sources, key=lambda source: source.code)}
    return Sources(by_code=by_code, findings=hidden("sources", folder="tooling", found=found))
