"""What tables can be brought in, with their columns: those of the forms, and beside them what a line is about."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from inspect_tui.errors import DataError, JobFileError, NotFound
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.typed import fields, show
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.first_article import NotMeasurable, Realigned
from inspect_tui.model.gauges import GaugeCheck, InstrumentBias
from inspect_tui.model.kit import Shipment, ShipmentLine
from inspect_tui.model.measuring import Note, Session
from inspect_tui.model.trends import TOOL_STATES
from inspect_tui.model.words import Id
from inspect_tui.record import kinds
from inspect_tui.shop.common.tables.typed import taken
from inspect_tui.shop.feature import notes
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.signed import dispositions, looks
from inspect_tui.shop.gauges import checks, findings, instruments
from inspect_tui.shop.gauges.stays import Stays
from inspect_tui.shop.intake.entered.desk import Desk, plain
from inspect_tui.shop.speech import profile
from inspect_tui.shop.trends.counts import repairs, weights

Values = Mapping[str, str]
Line = tuple[Any, ...]  # what a line says, ready to be made into rows; equal where two lines say the same
Columns = tuple[tuple[str, str], ...]


@frozen_by_name
class Sort:
    """A table: the word for it, what it holds, its columns, and what reads a line.

    `read` gives the line or raises an InspectError; `there` are the lines that the record holds already; `rows` makes
    what is written of the new ones.
    """

    word: str
    about: str
    of_job: bool
    columns: Callable[[Style], Columns]
    needed: tuple[str, ...]
    read: Callable[[Desk, Values], Line]
    there: Callable[[Desk], Iterable[Line]]
    rows: Callable[[Desk, Sequence[Line]], list[Any]]


def _plain_rows(_desk: Desk, lines: Sequence[Line]) -> list[Any]:
    return [line[0] for line in lines]


def _days(desk: Desk, values: Values, key: str) -> str:
    day = fields.day(values.get(key) or desk.today, desk.today, past=True)
    return str(taken(day, key))


# ------------------------------------------------------------------------------ upkeep of tools
TOOL = ("tool", "tool: such as box 3")


def _upkeep(what: str) -> Callable[[Desk, Values], Line]:
    def read(desk: Desk, values: Values) -> Line:
        tool = desk.tool(values["tool"])
        if what == "repair":
            entered = repairs.read_repair(desk.reader, desk.job, tool, values, desk.today, desk.style)
        elif what == "state":
            if (known := _known_state(desk, tool.of_id, values)) is not None:
                return (plain(known),)
            entered = repairs.read_state(desk.reader, tool, values, desk.today)
        else:
            entered = repairs.read_limit(desk.reader, desk.job, tool, values, desk.style)
        if entered.wrong:
            raise DataError(entered.wrong)
        desk.asked += entered.asks
        return (plain(entered.thing),)

    return read


def _known_state(desk: Desk, tool_of_id: Id, values: Values) -> Any:
    """The state that the record holds as this line says it: read again, it would contradict what came later."""
    day, why = fields.day(values.get("since_on") or desk.today, desk.today), values.get("why", "").strip() or None
    state = fields.choice(values.get("state"), TOOL_STATES, "the state")
    states = desk.record.tool_states().get(tool_of_id, ())
    return next((s for s in states if (s.state, s.since_on, s.why) == (state, day, why)), None)


def _of_tools(ask: Callable[[Desk, Id], Iterable[Any]]) -> Callable[[Desk], Iterable[Line]]:
    def there(desk: Desk) -> Iterable[Line]:
        for tool in desk.record.tools(desk.job.of_id):
            yield from ((plain(row),) for row in ask(desk, tool.of_id))

    return there


# ------------------------------------------------------------------------------ weights
def _weight(desk: Desk, values: Values) -> Line:
    item = desk.item(values["casting"])
    said = weights.read_weight(desk.record, desk.job, {**values, "casting": f"{item.kind} {item.serial}"})
    return (plain(said),)


def _wall(desk: Desk, values: Values) -> Line:
    return (plain(weights.read_wall(desk.record, desk.job, values)),)


def _wall_there(desk: Desk) -> Iterable[Line]:
    area = desk.record.wall_area(desk.job.of_id)
    return [(plain(area),)] if area is not None else []


def _wall_rows(desk: Desk, lines: Sequence[Line]) -> list[Any]:
    if len(lines) > 1:
        raise DataError("A casting has one wall area; the file says several.")
    old = desk.record.wall_area(desk.job.of_id)
    return [replace(line[0], of_id=old.of_id, replaces_id=old.id) if old else line[0] for line in lines]


# ------------------------------------------------------------------------------ gauges
GAUGE = ("gauge", "gauge: such as caliper 1")
CHECK_COLUMNS = (
    GAUGE,
    ("day", "day: of the check"),
    ("person", "person: who checked; empty: who brings the file in"),
    *checks.PIECE_FIELDS,
    ("reading", "reading: on the piece"),
)


def _check(desk: Desk, values: Values) -> Line:
    gauge, person = desk.gauge(values["gauge"]), desk.person(values.get("person", ""))
    piece = taken(checks.read_piece(gauge, values.get("name", ""), values["size"], values.get("u95", ""), desk.style))
    value = taken(instruments.read_length(values["reading"], gauge), "reading")
    day = _days(desk, values, "day")
    return gauge.of_id, day, person.of_id, piece.name, piece.size_mm, piece.u95_mm, value, values["reading"].strip()


def _checks_there(desk: Desk) -> Iterable[Line]:
    people = {person.id: person.of_id for person in desk.record.people(old=True)}
    for gauge in desk.record.instruments():
        for logged in desk.record.gauge_checks(gauge.of_id):
            c, setup = logged.check, logged.setup
            who = people.get(setup.person_id, b"")
            day = show.day_of(logged.at_us, logged.tz_min)
            yield gauge.of_id, day, who, c.reference, c.reference_mm, c.u95_mm, c.value, c.typed


def _check_rows(desk: Desk, lines: Sequence[Line]) -> list[Any]:
    """Checks of one gauge, day and person are one stay."""
    gauges = {gauge.of_id: gauge for gauge in desk.record.instruments()}
    people = {person.of_id: person for person in desk.record.people()}
    rows: list[Any] = []
    stays: dict[tuple[Id, str, Id], Stays] = {}
    for gauge_id, day, person_id, piece, size, u, value, typed in lines:
        key, gauge = (gauge_id, day, person_id), gauges[gauge_id]
        if key not in stays:
            title = f"check of {gauge.label} on {piece}"[:120]
            session = Session(id=desk.record.new_id(), kind="gauge", title=title)
            stays[key] = Stays(desk.record, session.id, desk.today)
            rows.append(session)
        setup_id = stays[key].at(people[person_id], gauge, day)
        rows += stays[key].begun()
        check = GaugeCheck(
            setup_id=setup_id,
            reference=piece,
            reference_mm=size,
            u95_mm=u,
            value=value,
            typed=typed,
            typed_unit=gauge.unit,
        )
        rows.append(check)
    return rows


# a table says the first day itself: what a form takes it from may be another by the time the table comes again
BIAS_COLUMNS = (
    GAUGE,
    *((key, "from: first day" if key == "since" else label) for key, label in findings.STATED_FIELDS),
)


def _bias(desk: Desk, values: Values) -> Line:
    gauge = desk.gauge(values["gauge"])
    bias, u, since, to = taken(findings.read_stated(gauge, values, desk.today))
    assert since  # it is needed: no line without it comes so far
    if to is not None and to < since:
        raise DataError(f"to: it cannot end ({to}) before it began ({since}).")
    why = values["why"].strip()[:400]
    row = InstrumentBias(
        instrument_of_id=gauge.of_id, from_on=since, to_on=to, bias_mm=bias, u_mm=u, why=why, found_from="a file"
    )
    return (row,)


def _biases_there(desk: Desk) -> Iterable[Line]:
    for gauge in desk.record.instruments():
        for bias in desk.record.biases(gauge.of_id):
            yield (replace(plain(bias), found_from="a file", instead_of_id=None),)


USE_COLUMNS = (
    GAUGE,
    ("state", "state: out or back"),
    *instruments.STATE_FIELDS,
)


def _use(desk: Desk, values: Values) -> Line:
    state = taken(fields.choice(values["state"], ("out", "back"), "the state"), "state")
    made = instruments.read_state(desk.gauge(values["gauge"]), values, state == "back", desk.today)
    return (plain(taken(made)),)


def _uses_there(desk: Desk) -> Iterable[Line]:
    for gauge in desk.record.instruments():
        yield from ((plain(row),) for row in desk.record.instrument_states(gauge.of_id))


PROFILE_COLUMNS = (GAUGE, *profile.FIELDS)


def _profile(desk: Desk, values: Values) -> Line:
    """How a gauge speaks; what a line leaves empty stays as it was said."""
    gauge = desk.gauge(values["gauge"])
    said = {key: values[key] for key in profile.KEYS if values[key]}
    return (plain(taken(profile.read(gauge, profile.with_said(profile.of(desk.record, gauge), said)))),)


def _profiles_there(desk: Desk) -> Iterable[Line]:
    return ((plain(made),) for made in desk.record.instrument_profiles().values())


def _profile_rows(desk: Desk, lines: Sequence[Line]) -> list[Any]:
    """A new version where the gauge has one; of two lines for one gauge the later is about the profile before, too."""
    old = desk.record.instrument_profiles()
    made = {line[0].instrument_of_id: line[0] for line in lines}
    return [
        replace(row, of_id=old[gauge].of_id, replaces_id=old[gauge].id) if gauge in old else row
        for gauge, row in made.items()
    ]


# ------------------------------------------------------------------------------ notes
def _note(desk: Desk, values: Values) -> Line:
    return (plain(notes.read(desk.record, desk.job, values)),)


def _notes_there(desk: Desk) -> Iterable[Line]:
    number = {kind.what: kind.number for kind in kinds.KINDS}
    said = desk.record.every_note()
    return ((Note(about_kind=number[line.about], about_id=line.about_id, text=line.text),) for line in said)


# ------------------------------------------------------------------------------ shipments
SHIP_COLUMNS = (
    ("day", "day: on which it left or came back"),
    ("way", "way: out or back"),
    ("to", "to whom: it went, or came back from"),
    ("what", "what: a tool, or anything else in words"),
    ("count", "count: how many; empty: 1"),
    ("loose", "loose pieces: counted; may be left out"),
    ("condition", "condition: a few words"),
    ("overall", "overall: condition of all of it"),
    ("why", "why: it left although something spoke against the kit"),
)


def _shipment(desk: Desk, values: Values) -> Line:
    way = taken(fields.choice(values.get("way") or "out", ("out", "back"), "the way"), "way")
    count = taken(fields.count(values.get("count") or "1", high=9999), "count")
    loose = taken(fields.optional(fields.count)(values.get("loose"), high=999), "loose pieces")
    condition, overall, why = (values.get(key, "").strip() or None for key in ("condition", "overall", "why"))
    what = values["what"].strip()
    return _days(desk, values, "day"), way, values["to"].strip(), why, overall, what, count, loose, condition


def _shipments_there(desk: Desk) -> Iterable[Line]:
    for shipment, lines in desk.record.shipments(desk.job.of_id):
        for x in lines:
            head = (shipment.done_on, shipment.way, shipment.to_whom, shipment.why_open, shipment.condition)
            yield *head, x.what, x.count, x.loose_pieces, x.condition


def _shipment_rows(desk: Desk, lines: Sequence[Line]) -> list[Any]:
    """Lines of one day, way and place are one shipment; what came back belongs to the newest that left for there."""
    tools = {tool.label.casefold(): tool.of_id for tool in desk.record.tools(desk.job.of_id)}
    out = [s for s, _ in desk.record.shipments(desk.job.of_id) if s.way == "out"]
    heads: dict[Line, list[Line]] = {}
    for line in sorted(lines, key=lambda line: (line[0], line[1] == "back")):
        heads.setdefault(line[:5], []).append(line)
    rows: list[Any] = []
    for (day, way, to, why, overall), parcels in heads.items():
        left = [s for s in out if s.to_whom.casefold() == to.casefold() and s.done_on <= day]
        if way == "back" and not left:
            raise JobFileError(f"Nothing left for {to} until {day}: there is nothing to come back.")
        shipment = Shipment(
            id=desk.record.new_id(),
            job_of_id=desk.job.of_id,
            way=way,
            out_id=max(left, key=lambda s: s.done_on).id if way == "back" else None,
            to_whom=to,
            done_on=day,
            condition=overall,
            why_open=why if way == "out" else None,
        )
        if way == "out":
            out.append(shipment)
        rows.append(shipment)
        for n, (*_, what, count, loose, condition) in enumerate(parcels, start=1):
            parcel = ShipmentLine(
                shipment_id=shipment.id,
                ord=n,
                tool_of_id=tools.get(what.partition(" with ")[0].casefold()),
                what=what,
                count=count,
                loose_pieces=loose,
                condition=condition,
            )
            rows.append(parcel)
    return rows


# ------------------------------------------------------------------------------ samplings
CANNOT_COLUMNS = (
    ("casting", "casting: its serial; empty: any"),
    ("feature", "feature: such as F41"),
    ("why", "why: such as beyond the reach of the gauge"),
)


def _cannot(desk: Desk, values: Values) -> Line:
    item = desk.item(values["casting"]) if values.get("casting", "").strip() else None
    feature = desk.feature(values["feature"])
    return (
        NotMeasurable(feature_id=feature.id, item_id=item.id if item else None, reason=values["why"].strip()[:400]),
    )


def _cannot_there(desk: Desk) -> Iterable[Line]:
    return ((plain(row),) for row in desk.record.not_measurable(desk.job.of_id))


TURNED_COLUMNS = (
    ("casting", "casting: its serial"),
    ("axis", "axis: of the sizes that are turned back; empty: z"),
    ("along", "along: the axis over which it tilts; empty: x"),
    ("pivot", "pivot: where nothing is turned, mm along it"),
    ("slope", "slope: mm in 500 mm, such as -0.50"),
    ("u", "u: standard uncertainty of the slope, mm in 500 mm; may be left out"),
    ("why", "why: such as datum target A2 ground 0.50 low"),
)
OVER = 500.0  # mm over which people say a slope


def _turned(desk: Desk, values: Values) -> Line:
    item = desk.item(values["casting"])
    axis, along = (
        taken(fields.choice(values.get(key) or first, ("x", "y", "z"), f"the {key}"), key)
        for key, first in (("axis", "z"), ("along", "x"))
    )
    if axis == along:
        raise DataError(f"along: a tilt along {along} turns sizes of another axis.")
    pivot = taken(fields.size(values["pivot"], signed=True, zero=True), "pivot")
    slope = taken(fields.size(values["slope"], signed=True), "slope")
    u = taken(fields.optional(fields.size)(values.get("u"), zero=True), "u") or 0.0
    row = Realigned(
        item_id=item.id,
        axis=axis,
        along=along,
        pivot_mm=pivot,
        slope=slope / OVER,
        u_slope=u / OVER,
        why=values["why"].strip()[:400],
    )
    return (row,)


def _turned_there(desk: Desk) -> Iterable[Line]:
    items = [item.id for item in desk.record.items(desk.job.of_id)]
    return ((plain(row),) for held in desk.record.realigned(items).values() for row in held if row.holds)


# ------------------------------------------------------------------------------ first articles
ROUND = ("sampling", "sampling: such as S1; empty: the newest")


def _sampling(desk: Desk, values: Values) -> Sampling:
    """The sampling that a line is of, read once for the file."""
    label = values.get("sampling", "").strip()
    made = desk.once(
        f"sampling {label.casefold()}",
        lambda: Sampling(desk.record, desk.job, pick_round(desk.record, desk.job, label or None), desk.style),
    )
    assert isinstance(made, Sampling)
    return made


def _decision(desk: Desk, values: Values) -> Line:
    person = desk.person(values.get("person", ""))
    return (plain(dispositions.read(_sampling(desk, values), values, person, desk.today)),)


def _look(desk: Desk, values: Values) -> Line:
    person = desk.person(values.get("person", ""))
    return (plain(looks.read(_sampling(desk, values), values, person, desk.today)),)


WHO = ("person", "person: who did it; empty: who brings the file in")

# ------------------------------------------------------------------------------ all of them
SORTS: tuple[Sort, ...] = (
    Sort(
        word="repairs",
        about="what was done to tools",
        of_job=True,
        columns=lambda style: (TOOL, *repairs.repair_fields(style)),
        needed=("tool", "what"),
        read=_upkeep("repair"),
        there=_of_tools(lambda desk, of_id: desk.record.tool_repairs(of_id)),
        rows=_plain_rows,
    ),
    Sort(
        word="states",
        about="tools out of use and back in it",
        of_job=True,
        columns=lambda _: (TOOL, *repairs.STATE_FIELDS),
        needed=("tool", "state"),
        read=_upkeep("state"),
        there=_of_tools(lambda desk, of_id: desk.record.tool_states().get(of_id, ())),
        rows=_plain_rows,
    ),
    Sort(
        word="limits",
        about="agreed limits of wear",
        of_job=True,
        columns=lambda style: (TOOL, *repairs.limit_fields(style)),
        needed=("tool", "feature", "why"),
        read=_upkeep("limit"),
        there=_of_tools(lambda desk, of_id: desk.record.wear_limits(of_id)),
        rows=_plain_rows,
    ),
    Sort(
        word="weights",
        about="what castings and sand cores weigh",
        of_job=True,
        columns=lambda _: weights.WEIGHT_FIELDS,
        needed=("casting", "weight"),
        read=_weight,
        there=lambda desk: ((plain(row),) for row in desk.record.item_weights(desk.job.of_id).values()),
        rows=_plain_rows,
    ),
    Sort(
        word="walls",
        about="the wall area of the casting",
        of_job=True,
        columns=lambda _: weights.WALL_FIELDS,
        needed=("area",),
        read=_wall,
        there=_wall_there,
        rows=_wall_rows,
    ),
    Sort(
        word="checks",
        about="quick checks of gauges on reference pieces",
        of_job=False,
        columns=lambda _: CHECK_COLUMNS,
        needed=("gauge", "size", "reading"),
        read=_check,
        there=_checks_there,
        rows=_check_rows,
    ),
    Sort(
        word="biases",
        about="known biases of gauges",
        of_job=False,
        columns=lambda _: BIAS_COLUMNS,
        needed=("gauge", "bias", "since", "why"),
        read=_bias,
        there=_biases_there,
        rows=_plain_rows,
    ),
    Sort(
        word="uses",
        about="gauges out of use and back in it",
        of_job=False,
        columns=lambda _: USE_COLUMNS,
        needed=("gauge", "state", "why"),
        read=_use,
        there=_uses_there,
        rows=_plain_rows,
    ),
    Sort(
        word="profiles",
        about="how gauges speak, and what their foot switches do",
        of_job=False,
        columns=lambda _: PROFILE_COLUMNS,
        needed=("gauge",),
        read=_profile,
        there=_profiles_there,
        rows=_profile_rows,
    ),
    Sort(
        word="notes",
        about="notes to readings, castings and tools",
        of_job=True,
        columns=lambda _: notes.FIELDS,
        needed=("on", "text"),
        read=_note,
        there=_notes_there,
        rows=_plain_rows,
    ),
    Sort(
        word="shipments",
        about="what left the shop and came back",
        of_job=True,
        columns=lambda _: SHIP_COLUMNS,
        needed=("day", "to", "what"),
        read=_shipment,
        there=_shipments_there,
        rows=_shipment_rows,
    ),
    Sort(
        word="cannot",
        about="what cannot be measured, and why",
        of_job=True,
        columns=lambda _: CANNOT_COLUMNS,
        needed=("feature", "why"),
        read=_cannot,
        there=_cannot_there,
        rows=_plain_rows,
    ),
    Sort(
        word="turned",
        about="castings that sat tilted, turned back",
        of_job=True,
        columns=lambda _: TURNED_COLUMNS,
        needed=("casting", "pivot", "slope", "why"),
        read=_turned,
        there=_turned_there,
        rows=_plain_rows,
    ),
    Sort(
        word="dispositions",
        about="what becomes of what does not conform",
        of_job=True,
        columns=lambda _: (ROUND, *dispositions.FIELDS, WHO),
        needed=dispositions.NEEDED,
        read=_decision,
        there=lambda desk: ((plain(row),) for row in desk.record.dispositions(desk.job.of_id)),
        rows=_plain_rows,
    ),
    Sort(
        word="looks",
        about="geometrical tolerances looked at by another way than sizes",
        of_job=True,
        columns=lambda _: (ROUND, *looks.FIELDS, WHO),
        needed=looks.NEEDED,
        read=_look,
        there=lambda desk: ((plain(row),) for row in desk.record.geometry_checks(desk.job.of_id)),
        rows=_plain_rows,
    ),
)


def sort_of(word: str) -> Sort:
    """The table of that word; NotFound otherwise."""
    for sort in SORTS:
        if sort.word == word:
            return sort
    raise NotFound(f"There is no table of {word}; there are: {', '.join(sort.word for sort in SORTS)}.")
