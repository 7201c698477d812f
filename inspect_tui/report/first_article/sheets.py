"""Which sheets the workbook has beside the readings, each as headings and rows of plain values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from inspect_tui.report.words import date

Plain = Mapping[str, Any]
Sheet = tuple[str, tuple[str, ...], list[tuple[Any, ...]]]

FEATURES = (
    "balloon",
    "name",
    "quantity",
    "unit",
    "axis",
    "ends",
    "machined",
    "finished",
    "as_cast",
    "lower",
    "upper",
    "band_source",
    "answer",
    "n",
    "mean",
    "deviation",
    "spread",
    "p_conform",
    "predicted",
    "u_predicted",
)
GAUGES = (
    "label",
    "kind",
    "serial",
    "resolution_mm",
    "calibrated_on",
    "due_on",
    "result",
    "u95_mm",
    "k",
    "reference",
    "readings",
    "remark",
)
LOOPS = ("name", "serial", "gap", "u", "open", "sentence", "suspect", "suggested")
PASSAGES = (
    "name",
    "serial",
    "formula",
    "value",
    "u",
    "unit",
    "drawn",
    "rated",
    "minimum",
    "capacity",
    "u_capacity",
    "capacity_unit",
    "p_meets",
    "level",
    "sentence",
    "caveat",
)
CAUSES = (
    "name",
    "kind",
    "axis",
    "status",
    "probability",
    "size",
    "u",
    "low",
    "high",
    "unit",
    "tool",
    "serial",
    "words",
    "speaks_for",
    "against",
    "alike",
)
CUTS = (
    "number",
    "tool",
    "part",
    "cause",
    "axis",
    "change_mm",
    "low",
    "high",
    "words",
    "casting_words",
    "needed",
    "sure",
    "accepted",
    "moves",
)
PREDICTED = ("balloon", "before", "after", "after_checks", "u", "p_before", "p_after")
PROMISES = ("balloon", "round", "before", "promised", "u_promised", "got", "u_got", "word")


def report(plain: Plain) -> Iterator[tuple[str, Any]]:
    """The first sheet: what this is about, the answer, the rule, the cautions, and who signs (nobody yet)."""
    who = plain["identity"]
    yield "First article", who["round"]
    yield "Job", who["job"]
    yield "Part", who["name"]
    yield "Customer's reference", who["customer_ref"]
    yield "Drawing", f"{who['drawing']}, revision {who['revision']}"
    yield "Material", who["alloy"]
    yield "Heat", who["heat"]
    yield "Poured", who["poured_on"]
    yield "Castings", ", ".join(who["serials"])
    yield "Measured", " to ".join(dict.fromkeys(date(x) for x in (who["measured_from"], who["measured_to"]) if x))
    yield "Measured by", ", ".join(who["people"])
    yield "Answer", plain["answer"]
    for word, n in plain["counts"]:
        yield f"Features: {word}", n
    yield "Decision rule", plain["rule"]["words"]
    yield "Uncertainty", plain["rule"]["coverage"]
    for line in plain["cautions"]:
        yield "Caution", line
    for name in ("Measured", "Checked", "Decision under the order"):
        yield f"{name}: name, date, signature", ""
    yield "Ends of the record's chains", ", ".join(who["heads"])
    yield "Snapshot", who["snapshot"]
    yield "Program", who["program"]


def features(plain: Plain) -> Iterator[tuple[Any, ...]]:
    """One row a feature."""
    return (tuple(line[key] for key in FEATURES) for line in plain["features"])


def _rows(lines: Sequence[Plain], keys: tuple[str, ...]) -> list[tuple[Any, ...]]:
    return [tuple(", ".join(line[k]) if isinstance(line[k], list) else line[k] for k in keys) for line in lines]


def more(plain: Plain) -> list[Sheet]:
    """The further sheets; those of the annex only when the result has it."""
    # the datum targets a column each, so that what they are raised by are numbers; older reports have none
    targets = list(dict.fromkeys(name for one in plain["stock"]["castings"] for name, _ in one.get("targets") or ()))

    def raised(one: Plain) -> tuple[Any, ...]:
        told = dict(one.get("targets") or ())
        return tuple(told.get(name) for name in targets)

    stock = [
        (
            one["serial"],
            one["cleans_up"],
            one["spare"],
            one["p_cleans_up"],
            face["name"],
            face["before"],
            face["after"],
            face["required"],
            face["share"],
            one["sentence"],
            *raised(one),
        )
        for one in plain["stock"]["castings"]
        for face in one["faces"]
    ]
    out: list[Sheet] = [
        (
            "Not measured",
            ("balloon", "serial", "why"),
            [(one["balloon"], one["serial"] or "every casting", one["why"]) for one in plain["not_measured"]],
        ),
        (
            "Looked at twice",
            ("kind", "serial", "balloons", "sentence", "value", "u"),
            _rows(plain["questions"], ("kind", "serial", "balloons", "sentence", "value", "u")),
        ),
        ("Loops", LOOPS, _rows(plain["loops"], LOOPS)),
        ("Instruments", GAUGES, _rows(plain["instruments"], GAUGES)),
        ("Passages", PASSAGES, _rows(plain["passages"], PASSAGES)),
        (
            "Stock",
            (
                "serial",
                "cleans_up",
                "spare",
                "p_cleans_up",
                "face",
                "before",
                "after",
                "required",
                "share",
                "sentence",
                *(f"raise {name} by" for name in targets),
            ),
            stock,
        ),
    ]
    if plain["causes"]:
        found = [*plain["causes"]["found"], *plain["causes"]["cannot_tell"]]
        out.append(("Causes (internal)", CAUSES, _rows(found, CAUSES)))
    if plain["cuts"]:
        out.append(("Cuts (internal)", CUTS, _rows(plain["cuts"]["cuts"], CUTS)))
        out.append(("After cuts (internal)", PREDICTED, _rows(plain["cuts"]["predicted"], PREDICTED)))
    if plain["promises"]:
        out.append(("Promises (internal)", PROMISES, _rows(plain["promises"], PROMISES)))
    return out
