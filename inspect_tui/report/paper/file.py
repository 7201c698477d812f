"""Puts a finished paper on the disk: a temporary name beside it, fsync, one rename; nothing is overwritten unasked."""

from __future__ import annotations

import os
from collections.abc import Collection
from pathlib import Path
from secrets import token_hex

from inspect_tui.errors import InspectError
from inspect_tui.todo import Todo


class PaperError(InspectError):
    """A paper could not be made or written; nothing was left behind."""


def form_of(path: Path, endings: Collection[str]) -> str:
    """The form that a file's ending asks for, without its dot; PaperError where it is none of `endings`."""
    ending = path.suffix.lower()
    if ending not in endings:
        said = f"{path.suffix} is none" if ending else "it has none"
        raise PaperError(f"{path.name}: the ending says the form, and {said} of {', '.join(endings)}.")
    return ending[1:]


def target(path: str | Path, *, force: bool = False) -> Path:
    """The path to write, or a sentence why not: before any work is done for a paper that has no place."""
    path = Path(path).expanduser()
    folder = path.parent
    if path.is_symlink():
        raise PaperError(f"{path} is a link to another file; links are not followed. Name the file itself.")
    if path.is_dir():
        raise PaperError(f"{path} is a folder: name a file in it.")
    if not folder.is_dir():
        raise PaperError(f"There is no folder {folder}; make it first or name another one.")
    if path.exists() and not path.is_file():
        raise PaperError(f"{path} is not an ordinary file; nothing was written.")
    if path.exists() and not force:
        raise PaperError(f"{path} is there already and was left as it is.", todo=Todo.OVERWRITE)
    if not os.access(folder, os.W_OK):
        raise PaperError(f"{folder} may not be written to; name a folder of your own.")
    return path


def write_bytes(path: str | Path, content: bytes, *, force: bool = False) -> Path:
    """Write the whole content or nothing. The name appears only when every byte is on the disk."""
    path = target(path, force=force)
    draft = path.with_name(f".{path.name[:80]}.{token_hex(4)}.part")
    try:
        handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0), 0o666)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            put_in_place(draft, path, force)
        finally:
            draft.unlink(missing_ok=True)
        sync_folder(path.parent)
    except FileExistsError:
        raise PaperError(f"{path} appeared while the paper was made and was left as it is; ask again.") from None
    except OSError as problem:
        raise PaperError(
            f"{path} was not written: {problem.strerror or problem}. Free space or name another place."
        ) from None
    return path


def put_in_place(draft: Path, path: Path, force: bool) -> None:
    """Rename; without leave to overwrite, in a way that fails when the name was taken meanwhile."""
    if force:
        draft.replace(path)
        return
    try:
        os.link(draft, path)
    except FileExistsError:
        raise
    except OSError:  # file systems without hard links
        if path.exists():
            raise FileExistsError(path) from None
        draft.replace(path)


def sync_folder(folder: Path) -> None:
    """Make the rename itself durable where the system can."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)
