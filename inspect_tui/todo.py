"""What a person could do next: answers and errors carry it, and each face says it with its own key or option.

Below the faces nobody knows a key, an option or a place of the screen. A sentence there says what was wrong and what
was kept; what can be done about it is a `Todo`, with `about` naming what it is to be done with (a balloon, a unit).
"""

from __future__ import annotations

from enum import Enum

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Mapping


class Todo(Enum):
    """What could be done next; `about` in brackets where there is one."""

    # who measures, with what
    SAY_WHO = "say who measures"
    SAY_WITH_WHAT = "say with what it is measured"
    SAY_WHO_AND_WITH_WHAT = "say who measures, and with what"
    TAKE_ANOTHER_INSTRUMENT = "take another instrument"
    GIVE_PIN = "give the PIN of somebody [initials]"
    ADD_PEOPLE = "add people to the record"
    ADD_INSTRUMENTS = "add instruments to the record"
    DESCRIBE_INSTRUMENT = "say more about an instrument"
    SAY_HOW_IT_REPEATS = "give the certificate and a step of the display, or more readings"
    TRACE_BACK = "trace a bias back over earlier readings"
    SAY_DAY = "say on which day it is measured"
    HAND_OVER = "let the next person sit down [initials]"
    # one reading
    KEEP_AS_TYPED = "keep the reading as typed"
    KEEP_ON = "keep the reading on the feature it was typed for [balloon]"
    KEEP_OR_RETYPE = "keep the reading, or type it again"
    RETYPE_OR_DROP = "type the reading again, or drop the line"
    TAKE_UP = "take up a line that waits [balloon]"
    TRY_AGAIN = "try to log the line again"
    FREE_SPACE = "free space on the disk, and try again"
    # jobs, tools and their features
    ADD_FEATURES = "add features to a tool"
    SEE_EXAMPLE = "look at an example of a job file"
    SAY_WHY_OR_REVISION = "say what was typed wrong, or that the drawing changed"
    UPDATE_FILE = "bring a file that is there up to date"
    GIVE_CONTRACTION = "give the contraction or the alloy"
    ENTER_SIZES = "put the sizes of a measuring plan on the list"
    # files that come in
    SAY_UNIT = "say the unit of a file [unit]"
    SAY_COLUMN_UNIT = "say the unit of columns [what a column is, with its unit, = its head]"
    WRITE_UNIT = "write the unit beside figures [unit]"
    NAME_COLUMNS = "say what the columns of a file are"
    SAY_WHICH_COLUMN = "say which column holds something [what it holds]"
    SAY_WHAT_COLUMN = "say what a column holds [head]"
    LEAVE_COLUMN_OUT = "leave a column out [head]"
    SAY_NAME = "say what a name of a file stands for [name]"
    SAY_WHICH_TOOL = "say which tool a file is of"
    SAY_DAY_ORDER = "say how the days of a file are written"
    KEEP_ODD = "take in what was asked about as it stands"
    LEAVE_OUT_OR_KEEP = "leave a column out, or take in what was asked about as it stands [its head]"
    CHOOSE_JOB = "choose the job that a file is of [number]"
    SAY_MOULD = "say of which casting or mould the cores of a file were"
    CHOOSE_ROUND = "choose the sampling that castings are in"
    NAME_ROUND = "name the sampling that new castings belong to"
    # studies, papers, the record
    LEAVE_BAND_OUT = "leave the band of a study out"
    OVERWRITE = "name another file, or overwrite the one that is there"
    MAKE_HUB = "make the hub in a database"
    CHECK_RECORD = "have the record checked"


def said(answer: object, words: Mapping[Todo, str], *, below: bool = True) -> str:
    """The sentence of an answer or error, followed by a face's words for what can be done next, and its reason.

    The sentence is `answer.sentence`, or `str()` of it; `todo`, `about`, `reason` and `below`, lines that stand under
    it unless `below` is False, are looked for on it and may be missing. `words` may hold `{about}`.
    """
    line = " ".join(part for part in (_sentence(answer), to_do(answer, words), getattr(answer, "reason", "")) if part)
    return "\n".join([line, *(getattr(answer, "below", ()) if below else ())])


def to_do(answer: object, words: Mapping[Todo, str]) -> str:
    """A face's words for what an answer or error says could be done next; empty where it says nothing."""
    todo = getattr(answer, "todo", None)
    return "" if todo is None else filled(todo, getattr(answer, "about", ""), words)


def plain(answer: object) -> str:
    """The sentence of an answer and its reason, without what can be done: for where nothing can be done any more."""
    return " ".join(part for part in (_sentence(answer), getattr(answer, "reason", "")) if part)


def _sentence(answer: object) -> str:
    return str(getattr(answer, "sentence", answer))


def filled(todo: Todo, about: str, words: Mapping[Todo, str]) -> str:
    """A face's words for a todo, with what it is about."""
    return words[todo].replace("{about}", about)
