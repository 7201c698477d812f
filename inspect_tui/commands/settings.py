"""`inspect-tui settings`: unit style, decimal mark, colours, bell, paper and keys of this machine; list, set, unset."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import print_json, print_table, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.shop.settings.choices import Settings


def arguments(parser: ArgumentParser) -> None:
    """List (the default), set, unset, path, keys."""
    parser.add_argument("--json", action="store_true", help="as JSON")
    what = parser.add_subparsers(dest="what", metavar="WHAT")
    what.add_parser("list", help="what is set, and what may be").add_argument(
        "--json", action="store_true", help="as JSON"
    )
    setting = what.add_parser("set", help="set one: set show.style inch, set keys.bench.skip ctrl+e")
    setting.add_argument("key", metavar="SETTING", help="such as show.style, people.B1, paper.size, keys.bench.skip")
    setting.add_argument("value", metavar="VALUE")
    unset = what.add_parser("unset", help="leave one to what the program comes with")
    unset.add_argument("key", metavar="SETTING")
    what.add_parser("path", help="where the file is")
    keys = what.add_parser("keys", help="every key by its id, with what it does, for `set keys.ID KEY`")
    keys.add_argument("--json", action="store_true", help="as JSON")


def run(args: Namespace) -> int:
    """0; 1 where the file says something that is not understood; 2 where a setting was refused."""
    from inspect_tui.shop.settings import file

    if args.what == "path":
        print(file.path())
        return 0
    if args.what == "keys":
        return _keys(args)
    if args.what in ("set", "unset"):
        from inspect_tui.shop.settings import write

        said = write.put(args.key, args.value if args.what == "set" else None)
        if args.what == "set" and args.key.startswith("keys."):
            _warn_of_keys(args.key.removeprefix("keys."), said)
        print(f"{args.key} is {said or 'as the program comes'}")
        return 0
    settings = file.read()
    for sentence in settings.wrong if args.json else ():  # else it was said before
        talk(f"inspect-tui: {sentence}")
    _list(settings, args.json)
    return 1 if settings.wrong else 0


def _list(settings: Settings, as_json: bool) -> None:
    from inspect_tui.shop.settings import file
    from inspect_tui.shop.settings.choices import CHOICES, NAMED, STYLES, YES_NO

    names = {unit: word for word, unit in STYLES.items()}
    now = {
        "show.style": names[settings.style.unit],
        "show.decimal_mark": settings.style.mark,
        "show.inch_places": str(settings.style.places),
        "show.theme": settings.theme,
        "show.bell": next(word for word, on in YES_NO.items() if on == settings.bell),
        "paper.size": settings.paper,
    }
    for section, named in (("people", settings.people), ("jobs", settings.jobs), ("keys", settings.keys)):
        now.update({f"{section}.{name}": text for name, text in named.items()})
    if as_json:
        wrong = list(settings.wrong)
        print_json({"file": str(file.path()), "settings": now, "wrong": wrong})
        return
    rows = []
    for key, text in now.items():
        choice = CHOICES.get(key) or NAMED[key.partition(".")[0]]
        rows.append([key, text, ", ".join(choice.may), choice.what])
    print_table(["setting", "is", "may be", "what it is"], rows, wraps="what it is", spare=("may be",))
    talk(f"in {file.path()}; also: {'; '.join(choice.what for choice in NAMED.values())}")


def _keys(args: Namespace) -> int:
    from inspect_tui.shop.settings import file
    from inspect_tui.tui.app import every_binding
    from inspect_tui.tui.settings.keys import chosen

    known = every_binding()
    mine, wrong = chosen(file.read().keys, known)
    for sentence in wrong:
        talk(f"inspect-tui: {sentence}")
    rows = [[name, mine.get(name, binding.key), binding.description] for name, binding in sorted(known.items())]
    if args.json:
        print_json([{"id": name, "keys": keys, "what": what} for name, keys, what in rows])
    else:
        print_table(["id", "keys", "what it does"], rows, wraps="what it does")
    return 0


def _warn_of_keys(name: str, keys: str) -> None:
    """It is written all the same: an older or newer program may know it."""
    from inspect_tui.shop.settings import file
    from inspect_tui.tui.app import every_binding
    from inspect_tui.tui.settings.keys import chosen

    for sentence in chosen({**file.read().keys, name: keys}, every_binding())[1]:
        talk(f"inspect-tui: {sentence}")
