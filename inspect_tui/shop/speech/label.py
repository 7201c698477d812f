"""What a scanner reads off a label of this shop: the tool or core that it names, never a reading.

A label holds job, name and id of the thing, parted by bars (`shop/kit/paper/kit_list.py` writes it).
"""

from __future__ import annotations

from inspect_tui.errors import NotFound
from inspect_tui.frozen import frozen
from inspect_tui.record.chain.ids import uuid_parse
from inspect_tui.shop.common import find

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record
    from inspect_tui.shop.common.find import Subject

BAR = "|"


@frozen
class Label:
    """The words of a label: job, name, and the id of the thing's first version; no id where it cannot be read."""

    job: str
    name: str
    of_id: bytes


def read(text: str) -> Label | None:
    """The label that a line is; None where it is none: a reading holds no bar."""
    parts = [part.strip() for part in text.split(BAR)]
    if len(parts) != 3 or not all(parts):
        return None
    return Label(parts[0], parts[1], uuid_parse(parts[2]) or b"")


def subject(record: Record, label: Label) -> tuple[Job, Subject]:
    """What is measured when the label was scanned: the tool, or the first tool of the core that it names.

    NotFound where this record holds no such thing, or the label was not read whole.
    """
    for job in record.jobs() if label.of_id else ():
        tools = record.tools(job.of_id)
        cores = record.core_versions(job.of_id)
        for tool in tools:
            if label.of_id in (tool.of_id, cores.get(tool.core_id or b"")):
                return job, next(s for s in find.subjects(record, job) if s.tool and s.tool.of_id == tool.of_id)
    if not label.of_id:
        raise NotFound(f"The label of {label.name[:40]} was not read whole: scan it again. Nothing was logged.")
    raise NotFound(f"This record does not hold {label.name[:40]} of job {label.job[:40]}. Nothing was logged.")
