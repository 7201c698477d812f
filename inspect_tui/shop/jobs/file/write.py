"""A plan written as the rows of a job file, and as TOML, with the comments of a file that it came from."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from inspect_tui.errors import JobFileError
from inspect_tui.frozen import replace
from inspect_tui.model.work import Feature
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs.file import derived, features, heads, people, seats, tooling, values
from inspect_tui.shop.jobs.file.features import bare
from inspect_tui.shop.jobs.file.plan import JobPlan, measurable
from inspect_tui.shop.jobs.file.seats import Sides
from inspect_tui.todo import Todo

Rows = dict[str, Any]  # a table's name -> its row, or the rows that stand in double brackets
KEY = {  # what names a row of a table that stands many times
    "person": "initials",
    "gauge": "label",
    "core": "number",
    "tool": "label",
    "target": "label",
    "face": "balloon",
    "feature": "balloon",
    "geometry": "balloon",
    "seat": "label",
    "loop": "label",
    "passage": "label",
    "sampling": "label",
}


def rows(plan: JobPlan, folded: bool = True) -> Rows:
    """Every table of the job file with its rows, in the order in which a person would write them.

    `folded`: prints and seats that the line of their fit makes stand in that line only, faces of a sample in theirs.
    """
    number_of = {core.id: core.number for core in plan.cores} | {core.of_id: core.number for core in plan.cores}
    label_of = {tool.id: tool.label for tool in plan.tools} | {tool.of_id: tool.label for tool in plan.tools}
    balloon_of = {feature.id: feature.balloon for feature in plan.features}
    details = {said.core_of_id: said for said in plan.core_details}
    tool_details = {said.tool_of_id: said for said in plan.tool_details}
    gauges, certificates = people.rows(plan.gauges, plan.certificates)
    listed, seat_rows = _features_and_seats(plan, folded)
    made: Rows = {"job": heads.job_row(plan.job), "drawing": heads.drawing_row(plan.revision)}
    if plan.parting is not None:
        made["parting"] = heads.parting_row(plan.parting)
    if plan.outline is not None:
        made["mould"] = {axis: words for axis, words in values.box_words(plan.outline).items()}
    made["person"] = [people.person_row(person) for person in plan.people]
    made["gauge"], made["certificate"] = gauges, certificates
    made["core"] = [
        tooling.core_row(
            core,
            said := details.get(core.of_id),
            sorted((body for body in plan.bodies if body.core_of_id == core.of_id), key=lambda body: body.ord),
            balloon_of.get(said.check_feature_id or b"") if said else None,
        )
        for core in plan.cores
    ]
    made["tool"] = [
        tooling.tool_row(
            tool,
            tool_details.get(tool.of_id),
            number_of.get(tool.core_id or b""),
            label_of.get(tool.made_from_id or b""),
        )
        for tool in plan.tools
    ]
    made["target"] = [heads.target_row(target) for target in plan.targets]
    on_tools = {tool_feature.feature_id for tool_feature in plan.tool_features}
    faces = {
        feature.id: row
        for feature in (listed if folded else ())
        if feature.id not in on_tools and (row := features.face_row(feature, number_of)) is not None
    }
    made["face"] = list(faces.values())
    made["feature"] = [_with_tools(plan, feature, number_of) for feature in listed if feature.id not in faces]
    made["geometry"] = [derived.geometry_row(said) for said in plan.geometries]
    made["seat"] = seat_rows
    fit_of = {fit.id: fit.name for fit in plan.fits}
    made["loop"] = [derived.loop_row(stack, members, balloon_of, fit_of) for stack, members in plan.loops]
    made["passage"] = [derived.passage_row(passage, points) for passage, points in plan.passages]
    made["sampling"] = [heads.sampling_row(lot, plan.castings) for lot in plan.lots]
    made["picture"] = [
        values.filled(
            file=str(picture.path),
            on=picture.on,
            caption=picture.caption,
            name=None if picture.shown_name == picture.path.name else picture.shown_name,
            balloons=picture.balloons,
        )
        for picture in plan.pictures
        if picture.path.is_file()  # its bytes may lie at another bench
    ]
    return {name: table for name, table in made.items() if table}


def _with_tools(plan: JobPlan, feature: Feature, number_of: Mapping[bytes, int]) -> dict[str, Any]:
    """A feature with the tools that it is measured on, where these are not simply those that make its ends."""
    made = features.feature_row(feature, number_of, plan.revision.default_band)
    on = {tool_feature.tool_id for tool_feature in plan.tool_features if tool_feature.feature_id == feature.id}
    usual = {tool.id for tool in plan.tools if measurable(feature, tool)}
    if on & {tool.id for tool in plan.tools} != usual:
        made["tools"] = [tool.label for tool in plan.tools if tool.id in on]
    return made


def _features_and_seats(plan: JobPlan, folded: bool) -> tuple[list[Feature], list[dict[str, Any]]]:
    """The features that stand by themselves, and the seats; prints and seats that a line makes are not told twice."""
    by_id = {feature.id: feature for feature in plan.features}
    on_tools: dict[bytes, set[bytes]] = {}
    for tool_feature in plan.tool_features:
        on_tools.setdefault(tool_feature.feature_id, set()).add(tool_feature.tool_id)
    wanted: list[tuple[Any, Sides, dict[str, Feature]]] = []
    claimed: set[bytes] = set()
    for fit in plan.fits:
        ids = (fit.inner_feature_id, fit.outer_feature_id, fit.gap_feature_id)
        sides = Sides(*(by_id.get(feature_id or b"") for feature_id in ids))
        made = _made_by_its_line(fit, sides, plan, on_tools) if folded else {}
        made = {} if any(feature.id in claimed for feature in made.values()) else made
        claimed |= {feature.id for feature in made.values()}
        wanted.append((fit, sides, made))
    in_order = [feature.id for feature in sorted(plan.features, key=lambda f: f.ord)]
    tail = [feature.id for _, _, made in wanted for feature in made.values()]
    if in_order[len(in_order) - len(tail) :] != tail:  # others stand between or behind them: each by itself
        wanted = [(fit, sides, {}) for fit, sides, _ in wanted]
        claimed = set()
    words = {core.of_id: f"core {core.number}" for core in plan.cores}
    shown = [
        seats.seat_row(
            fit,
            sides,
            fit.inner_half or words.get(fit.inner_core_id or b"", ""),
            fit.outer_half or words.get(fit.outer_core_id or b"", ""),
            made,
        )
        for fit, sides, made in wanted
    ]
    return [feature for feature in plan.features if feature.id not in claimed], shown


def _made_by_its_line(
    fit: Any, sides: Sides, plan: JobPlan, on_tools: Mapping[bytes, set[bytes]]
) -> dict[str, Feature]:
    """The print and the seat of a fit where its line would make exactly these."""
    if sides.print is None or sides.gap is not None:
        return {}
    made = {key: side for key, side in (("print", sides.print), ("seat", sides.seat)) if side is not None}
    by_of = {core.of_id: core for core in plan.cores}
    inner = seats.Part(by_of.get(fit.inner_core_id or b""), fit.inner_half)
    outer = seats.Part(by_of.get(fit.outer_core_id or b""), fit.outer_half)
    for key, side in made.items():
        part = inner if key == "print" else outer
        if (part.core is None) == (part.half is None) or (inner.core is None) == (inner.half is None):
            return {}
        clear = 0.0 if key == "print" else side.nominal - sides.print.nominal
        as_made = seats.side(key, fit.name, part, inner, fit.axis, side.nominal, b"", side.balloon)
        as_made = replace(as_made, lower=side.lower, upper=side.upper, band_source=side.band_source)
        tools = {tool.id for tool in plan.tools if measurable(side, tool)}
        right = bare(as_made) == bare(side) and on_tools.get(side.id, set()) == tools
        right = right and seats.limits_again(side) is not None
        if not right or clear < 0.0 or (key == "seat" and clear == 0.0):
            return {}
    return made


# ------------------------------------------------------------------------------ TOML
def refuse_over(target: Path, update: bool) -> None:
    """JobFileError where a file is there already and nobody said that it may be brought up to date."""
    if target.exists() and not update:
        raise JobFileError(f"{target} is there already; nothing was written.", todo=Todo.UPDATE_FILE)


def save(target: Path, text: str) -> None:
    """The file whole under its name, or as it was."""
    temporary = target.with_name(f".{target.name}.{os.getpid()}.new")
    try:
        temporary.write_text(text, "utf-8")
        temporary.replace(target)
    finally:
        temporary.unlink(missing_ok=True)


def toml(made: Rows, before: str = "") -> str:
    """The rows as a TOML text; `before` is a file that it came from: what did not change stays as it is written."""
    import tomlkit

    document = tomlkit.parse(before.removeprefix("\ufeff")) if before else tomlkit.document()
    if not before:
        document.add(tomlkit.comment("A job for inspect-tui; lengths are mm where no unit stands with them."))
    for name in [name for name in document if name not in made]:
        del document[name]
    for name, table in made.items():
        if isinstance(table, dict):
            _into(document.setdefault(name, tomlkit.table()), table)
            continue
        old = {key_of(name, row): row for row in document.get(name, [])}
        array = tomlkit.aot()
        for row in table:
            there = old.get(key_of(name, row))
            held = tomlkit.table() if there is None else there
            _into(held, row)
            array.append(held)
        if list(old) != [key_of(name, row) for row in table] or name not in document:
            document[name] = array
    return tomlkit.dumps(document)


def key_of(name: str, row: Mapping[str, Any]) -> str:
    """What tells a row of a table from the others, however it is written."""
    if name not in KEY:
        return repr(sorted((key, str(value)) for key, value in row.items()))
    named = str(row.get(KEY[name], ""))
    if name == "seat" and row.get("place"):
        named += f"-{row['place']}"
    return find.balloon_key(named) if name in ("face", "feature", "geometry") else named.casefold()


def _into(held: Any, row: Mapping[str, Any]) -> None:
    """Set a table's values; a value that says the same is left as it is written."""
    for key in [key for key in held if key not in row]:
        del held[key]
    for key, value in row.items():
        if key not in held or not same(held[key], value):
            held[key] = _inline(value)


def same(first: Any, second: Any) -> bool:
    """Whether two values of a file say the same, figures to a part in 10^9."""
    if hasattr(first, "unwrap"):
        first = first.unwrap()
    if isinstance(first, Mapping) and isinstance(second, Mapping):
        return first.keys() == second.keys() and all(same(first[key], second[key]) for key in first)
    if isinstance(first, list | tuple) and isinstance(second, list | tuple):
        return len(first) == len(second) and all(map(same, first, second))
    if isinstance(first, bool) or isinstance(second, bool):
        return first is second
    if isinstance(first, int | float) and isinstance(second, int | float):
        return abs(first - second) <= 1e-9 * max(1.0, abs(first), abs(second))
    return bool(first == second)


def _inline(value: Any) -> Any:
    """A dict as an inline table, also inside lists."""
    import tomlkit

    if isinstance(value, Mapping):
        made = tomlkit.inline_table()
        for key, part in value.items():
            made.append(key, _inline(part))
        return made
    if isinstance(value, list):
        array = tomlkit.array()
        for part in value:
            array.append(_inline(part))
        return array
    return value
