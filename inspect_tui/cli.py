"""The command line: the same jobs as the screen, for people, scripts and pipes.

stdout is data, stderr is talk. Exit status: 0 fine, 1 the asked-for thing does not hold, 2 bad usage or input.
"""

from __future__ import annotations

import sys
from importlib import import_module

from inspect_tui import __version__

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

# command -> module under inspect_tui.commands; each module has `arguments(parser)` and `run(args) -> int`
COMMANDS = {
    "log": ("log", "log readings from standard input"),
    "show": ("show", "jobs, tools, features and their states; readings"),
    "size": ("size", "casting size to tool size, or back"),
    "handbook": ("handbook", "what is printed for machining stock, draft and casting grades"),
    "job": ("job", "jobs from and into files, changed, copied, closed, listed; their drawing put right or revised"),
    "demo": ("demo", "open the Bench on a working copy of the demo record"),
    "stats": ("stats", "summary, intervals and capability of a feature's readings, or of a CSV column"),
    "chart": ("chart", "control chart or histogram of a feature's readings, or of a CSV column"),
    "form": ("form", "how straight, flat or round a surface is, from readings of it"),
    "budget": ("budget", "where the uncertainty of a reading comes from"),
    "gauge": ("gauge", "instruments, quick checks, a bias traced back, gauge studies"),
    "first-article": ("first_article", "a sampling of castings against the drawing, as table, JSON or papers"),
    "geometry": ("geometry", "geometrical tolerances: add, change, list; how they were looked at on a casting"),
    "disposition": ("disposition", "what becomes of what does not conform: decide, change, take back, list"),
    "sign": ("sign", "a first article is checked and released, by name"),
    "causes": ("causes", "what explains the castings; what a measuring plan could tell"),
    "cuts": ("cuts", "which tools to cut, where and by how much; taking cuts over"),
    "measure": ("measure", "what to measure next; the faces of a sample casting; the sheet to fill in"),
    "stock": ("stock", "whether every machined face cleans up, and how to set castings up"),
    "import": ("import_", "readings, counts, and what forms ask, from tables (CSV, XLSX, ODS, XLS)"),
    "kit": ("kit", "does the kit of cores go together; its papers"),
    "stack": ("stack", "walls and passages over several cores, as drawn and as measured"),
    "contraction": ("contraction", "the contraction book: what this shop's jobs have shown"),
    "wear": ("wear", "which tools wear, what is left in them, work orders, the month's sheet"),
    "due": ("due", "what is due over the whole shop, by its day; also as XLSX, CSV or ICS"),
    "surprises": ("surprises", "what changed lately over all tools and castings"),
    "trend": ("trend", "one size over cores or dates, with its forecast"),
    "count": ("count", "cores blown and moulds made: add, list, import"),
    "weight": ("weight", "what castings weigh, and their wall area: a check of all walls together"),
    "person": ("person", "who measures here: add, change, retire, list"),
    "tool": ("tool", "repairs, states, agreed limits and details of tools; list"),
    "fit": ("fit", "prints, keys and joints of a kit: add, change, list"),
    "note": ("note", "a few words to a reading, a casting or a tool; list"),
    "sampling": ("sampling", "begin a sampling with its castings; put right what it says; list"),
    "sand-core": ("sand_core", "sand cores that are measured: open, list, what the foundry said of them"),
    "picture": ("picture", "pictures of a job, core, tool, seat, casting, reading ...: add, watch, list, show"),
    "question": ("question", "readings of castings in question: list, put right; what cannot be measured"),
    "rename": ("rename", "another name for a job, tool, core, feature, casting, sampling, person, gauge, study ..."),
    "same": ("same", "two things that were entered twice and are one: say so, list"),
    "decide": ("decide", "what two benches said apart: listed, and decided in one of its ways"),
    "withdraw": ("withdraw", "take out what was entered wrong or is no more, and take it in again"),
    "changes": ("changes", "what was changed over the whole shop: who, when, what, why; by person and day"),
    "settings": ("settings", "unit of lengths, decimal mark, colours, bell, paper and keys of this machine"),
    "export": ("export", "every reading as CSV, SQLite and Parquet, for other programs"),
    "news": ("news", "what changed for the people who work with the program"),
    "verify": ("verify", "is the record whole: by itself, by this machine's memory, by heads on papers"),
    "sync": ("sync", "exchange with the other benches of the shop through a folder or a hub"),
    "hub": ("hub", "make and prove the hub: one PostgreSQL database for the benches of one shop or several"),
    "bundle": ("bundle", "what this record knows in one file for another bench; such files taken in"),
    "backup": ("backup", "a proved copy of the record with its pictures; how it stands with the backups"),
    "restore": ("restore", "a backup in the place of a record; what lay there is moved aside and kept"),
    "salvage": ("salvage", "what can be read of a damaged record, in a new one"),
}


