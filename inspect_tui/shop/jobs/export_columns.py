"""The columns of an export: what each holds, in which unit, and what it means; the one place that says so."""

from __future__ import annotations

from inspect_tui.frozen import frozen

SIZE = "as unit"  # the unit of a size: what the column `unit` says


@frozen
class ExportColumn:
    """One column: text, integer, number, yes/no, day (ISO 8601) or time (ISO 8601, UTC); unit, and what it means."""

    name: str
    kind: str
    unit: str
    meaning: str


COLUMNS = (
    ExportColumn("id", "text", "", "the reading; the same id stands in the record"),
    ExportColumn("line", "text", "", "the first reading of what was typed in one go: repeats of a line share it"),
    ExportColumn("repeat", "integer", "", "place in its line, from 1"),
    ExportColumn("job", "text", "", "job number"),
    ExportColumn("job_name", "text", "", "what the job is called"),
    ExportColumn("alloy", "text", "", "alloy of the castings"),
    ExportColumn("foundry", "text", "", "where the kit was last sent by then"),
    ExportColumn("drawing", "text", "", "drawing number"),
    ExportColumn("revision", "text", "", "edition of the drawing that the feature belongs to"),
    ExportColumn("feature", "text", "", "balloon"),
    ExportColumn("feature_name", "text", "", "what the feature is called"),
    ExportColumn(
        "quantity", "text", "", "length, width, diameter, radius, depth, wall, step, position, flatness, angle ..."
    ),
    ExportColumn("axis", "text", "", "x, y, z, oblique or none"),
    ExportColumn("unit", "text", "", "mm, deg or C: of every size in the row"),
    ExportColumn("measured_on", "text", "", "tool, casting or sand core"),
    ExportColumn("tool", "text", "", "the tool, when measured on one"),
    ExportColumn("tool_kind", "text", "", "pattern_cope, core_box, core_stick ..."),
    ExportColumn("tool_material", "text", "", "what the tool is made of"),
    ExportColumn("serial", "text", "", "the casting or sand core, when measured on one"),
    ExportColumn("core", "integer", "", "number of the core that the tool or sand core belongs to"),
    ExportColumn("cavity", "text", "", "cavity of the box, of a casting or sand core"),
    ExportColumn("casting_state", "text", "", "of a casting when it was measured: raw, or finished by machining"),
    ExportColumn("lot", "text", "", "lot of the casting or sand core"),
    ExportColumn("heat", "text", "", "heat of the lot"),
    ExportColumn("poured_on", "day", "", "day on which the lot was poured"),
    ExportColumn("count", "number", "", "made by then: by the tool, by the box of the sand core, or castings poured"),
    ExportColumn("count_of", "text", "", "what `count` counts"),
    ExportColumn("day", "day", "", "day of the reading on the clock of the bench"),
    ExportColumn("at", "text", "", "day and time on the clock of the bench, with its offset"),
    ExportColumn("at_utc", "time", "", "the same in UTC"),
    ExportColumn("clock_doubt", "yes/no", "", "yes: the clock of the bench had run back, so day and time may be wrong"),
    ExportColumn("person", "text", "", "initials of who measured"),
    ExportColumn("gauge", "text", "", "the instrument"),
    ExportColumn("gauge_kind", "text", "", "caliper, height_gauge, ultrasonic ..."),
    ExportColumn("certificate", "text", "", "reference of the calibration in force then; empty: none on record"),
    ExportColumn("known_bias", "number", SIZE, "what the gauge was known to read too high that day; taken off"),
    ExportColumn("work_c", "number", "degC", "temperature of the work"),
    ExportColumn("gauge_c", "number", "degC", "temperature of the gauge"),
    ExportColumn("moisture", "number", "fraction", "moisture of a wooden tool, of its dry mass"),
    ExportColumn("typed", "text", "", "the reading as it was typed"),
    ExportColumn("typed_unit", "text", "", "the unit that it was taken to be in"),
    ExportColumn("as_read", "number", SIZE, "the reading, true scale of a contraction rule included"),
    ExportColumn("corrected", "number", SIZE, "the same at 20 degC, and level where a casting was aligned again"),
    ExportColumn("correction", "text", "", "what was corrected, in words"),
    ExportColumn("u", "number", SIZE, "standard uncertainty of `corrected`, of this reading alone"),
    ExportColumn("nominal", "number", SIZE, "the finished size on the drawing"),
    ExportColumn(
        "target", "number", SIZE, "the size wanted there: tool size on tools; on castings as cast, or finished"
    ),
    ExportColumn("lower", "number", SIZE, "lower limit there"),
    ExportColumn("upper", "number", SIZE, "upper limit there"),
    ExportColumn("deviation", "number", SIZE, "`corrected` less `target`"),
    ExportColumn("line_n", "integer", "", "readings of the line that count"),
    ExportColumn("line_mean", "number", SIZE, "their mean, corrected"),
    ExportColumn("line_u", "number", SIZE, "its standard uncertainty"),
    ExportColumn("line_u95", "number", SIZE, "its expanded uncertainty (coverage 95 %)"),
    ExportColumn(
        "verdict",
        "text",
        "",
        "of the line: conforms, does not conform, undecided, in question or no limits",
    ),
    ExportColumn("p_conform", "number", "fraction", "probability that the size lies within its limits"),
    ExportColumn("counts", "yes/no", "", "no: struck, contested, or measured on what is withdrawn"),
    ExportColumn(
        "state",
        "text",
        "",
        "counts, reworked (counts for its casting, says nothing of its tools), in question, struck, withdrawn (its "
        "tool, casting, sampling or job), or contested (two benches answered it differently)",
    ),
    ExportColumn("in_question", "text", "", "why it is in question, as First article says it"),
    ExportColumn(
        "asked", "text", "", "none; asked_kept: asked about and kept as typed; asked_retyped: typed again when asked"
    ),
    ExportColumn("struck_reason", "text", "", "misread, wrong_feature, zero_shift, test ..."),
    ExportColumn("struck_why", "text", "", "the same in the words of who struck it"),
    ExportColumn("struck_by", "text", "", "initials"),
    ExportColumn("struck_at_utc", "time", "", "when"),
    ExportColumn("replaced_by", "text", "", "id of the reading that took its place"),
    ExportColumn("replaces", "text", "", "id of the reading that it took the place of"),
    ExportColumn("note", "text", "", "notes to the reading, oldest first, one below the other"),
)
NAMES = tuple(column.name for column in COLUMNS)
