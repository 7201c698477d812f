"""What a job file would change in a job of the record: added, changed, withdrawn; shown first, then written whole."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from datetime import date
from hashlib import sha256
from typing import Any

from inspect_tui.errors import JobFileError
from inspect_tui.frozen import fields, frozen, frozen_by_name, replace
from inspect_tui.metrology.typed import show
from inspect_tui.model.changes import Withdrawal
from inspect_tui.model.kit import AttachmentUse, CoreDetail
from inspect_tui.model.trends import ToolState
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Job, Tool, ToolFeature
from inspect_tui.record import kinds
from inspect_tui.record.attachments import read_picture
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find, lineage, parting
from inspect_tui.shop.jobs.file import add, of_record, people, write
from inspect_tui.shop.jobs.file.plan import JobPlan, PictureOf, tool_feature
from inspect_tui.todo import Todo

SHARED = ("person", "gauge")  # the shop's, not the job's: a job file adds to them and changes them, it takes none away
OF = ("inner_core_id", "outer_core_id")  # name first versions, as all `..._of_id` do


@frozen
class Change:
    """One row of a table that would be added, changed or withdrawn; of a changed one what, from and to."""

    table: str
    name: str
    what: str  # added, changed, withdrawn
    values: tuple[tuple[str, str, str], ...] = ()

    @property
    def sentence(self) -> str:
        """`feature F11 changed: nominal 110 -> 112`."""
        told = ", ".join(f"{key} {old or 'nothing'} → {new or 'nothing'}" for key, old, new in self.values)
        named = f"{self.table} {self.name}".strip()
        return f"{named} {self.what}" + (f": {told}" if told else "")


@frozen_by_name
class Proposed:
    """What a file would do to a job, and what is asked about before it is written."""

    old: JobPlan
    new: JobPlan
    changes: tuple[Change, ...]
    questions: tuple[str, ...]
    rev: str | None  # the new revision of the drawing, where one is begun
    needs_why: bool  # something was read or given out: corrections say what was typed wrong


def propose(record: Record, job: Job, new: JobPlan, rev: str | None = None) -> Proposed:
    """What would become of the job; nothing is written. A letter of the drawing that is another begins a new revision.

    Raises JobFileError where the file is of another job, or the revision is there already.
    """
    if new.job.number.casefold() != job.number.casefold():
        raise JobFileError(f"The file is of job {new.job.number}, not of {job.number}.")
    old = of_record.plan_of(record, job)
    rev = rev or (None if new.revision.rev.casefold() == old.revision.rev.casefold() else new.revision.rev)
    if rev and rev.casefold() in {r.rev.casefold() for r in record.revisions(job.of_id)}:
        raise JobFileError(
            f"Revision {rev} is there already; the newest is {old.revision.rev}: put that into the file's [drawing], "
            "or a new one."
        )
    changes = compare(write.rows(old, folded=False), write.rows(new, folded=False))
    changes += _samplings(record, old, new) + _pictures(record, old, new)
    questions = list(new.questions) if any(change.table == "job" for change in changes) else []
    gone = {change.name for change in changes if change.table == "feature" and change.what == "withdrawn"}
    needs_why = False
    for feature in old.features:
        named = feature.balloon
        touched = any(c.table == "feature" and c.name.casefold() == named.casefold() for c in changes)
        read = touched and record.anything_read([feature.id, *record.feature_lineage(feature.id)])
        needs_why = needs_why or read
        if read and named in gone:
            questions.append(f"{named} was read: it is withdrawn from the drawing, its readings stay")
    questions += _orphans(record, old, new, changes, gone)
    given_out = touched_drawing(changes) and bool(record.report_snapshots(job.of_id) or old.revision.issued_on)
    return Proposed(
        old=old,
        new=new,
        changes=changes,
        questions=tuple(questions),
        rev=rev,
        needs_why=(needs_why or given_out) and not rev,
    )


def _orphans(record: Record, old: JobPlan, new: JobPlan, changes: Sequence[Change], gone: Set[str]) -> list[str]:
    """Readings that would hang on nothing: of tools that are withdrawn, and of sizes that are taken off a tool."""
    asked = []
    tools = {change.name.casefold() for change in changes if change.table == "tool" and change.what == "withdrawn"}
    for tool in old.tools:
        count = record.depending(kinds.TOOL, tool.of_id).get("readings", 0) if tool.label.casefold() in tools else 0
        if count:
            asked.append(
                f"{tool.label} has {show.count(count, 'reading')}: they stay in the record and count no longer"
            )
    if not any(change.table in ("feature", "tool", "seat") for change in changes):
        return asked
    on_new = _pairs(new)
    for pair, (feature_id, tool_of_id) in _pairs(old).items():
        balloon, label = pair
        if pair in on_new or label in tools or balloon in {find.balloon_key(name) for name in gone}:
            continue
        lineage_ = [feature_id, *record.feature_lineage(feature_id)]
        if record.readings(feature_id=lineage_, tool_of_id=tool_of_id, limit=1):
            feature = next(f for f in old.features if f.id == feature_id)
            tool = next(t for t in old.tools if t.of_id == tool_of_id)
            asked.append(f"{feature.balloon} was read on {tool.label}: it is taken off it, what was read there stays")
    return asked


def _pairs(plan: JobPlan) -> dict[tuple[str, str], tuple[Id, Id]]:
    """Which size is measured on which tool, by their names, with the ids of the record."""
    balloon = {feature.id: find.balloon_key(feature.balloon) for feature in plan.features}
    tools = {tool.id: tool for tool in plan.tools}
    return {
        (balloon[on.feature_id], tools[on.tool_id].label.casefold()): (on.feature_id, tools[on.tool_id].of_id)
        for on in plan.tool_features
        if on.tool_id in tools and on.feature_id in balloon
    }


def touched_drawing(changes: Sequence[Change]) -> bool:
    """Whether an edition of the drawing has to be made."""
    return any(change.table in ("feature", "drawing") for change in changes)


# ------------------------------------------------------------------------------ compared
def compare(old: write.Rows, new: write.Rows) -> tuple[Change, ...]:
    """What the rows of a file say otherwise than those of the record, table by table; their order says nothing."""
    changes: list[Change] = []
    for table in [*new, *(table for table in old if table not in new)]:
        if table in ("picture", "sampling", "certificate"):
            continue
        before, after = (_named(table, rows.get(table)) for rows in (old, new))
        for key, (name, row) in after.items():
            if key not in before:
                changes.append(Change(table, name, "added"))
            elif told := _differences(before[key][1], row):
                changes.append(Change(table, name, "changed", told))
        if table in SHARED or table == "drawing":
            continue
        changes += [Change(table, name, "withdrawn") for key, (name, _) in before.items() if key not in after]
    there = _certificates(old)
    changes += [
        Change("certificate", f"of {name}", "added")
        for key, (name, _) in _certificates(new).items()
        if key not in there
    ]
    return tuple(changes)


def _certificates(rows: write.Rows) -> dict[tuple[str, str], tuple[str, Mapping[str, Any]]]:
    """Every certificate of the rows by gauge and day: what it is called, and what it says."""
    listed = [(str(row["label"]), row) for row in rows.get("gauge", []) if "calibrated" in row]
    listed += [(str(row["gauge"]), row) for row in rows.get("certificate", [])]
    return {
        (label.casefold(), str(row["calibrated"])): (
            f"{label} of {row['calibrated']}",
            {key: row[key] for key in people.CERTIFICATE if key in row},
        )
        for label, row in listed
    }


def _named(table: str, rows: Any) -> dict[str, tuple[str, Mapping[str, Any]]]:
    if not rows:
        return {}
    if isinstance(rows, dict):
        return {table: ("", rows)}
    named = {}
    for row in rows:
        name = str(row.get(write.KEY.get(table, ""), ""))
        if row.get("place"):
            name = f"{name}-{row['place']}"
        if table == "gauge":  # its certificates are compared by their days
            row = {key: value for key, value in row.items() if key not in people.CERTIFICATE}
        named[write.key_of(table, row)] = (name, row)
    return named


def _differences(old: Mapping[str, Any], new: Mapping[str, Any]) -> tuple[tuple[str, str, str], ...]:
    keys = [*old, *(key for key in new if key not in old)]
    return tuple(
        (key, _shown(old.get(key)), _shown(new.get(key))) for key in keys if not write.same(old.get(key), new.get(key))
    )


def _shown(value: Any) -> str:
    if isinstance(value, list):
        return "[" + ", ".join(_shown(part) for part in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} {_shown(part)}" for key, part in value.items()) + " }"
    return "" if value is None else "yes" if value is True else "no" if value is False else str(value)


def _digest(path: Any) -> str:
    return sha256(read_picture(path)).hexdigest() if path.is_file() else path.name


def _samplings(record: Record, old: JobPlan, new: JobPlan) -> tuple[Change, ...]:
    """Samplings and castings that are not there yet; a file takes none away and changes none: they were measured."""
    labels = {lot.label.casefold() for lot in old.lots}
    serials = {item.serial for item in record.items(old.job.of_id)}
    fresh = [Change("sampling", lot.label, "added") for lot in new.lots if lot.label.casefold() not in labels]
    return (*fresh, *(Change("casting", item.serial, "added") for item in new.castings if item.serial not in serials))


def kept(old: JobPlan, new: JobPlan) -> tuple[str, ...]:
    """What of the file is not taken: samplings that are there stay as they were said."""
    there = {lot.label.casefold(): lot for lot in old.lots}
    before = _certificates(write.rows(old))
    told = [
        f"the certificate of {before[key][0]} stays as it is in the record: withdraw it and enter it anew"
        for key, (_, says) in _certificates(write.rows(new)).items()
        if key in before and not write.same(dict(before[key][1]), dict(says))
    ]
    for lot in new.lots:
        known = there.get(lot.label.casefold())
        if known is not None and (known.heat, known.poured_on, known.quantity) != (
            lot.heat,
            lot.poured_on,
            lot.quantity,
        ):
            told.append(
                f"sampling {known.label} stays as it is in the record: its heat, day and number are not changed"
            )
    return tuple(told)


def _pictures(record: Record, old: JobPlan, new: JobPlan) -> tuple[Change, ...]:
    """Pictures are the same by what they show and by their content; a file adds them and takes none away."""
    there = {_same_picture(shown): shown for shown in old.pictures}
    changes = []
    for shown in new.pictures:
        known, name = there.get(_same_picture(shown)), f"{shown.shown_name} of {shown.on}"
        if known is None:
            changes.append(Change("picture", name, "added"))
        elif shown.balloons is not None and shown.balloons != known.balloons:  # a file takes none away
            said = (("balloons", known.balloons or "", shown.balloons),)
            changes.append(Change("picture", name, "changed", said))
    return tuple(changes)


def _same_picture(shown: PictureOf) -> tuple[str, str]:
    return shown.on.casefold(), _digest(shown.path)


# ------------------------------------------------------------------------------ written
def write_changes(record: Record, proposed: Proposed, why: str = "", by: Id | None = None) -> None:
    """Write all of it in one transaction, or nothing. JobFileError where corrections do not say why they are made."""
    if not proposed.changes and not proposed.rev:
        return
    if proposed.needs_why and not why.strip():
        raise JobFileError(
            "Something that would be put right was read or given out already: did the drawing change, or was it typed "
            "wrong? Nothing was written.",
            todo=Todo.SAY_WHY_OR_REVISION,
        )
    record.add_all(_Writer(record, proposed, why.strip()).rows(), by=by)


class _Writer:
    """Makes the rows of what was proposed, with the ids of what is in the record."""

    def __init__(self, record: Record, proposed: Proposed, why: str) -> None:
        self.record, self.proposed = record, proposed
        self.today = date.today().isoformat()
        self.why, self.said_why = why or "put right before it was read", bool(why)
        self.old, self.new = proposed.old, proposed.new
        self.by_table: dict[str, dict[str, str]] = {}
        for change in proposed.changes:
            self.by_table.setdefault(change.table, {})[change.name.casefold()] = change.what
        self.ids: dict[Id, Id] = {}  # of the file -> of the row in the record
        self.of: dict[Id, Id] = {}  # of the file -> of the first version in the record
        pairs: list[tuple[Any, Any]] = [(self.new.job, self.old.job)]
        for name, key in NAMED.items():
            there = {key(thing): thing for thing in getattr(self.old, name)}
            pairs += [(thing, there[key(thing)]) for thing in getattr(self.new, name) if key(thing) in there]
        self.back = {kind: self._gone_before(kind) for kind in (kinds.CORE, kinds.TOOL)}
        for kind, things in ((kinds.CORE, self.new.cores), (kinds.TOOL, self.new.tools)):
            pairs += [(thing, self.back[kind][name]) for thing in things if (name := _name(thing)) in self.back[kind]]
        for thing, known in pairs:
            self._same(thing, known)

    def _gone_before(self, kind: kinds.Kind) -> dict[str, Any]:
        """Cores or tools that were withdrawn, by name: they come back and are not made twice."""
        gone, of = self.record.withdrawn(kind.number), self.old.job.of_id
        everything = self.record.with_withdrawn()
        things = everything.cores(of) if kind is kinds.CORE else everything.tools(of)
        return {_name(thing): thing for thing in things if thing.of_id in gone}

    def _back(self, kind: kinds.Kind, thing: Any) -> list[Any]:
        """That a withdrawn thing is back, where it is."""
        known = self.back[kind].get(_name(thing))
        if known is None:
            return []
        return [
            self._about(kind, known.of_id, "back"),
            *(self._retired(known, "revived") if kind is kinds.TOOL else []),
        ]

    def _about(self, kind: kinds.Kind, of_id: Id, state: str = "withdrawn") -> Withdrawal:
        return Withdrawal(about_kind=kind.number, about_id=of_id, state=state, why=self.why)

    def _retired(self, tool: Tool, state: str) -> list[Any]:
        return [ToolState(tool_of_id=tool.of_id, state=state, since_on=self.today, why=self.why)]

    def _same(self, thing: Any, known: Any) -> None:
        if isinstance(thing, tuple):
            thing, known = thing[0], known[0]
        self.ids[thing.id] = known.id
        self.of[thing.id] = getattr(known, "of_id", known.id)

    def mapped(self, thing: Any) -> Any:
        """A thing of the file that names others as the record does."""
        changes: dict[str, Any] = {}
        for name in fields(thing):
            value = getattr(thing, name)
            if name in ("id", "of_id") or not isinstance(value, bytes):
                continue
            ids = self.of if name.endswith("_of_id") or name in OF else self.ids
            if value in ids:
                changes[name] = ids[value]
        if isinstance(thing, Feature):
            changes["ends"] = tuple(self.mapped(end) for end in thing.ends)
        return replace(thing, **changes) if changes else thing

    def what(self, table: str, name: str) -> str:
        """added, changed, withdrawn, or nothing for a row."""
        return self.by_table.get(table, {}).get(name.casefold(), "")

    def version(self, thing: Any, known: Any) -> Any:
        """A thing of the file as the next version of one in the record."""
        return replace(self.mapped(thing), id=self.record.new_id(), of_id=known.of_id, replaces_id=known.id)

    def rows(self) -> list[Any]:
        """In the order that keeps every reference pointing back."""
        shared, _ = add.shop_rows(self.record, self.new)
        rows = [*shared, *self.shop(), *self.frame(), *self.tooling()]
        rows += self.drawing()
        rows += self.kit()
        what = {change.name: change.what for change in self.proposed.changes if change.table == "picture"}
        shown = [
            (what[name], replace(p, about_id=self.of.get(p.about_id, p.about_id)))
            for p in self.new.pictures
            if (name := f"{p.shown_name} of {p.on}") in what
        ]
        rows += [use for said, p in shown if said == "changed" for use in self.numbered(p)]
        return rows + add.picture_rows(self.record, [p for said, p in shown if said == "added"])

    def numbered(self, shown: PictureOf) -> list[AttachmentUse]:
        """A picture that is there already, with its numbers where the file says they stand."""
        digest = _digest(shown.path)
        return [
            replace(known.use, id=self.record.new_id(), replaces_id=known.use.id, balloons=shown.balloons)
            for known in self.record.pictures([shown.about_id]).get(shown.about_id, ())
            if known.attachment.sha256 == digest
        ]

    def shop(self) -> list[Any]:
        """People and gauges that the file says otherwise: the next version of each, readings stay theirs."""
        rows: list[Any] = []
        there = {person.initials.casefold(): person for person in self.old.people}
        for person in self.new.people:
            if self.what("person", person.initials) == "changed":
                old = there[person.initials.casefold()]
                rows.append(
                    replace(
                        old,
                        id=self.record.new_id(),
                        replaces_id=old.id,
                        initials=person.initials,
                        name=person.name,
                        role=person.role,
                        active=person.active,
                    )
                )
        gauges = {gauge.label.casefold(): gauge for gauge in self.old.gauges}
        for gauge in self.new.gauges:
            if self.what("gauge", gauge.label) == "changed":
                known = gauges[gauge.label.casefold()]
                rows.append(replace(gauge, id=self.record.new_id(), of_id=known.of_id, replaces_id=known.id))
        return rows

    # ---------------------------------------------------------------- job, mould, targets
    def frame(self) -> list[Any]:
        rows: list[Any] = []
        if "job" in self.by_table:
            rows.append(self.version(self.new.job, self.old.job))
        if "parting" in self.by_table:
            before = self.record.mould_parting(self.old.job.of_id)
            if self.new.parting is not None:
                rows += parting.rows(self.old.job.of_id, self.new.parting, before[0].id if before else None)
            elif before is not None:
                rows.append(replace(before[0], id=self.record.new_id(), replaces_id=before[0].id, active=False))
        if "mould" in self.by_table:
            known, said = self.old.outline, self.new.outline
            if said is not None:
                rows.append(self.mapped(said) if known is None else self.version(said, known))
            elif known is not None:
                rows.append(replace(known, id=self.record.new_id(), replaces_id=known.id, active=False))
        for target in self.new.targets:
            if self.what("target", target.label):
                rows.append(self.mapped(target))
        for target in self.old.targets:
            if self.what("target", target.label) == "withdrawn":
                rows.append(replace(target, id=b"", holds=False))
        return rows

    # ---------------------------------------------------------------- cores and tools
    def tooling(self) -> list[Any]:
        rows: list[Any] = []
        details = {said.core_of_id: said for said in self.record.core_details(self.old.job.of_id).values()}
        for core in self.new.cores:
            what = self.what("core", str(core.number))
            if what:
                known = next((c for c in self.old.cores if c.number == core.number), None)
                known = known or self.back[kinds.CORE].get(_name(core))
                rows += self._back(kinds.CORE, core)
                rows.append(self.mapped(core) if known is None else self.version(core, known))
                rows += self.core_more(core, known.of_id if known else core.of_id, details)
        for tool in self.new.tools:
            if self.what("tool", tool.label):
                there = next((t for t in self.old.tools if t.label.casefold() == tool.label.casefold()), None)
                there = there or self.back[kinds.TOOL].get(_name(tool))
                rows += self._back(kinds.TOOL, tool)
                rows.append(self.mapped(tool) if there is None else self.version(tool, there))
                rows += self.tool_more(tool, there)
        for core in self.old.cores:
            if self.what("core", str(core.number)) == "withdrawn":
                rows.append(self._about(kinds.CORE, core.of_id))
        for tool in self.old.tools:
            if self.what("tool", tool.label) == "withdrawn":
                rows.append(self._about(kinds.TOOL, tool.of_id))
                rows += self._retired(tool, "retired")
        return rows

    def core_more(self, core: Any, of_id: Id, details: Mapping[Id, CoreDetail]) -> list[Any]:
        """Details and bodies of a core that was added or changed."""
        said = next((d for d in self.new.core_details if d.core_of_id == core.of_id), None)
        known = details.get(of_id)
        rows: list[Any] = []
        if said is not None or known is not None:
            made = self.mapped(said) if said is not None else CoreDetail(core_of_id=of_id)
            if known is not None:
                made = replace(made, id=self.record.new_id(), of_id=known.of_id, replaces_id=known.id)
            if known is None or replace(made, id=known.id, replaces_id=known.replaces_id) != known:
                rows.append(made)
        before = [body for body in self.old.bodies if body.core_of_id == of_id]
        after = [replace(body, core_of_id=of_id) for body in self.new.bodies if body.core_of_id == core.of_id]
        for n, body in enumerate(after):
            rows.append(body if n >= len(before) else self.version(body, before[n]))
        rows += [
            replace(body, id=self.record.new_id(), replaces_id=body.id, active=False) for body in before[len(after) :]
        ]
        return rows

    def tool_more(self, tool: Tool, known: Tool | None) -> list[Any]:
        said = next((d for d in self.new.tool_details if d.tool_of_id == tool.of_id), None)
        details = self.record.tool_details(self.old.job.of_id)
        before = details.get(known.of_id) if known else None
        if before is None:
            return [] if said is None else [self.mapped(said)]
        if said is None:
            said = type(before)(tool_of_id=before.tool_of_id)
        return [replace(self.version(said, before), tool_of_id=before.tool_of_id)]

    # ---------------------------------------------------------------- the drawing and the sizes on tools
    def drawing(self) -> list[Any]:
        """A new edition where sizes are others, and the sizes on tools that follow from it or a new contraction."""
        edition = bool(self.proposed.rev) or touched_drawing(self.proposed.changes)
        now: dict[Id, Feature] = {}  # feature of the file -> as it is written
        rows: list[Any] = []
        key_of = {find.balloon_key(f.balloon): f for f in self.old.features}
        last = max((f.ord for f in self.old.features), default=0)
        as_they_are = {feature.id: feature for feature in self.record.features(self.old.revision.id)}
        if edition:
            self.revision = replace(
                self.mapped(self.new.revision),
                id=self.record.new_id(),
                job_of_id=self.old.job.of_id,
                rev=self.proposed.rev or self.old.revision.rev,
                issued_on=self.new.revision.issued_on,
                corrects_id=None if self.proposed.rev else self.old.revision.id,
                why=self.why[:400] if self.said_why or not self.proposed.rev else None,
            )
            rows.append(self.revision)
        for order, feature in enumerate(self.new.features, start=1):
            known = key_of.get(find.balloon_key(feature.balloon))
            made = self.mapped(feature)
            if edition and known is not None and not self.what("feature", feature.balloon):
                made = as_they_are[known.id]  # to the letter, also in which version of a core it names
            if edition:
                ends = tuple(replace(end, id=b"", feature_id=b"") for end in made.ends)
                made = replace(
                    made,
                    id=self.record.new_id(),
                    revision_id=self.revision.id,
                    same_as_id=known.id if known else None,
                    ends=ends,
                    ord=known.ord if known else last + order,
                )
                rows.append(made)
            elif known is not None:
                made = known
            now[feature.id] = made
            self.ids[feature.id] = made.id
        return rows + self.on_tools(now, edition)

    def on_tools(self, now: Mapping[Id, Feature], edition: bool) -> list[Any]:
        job = self.version(self.new.job, self.old.job) if "job" in self.by_table else self.old.job
        contracts = (job.a_x, job.a_y, job.a_z, job.ua_x, job.ua_y, job.ua_z)
        was = self.old.job
        other_job = contracts != (was.a_x, was.a_y, was.a_z, was.ua_x, was.ua_y, was.ua_z)
        feature_of = {feature.id: feature for feature in self.old.features}
        before = {(self._tool_of(on.tool_id), on.feature_id): on for on in self.old.tool_features}
        taken_off = self._taken_off(set(feature_of))
        wanted: set[tuple[Id, Id]] = set()
        rows: list[Any] = []
        for on in self.new.tool_features:
            tool = next(t for t in self.new.tools if t.id == on.tool_id)
            known_tool = self.of.get(tool.id)
            feature = now[on.feature_id]
            source = feature_of.get(feature.same_as_id or feature.id) if edition else feature_of.get(feature.id)
            key = (known_tool or b"", source.id if source else b"")
            there = before.get(key)
            if there is None and key in taken_off:
                there = taken_off[key]
                if there.of_id in self.gone_on:
                    rows.append(self._about(kinds.TOOL_FEATURE, there.of_id, "back"))
            mapped = self.mapped(tool)
            mapped = replace(mapped, id=self.ids.get(tool.id, tool.id))
            if there is None or source is None:
                rows.append(tool_feature(job, feature, mapped))
                continue
            wanted.add((known_tool or b"", source.id))
            other_tool = bool(self.what("tool", tool.label))
            if not other_job and not other_tool and lineage.same_size(feature, source):
                rows += [_carried(there, feature)] if edition else []
            elif not other_job and not other_tool and lineage.same_size(feature, source, limits=False):
                plain = ToolFeature(tool_id=there.tool_id, feature_id=feature.id, sense=there.sense)
                rows.append(replace(_carried(there, feature), lower=None, upper=None, band_source=plain.band_source))
            else:
                renewed = _renewed(job, feature, mapped, there)
                if edition or not _laid_out_alike(renewed, there):
                    rows.append(renewed)
        for key, on in before.items():
            if key not in wanted and not self._gone(key):
                rows.append(self._about(kinds.TOOL_FEATURE, on.of_id))
        return rows

    def _taken_off(self, features: set[Id]) -> dict[tuple[Id, Id], ToolFeature]:
        """Sizes of this drawing that were taken off a tool, or whose tool was withdrawn: they come back as such."""
        self.gone_on = self.record.withdrawn(kinds.TOOL_FEATURE.number)
        away = {tool.of_id for tool in self.back[kinds.TOOL].values()}
        withdrawn: dict[tuple[Id, Id], ToolFeature] = {}
        for tool in self.record.with_withdrawn().tools(self.old.job.of_id):
            every = self.record.tool_features(tool.of_id, old=True)
            replaced = {on.replaces_id for on in every}
            for on in every:
                known = on.of_id in self.gone_on or tool.of_id in away
                if known and on.id not in replaced and on.feature_id in features:
                    withdrawn[tool.of_id, on.feature_id] = on
        return withdrawn

    def _tool_of(self, tool_id: Id) -> Id:
        return next((t.of_id for t in self.old.tools if t.id == tool_id), self.record.tool(tool_id).of_id)

    def _gone(self, key: tuple[Id, Id]) -> bool:
        """Whether the tool or the feature of a pair is withdrawn itself."""
        tool = next((t for t in self.old.tools if t.of_id == key[0]), None)
        feature = next(f for f in self.old.features if f.id == key[1])
        return tool is None or "withdrawn" in (self.what("tool", tool.label), self.what("feature", feature.balloon))

    # ---------------------------------------------------------------- fits, loops, passages, samplings
    def kit(self) -> list[Any]:
        rows: list[Any] = []
        old_fits = {fit.name.casefold(): fit for fit in self.old.fits}
        for fit in self.new.fits:
            if self.what("seat", fit.name):
                known = old_fits.get(fit.name.casefold())
                rows.append(self.mapped(fit) if known is None else self.version(fit, known))
        for name, fit in old_fits.items():
            if self.what("seat", name) == "withdrawn":
                rows.append(replace(fit, id=self.record.new_id(), replaces_id=fit.id, active=False))
        for table, made in (("loop", "loops"), ("passage", "passages")):
            before = {head.label: head for head, _ in getattr(self.old, made)}
            for head, members in getattr(self.new, made):
                if self.what(table, head.label):
                    known = before.get(head.label)
                    new = self.mapped(head) if known is None else self.version(head, known)
                    owner = "stack_id" if table == "loop" else "passage_id"
                    rows += [new, *(replace(self.mapped(m), **{owner: new.id}) for m in members)]
            for label, head in before.items():
                if self.what(table, label) == "withdrawn":
                    rows.append(replace(head, id=self.record.new_id(), replaces_id=head.id, active=False))
        asked = {find.balloon_key(said.balloon): said for said in self.old.geometries}
        for said in self.new.geometries:
            if self.what("geometry", said.balloon):
                known_as = asked.get(find.balloon_key(said.balloon))
                rows.append(self.mapped(said) if known_as is None else self.version(said, known_as))
        for said in asked.values():
            if self.what("geometry", said.balloon) == "withdrawn":
                rows.append(replace(said, id=self.record.new_id(), replaces_id=said.id, active=False))
        serials = {item.serial for item in self.record.items(self.old.job.of_id)}
        for lot in self.new.lots:
            if self.what("sampling", lot.label) == "added":
                rows.append(self.mapped(lot))
        rows += [self.mapped(item) for item in self.new.castings if item.serial not in serials]
        return rows


def _name(thing: Any) -> str:
    """What a core or a tool is called in a file."""
    return thing.label.casefold() if isinstance(thing, Tool) else str(thing.number)


NAMED: dict[str, Any] = {
    "cores": lambda core: core.number,
    "tools": lambda tool: tool.label.casefold(),
    "features": lambda feature: find.balloon_key(feature.balloon),
    "fits": lambda fit: fit.name.casefold(),
    "loops": lambda loop: loop[0].label,
    "passages": lambda passage: passage[0].label,
    "lots": lambda lot: lot.label.casefold(),
}


def _carried(before: ToolFeature, feature: Feature) -> ToolFeature:
    """A size on a tool as it was, under its feature in the new edition."""
    steps = tuple(replace(step, id=b"", tool_feature_id=b"") for step in before.steps)
    return replace(before, id=b"", feature_id=feature.id, replaces_id=before.id, steps=steps)


def _laid_out_alike(one: ToolFeature, other: ToolFeature) -> bool:
    """Whether a size on a tool comes about by the very same steps, as across an axis that contracts as before."""

    def steps(on: ToolFeature) -> list[tuple[Any, ...]]:
        return [(s.kind, s.scale, s.offset_mm, s.u) for s in on.steps]

    same = (one.lower, one.upper, one.sense) == (other.lower, other.upper, other.sense)
    return same and steps(one) == steps(other)


def _renewed(job: Job, feature: Feature, tool: Tool, before: ToolFeature) -> ToolFeature:
    """The tool's size from what holds now; what was corrected after castings stays corrected."""
    made = tool_feature(job, feature, tool)
    corrections = [step for step in before.steps if step.kind == "correction"]
    more = [
        replace(step, id=b"", tool_feature_id=b"", ord=len(made.steps) + n)
        for n, step in enumerate(corrections, start=1)
    ]
    steps = (*(replace(step, id=b"") for step in made.steps), *more)
    return replace(made, id=b"", of_id=before.of_id, replaces_id=before.id, steps=steps)
