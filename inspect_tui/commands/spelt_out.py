"""Reads a call whose options are all spelt out (`--on "stick 3" --json`) without argparse, which costs 9 ms a call.

What a command takes stands in its `arguments(parser)` alone: `Options` is handed to it in the parser's place and takes
down the options. Whatever is not plain, a mistake, help, a positional word, is left to argparse: it says what is wrong.
"""

from __future__ import annotations

from types import SimpleNamespace

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from typing import Any


class NotPlain(Exception):
    """The call, or what the command takes, is more than options that are spelt out."""


class Option:
    """One option as a command declares it; `words` (help, metavar) are for those who print them."""

    def __init__(
        self,
        name: str,
        action: str | None = None,
        dest: str | None = None,
        default: Any = None,
        type: Callable[[str], Any] | None = None,
        choices: Sequence[Any] | None = None,
        required: bool = False,
        **words: object,
    ) -> None:
        self.flag = action == "store_true"
        if not name.startswith("--") or (action and not self.flag) or words.keys() - {"help", "metavar"}:
            raise NotPlain
        if isinstance(default, str) and type is not None:
            raise NotPlain
        self.dest = dest or name[2:].replace("-", "_")
        self.default = False if self.flag else default
        self.required, self._type, self._choices = required, type, choices

    def read(self, word: str) -> Any:
        """The value that a word says."""
        value = word if self._type is None else self._type(word)
        if self._choices is not None and value not in self._choices:
            raise NotPlain
        return value


class Options:
    """What a command takes, in the place of a parser."""

    description = ""

    def __init__(self) -> None:
        self._by_name: dict[str, Option] = {}

    def add_argument(self, *names: str, **declared: Any) -> None:
        """Take an option down; one that has two names, or a name that is taken, is not plain."""
        if len(names) != 1 or names[0] in self._by_name:
            raise NotPlain
        self._by_name[names[0]] = Option(names[0], **declared)

    def __getattr__(self, name: str) -> Any:
        raise NotPlain

    def read(self, words: Sequence[str], given: dict[str, Any]) -> None:
        """Put the values of these words into `given`; NotPlain for anything that is not an option and its value."""
        rest = iter(words)
        for word in rest:
            option = self._by_name.get(word)
            if option is None:
                raise NotPlain
            if option.flag:
                given[option.dest] = True
                continue
            value = next(rest, "-")
            if value.startswith("-"):
                raise NotPlain
            given[option.dest] = option.read(value)

    def missing(self, given: dict[str, Any]) -> bool:
        """Whether an option is wanting that has to be given."""
        return any(option.required and option.dest not in given for option in self._by_name.values())

    def defaults(self) -> dict[str, Any]:
        """What holds where nothing is said."""
        return {option.dest: option.default for option in self._by_name.values()}


def read(
    argv: Sequence[str], command: str, of_all: Callable[[Any], None], of_command: Callable[[Any], None]
) -> SimpleNamespace | None:
    """The options of a call as argparse would give them; None where argparse has to read it.

    `of_all` declares what may stand before and behind the command, `of_command` what it takes itself.
    """
    before, behind = Options(), Options()
    given: dict[str, Any] = {}
    try:
        of_all(before)
        of_command(behind)
        of_all(behind)
        at = argv.index(command)
        before.read(argv[:at], given)
        behind.read(argv[at + 1 :], given)
        if behind.missing(given):
            return None
    except Exception:  # whatever it is, it is said better by who reads the call again
        return None
    return SimpleNamespace(**(behind.defaults() | given | {"command": command}))
