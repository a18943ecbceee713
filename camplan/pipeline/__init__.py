"""The stages in order: the only room that knows them all, and the public Python API.

Every function takes paths and names, and gives records or texts; nothing here prints or writes.  What a function
needs is imported when it is first asked for, so that a short question gets a quick answer.
"""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from camplan.pipeline.check import check_programs
    from camplan.pipeline.located import locate
    from camplan.pipeline.mould import mould_table
    from camplan.pipeline.one_cut import speeds
    from camplan.pipeline.plan import output_files, plan_job
    from camplan.pipeline.project import plan_project
    from camplan.pipeline.queries import cutter_table, first_job_text
    from camplan.pipeline.recutting import recut
    from camplan.pipeline.timed import machine_file, machine_text, time_program, timed_name
    from camplan.pipeline.told import journal_story

_HOMES = {
    "check_programs": "check",
    "cutter_table": "queries",
    "first_job_text": "queries",
    "journal_story": "told",
    "locate": "located",
    "machine_file": "timed",
    "machine_text": "timed",
    "mould_table": "mould",
    "output_files": "plan",
    "plan_job": "plan",
    "plan_project": "project",
    "recut": "recutting",
    "speeds": "one_cut",
    "time_program": "timed",
    "timed_name": "timed",
}

__all__ = [
    "check_programs",
    "cutter_table",
    "first_job_text",
    "journal_story",
    "locate",
    "machine_file",
    "machine_text",
    "mould_table",
    "output_files",
    "plan_job",
    "plan_project",
    "recut",
    "speeds",
    "time_program",
    "timed_name",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"camplan.pipeline has no {name!r}")
    return getattr(importlib.import_module(f"camplan.pipeline.{_HOMES[name]}"), name)
