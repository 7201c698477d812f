"""What can go wrong, drawn as a tree; every message says what was wrong, what was kept and what to do.

InspectError                  may carry a Todo: what can be done next, which each face says in its own words
├── LimitsError      limits that contradict each other
├── ChainError       a chain of sizes that cannot be walked both ways
├── TableError       a published table has no value for this
├── DataError        numbers that a computation cannot work with (too few, all equal, not finite)
├── JobFileError     a job file that cannot be understood
├── NotFound         a job, tool, feature, person or instrument that is not in the record
└── RecordError      the record cannot be opened, read or written
    ├── NotOurs      the file is not a record of this program
    ├── TooNew       the record was made by a newer program
    ├── ReadOnly     the record may be read but not written
    ├── Busy         another program holds the record
    ├── DiskFull     the reading is not on the disk
    └── Damaged      the file is damaged
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.todo import Todo


class InspectError(Exception):
    """Base of everything this program says on purpose; str() is a sentence for a person.

    `todo` is what can be done next, where a face has a key or an option for it; `about` what it is to be done with.
    """

    def __init__(self, sentence: str = "", *, todo: Todo | None = None, about: str = "") -> None:
        super().__init__(sentence)
        self.todo, self.about = todo, about


def not_logged(problem: InspectError) -> str:
    """What is said when a reading could not be written; the record's own sentences begin so already."""
    text = str(problem)
    return text if text.startswith("Not logged") else f"Not logged: {text}"


class LimitsError(InspectError):
    """Limits that contradict each other."""


class ChainError(InspectError):
    """A chain of sizes that cannot be walked both ways."""


class TableError(InspectError):
    """A published table has no value for this."""


class DataError(InspectError):
    """Numbers that a computation cannot work with."""


class JobFileError(InspectError):
    """A job file that cannot be understood."""


class NotFound(InspectError):
    """Something named is not in the record."""


class RecordError(InspectError):
    """The record cannot be opened, read or written."""


class NotOurs(RecordError):
    """The file is not a record of this program."""


class TooNew(RecordError):
    """The record was made by a newer program."""


class ReadOnly(RecordError):
    """The record may be read but not written."""


class Busy(RecordError):
    """Another program holds the record."""


class DiskFull(RecordError):
    """The disk is full; nothing of this write was kept."""


class Damaged(RecordError):
    """The file is damaged."""
