"""The one registry of what is recorded: dataclass, table, kind number, format, and columns in schema order.

Kind numbers and column lists stand inside hashes, so they never change. A migration that adds a column adds it at
the end of the table, and here one more `since`: rows written before keep their shorter list.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from functools import cached_property
from importlib import import_module
from math import isfinite
from operator import attrgetter

from inspect_tui.errors import RecordError
from inspect_tui.frozen import frozen, frozen_by_name, row_maker
from inspect_tui.model.words import (
    AXES,
    FIT_AXES,
    FIT_KINDS,
    HALVES,
    INSTRUMENT_KINDS,
    NO_ID,
    PERSON_ROLES,
    PICTURE_MEDIA,
    QUANTITIES,
    RULES,
    SCALES,
    SENSES,
    SLIPS,
    STATES_OF_WORK,
    STEP_KINDS,
    STUDY_DESIGNS,
    SUPERSEDE_REASONS,
    TOOL_KINDS,
    WAYS_IN,
)
from inspect_tui.record.text import clean

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

Value = bytes | str | int | float | None  # what a column holds


@frozen_by_name
class Device:
    """One bench's file on one machine; it writes one chain."""

    id: bytes = NO_ID
    bench: str
    shop_id: bytes
    parent_id: bytes | None = None  # the device whose file was copied or restored
    parent_seq: int | None = None
    why: str = "new"  # new, restored, copied, salvaged
    program: str


@frozen
class Column:
    """One column: b blob, r real, i integer, o true/false, d date, t text, x text kept as typed, n text with lines."""

    name: str
    type: str
    most: int  # characters, of a text
    optional: bool
    choices: tuple[str, ...]