_ran: list[str | None] = []  # the commands of this process


def parser(only: set[str] | None = None):  # type: ignore[no-untyped-def]
    """The argument parser; with `only`, the other commands are left out: each costs half a millisecond."""
    import argparse

    from inspect_tui.commands.common import columns_said

    width = min(columns_said() or 100, 110)

    def lines(prog: str) -> argparse.HelpFormatter:
        """With its width given, argparse does not import shutil, bz2 and lzma to ask for it: 4 ms."""
        return argparse.HelpFormatter(prog, width=width)

    class Parser(argparse.ArgumentParser):
        def _print_message(self, message: str, file: Any = None) -> None:
            """The library's own does as if nothing were wrong when the output takes no more."""
            from inspect_tui.commands.common import harmless

            (file or sys.stderr).write(harmless(message))

    top = Parser(
        prog="inspect-tui",
        formatter_class=lines,
        description="Measurement and inspection logger for a pattern shop: from reading to the cut. "
        "Without a command it opens the screen.",
    )
    top.add_argument("--version", action="version", version=f"inspect-tui {__version__}")
    _record_option(top, default=None)
    _show_option(top, default=None)
    commands = top.add_subparsers(dest="command", metavar="COMMAND")
    for name, (module, summary) in COMMANDS.items():
        if only is not None and name not in only:
            continue
        sub = commands.add_parser(name, help=summary, description=summary.capitalize() + ".", formatter_class=lines)
        import_module(f"inspect_tui.commands.{module}").arguments(sub)
        _options_of_all(sub)
    return top


def _options_of_all(parser) -> None:  # type: ignore[no-untyped-def]
    """--record and --show may stand behind any further word, too: job add FILE --record R."""
    import argparse

    for name, add in (("--record", _record_option), ("--show", _show_option)):
        if name not in parser._option_string_actions:
            add(parser, default=argparse.SUPPRESS)
    for action in parser._actions:
        for nested in (action.choices or {}).values() if isinstance(action, argparse._SubParsersAction) else ():
            _options_of_all(nested)


def _record_option(parser, default) -> None:  # type: ignore[no-untyped-def]
    parser.add_argument(
        "--record",
        metavar="FILE",
        default=default,
        help="the record (default: INSPECT_TUI_RECORD, else the user's data folder)",
    )


def _show_option(parser, default) -> None:  # type: ignore[no-untyped-def]
    parser.add_argument(
        "--show",
        choices=("mm", "in", "fraction", "inch"),
        metavar="{mm,in,fraction}",
        default=default,
        help="lengths in mm, in decimal inches, or in 1/64 in with the rest in thou (default: the settings)",
    )


