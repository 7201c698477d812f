"""What a person could do next, in the words of the command line: with its options."""

from __future__ import annotations

from inspect_tui import errors, todo
from inspect_tui.errors import InspectError
from inspect_tui.todo import Todo

WORDS: dict[Todo, str] = {
    Todo.SAY_WHO: "Give initials (--by).",
    Todo.SAY_WITH_WHAT: "Give an instrument (--with).",
    Todo.SAY_WHO_AND_WITH_WHAT: "Give initials (--by) and an instrument (--with).",
    Todo.TAKE_ANOTHER_INSTRUMENT: "Give another instrument (--with).",
    Todo.GIVE_PIN: "Set INSPECT_TUI_PIN to the PIN of {about}, or run it in a terminal, where it is asked for.",
    Todo.ADD_PEOPLE: "The first reading of `inspect-tui log` adds whoever --by names.",
    Todo.ADD_INSTRUMENTS: "The first reading of `inspect-tui log` adds what --with names.",
    Todo.DESCRIBE_INSTRUMENT: "Say more about it at the Gauges place of the screen.",
    Todo.SAY_HOW_IT_REPEATS: "Give the certificate's U (--u95) and one step of the display (--resolution), or more "
    "readings.",
    Todo.TRACE_BACK: "`inspect-tui gauge trace` takes it back over earlier readings.",
    Todo.SAY_DAY: "Or say the day (--day).",
    Todo.HAND_OVER: "The study waits for {about}: take it up again on the screen.",
    Todo.KEEP_AS_TYPED: "It was kept as typed.",
    Todo.KEEP_ON: "It was kept on {about}.",
    Todo.KEEP_OR_RETYPE: "Write the reading again as a line of its own.",
    Todo.RETYPE_OR_DROP: "Write the reading again as a line of its own, or leave it out.",
    Todo.TAKE_UP: "Write it again as a line of {about}.",
    Todo.TRY_AGAIN: "Run it again.",
    Todo.FREE_SPACE: "Free space, then run it again.",
    Todo.ADD_FEATURES: "`inspect-tui job add FILE.toml` adds features and the tools they are measured on.",
    Todo.SEE_EXAMPLE: "`inspect-tui job example` prints one.",
    Todo.SAY_WHY_OR_REVISION: "Give --why, or --rev with the new letter.",
    Todo.UPDATE_FILE: "With --update it is brought up to date, and its comments stay.",
    Todo.GIVE_CONTRACTION: "Say --contraction (such as 1.0% or '1/8 in/ft') or --alloy (such as 'ductile iron').",
    Todo.ENTER_SIZES: "`inspect-tui measure plan --enter` puts them there.",
    Todo.SAY_UNIT: "Say it with --unit {about} (or --unit mm to take them as mm all the same).",
    Todo.SAY_COLUMN_UNIT: "Say it column by column, such as --map '{about}' (or --unit mm to take all as mm all the "
    "same).",
    Todo.WRITE_UNIT: "Write {about} beside these figures, or in a column unit (--unit mm takes all as mm all the "
    "same).",
    Todo.NAME_COLUMNS: "Name the columns in a line of their own, parted by semicolons, commas or tabs; or map them: "
    "--map serial=HEAD, --map F01=HEAD.",
    Todo.SAY_WHICH_COLUMN: "Say which with --map {about}=HEAD.",
    Todo.SAY_WHAT_COLUMN: "Say what it is with --map FEATURE='{about}', or leave it out: --map ignore='{about}'.",
    Todo.LEAVE_COLUMN_OUT: "Leave one out with --map ignore='{about}'.",
    Todo.SAY_NAME: "Say what is meant with --name '{about}=NAME', with the name it has in the record.",
    Todo.SAY_WHICH_TOOL: "Say which tool it was (--on TOOL), or in which column it stands (--map tool=HEAD).",
    Todo.SAY_DAY_ORDER: "Say how days are written: --days d/m/y, m/d/y or y/m/d.",
    Todo.KEEP_ODD: "Put it right in the file, or take it in as it stands with --keep.",
    Todo.LEAVE_OUT_OR_KEEP: "Leave a column out with --map ignore='{about}', put it right in the file, or take it in "
    "as it stands with --keep.",
    Todo.CHOOSE_JOB: "Take it in with --job {about}.",
    Todo.SAY_MOULD: "Say it for all of them with --mould S4-1.",
    Todo.CHOOSE_ROUND: "Name that sampling (--round).",
    Todo.NAME_ROUND: "Say which sampling they belong to (--round LABEL), then they are added to it.",
    Todo.LEAVE_BAND_OUT: "Leave --band out.",
    Todo.OVERWRITE: "Name another file, or ask to overwrite it (--force).",
    Todo.MAKE_HUB: "`inspect-tui hub init URL` makes it.",
    Todo.CHECK_RECORD: "Run `inspect-tui verify`.",
}


def said(answer: object) -> str:
    """The sentence of an answer or error, and what can be done next with which option."""
    return todo.said(answer, WORDS)


def not_logged(problem: InspectError) -> str:
    """What is said when a reading could not be written, and what can be done next with which option."""
    return f"{errors.not_logged(problem)} {todo.to_do(problem, WORDS)}".strip()
