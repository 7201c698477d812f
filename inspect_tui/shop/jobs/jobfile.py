"""Reads a whole job from a TOML text: drawing sizes in, a plan with every tool size derived out, or every mistake."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Fit
from inspect_tui.model.measuring import Calibration, Instrument
from inspect_tui.model.signed import GEOMETRY_FIELDS
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, Feature, Job, Tool
from inspect_tui.record import kinds
from inspect_tui.shop.common import find
from inspect_tui.shop.common.geometry import entry
from inspect_tui.shop.common.geometry.job import doubts, of_features
from inspect_tui.shop.jobs import raw_limits
from inspect_tui.shop.jobs.file import derived, features, heads, lines, people, seats, tooling, write
from inspect_tui.shop.jobs.file.mistakes import Mistakes, Row, Spot, nearest
from inspect_tui.shop.jobs.file.plan import JobPlan, PictureOf, measurable, tool_feature

Thing = TypeVar("Thing")

ONE = {"job": heads.JOB, "drawing": heads.DRAWING, "parting": heads.PARTING, "mould": heads.MOULD}
MANY = {
    "person": people.PERSON,
    "gauge": people.GAUGE,
    "certificate": people.CERTIFICATE,
    "core": tooling.CORE,
    "tool": tooling.TOOL,
    "target": heads.TARGET,
    "face": features.FACE,
    "feature": features.FEATURE,
    "geometry": GEOMETRY_FIELDS,
    "seat": seats.SEAT,
    "loop": derived.LOOP,
    "passage": derived.PASSAGE,
    "sampling": heads.SAMPLING,
    "picture": heads.PICTURE,
}
KNOWN = ONE | MANY
BETWEEN = features.BETWEEN


def read(text: str, style: Style = MM, folder: Path | None = None) -> JobPlan:
    """The plan that a TOML job file describes; JobFileError names every mistake with its place and what to do.

    Pictures are looked for in `folder`, beside the file.
    """
    mistakes = Mistakes()
    return of_rows(lines.tables(text, mistakes), mistakes, style, folder)


def of_rows(
    tables: dict[str, list[Row]],
    mistakes: Mistakes,
    style: Style = MM,
    folder: Path | None = None,
    what: str = "The job file",
) -> JobPlan:
    """The plan that rows describe, wherever they were read from."""
    reader = _Reader(tables, mistakes, style, folder or Path())
    plan = reader.plan()
    mistakes.stop(what)
    return plan


class _Reader:
    """One file being read: what was named so far, and the mistakes."""

    def __init__(self, tables: dict[str, list[Row]], mistakes: Mistakes, style: Style, folder: Path) -> None:
        self.tables, self.mistakes, self.style, self.folder = tables, mistakes, style, folder
        self.today = date.today().isoformat()
        self.pictures: list[PictureOf] = []
        self._known()

    def _known(self) -> None:
        """Tables and keys that nobody knows, and tables in the wrong brackets."""
        for name, rows in self.tables.items():
            if name == "":
                for key, spot in rows[0].keys.items():
                    self.mistakes.add(spot, f"the file does not know '{key}'; {nearest(key, KNOWN)}")
            elif name not in KNOWN:
                for row in rows:
                    self.mistakes.add(row.spot, f"the file does not know '{name}'; {nearest(name, KNOWN)}")
            else:
                for row in rows:
                    row.knows(KNOWN[name])
                    if row.doubled == (name in ONE):
                        right = f"[{name}] is a table: write [{name}] above its lines, once"
                        many = f"[[{name}]] stands in double brackets, once for each"
                        self.mistakes.add(row.spot, right if name in ONE else many)
        if self.mistakes.lost_heading:
            return
        if "job" not in self.tables:
            self.mistakes.add(Spot(1, 1), "it has no [job]")

    def one(self, name: str) -> Row:
        """The row of a table that stands once; an empty one where the file has none."""
        rows = self.tables.get(name)
        return rows[0] if rows else Row(name, Spot(1, 1), Mistakes())

    def many(self, name: str) -> list[Row]:
        """The rows of a table that may stand many times."""
        return self.tables.get(name, [])

    # ---------------------------------------------------------------- the whole
    def plan(self) -> JobPlan:
        """Everything, read in the order in which the tables name each other."""
        remarks: list[str] = []
        questions: list[str] = []
        job = heads.job(self.one("job"), remarks, questions, self.style)
        sample = "face" in self.tables and "feature" not in self.tables
        revision = heads.drawing(self.one("drawing"), job, self.today, sample)
        persons = self.once(self.many("person"), people.person, lambda p: p.initials.casefold(), "person")
        gauges, certificates = self.gauges()
        cores = self.cores(job)
        by_number = {core.number: core for core in cores.values() if core}
        tools, tool_details = self.tools(job, cores)
        sizes, on_tools = self.features(revision, cores, tools, remarks)
        fits, made = self.seats(job, revision.id, cores, sizes)
        for feature in made:
            on_tools.append((feature, [tool for tool in tools if measurable(feature, tool)]))
        by_balloon: dict[str, Feature | None] = dict.fromkeys(self._balloons)  # those that could not be read: None
        by_balloon |= {find.balloon_key(f.balloon): f for f in (*sizes, *made)}
        remarks += self.geometry(job, [*sizes, *made], by_number, fits)
        if not self._balloons and not made:
            remarks.append("it has no [[feature]]: sizes, or faces of a sample casting, are said later")
        details, bodies = self.core_details(by_number, by_balloon)
        by_fit: dict[str, Fit | None] = dict.fromkeys(self._fits)
        by_fit |= {fit.name.casefold(): fit for fit in fits}
        self.pictures_of(job, by_number, tools, by_fit, by_balloon)
        lots, castings = self.samplings(job)
        mould, parting = self.one("mould"), self.one("parting")
        return JobPlan(
            job=job,
            revision=revision,
            cores=tuple(by_number.values()),
            tools=tuple(tools),
            features=(*sizes, *made),
            tool_features=tuple(tool_feature(job, feature, tool) for feature, on in on_tools for tool in on)
            if not self.mistakes
            else (),
            targets=tuple(self.once(self.many("target"), lambda r: heads.target(r, job), lambda t: t.label, "target")),
            geometries=tuple(self.geometries(job, by_balloon)),
            people=tuple(persons),
            gauges=tuple(gauges),
            certificates=tuple(certificates),
            core_details=tuple(details),
            bodies=tuple(bodies),
            tool_details=tuple(tool_details),
            outline=heads.mould(mould, job) if "mould" in self.tables else None,
            parting=heads.parting_of(parting) if "parting" in self.tables else None,
            fits=tuple(fits),
            loops=tuple(
                self.once(
                    self.many("loop"), lambda r: derived.loop(r, job, by_balloon, by_fit), lambda s: s[0].label, "loop"
                )
            ),
            passages=tuple(self.passages(job, by_balloon)),
            lots=tuple(lots),
            castings=tuple(castings),
            pictures=tuple(self.pictures),
            remarks=tuple(remarks),
            questions=tuple(questions),
        )

    def geometry(self, job: Job, sizes: list[Feature], cores: dict[int, Core], fits: list[Fit]) -> list[str]:
        """What is odd about the faces of all that was read: said, and taken as it stands."""
        if self.mistakes:
            return []
        numbers = {core.id: core.number for core in cores.values()}
        return list(doubts(of_features(job, sizes, numbers, fits, style=self.style)))

    def once(
        self, rows: Iterable[Row], read: Callable[[Row], Thing | None], key: Callable[[Thing], str], what: str
    ) -> list[Thing]:
        """What the rows say, each with a name of its own; one that cannot be read has its name too."""
        seen: dict[str, Spot] = {}
        things = []
        for row in rows:
            thing = read(row)
            name = key(thing) if thing is not None else write.key_of(what, row.values)
            if name and name in seen:
                first = seen[name].line
                row.lacks(
                    f"there are two of {what} '{name}': each needs a name of its own; the first is in line {first}"
                )
                continue
            seen[name] = row.spot
            things += [thing] if thing is not None else []
        return things

    # ---------------------------------------------------------------- table by table
    def gauges(self) -> tuple[list[Instrument], list[Calibration]]:
        certificates: list[Calibration] = []

        def read(row: Row) -> Instrument:
            gauge, said = people.gauge(row, self.today)
            certificates.extend([said] if said else [])
            return gauge

        gauges = self.once(self.many("gauge"), read, lambda g: g.label.casefold(), "gauge")
        known = {gauge.label.casefold(): gauge for gauge in gauges}
        more = [people.of_gauge(row, known, self.today) for row in self.many("certificate")]
        return gauges, certificates + [said for said in more if said]

    def cores(self, job: Job) -> dict[int, Core | None]:
        """By number; None for a core that is there but could not be read."""
        rows: dict[int, Row] = {}

        def read(row: Row) -> Core | None:
            before = len(self.mistakes)
            core = tooling.core(row, job)
            if core is not None:
                rows.setdefault(core.number, row)
                by_number[core.number] = core if len(self.mistakes) == before else by_number.get(core.number)
            return core

        by_number: dict[int, Core | None] = {}
        kept = self.once(self.many("core"), read, lambda c: str(c.number), "core")
        self._core_rows = rows
        return {core.number: core for core in kept}

    def core_details(
        self, cores: dict[int, Core], by_balloon: dict[str, Feature | None]
    ) -> tuple[list[Any], list[Any]]:
        details, bodies = [], []
        for number, row in self._core_rows.items():
            if number not in cores:
                continue
            said = tooling.core_detail(row, cores[number], by_balloon)
            details += [said] if said else []
            bodies += tooling.bodies(row, cores[number])
        return details, bodies

    def tools(self, job: Job, cores: dict[int, Core | None]) -> tuple[list[Tool], list[Any]]:
        tools: list[Tool] = []
        details: list[Any] = []

        def read(row: Row) -> Tool | None:
            tool = tooling.tool(row, job, cores, tools)
            if tool is not None:
                tools.append(tool)
                said = tooling.tool_detail(row, tool)
                details.extend([said] if said else [])
            return tool

        self.once(self.many("tool"), read, lambda t: t.label.casefold(), "tool")
        return tools, details

    def features(
        self, revision: Any, cores: dict[int, Core | None], tools: list[Tool], remarks: list[str]
    ) -> tuple[list[Feature], list[tuple[Feature, list[Tool]]]]:
        on_tools = []
        order = len(self.many("face"))
        self._balloons: set[str] = set()  # also of those that could not be read

        def read(row: Row) -> Feature | None:
            nonlocal order
            order += 1
            feature = features.feature(row, revision, cores, order, self.style)
            self._balloons.add(find.balloon_key(str(row.values.get("balloon", ""))))
            if feature is None:
                return None
            if doubt := raw_limits.asks(feature, self.style):
                remarks.append(doubt)
            on_tools.append((feature, features.on_tools(row, feature, tools)))
            return feature

        on_drawing = self.once(self.many("feature"), read, lambda f: find.balloon_key(f.balloon), "feature")
        named = features.faces(self.many("face"), revision, cores, self._balloons)
        self._balloons |= {find.balloon_key(face.balloon) for face in named}
        on_tools += [(face, []) for face in named]
        numbers = {core.id: core.number for core in cores.values() if core}
        rows = {find.balloon_key(str(row.values.get("balloon", ""))): row for row in self.many("feature")}
        for asked in entry.contradictions(on_drawing, numbers, self.style):
            rows[find.balloon_key(asked.sizes[-1])].lacks(asked.text)
        return [*named, *on_drawing], on_tools

    def seats(
        self, job: Job, revision_id: Id, cores: dict[int, Core | None], sizes: list[Feature]
    ) -> tuple[list[Fit], list[Feature]]:
        """The fits, and the prints and seats that their lines make."""
        by_balloon: dict[str, Feature | None] = dict.fromkeys(self._balloons)
        by_balloon |= {find.balloon_key(f.balloon): f for f in sizes}
        made: list[Feature] = []

        self._fits: set[str] = set()

        def read(row: Row) -> Fit | None:
            place = row.values.get("place")
            self._fits.add(str(row.values.get("label", "")).casefold() + (f"-{place}".casefold() if place else ""))
            seated = seats.seat(row, job, revision_id, cores, by_balloon)
            if seated is None:
                return None
            for feature in seated.made:
                key = find.balloon_key(feature.balloon)
                if key in by_balloon:
                    row.lacks(f"{row.who}: there is a feature {feature.balloon} already: name another balloon")
                    continue
                order = len(sizes) + len(made) + 1
                made.append(replace(feature, ord=order))
                by_balloon[key] = made[-1]
            return seated.fit

        fits = self.once(self.many("seat"), read, lambda f: f.name.casefold(), "seat")
        return fits, made

    def passages(self, job: Job, by_balloon: dict[str, Feature | None]) -> list[Any]:
        rows: list[Row] = []

        def read(row: Row) -> Any:
            said = derived.passage(row, job)
            if said is not None:
                rows.append(row)
            return said

        typed = self.once(self.many("passage"), read, lambda p: p[0].label, "passage")
        named = {feature.balloon: feature for feature in by_balloon.values() if feature}
        for row, (said, points) in zip(rows, typed, strict=False):
            if not self.mistakes:
                derived.look(row, said, points, named, [passage for passage, _ in typed])
        return typed

    def geometries(self, job: Job, by_balloon: dict[str, Feature | None]) -> list[Any]:
        return self.once(
            self.many("geometry"),
            lambda row: derived.geometry(row, job, by_balloon),
            lambda said: find.balloon_key(said.balloon),
            "geometry",
        )

    def samplings(self, job: Job) -> tuple[list[Any], list[Any]]:
        serials: dict[str, str] = {}
        castings: list[Any] = []

        def read(row: Row) -> Any:
            lot, items = heads.sampling(row, job, self.today)
            for item in items:
                if item.serial in serials:
                    row.wrong("castings", f"{item.serial} is named in sampling {serials[item.serial]} already")
                serials[item.serial] = lot.label
            castings.extend(items)
            return lot

        return self.once(self.many("sampling"), read, lambda lot: lot.label.casefold(), "sampling"), castings

    # ---------------------------------------------------------------- pictures
    def pictures_of(
        self,
        job: Job,
        cores: dict[int, Core],
        tools: list[Tool],
        fits: dict[str, Fit | None],
        by_balloon: dict[str, Feature | None],
    ) -> None:
        """Pictures by `picture = "..."` in a row, and by [[picture]] with what they show."""
        by_label = {tool.label.casefold(): tool for tool in tools}
        sizes = (feature.balloon for feature in by_balloon.values() if feature is not None)
        known = [*sizes, *(str(row.values.get("balloon", "")) for row in self.many("geometry"))]

        def about(words: str) -> tuple[int, Id, str] | None:
            folded = " ".join(words.casefold().split())
            if folded == "job":
                return kinds.JOB.number, job.of_id, "job"
            number = folded.removeprefix("core ").strip()
            if folded.startswith("core ") and number.isdigit() and int(number) in cores:
                return kinds.CORE.number, cores[int(number)].of_id, f"core {number}"
            if folded in by_label:
                return kinds.TOOL.number, by_label[folded].of_id, by_label[folded].label
            if fit := fits.get(folded):
                return kinds.FIT.number, fit.of_id, fit.name
            feature = by_balloon.get(find.balloon_key(words))
            return (kinds.FEATURE.number, feature.id, feature.balloon) if feature else None

        def add(row: Row, on: str) -> None:
            told = heads.picture(row, self.folder, known)
            shown = about(on)
            if shown is None and not self.mistakes:
                row.wrong("on", f"'{on}' is neither job, core N, a tool, a seat nor a balloon of this file")
            elif shown is not None and told is not None:
                path, name, caption, balloons = told
                kind, about_id, named = shown
                self.pictures.append(
                    PictureOf(
                        path=path,
                        shown_name=name,
                        about_kind=kind,
                        about_id=about_id,
                        on=named,
                        caption=caption,
                        balloons=balloons,
                    )
                )

        named = {"job": "", "core": "number", "tool": "label", "seat": "label", "feature": "balloon"}
        for table, key in named.items():
            for row in self.many(table):
                for file in row.each("picture"):
                    shadow = Row("picture", row.spots["picture"], self.mistakes)
                    shadow.put("file", file, row.keys["picture"], row.spots["picture"])
                    shadow.who = row.who
                    on = str(row.values.get(key, "job"))
                    add(shadow, f"core {on}" if table == "core" else on)
        for row in self.many("picture"):
            row.who = f"picture {row.values.get('file', '')}".strip()
            add(row, row.text("on", 60, "job"))
