"""What can be set, what each setting may say, and what holds until somebody says it."""

from __future__ import annotations

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.typed.show import MM, Style

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Mapping

STYLES = {"mm": "mm", "inch": "in", "fraction": "fraction"}  # as it is set -> the unit of `Style`
NEXT_STYLE = {"mm": "in", "in": "fraction", "fraction": "mm"}
PAPERS = {"A4": "a4", "Letter": "us-letter"}
YES_NO = {"true": True, "false": False}


@frozen
class Choice:
    """One setting: what it may say (nothing: any text), what holds until it is said, and what it is."""

    may: tuple[str, ...]
    first: str
    what: str


CHOICES: Mapping[str, Choice] = {
    "show.style": Choice(tuple(STYLES), "mm", "lengths in mm, in decimal inches, or in 1/64 in with the rest in thou"),
    "show.decimal_mark": Choice((".", ","), ".", "what stands before the decimals"),
    "show.inch_places": Choice(("3", "4"), "4", "decimals of an inch where mm have two"),
    "show.theme": Choice((), "", "the colours of the screen; empty: the program's own dark ones"),
    "show.bell": Choice(("true", "false"), "true", "ring when a reading is asked about or out of its band"),
    "backup.second": Choice((), "", "a second folder for every backup, such as a stick or a share"),
    "share.with": Choice((), "", "the folder (a share, a stick) or hub through which the benches of the shop are one"),
    "share.every": Choice(("never", "5", "10", "30", "60"), "10", "exchange with it by itself, every so many minutes"),
    "paper.size": Choice(tuple(PAPERS), "A4", "the sheet that papers are written for"),
}
NAMED: Mapping[str, Choice] = {
    "people": Choice(tuple(STYLES), "", "people.INITIALS: how this person reads lengths"),
    "jobs": Choice(tuple(STYLES), "", "jobs.NUMBER: how lengths of this job are read by who said nothing else"),
    "keys": Choice((), "", "keys.ID: the key of a command, such as f8 or ctrl+e; several parted by commas"),
}


@frozen_by_name
class Settings:
    """What is set; `wrong` tells what the file says that is not understood, each in a sentence."""

    style: Style = MM
    people: Mapping[str, str] = {}
    jobs: Mapping[str, str] = {}
    theme: str = ""
    bell: bool = True
    paper: str = "A4"
    second_backup: str = ""
    share_with: str = ""
    share_every_min: int = 10  # 0: only when asked
    keys: Mapping[str, str] = {}
    wrong: tuple[str, ...] = ()

    def style_for(self, person: str = "", job: str = "") -> Style:
        """How figures are written for a person at a job: the person's own style, else the job's, else everybody's."""
        word = self.people.get(person) or self.jobs.get(job)
        return in_style(self.style, STYLES[word]) if word else self.style


def in_style(style: Style, unit: str) -> Style:
    """The same style with lengths in another unit: mm, in or fraction."""
    return Style(unit, style.places, style.mark, style.printed)


def made(said: Mapping[str, str], wrong: tuple[str, ...] = ()) -> Settings:
    """The settings out of texts that were looked at before; what is not said is as it comes."""

    def value(key: str) -> str:
        return said.get(key, CHOICES[key].first)

    def named(section: str) -> dict[str, str]:
        return {key.partition(".")[2]: text for key, text in said.items() if key.startswith(f"{section}.")}

    return Settings(
        style=Style(STYLES[value("show.style")], int(value("show.inch_places")), value("show.decimal_mark")),
        people=named("people"),
        jobs=named("jobs"),
        theme=value("show.theme"),
        bell=YES_NO[value("show.bell")],
        paper=value("paper.size"),
        second_backup=value("backup.second"),
        share_with=value("share.with"),
        share_every_min=0 if value("share.every") == "never" else int(value("share.every")),
        keys=named("keys"),
        wrong=wrong,
    )


def looked_at(key: str, value: object) -> tuple[str, str]:
    """A setting as its text, and what is wrong with it: one of the two is empty.

    `key` is its section and name (show.style); an unknown one is wrong, too, and names the nearest.
    """
    section, _, name = key.partition(".")
    choice = CHOICES.get(key) or (NAMED.get(section) if name else None)
    if choice is None:
        return "", _unknown(key)
    if isinstance(value, bool):
        value = "true" if value else "false"
    if isinstance(value, list) and all(isinstance(part, str) for part in value):
        value = ",".join(value)
    if not isinstance(value, str | int):
        return "", f"{key} is no text: {_may(choice)}"
    text = str(value).strip()
    if not choice.may:
        if section == "keys" and not text:
            return "", f"{key} names no key: type one such as f8 or ctrl+e"
        return text, ""
    for word in choice.may:
        if word.casefold() == text.casefold():
            return word, ""
    return "", f"{key} is {text[:40]!r}: {_may(choice)}"


def _may(choice: Choice) -> str:
    return f"it may be {', '.join(choice.may)}" if choice.may else "write it in quotation marks"


def _unknown(key: str) -> str:
    from difflib import get_close_matches

    known = [*CHOICES, *(f"{section}." for section in NAMED)]
    near = get_close_matches(key, known, n=1, cutoff=0.5)
    hint = f"nearest: {near[0]}" if near else f"known are {', '.join(CHOICES)}, and any name under {', '.join(NAMED)}"
    return f"{key} is no setting: {hint}"