class Kind:
    """One recorded table. What it is made of is worked out when a row of it is first written or read.

    `of` is the class, or where it stands in `model/` ("kit.Fit"): the bench reads a third of the kinds and imports no
    others. A list of choices may be named so too.
    """

    def __init__(
        self,
        number: int,
        of: type | str,
        table: str,
        spec: str,
        unique: str = "",
        fmt: int = 1,
        since: dict[int, int] | None = None,
        **choices: Sequence[str] | str,
    ) -> None:
        self.number, self.table, self.fmt, self._of = number, table, fmt, of
        self._unique, self._text, self._choices, self._formats = unique, spec, choices, since

    @cached_property
    def cls(self) -> type:
        """The dataclass of its rows."""
        return _named(self._of) if isinstance(self._of, str) else self._of

    @property
    def class_name(self) -> str:
        """The name of that class, without importing it."""
        return self._of.rpartition(".")[2] if isinstance(self._of, str) else self._of.__name__

    @cached_property
    def what(self) -> str:
        """What a person calls one of them."""
        return self.table.replace("_", " ")

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The columns by name, in schema order."""
        return tuple(word.partition(":")[0] for word in self._text.split())

    @cached_property
    def versioned(self) -> bool:
        """Whether a thing of the kind is changed by a further version."""
        return "replaces_id" in self.names

    @cached_property
    def unique(self) -> str:
        """What else, beside the id, must not come twice."""
        return self._unique.partition(" until ")[0]

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """The columns in schema order."""
        lists = {name: _named(list_) if isinstance(list_, str) else list_ for name, list_ in self._choices.items()}
        return tuple(_column(word, lists) for word in self._text.split())

    @cached_property
    def _since(self) -> dict[int, int]:
        """fmt -> how many of the columns it holds."""
        return self._formats or {self.fmt: len(self.names)}

    @cached_property
    def _bools(self) -> tuple[int, ...]:
        return tuple(place for place, word in enumerate(self._text.split()) if ":o" in word)

    @cached_property
    def _get(self) -> Callable[[Any], tuple[Any, ...]]:
        return attrgetter(*self.names)

    @cached_property
    def _take(self) -> list[tuple[Callable[[Kind, Column, Any], Value], Column]]:
        return [(_TAKE[c.type], c) for c in self.columns[1:]]  # all but the id

    @cached_property
    def _make(self) -> Callable[[Sequence[Any], Mapping[str, Any]], Any]:
        return row_maker(self.cls, self.names)

    @cached_property
    def insert(self) -> str:
        """The statement that writes a row."""
        marks = ",".join("?" * len(self.names))
        return f"INSERT INTO {self.table} ({', '.join(self.names)}) VALUES ({marks})"

    def unique_in(self, version: int) -> str:
        """What else, beside the id, is a key of the table in a version of the schema; '' for nothing."""
        until = int(self._unique.partition(" until ")[2] or 0)  # the version of the schema that gave it up
        return "" if until and version >= until else self.unique

    @property
    def version(self) -> int:
        """The migration that made the table: numbers below 21 came with 001, 21 to 29 with 002, 30 to 39 with 003."""
        return 1 if self.number < 21 else self.number // 10

    def row(self, thing: Any, row_id: bytes) -> list[Value]:
        """The values to store under `row_id`, cleaned and checked, in schema order; RecordError says what is wrong."""
        _, *values = self._get(thing)
        return [row_id] + [
            None if value is None and column.optional else take(self, column, value)
            for value, (take, column) in zip(values, self._take, strict=True)
        ]

    def thing(self, values: Sequence[Any], **nested: Any) -> Any:
        """The dataclass of a row that was read."""
        if self._bools:
            values = list(values)
            for place in self._bools:
                values[place] = values[place] == 1
        return self._make(values, nested)

    def select(self, alias: str) -> str:
        """The columns for a SELECT list."""
        return ", ".join(f"{alias}.{name}" for name in self.names)

    def names_of(self, fmt: int) -> tuple[str, ...] | None:
        """The columns that a format holds; None when this program does not know it."""
        return self.names[: self._since[fmt]] if fmt in self._since else None


def _named(place: str) -> Any:
    """What a module of `model/` offers under a name: "kit.Fit"."""
    module, _, name = place.partition(".")
    return getattr(import_module(f"inspect_tui.model.{module}"), name)


def _column(word: str, choices: dict[str, Sequence[str]]) -> Column:
    name, _, kind = word.partition(":")
    optional = kind.endswith("?")
    kind = kind.rstrip("?")
    return Column(name, kind[0], int(kind[1:] or 0), optional, tuple(choices.get(name, ())))


def _no(kind: Kind, column: Column, wrong: str) -> RecordError:
    return RecordError(f"{kind.what}: {column.name.replace('_', ' ')} {wrong}.")


def _blob(kind: Kind, column: Column, value: Any) -> Value:
    if isinstance(value, bytes) and len(value) == 16:
        return value
    if value == b"" and column.optional:
        return None
    raise _no(kind, column, "is not filled in" if not value else "is not an id")


def _real(kind: Kind, column: Column, value: Any) -> Value:
    try:
        number = float(value) + 0.0  # -0.0 would come back as 0.0 and break the hash
    except (TypeError, ValueError, OverflowError):
        raise _no(kind, column, f"is not a number: {value!r}") from None
    if not isfinite(number):
        raise _no(kind, column, f"is not a number that can be kept: {value}")
    return number


def _integer(kind: Kind, column: Column, value: Any) -> Value:
    if isinstance(value, int) and -(2**63) <= value < 2**63:
        return int(value)
    raise _no(kind, column, f"is not a whole number: {value!r}")


def _truth(kind: Kind, column: Column, value: Any) -> Value:
    return 1 if value else 0


def _day(kind: Kind, column: Column, value: Any) -> Value:
    from datetime import date

    with suppress(TypeError, ValueError):
        if date.fromisoformat(value).isoformat() == value:  # the only one of ISO 8601's many forms
            return str(value)
    raise _no(kind, column, f"is not a date such as 2025-03-31: {value}")


def _text(kind: Kind, column: Column, value: Any) -> Value:
    if not isinstance(value, str):
        raise _no(kind, column, "is not filled in" if value is None else f"is not a text: {value!r}")
    text = clean(value, newline=column.type == "n")
    if column.type != "x":
        text = text.strip()
    if not text:
        if column.optional:
            return None
        raise _no(kind, column, "is empty")
    if column.choices and text not in column.choices:
        raise _no(kind, column, f"{text!r} is none of {', '.join(column.choices)}")
    if column.most and len(text) > column.most:
        raise _no(kind, column, f"has {len(text)} characters; at most {column.most} fit")
    return text


_TAKE: dict[str, Callable[[Kind, Column, Any], Value]] = {
    "b": _blob,
    "r": _real,
    "i": _integer,
    "o": _truth,
    "d": _day,
    "t": _text,
    "x": _text,
    "n": _text,
}

VERSION = "id:b of_id:b replaces_id:b? "

DEVICE = Kind(
    1,
    Device,
    "device",
    "id:b bench:t80 shop_id:b parent_id:b? parent_seq:i? why:t program:t40",
    why=("new", "restored", "copied", "salvaged"),
)
JOB = Kind(
    2,
    "work.Job",
    "job",
    VERSION + "number:t40 name:t120 alloy:t60? construction:t60? customer_ref:t80? rule:t "
    "a_x:r a_y:r a_z:r ua_x:r ua_y:r ua_z:r a_source:t200 tool_share:r tool_band:t20? "
    "customer:t120? part_no:t60? order_no:t60? order_quantity:i? foundry:t120?",
    fmt=2,
    since={1: 18, 2: 23},
    rule=RULES,
)
JOB_STATE = Kind(
    3,
    "work.JobState",
    "job_state",
    "id:b job_id:b state:t why:t400?",
    state=("open", "waiting", "closed", "reopened"),
)
DRAWING_REVISION = Kind(
    4,
    "work.DrawingRevision",
    "drawing_revision",
    "id:b job_of_id:b number:t60 rev:t20 issued_on:d? default_band:t60? corrects_id:b? why:t400?",
    fmt=2,
    since={1: 6, 2: 8},
)
FEATURE = Kind(
    5,
    "work.Feature",
    "feature",
    "id:b revision_id:b same_as_id:b? balloon:t20 name:t120 quantity:t axis:t "
    "dir_x:r? dir_y:r? dir_z:r? nominal:r lower:r? upper:r? band_source:t120 scale:t machined:o "
    "draft_deg:r draft_h_mm:r a:r? ua:r? note:t400? ord:i raw_lower:r? raw_upper:r? raw_source:t120? "
    "at_x:r? at_y:r? at_z:r? nominal_known:o sheet:t20? zone:t20? characteristic:t60?",
    unique="revision_id balloon until 10",
    fmt=3,
    since={1: 22, 2: 25, 3: 32},
    quantity=QUANTITIES,
    axis=AXES,
    scale=SCALES,
)
FEATURE_END = Kind(
    6,
    "work.End",
    "feature_end",
    "id:b feature_id:b which:t core_id:b? half:t? facing:i coord_mm:r? stock_mm:r coat_mm:r coat_said:o",
    unique="feature_id which",
    fmt=2,
    since={1: 9, 2: 10},
    which=("A", "B"),
    half=HALVES,
)
CORE = Kind(
    7,
    "work.Core",
    "core",
    VERSION + "job_of_id:b number:i name:t80 makes_surface:o set_order:i? volume_dm3:r?",
)
TOOL = Kind(
    8,
    "work.Tool",
    "tool",
    VERSION + "job_of_id:b kind:t label:t60 core_id:b? material:t60 expansion_per_c:r? "
    "made_from_id:b? resin_r:r? resin_u:r? second_a:r? second_u:r?",
    kind=TOOL_KINDS,
)
TOOL_FEATURE = Kind(
    9,
    "work.ToolFeature",
    "tool_feature",
    VERSION + "tool_id:b feature_id:b sense:t lower:r? upper:r? band_source:t120",
    sense=SENSES,
)
CHAIN_STEP = Kind(
    10,
    "work.ChainStep",
    "chain_step",
    "id:b tool_feature_id:b ord:i kind:t scale:r? offset_mm:r? u:r source:t200",
    unique="tool_feature_id ord",
    kind=STEP_KINDS,
)
LOT = Kind(11, "work.Lot", "lot", "id:b job_of_id:b label:t60 heat:t40? poured_on:d? quantity:i?")
ITEM = Kind(
    12,
    "work.Item",
    "item",
    "id:b job_of_id:b kind:t serial:t40 lot_id:b? core_id:b? cavity:t20? material:t60? expansion_per_c:r?",
    kind=("casting", "core"),
)
PERSON = Kind(
    13,
    "measuring.Person",
    "person",
    VERSION + "initials:t8 name:t80? role:t active:o pin_hash:t200?",
    fmt=2,
    since={1: 7, 2: 8},
    role=PERSON_ROLES,
)
INSTRUMENT = Kind(
    14,
    "measuring.Instrument",
    "instrument",
    VERSION + "label:t40 kind:t serial:t60? unit:t resolution:r range_lo:r "
    "range_hi:r rule_scale:r expansion_per_c:r? jaw_mm:r?",
    kind=INSTRUMENT_KINDS,
    unit=("mm", "in", "deg", "C"),
)
CALIBRATION = Kind(
    15,
    "measuring.Calibration",
    "calibration",
    "id:b instrument_of_id:b done_on:d due_on:d? result:t u95_mm:r k:r error_mm:r? reference:t120",
    result=("pass", "adjusted", "fail"),
)
SESSION = Kind(
    16,
    "measuring.Session",
    "session",
    "id:b kind:t job_of_id:b? revision_id:b? title:t120?",
    kind=("tool", "casting", "core", "gauge"),
)
SETUP = Kind(
    17,
    "measuring.Setup",
    "setup",
    "id:b session_id:b person_id:b instrument_id:b calibration_id:b? work_c:r? "
    "instrument_c:r? moisture:r? clock_doubt:o state:t on_date:d?",
    fmt=2,
    since={1: 9, 2: 11},
    state=STATES_OF_WORK,
)
READING = Kind(
    18,
    "measuring.Reading",
    "reading",
    "id:b setup_id:b feature_id:b item_id:b? tool_id:b? tool_feature_id:b? rep:i "
    "value:r typed:x64 typed_unit:t12 slip:t",
    slip=SLIPS,
)
SUPERSEDE = Kind(
    19,
    "measuring.Supersede",
    "supersede",
    "id:b target_id:b replacement_id:b? settles_id:b? reason:t why:t400",
    reason=SUPERSEDE_REASONS,
)
NOTE = Kind(20, "measuring.Note", "note", "id:b about_kind:i about_id:b text:n4000")
GAUGE_STUDY = Kind(
    21,
    "gauges.GaugeStudy",
    "gauge_study",
    "id:b instrument_of_id:b design:t title:t120 job_of_id:b? feature_id:b? quantity:t? trials:i seed:i band_mm:r?",
    design=STUDY_DESIGNS,
    quantity=QUANTITIES,
)
GAUGE_PART = Kind(
    22,
    "gauges.GaugePart",
    "gauge_part",
    "id:b study_id:b number:i label:t60 reference_mm:r? u95_mm:r?",
    unique="study_id number",
)
GAUGE_PERSON = Kind(
    23,
    "gauges.GaugePerson",
    "gauge_person",
    "id:b study_id:b number:i person_of_id:b",
    unique="study_id number",
)
GAUGE_TRIAL = Kind(
    24,
    "gauges.GaugeTrial",
    "gauge_trial",
    "id:b study_id:b setup_id:b part_id:b trial:i value:r typed:x64 typed_unit:t12 instead_of_id:b?",
)
GAUGE_CHECK = Kind(
    25,
    "gauges.GaugeCheck",
    "gauge_check",
    "id:b setup_id:b reference:t60 reference_mm:r u95_mm:r value:r typed:x64 typed_unit:t12 instead_of_id:b?",
)
INSTRUMENT_BIAS = Kind(
    26,
    "gauges.InstrumentBias",
    "instrument_bias",
    "id:b instrument_of_id:b from_on:d to_on:d? bias_mm:r u_mm:r why:t400 found_from:t120 instead_of_id:b?",
)

FIT = Kind(
    30,
    "kit.Fit",
    "fit",
    VERSION + "job_of_id:b label:t20 place:t20? kind:t inner_core_id:b? inner_half:t? "
    "outer_core_id:b? outer_half:t? inner_feature_id:b? outer_feature_id:b? gap_feature_id:b? axis:t way_in:t "
    "points:t? clear_min_mm:r clear_max_mm:r band_source:t200 holds:t40? lift_mm:r? at_x:r? at_y:r? at_z:r? "
    "blocked_by:t80? mark:t40? count:i active:o note:t400?",
    kind=FIT_KINDS,
    inner_half=HALVES,
    outer_half=HALVES,
    axis=FIT_AXES,
    way_in=WAYS_IN,
    points=WAYS_IN,
)
STACK = Kind(
    31,
    "kit.Stack",
    "stack",
    VERSION + "job_of_id:b label:t20 name:t120 feature_id:b? lower:r? upper:r? active:o note:t400?",
)
STACK_MEMBER = Kind(
    32,
    "kit.StackMember",
    "stack_member",
    "id:b stack_id:b ord:i name:t120 sense:i size_mm:r plus_mm:r minus_mm:r shape:t tool:t60? fit_id:b? feature_id:b?",
    unique="stack_id ord",
    shape=("normal", "uniform"),
)
PASSAGE = Kind(
    33,
    "kit.Passage",
    "passage",
    VERSION + "job_of_id:b label:t20 name:t120 formula:t500 unit:t20? rated:r? "
    "minimum:r? exponent:r active:o note:t400?",
)
ATTACHMENT = Kind(
    34,
    "kit.Attachment",
    "attachment",
    "id:b sha256:t64 bytes:i media:t width_px:i height_px:i shown_name:t120",
    media=PICTURE_MEDIA,
)
ATTACHMENT_USE = Kind(
    35,
    "kit.AttachmentUse",
    "attachment_use",
    VERSION + "attachment_id:b about_kind:i about_id:b caption:t120? ord:i active:o balloons:t8000?",
    fmt=2,
    since={1: 9, 2: 10},
)
CORE_DETAIL = Kind(
    36,
    "kit.CoreDetail",
    "core_detail",
    VERSION + "core_of_id:b set_order:i? in_metal_dm3:r? print_area_mm2:r? "
    "chaplets:i? chaplet_note:t200? vents:t200? lift_points:t200? tol_mm:r? template:t60? check_feature_id:b? "
    "check_name:t120? check_lower:r? check_upper:r? caution:t200? note:t400? "
    "low_end:t40? high_end:t40? ends_axis:t?",
    fmt=2,
    since={1: 19, 2: 22},
    ends_axis=("x", "y", "z"),
)
TOOL_DETAIL = Kind(
    37,
    "kit.ToolDetail",
    "tool_detail",
    VERSION + "tool_of_id:b loose_pieces:i? dowels:i? weight_kg:r? mark:t60? "
    "owner:t80? grain:t? lift_points:t200? note:t400?",
    grain=("x", "y", "z"),
)
SHIPMENT = Kind(
    38,
    "kit.Shipment",
    "shipment",
    "id:b job_of_id:b way:t out_id:b? to_whom:t120 done_on:d condition:t400? note:t400? why_open:t400?",
    fmt=2,
    since={1: 8, 2: 9},
    way=("out", "back"),
)
SHIPMENT_LINE = Kind(
    39,
    "kit.ShipmentLine",
    "shipment_line",
    "id:b shipment_id:b ord:i tool_of_id:b? what:t120 count:i loose_pieces:i? condition:t400?",
    unique="shipment_id ord",
)

REPORT_SNAPSHOT = Kind(
    40,
    "first_article.ReportSnapshot",
    "report_snapshot",
    "id:b paper:t40 job_of_id:b lot_id:b? frontier:t100000 rules:t40 "
    "program:t40 tables_sha256:t64 settings:t4000 output_sha256:t64 output:t50000000",
)
IMPORT_MAPPING = Kind(
    41,
    "first_article.ImportMapping",
    "import_mapping",
    "id:b job_of_id:b? signature:t64 title:t120 settings:t100000",
)
IMPORT_FILE = Kind(
    42,
    "first_article.ImportFile",
    "import_file",
    "id:b sha256:t64 shown_name:t120 job_of_id:b session_id:b? mapping_id:b? readings:i",
)
NOT_MEASURABLE = Kind(
    43,
    "first_article.NotMeasurable",
    "not_measurable",
    "id:b feature_id:b item_id:b? reason:t400 holds:o",
)
REALIGNED = Kind(
    44,
    "first_article.Realigned",
    "realigned",
    "id:b item_id:b axis:t along:t pivot_mm:r slope:r u_slope:r why:t400 holds:o",
    axis=("x", "y", "z"),
    along=("x", "y", "z"),
)
DATUM_TARGET = Kind(
    45,
    "first_article.DatumTarget",
    "datum_target",
    "id:b job_of_id:b label:t20 name:t80? axis:t x_mm:r? y_mm:r? z_mm:r? holds:o",
    axis=("x", "y", "z"),
)
CUT_ACCEPTED = Kind(
    46,
    "first_article.CutAccepted",
    "cut_accepted",
    "id:b job_of_id:b lot_id:b? tool_id:b? tool:t120 cause:t200 axis:t "
    "change_mm:r low_mm:r high_mm:r words:t400 casting_words:t400?",
    axis=("x", "y", "z", "all", "none", "oblique"),
)
CUT_PROMISE = Kind(
    47,
    "first_article.CutPromise",
    "cut_promise",
    "id:b cut_id:b feature_id:b tool_feature_id:b? before_mm:r promised_mm:r u_mm:r",
)

TOOL_COUNT = Kind(
    50,
    "trends.ToolCount",
    "tool_count",
    VERSION + "tool_of_id:b way:t count:i on_date:d lot_id:b? source:t holds:o note:t400?",
    way="trends.COUNT_WAYS",
    source="trends.COUNT_SOURCES",
)
TOOL_REPAIR = Kind(
    51,
    "trends.ToolRepair",
    "tool_repair",
    VERSION + "tool_of_id:b feature_id:b? core_id:b? action:t amount_mm:r? "
    "done_on:d at_count:i? who:t80? what:t400 holds:o",
    action="trends.REPAIR_ACTIONS",
)
TOOL_STATE = Kind(
    52,
    "trends.ToolState",
    "tool_state",
    "id:b tool_of_id:b state:t since_on:d why:t400?",
    state="trends.TOOL_STATES",
)
WEAR_LIMIT = Kind(
    53,
    "trends.WearLimit",
    "wear_limit",
    VERSION + "tool_of_id:b feature_id:b lower:r? upper:r? why:t200 holds:o",
)
ITEM_WEIGHT = Kind(54, "trends.ItemWeight", "item_weight", "id:b item_id:b weight_kg:r u95_kg:r?")
WALL_AREA = Kind(55, "trends.WallArea", "wall_area", VERSION + "job_of_id:b area_m2:r density:r why:t200")

INSTRUMENT_STATE = Kind(
    60,
    "gauges.InstrumentState",
    "instrument_state",
    "id:b instrument_of_id:b state:t since_on:d why:t400?",
    state="gauges.INSTRUMENT_STATES",
)

BOX = "x0:r x1:r y0:r y1:r z0:r z1:r active:o"
CORE_BODY = Kind(70, "mould.CoreBody", "core_body", VERSION + f"core_of_id:b ord:i {BOX} note:t400?")
MOULD_OUTLINE = Kind(71, "mould.MouldOutline", "mould_outline", VERSION + f"job_of_id:b {BOX}")
PARTING = Kind(
    72,
    "mould.MouldParting",
    "parting",
    VERSION + "job_of_id:b axis:t active:o note:t400?",
    axis=("x", "y", "z"),
)
PARTING_STEP = Kind(
    73,
    "mould.PartingStep",
    "parting_step",
    "id:b parting_id:b ord:i place_mm:r along:t? from_mm:r? to_mm:r?",
    unique="parting_id ord",
    along=("x", "y", "z"),
)
PASSAGE_POINT = Kind(
    74,
    "kit.PassagePoint",
    "passage_point",
    "id:b passage_id:b ord:i area_mm2:r flow:r",
    unique="passage_id ord",
)
WITHDRAWAL = Kind(
    75,
    "changes.Withdrawal",
    "withdrawal",
    "id:b about_kind:i about_id:b state:t why:t400",
    state="changes.WITHDRAWAL_STATES",
)
SAME_THING = Kind(
    76,
    "changes.SameThing",
    "same_thing",
    "id:b about_kind:i this_id:b that_id:b state:t why:t400?",
    state="changes.SAME_STATES",
)
INSTRUMENT_PROFILE = Kind(
    77,
    "gauges.InstrumentProfile",
    "instrument_profile",
    VERSION + "instrument_of_id:b prefix:t40? suffix:t40? unit_letters:t80? decimal_mark:t? end_key:t? "
    "request:t40? port:t120? speed:i? pattern:t200? foot:t120?",
    fmt=2,
    since={1: 13, 2: 14},
    decimal_mark="gauges.DECIMAL_MARKS",
    end_key="gauges.END_KEYS",
)
RENAMED = Kind(
    80,
    "changes.Renamed",
    "renamed",
    "id:b about_kind:i about_id:b name:t120 heat:t40? poured_on:d? quantity:i? why:t400",
)
SETTING_ANSWER = Kind(
    90,
    "foundry.SettingAnswer",
    "setting_answer",
    "id:b job_of_id:b core_of_id:b? item_id:b? step:i? sort:t what:t200 result:t? value:r? typed:t64? lower:r? "
    "upper:r? words:t1000? mould:t40? who:t80? on_date:d",
    sort="foundry.ANSWER_SORTS",
    result="foundry.CHECK_RESULTS",
)
PUT_ASIDE = Kind(100, "changes.PutAside", "put_aside", "id:b about_kind:i about_id:b for_id:b")
SHOP_ADOPTED = Kind(101, "changes.ShopAdopted", "shop_adopted", "id:b shop_id:b name:t80")
GEOMETRY = Kind(
    110,
    "signed.Geometry",
    "geometry",
    VERSION + "job_of_id:b balloon:t20 name:t120 what:t tolerance_mm:r round:o datums:t60? sizes:t400? "
    "datum_sizes:t400? state:t sheet:t20? zone:t20? characteristic:t60? note:t400? active:o",
    what="signed.GEOMETRIES",
    state=STATES_OF_WORK,
)
GEOMETRY_CHECK = Kind(
    111,
    "signed.GeometryCheck",
    "geometry_check",
    "id:b geometry_of_id:b item_id:b accepted:o method:t200 person_of_id:b on_date:d words:t400? holds:o",
)
DISPOSITION = Kind(
    112,
    "signed.Disposition",
    "disposition",
    VERSION + "job_of_id:b lot_id:b? feature_id:b? geometry_of_id:b? item_id:b? state:t decision:t until_on:d? "
    "quantity:i? agreed_by:t120? reference:t60? why:t400 person_of_id:b on_date:d holds:o",
    state=STATES_OF_WORK,
    decision="signed.DECISIONS",
)
ARTICLE_SIGN = Kind(
    113,
    "signed.ArticleSign",
    "article_sign",
    "id:b job_of_id:b lot_id:b? act:t person_of_id:b on_date:d rests_on:t64 words:t400? holds:o",
    act="signed.ACTS",
)
PROVING = Kind(
    120,
    "proving.Proving",
    "proving",
    VERSION + "job_of_id:b sort:t inside:t tool_of_id:b? mould:t40? place:t120? who:t80 on_date:d order_followed:t? "
    "order_said:t200? edition:t20? holds:o note:t1000?",
    sort="proving.PROVING_SORTS",
    inside="proving.INSIDE",
    order_followed=("yes", "no"),
)
PROVING_LINE = Kind(
    121,
    "proving.ProvingLine",
    "proving_line",
    "id:b proving_id:b ord:i sort:t core_of_id:b? tool_of_id:b? fit_of_id:b? feature_id:b? what:t200? result:t? "
    "value:r? typed:t64? typed_unit:t12? u_mm:r? way:t40? instrument_of_id:b? words:t400?",
    unique="proving_id ord",
    sort="proving.LINE_SORTS",
    result="proving.RESULTS",
)

KINDS = (
    DEVICE,
    JOB,
    JOB_STATE,
    DRAWING_REVISION,
    FEATURE,
    FEATURE_END,
    CORE,
    TOOL,
    TOOL_FEATURE,
    CHAIN_STEP,
    LOT,
    ITEM,
    PERSON,
    INSTRUMENT,
    CALIBRATION,
    SESSION,
    SETUP,
    READING,
    SUPERSEDE,
    NOTE,
    GAUGE_STUDY,
    GAUGE_PART,
    GAUGE_PERSON,
    GAUGE_TRIAL,
    GAUGE_CHECK,
    INSTRUMENT_BIAS,
    FIT,
    STACK,
    STACK_MEMBER,
    PASSAGE,
    ATTACHMENT,
    ATTACHMENT_USE,
    CORE_DETAIL,
    TOOL_DETAIL,
    SHIPMENT,
    SHIPMENT_LINE,
    REPORT_SNAPSHOT,
    IMPORT_MAPPING,
    IMPORT_FILE,
    NOT_MEASURABLE,
    REALIGNED,
    DATUM_TARGET,
    CUT_ACCEPTED,
    CUT_PROMISE,
    TOOL_COUNT,
    TOOL_REPAIR,
    TOOL_STATE,
    WEAR_LIMIT,
    ITEM_WEIGHT,
    WALL_AREA,
    INSTRUMENT_STATE,
    CORE_BODY,
    MOULD_OUTLINE,
    PARTING,
    PARTING_STEP,
    PASSAGE_POINT,
    WITHDRAWAL,
    SAME_THING,
    INSTRUMENT_PROFILE,
    RENAMED,
    SETTING_ANSWER,
    PUT_ASIDE,
    SHOP_ADOPTED,
    GEOMETRY,
    GEOMETRY_CHECK,
    DISPOSITION,
    ARTICLE_SIGN,
    PROVING,
    PROVING_LINE,
)
BY_NUMBER = {kind.number: kind for kind in KINDS}
_BY_NAME = {kind.class_name: kind for kind in KINDS}


def kind_of(thing: Any) -> Kind:
    """The kind of a dataclass or of one of its instances; RecordError for anything that is not recorded."""
    cls = thing if isinstance(thing, type) else type(thing)
    kind = _BY_NAME.get(cls.__name__)
    if kind is None or kind.cls is not cls:
        raise RecordError(f"{type(thing).__name__} is not a thing that is recorded.")
    return kind


def triggers(table: str, unique: str) -> dict[str, str]:
    """The three triggers that keep a recorded table append-only; `unique` is another key, beside the id, or ''.

    The third one is needed because INSERT OR REPLACE deletes without firing the delete trigger unless
    recursive_triggers is on; it names every unique key for the same reason.
    """
    same = "id = NEW.id"
    if unique:
        same += " OR (" + " AND ".join(f"{c} = NEW.{c}" for c in unique.split()) + ")"
    return {
        f"{table}_no_update": f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} "
        "BEGIN SELECT RAISE(ABORT, 'records are added to, not changed'); END",
        f"{table}_no_delete": f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} "
        "BEGIN SELECT RAISE(ABORT, 'records are voided, not deleted'); END",
        f"{table}_no_replace": f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} "
        f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {same}) "
        "BEGIN SELECT RAISE(ABORT, 'record already there'); END",
    }
