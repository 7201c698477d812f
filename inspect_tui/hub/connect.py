"""Opens the hub; what stands in the way is said in a sentence, without the address's secrets."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import InspectError
from inspect_tui.todo import Todo

if TYPE_CHECKING:
    import psycopg

EXTRA = "The hub needs the extra hub: pip install 'inspect-tui[hub]'."
PATIENCE_S = 10


class HubError(InspectError):
    """The hub cannot be reached, refuses, or is of another version."""


class NotReached(HubError):
    """Nobody answers, or (`cut`) the line was cut: to be tried again later."""

    cut = False


def is_address(text: str) -> bool:
    """Whether a place to exchange with is a hub and no folder: a URL of libpq, or its `service=NAME`."""
    return text.startswith(("postgresql://", "postgres://", "service="))


@contextmanager
def opened(address: str) -> Iterator[psycopg.Connection[Any]]:
    """A connection. Passwords come by libpq's own means (service file, password file, environment)."""
    try:
        import psycopg
    except ImportError as missing:
        raise HubError(EXTRA) from missing
    logging.getLogger("psycopg").addHandler(logging.NullHandler())  # a cut line is told by us, not onto the screen
    try:
        con = psycopg.connect(address, connect_timeout=PATIENCE_S, application_name="inspect-tui", autocommit=True)
    except psycopg.OperationalError as wrong:
        raise NotReached(f"The hub cannot be reached ({_first(wrong)}).") from wrong
    except psycopg.ProgrammingError as wrong:
        raise HubError(f"The address of the hub is not understood ({_first(wrong)}).") from wrong
    try:
        yield con
    except psycopg.errors.InsufficientPrivilege as wrong:
        raise HubError(f"The hub does not allow that ({_first(wrong)}): ask who keeps it.") from wrong
    except (psycopg.OperationalError, psycopg.InterfaceError) as wrong:
        broken = NotReached(f"The line to the hub was cut ({_first(wrong)}). What it had acknowledged is there.")
        broken.cut = True
        raise broken from wrong
    except psycopg.errors.UndefinedTable as wrong:
        raise HubError("There is no hub in that database yet.", todo=Todo.MAKE_HUB) from wrong
    except psycopg.Error as wrong:
        raise HubError(f"The hub refused that ({_first(wrong)}).") from wrong
    finally:
        con.close()


def _first(wrong: Exception) -> str:
    """The first line of what the database says; it never holds a password."""
    return (str(wrong).strip().splitlines() or [type(wrong).__name__])[0][:200]