def main(argv: list[str] | None = None) -> int:
    """Run one command; returns the exit status.

    The last line of defence: whatever goes wrong below ends here in one sentence on stderr and status 2.
    """
    try:
        _stand_ins()
        try:
            status = _run(sys.argv[1:] if argv is None else argv)
        except SystemExit as asked:  # help, the version, options that argparse does not understand
            status = asked.code if isinstance(asked.code, int) else 2
        sys.stdout.flush()
        return status
    except BrokenPipeError:  # the reader of our output went away: not our failure
        from inspect_tui.commands.common import let_go

        let_go(sys.stdout)
        return 0
    except KeyboardInterrupt:
        _tell("stopped; everything acknowledged is on the disk")
        return 130
    except Exception as problem:
        from inspect_tui.commands.common import let_go
        from inspect_tui.commands.trouble import sentence

        try:
            sys.stdout.flush()
        except OSError:
            let_go(sys.stdout)
        _tell(sentence(problem))
        return 2


def _run(argv: list[str]) -> int:
    import gc

    if argv == ["--version"]:
        print(f"inspect-tui {__version__}")
        return 0
    named = COMMANDS.keys() & set(argv)
    opens_the_screen = not argv or (len(argv) == 2 and argv[0] == "--record" and not argv[1].startswith("-"))
    if opens_the_screen:
        from types import SimpleNamespace

        args: Any = SimpleNamespace(command=None, record=argv[1] if argv else None)  # argparse takes 4 ms of a start
    else:
        gc.set_threshold(50_000)  # what is loaded stays: looking among it for what may go costs 3 ms
        args = (_spelt_out(argv, *named) if len(named) == 1 else None) or parser(named or None).parse_args(argv)
        if args.command is not None:
            from inspect_tui.commands.common import decide

            decide(args)
    if args.command in (None, "demo"):
        gc.disable()  # until the first frame is up: collecting among what is being loaded costs 15 ms
    _ran.append(args.command)
    name = "screen" if args.command is None else COMMANDS[args.command][0]
    status: int = import_module(f"inspect_tui.commands.{name}").run(args)
    return status


def _spelt_out(argv: list[str], command: str) -> Any:
    """The call read without argparse, where that can be done; else None."""
    from inspect_tui.commands import spelt_out
    from inspect_tui.commands.common import columns_said

    columns_said()  # one that is no number is refused before anything is done, as argparse's help would

    def of_all(options: Any) -> None:
        _record_option(options, default=None)
        _show_option(options, default=None)

    module = import_module(f"inspect_tui.commands.{COMMANDS[command][0]}")
    return spelt_out.read(argv, command, of_all, module.arguments)


def program() -> None:
    """What the installed command runs: `main`, and out.

    After `log` the interpreter is not taken down piece by piece, which takes 9 ms: the record is closed, and nothing
    else was begun that would have to end.
    """
    status = main()
    if _ran == ["log"]:
        import os

        sys.stderr.flush()
        os._exit(status)
    raise SystemExit(status)


# ------------------------------------------------------------------------------ streams that are not there
class _Closed:
    """Stands for a standard input that was closed: whoever reads it hears so."""

    def __getattr__(self, name: str) -> Any:
        from inspect_tui.errors import DataError

        raise DataError("Standard input is closed, so nothing could be read from it and nothing was logged.")

    def __iter__(self) -> Any:
        return self.read


def _stand_ins() -> None:
    """Something harmless for each closed standard stream, so that no file that is opened later takes its place."""
    import os

    if None not in (sys.stdin, sys.stdout, sys.stderr):
        return
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w")  # noqa: PTH123, SIM115 - as long as the program runs
    if sys.stdin is None:
        sys.stdin = _Closed()
    if sys.stdout is None:
        from inspect_tui.errors import DataError

        sys.stdout = open(os.devnull, "w")  # noqa: PTH123, SIM115
        raise DataError("Standard output is closed: there is nowhere to answer to, so nothing was done.")


def _tell(words: str) -> None:
    try:
        from inspect_tui.commands.common import harmless

        print(f"inspect-tui: {harmless(words)}", file=sys.stderr, flush=True)
    except OSError:  # then the status alone says it
        from inspect_tui.commands.common import let_go

        let_go(sys.stderr)


if __name__ == "__main__":
    program()
