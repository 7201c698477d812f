"""The columns of an export: what each holds, in which unit, and what it means; the one place that says so."""

from __future__ import annotations

from inspect_tui.frozen import frozen

SIZE = "as unit"  # the unit of a size: what the column `unit` says


@frozen
class Column:
    """One column: text, integer, number, yes/no, day (ISO 8601) or time (ISO 8601, UTC); unit, and what it means."""

    name: str
    kind: str
    unit: str
    meaning: str


COLUMNS = (
    Column("id", "text", "", "the reading; the same id stands in the record"),
    Column("line", "text", "", "the first reading of what was typed in one go: repeats of a line share it"),
    Column("repeat", "integer", "", "place in its line, from 1"),
    Column("job", "text", "", "job number"),
    Column("job_name", "text", "", "what the job is called"),
    Column("drawing", "text", "", "drawing number"),
    Column("revision", "text", "", "edition of the drawing that the feature belongs to"),
    Column("feature", "text", "", "balloon"),
    Column("feature_name", "text", "", "what the feature is called"),
    Column("quantity", "text", "", "length, width, diameter, radius, depth, wall, step, position, flatness, angle ..."),
    Column("axis", "text", "", "x, y, z, oblique or none"),
    Column("unit", "text", "", "mm, deg or C: of every size in the row"),
    Column("measured_on", "text", "", "tool, casting or sand core"),
    Column("tool", "text", "", "the tool, when measured on one"),
    Column("tool_kind", "text", "", "pattern_cope, core_box, core_stick ..."),
    Column("serial", "text", "", "the casting or sand core, when measured on one"),
    Column("core", "integer", "", "number of the core that the tool or sand core belongs to"),
    Column("cavity", "text", "", "cavity of the box, of a casting or sand core"),
    Column("lot", "text", "", "lot of the casting or sand core"),
    Column("heat", "text", "", "heat of the lot"),
    Column("poured_on", "day", "", "day on which the lot was poured"),
    Column("count", "number", "", "made by then: by the tool, by the box of the sand core, or castings poured"),
    Column("count_of", "text", "", "what `count` counts"),
    Column("day", "day", "", "day of the reading on the clock of the bench"),
    Column("at", "text", "", "day and time on the clock of the bench, with its offset"),
    Column("at_utc", "time", "", "the same in UTC"),
    Column("clock_doubt", "yes/no", "", "yes: the clock of the bench had run back, so day and time may be wrong"),
    Column("person", "text", "", "initials of who measured"),
    Column("gauge", "text", "", "the instrument"),
    Column("gauge_kind", "text", "", "caliper, height_gauge, ultrasonic ..."),
    Column("certificate", "text", "", "reference of the calibration in force then; empty: none on record"),
    Column("known_bias", "number", SIZE, "what the gauge was known to read too high that day; taken off"),
    Column("work_c", "number", "degC", "temperature of the work"),
    Column("gauge_c", "number", "degC", "temperature of the gauge"),
    Column("moisture", "number", "fraction", "moisture of a wooden tool, of its dry mass"),
    Column("typed", "text", "", "the reading as it was typed"),
    Column("typed_unit", "text", "", "the unit that it was taken to be in"),
    Column("as_read", "number", SIZE, "the reading, true scale of a contraction rule included"),
    Column("corrected", "number", SIZE, "the same at 20 degC, and level where a casting was aligned again"),
    Column("correction", "text", "", "what was corrected, in words"),
    Column("u", "number", SIZE, "standard uncertainty of `corrected`, of this reading alone"),
    Column("nominal", "number", SIZE, "the finished size on the drawing"),
    Column("target", "number", SIZE, "the size wanted there: tool size on tools, as-cast size on castings"),
    Column("lower", "number", SIZE, "lower limit there"),
    Column("upper", "number", SIZE, "upper limit there"),
    Column("deviation", "number", SIZE, "`corrected` less `target`"),
    Column("line_n", "integer", "", "readings of the line that count"),
    Column("line_mean", "number", SIZE, "their mean, corrected"),
    Column("line_u", "number", SIZE, "its standard uncertainty"),
    Column("line_u95", "number", SIZE, "its expanded uncertainty (coverage 95 %)"),
    Column(
        "verdict",
        "text",
        "",
        "of the line: conforms, does not conform, undecided, in question or no limits",
    ),
    Column("p_conform", "number", "fraction", "probability that the size lies within its limits"),
    Column("counts", "yes/no", "", "no: struck, or contested"),
    Column("state", "text", "", "counts, in question, struck, or contested (two benches answered it differently)"),
    Column("in_question", "text", "", "why it is in question, as First article says it"),
    Column(
        "asked", "text", "", "none; asked_kept: asked about and kept as typed; asked_retyped: typed again when asked"
    ),
    Column("struck_reason", "text", "", "misread, wrong_feature, zero_shift, test ..."),
    Column("struck_why", "text", "", "the same in the words of who struck it"),
    Column("struck_by", "text", "", "initials"),
    Column("struck_at_utc", "time", "", "when"),
    Column("replaced_by", "text", "", "id of the reading that took its place"),
    Column("replaces", "text", "", "id of the reading that it took the place of"),
    Column("note", "text", "", "notes to the reading, oldest first, one below the other"),
)
NAMES = tuple(column.name for column in COLUMNS)
