"""What a person could do next, in the words of the screen: with its keys and places."""

from __future__ import annotations

from inspect_tui import errors, todo
from inspect_tui.errors import InspectError
from inspect_tui.record.store import Record
from inspect_tui.todo import Todo

WORDS: dict[Todo, str] = {
    Todo.SAY_WHO: "Say who measures (F3).",
    Todo.SAY_WITH_WHAT: "Choose an instrument (F4).",
    Todo.SAY_WHO_AND_WITH_WHAT: "Say who measures (F3) and choose an instrument (F4).",
    Todo.TAKE_ANOTHER_INSTRUMENT: "Choose another instrument (F4).",
    Todo.GIVE_PIN: "Give it with the command “PIN of {about}” (F2), then do it again.",
    Todo.ADD_PEOPLE: "F3 at the Bench adds people.",
    Todo.ADD_INSTRUMENTS: "F4 at the Bench or the Gauges place adds them.",
    Todo.DESCRIBE_INSTRUMENT: "Say more about it at the Gauges place.",
    Todo.SAY_HOW_IT_REPEATS: "Add the certificate at the Gauges place (c), or read it more often.",
    Todo.TRACE_BACK: "b traces it back over earlier readings.",
    Todo.SAY_DAY: "Or say the day (Ctrl+T).",
    Todo.HAND_OVER: "Empty the field and press Enter when {about} sits here.",
    Todo.KEEP_AS_TYPED: "Enter keeps it.",
    Todo.KEEP_ON: "Enter keeps it on {about}.",
    Todo.KEEP_OR_RETYPE: "Enter keeps it, or type the reading again.",
    Todo.RETYPE_OR_DROP: "Type the reading again, or drop the line (Esc).",
    Todo.TAKE_UP: "Enter logs it on {about}, Esc drops it.",
    Todo.TRY_AGAIN: "Enter tries again.",
    Todo.FREE_SPACE: "Free space, press Enter again.",
    Todo.ADD_FEATURES: "The Jobs place adds features to this tool.",
    Todo.SEE_EXAMPLE: "The Jobs place makes a job without a file (n).",
    Todo.SAY_WHY_OR_REVISION: "Say why, or type the new revision.",
    Todo.UPDATE_FILE: "Name a file that is not there yet.",
    Todo.GIVE_CONTRACTION: "Type the contraction (such as 1.0% or 1/8 in/ft) or the alloy (such as ductile iron).",
    Todo.ENTER_SIZES: "e on the page of the measuring plan (Kit) puts them there.",
    Todo.SAY_UNIT: "Say which unit they are in when asked.",
    Todo.SAY_COLUMN_UNIT: "Say which unit these columns are in when asked.",
    Todo.WRITE_UNIT: "Write {about} beside these figures in the file, or in a column unit.",
    Todo.NAME_COLUMNS: "Name the columns in a line of their own, or say what they are when asked (Ctrl+L).",
    Todo.SAY_WHICH_COLUMN: "Say which column holds the {about} when asked (Ctrl+L).",
    Todo.SAY_WHAT_COLUMN: "Say what column {about} holds, or leave it out, when asked (Ctrl+L).",
    Todo.LEAVE_COLUMN_OUT: "Leave {about} out when asked (Ctrl+L).",
    Todo.SAY_NAME: "Write {about} in the file as it is called here.",
    Todo.SAY_WHICH_TOOL: "Say in a column tool which tool it was.",
    Todo.SAY_DAY_ORDER: "Write days such as 2025-03-31 in the file.",
    Todo.KEEP_ODD: "Put it right in the file.",
    Todo.LEAVE_OUT_OR_KEEP: "Leave column {about} out when asked (Ctrl+L), or put it right in the file.",
    Todo.CHOOSE_JOB: "Open job {about} (Ctrl+J), then take it in.",
    Todo.SAY_MOULD: "Say it in the field mould.",
    Todo.CHOOSE_ROUND: "Open that sampling (Ctrl+O), then take the file in.",
    Todo.NAME_ROUND: "Open the sampling they belong to, or begin it (Ctrl+V), then take the file in.",
    Todo.LEAVE_BAND_OUT: "Leave the band empty.",
    Todo.OVERWRITE: "Name another file.",
    Todo.MAKE_HUB: "On the command line: inspect-tui hub init URL.",
    Todo.CHECK_RECORD: "Have it checked on the command line: inspect-tui verify.",
}


def said(answer: object, *, below: bool = True) -> str:
    """The sentence of an answer or error, and what can be done next with which key; `below`: and its lines."""
    return todo.said(answer, WORDS, below=below)


def only_read(record: Record) -> str:
    """Why nothing can be written to a record, and what can be done about it."""
    return f"{record.read_only_why} {WORDS[record.read_only_todo] if record.read_only_todo else ''}".strip()


def not_logged(problem: InspectError) -> str:
    """What is said when a reading could not be written, and what can be done next with which key."""
    return f"{errors.not_logged(problem)} {todo.to_do(problem, WORDS)}".strip()
