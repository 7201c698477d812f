"""`inspect-tui backup`: a proved copy of the record with its pictures, now; how it stands with the backups."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.commands.common import print_json, record_path, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """Where to, whether it is kept for ever, or only the list."""
    to = "another folder, such as a stick, or a new file ending in .db (default: backups/ beside the record)"
    parser.add_argument("--to", metavar="DIR", help=to)
    parser.add_argument("--word", default="", help="a word in its name: a backup with one is kept for ever")
    parser.add_argument("--list", action="store_true", help="only show which backups there are and how it stands")
    parser.add_argument("--json", action="store_true", help="one JSON document")


def run(args: Namespace) -> int:
    """0 when it was made, 1 when the second place could not be written (or, with --list, the newest is too old)."""
    from inspect_tui.errors import RecordError
    from inspect_tui.record.care import backups
    from inspect_tui.record.file import place
    from inspect_tui.shop.settings import file

    path = place.itself(record_path(args).expanduser().absolute())
    if not place.look(path).exists:
        raise RecordError(f"There is no record at {path}: nothing to back up.")
    folder = Path(args.to).expanduser().absolute() if args.to else None
    name = folder if folder is not None and folder.suffix == ".db" and not folder.is_dir() else None
    if name is not None:
        folder = name.parent
        if name.exists() and not args.list:
            raise RecordError(f"{name} is there already: nothing was written over. Give the backup another name.")
    if args.list:
        return _list(path, folder, args.json)
    second = file.read().second_backup if folder is None else ""
    word = args.word if name is None else name.stem  # not one of the clock's, in whose place older ones would go
    made = backups.make(path, datetime.now(), folder, Path(second).expanduser() if second else None, word)
    if name is not None:
        made = backups.called(made, name)
    if args.json:
        print_json(
            {
                "path": str(made.path),
                "second": str(made.second) if made.second else None,
                "gone": [str(gone) for gone in made.gone],
                "wrong": made.wrong,
            }
        )
    else:
        print(made.path)
        if made.second:
            print(made.second)
    if made.wrong:
        talk(f"inspect-tui: {made.wrong}")
    return 1 if made.wrong else 0


def _list(path: Path, folder: Path | None, as_json: bool) -> int:
    from inspect_tui.record.care import backups
    from inspect_tui.record.care.backup_words import words

    now = datetime.now()
    standing = backups.standing(path, now, folder)
    made = backups.by_the_clock(folder or backups.folder_beside(path), path.stem)
    if as_json:
        print_json(
            {
                "backups": [{"at": backup.at.isoformat(" "), "path": str(backup.path)} for backup in made],
                "complete": standing.complete,
                "old": standing.old,
            }
        )
    else:
        for backup in made:
            print(f"{backup.at:%Y-%m-%d %H:%M}  {backup.path}")
        print(words(standing, now))
    return 1 if standing.old else 0
