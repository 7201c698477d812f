"""What can go wrong, drawn as a tree; every message says what was wrong, what was kept and what to do.

InspectError                  may carry a Todo: what can be done next, which each face says in its own words
├── LimitsError      limits that contradict each other
├── ChainError       a chain of sizes that cannot be walked both ways
├── TableError       a published table has no value for this
├── DataError        numbers that a computation cannot work with (too few, all equal, not finite)
│   └── NoTable      a file that is no table that can be read
├── JobFileError     a job file that cannot be understood
├── NotFound         a job, tool, feature, person or instrument that is not in the record
│   └── Several      a name that fits more than one of them
└── RecordError      the record cannot be opened, read or written
    ├── NotOurs      the file is not a record of this program
    ├── TooNew       the record was made by a newer program
    ├── ReadOnly     the record may be read but not written
    ├── Busy         another program holds the record
    ├── NotAllowed   the person may not decide this, or has to give a PIN first
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


class LimitsError(InspectError):
    """Limits that contradict each other."""


class ChainError(InspectError):
    """A chain of sizes that cannot be walked both ways."""


class TableError(InspectError):
    """A published table has no value for this."""


class DataError(InspectError):
    """Numbers that a computation cannot work with."""


class NoTable(DataError):
    """A file that is no table that can be read; what was `wrong` and what to `do` stand apart.

    Who takes something in from it says between them what was kept.
    """

    def __init__(self, wrong: str, do: str = "") -> None:
        super().__init__(f"{wrong} {do}".strip())
        self.wrong, self.do = wrong, do

    def told(self, kept: str) -> str:
        """What was wrong, what was kept, what to do."""
        return f"{self.wrong} {kept} {self.do}".strip()


class JobFileError(InspectError):
    """A job file that cannot be understood."""


class NotFound(InspectError):
    """Something named is not in the record."""


class Several(NotFound):
    """A name fits more than one thing in the record."""


class RecordError(InspectError):
    """The record cannot be opened, read or written; `tells_fate`: the sentence says itself what became of a reading."""

    def __init__(
        self, sentence: str = "", *, todo: Todo | None = None, about: str = "", tells_fate: bool = False
    ) -> None:
        super().__init__(sentence, todo=todo, about=about)
        self.tells_fate = tells_fate


class NotOurs(RecordError):
    """The file is not a record of this program."""


class TooNew(RecordError):
    """The record was made by a newer program."""


class ReadOnly(RecordError):
    """The record may be read but not written."""


class Busy(RecordError):
    """Another program holds the record."""


class NotAllowed(RecordError):
    """The person may not decide this, or has to give a PIN first; nothing was written."""


class DiskFull(RecordError):
    """The disk is full; nothing of this write was kept."""


class Damaged(RecordError):
    """The file is damaged."""


def not_logged(problem: InspectError) -> str:
    """What is said when a reading could not be written: that first, unless the sentence tells itself."""
    return str(problem) if isinstance(problem, RecordError) and problem.tells_fate else f"Not logged: {problem}"
