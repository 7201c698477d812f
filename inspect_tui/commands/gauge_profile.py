"""`inspect-tui gauge profile`: how a gauge speaks, learnt from one reading; `gauge listen`: what it sends."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, print_json, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Callable

    from inspect_tui.model.gauges import InstrumentProfile
    from inspect_tui.model.measuring import Instrument
    from inspect_tui.record.store import Record

ANSWER_S = 10.0  # so long a gauge that was asked is waited for


def arguments(action: Callable[[str, str, str], ArgumentParser]) -> None:
    """LABEL FIELD=TEXT ... --by of the one, LABEL of the other."""
    sub = action(
        "profile",
        "how a gauge speaks: gauge profile 'caliper 1' example='01A+00059.66M' --by JM",
        "How a gauge speaks: what stands round its figure, the letters of its units, its decimal mark, the key that "
        "ends a reading, its port. Fields are example, reads, prefix, suffix, units, mark, end, port, speed, request, "
        "pattern, foot; the rest follows from an example, which is a line as the gauge sends it. Without fields it is "
        "shown.",
    )
    sub.add_argument("label", metavar="INSTRUMENT")
    sub.add_argument("field", nargs="*", metavar="FIELD=TEXT")
    sub.add_argument("--by", metavar="INITIALS", help="who says it; needed to change it")
    sub.add_argument(
        "--foot",
        metavar="KEY=WHAT",
        help="what the keys of its foot switch do at the Bench, such as 'f13=log f14=retry' (back, next, skip, "
        "take-back, ask); '' for nothing. As the field foot",
    )
    sub.add_argument("--try", dest="line", metavar="LINE", help="only say what this line is read as")
    sub = action("listen", "readings of a gauge on a line of its own, one a line, until Ctrl+C", "")
    sub.add_argument("label", metavar="INSTRUMENT")
    sub.add_argument("--ask", action="store_true", help="ask for one reading, take it and end")


def run(args: Namespace) -> int:
    """0; 1 where a tried line is not read; 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.shop.common import find

    record = open_record(args)
    try:
        gauge = find.instrument(record, args.label)
        if args.action == "listen":
            return _listen(record, gauge, args.ask)
        return _profile(record, gauge, args)
    finally:
        record.close()


def _profile(record: Record, gauge: Instrument, args: Namespace) -> int:
    from inspect_tui.commands import named_fields
    from inspect_tui.errors import DataError
    from inspect_tui.metrology.typed.fields import Wrong
    from inspect_tui.metrology.typed.gauge_line import heard
    from inspect_tui.shop.common import find
    from inspect_tui.shop.speech import profile

    typed, old = named_fields.read(args.field, profile.KEYS), profile.of(record, gauge)
    if args.foot is not None:
        typed["foot"] = args.foot
    made = old
    if typed:
        read = profile.read(gauge, profile.with_said(old, typed))
        if isinstance(read, Wrong):
            raise DataError(f"{read}. Nothing was written.")
        made = read
    if args.line is not None:
        got = heard(args.line, profile.speech(made, gauge), surely=True)
        print(f"not read: {got}" if isinstance(got, Wrong) else got)
        return 1 if isinstance(got, Wrong) else 0
    if typed and made is not None:
        if not args.by:
            raise DataError("Say who says it: --by INITIALS. Nothing was written.")
        profile.put(record, gauge, made, find.person(record, args.by).id)
    if args.json:
        print_json(_as_json(gauge, made))
    elif made is None:
        print(f"{gauge.label}: nobody has said how it speaks; it may type plain figures, each ended by Enter")
    else:
        print(f"{gauge.label}{' speaks so from now on' if typed else ''}: {profile.said(made)}")
    return 0


def _as_json(gauge: Instrument, made: InstrumentProfile | None) -> dict[str, object]:
    from inspect_tui.shop.speech import profile

    shown = profile.shown(made)
    return {"instrument": gauge.label, **{key: shown[key] or None for key in profile.KEYS[2:]}}


def _listen(record: Record, gauge: Instrument, ask: bool) -> int:
    from queue import Empty, Queue

    from inspect_tui.errors import DataError
    from inspect_tui.shop.speech import profile
    from inspect_tui.shop.speech.wire import Wire

    made = profile.of(record, gauge)
    if made is None or not made.port:
        raise DataError(
            f"{gauge.label} has no line of its own: gauge profile '{gauge.label}' port=/dev/ttyUSB0 --by JM"
        )
    came: Queue[str] = Queue()
    line = Wire(made, profile.speech(made, gauge), came.put, lambda sentence: talk(f"inspect-tui: {sentence}"))
    try:
        if ask:
            line.ask()
        while True:
            print(came.get(timeout=ANSWER_S if ask else None), flush=True)
            if ask:
                return 0
    except Empty:
        talk(f"inspect-tui: {gauge.label} was asked and did not answer: look at its cable, and at its speed")
        return 1
    finally:
        line.close()
