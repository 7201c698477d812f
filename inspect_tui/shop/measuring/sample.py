"""The measuring plan of a sample casting: which sizes to take, in which order, from which datum and with what.

Faces come from the sizes of the newest edition, known or not, and from faces that were only named. What was read on a
casting counts, and so does what a drawing gives of its machined faces. Whatever stays free is said, and so is what
would tie it down.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import sqrt

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.faces import plan as planning
from inspect_tui.metrology.faces.adjust import Levelled, Reading, level
from inspect_tui.metrology.faces.face import AXES
from inspect_tui.metrology.faces.network import Network
from inspect_tui.metrology.faces.plan import MEANS, FacePlan, Possible
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate, Id
from inspect_tui.model.work import Feature, Item, Job
from inspect_tui.record.read import Reader
from inspect_tui.shop.common import faces_touched, lineage
from inspect_tui.shop.common.drawing_notes import is_sectioned
from inspect_tui.shop.common.evidence import Evidence
from inspect_tui.shop.common.geometry import faces as geometry
from inspect_tui.shop.common.geometry import job as job_geometry
from inspect_tui.shop.jobs.file.plan import SAMPLE_REV
from inspect_tui.shop.kit.facts import reading_u
from inspect_tui.shop.measuring import faces as naming

SHAPES = ("radius", "angle")  # taken with a template: they hang on no face
INSIDE_U = 0.01  # mm, of a reading whose gauge says nothing of itself: as for the sample's sizes


@frozen_by_name
class PlanLine:
    """One size to take. `size` is its balloon, `what` its name; `start` and `pins` are faces as people say them.

    `entered` is False for a size between two named faces that is not on the list yet. `u_mm` is how well the face will
    be known (standard uncertainty), `minutes` the work.
    """

    number: int
    size: str
    what: str
    start: str
    pins: str
    means: str
    minutes: float
    u_mm: float
    from_datum: bool
    tied: bool
    entered: bool
    sentence: str


@frozen_by_name
class CheckLine:
    """A size worth taking besides, and the sizes in which it shows a slip."""

    size: str
    what: str
    means: str
    minutes: float
    over: tuple[str, ...]


@frozen_by_name
class Free:
    """Faces that hang together but that nothing ties to the datum, the sizes they hang on, and what would pin them."""

    faces: tuple[str, ...]
    sizes: tuple[str, ...]
    why: str


@frozen_by_name
class PlacedFace:
    """Where a face lies by what was read, mm from `from_face`, with standard uncertainty."""

    face: str
    from_face: str
    mm: float
    u_mm: float


@frozen_by_name
class SamplePlan:
    """What to measure on the sample, and what is known by now.

    `pinned` of `faces` faces are pinned; `given` are sizes that count already, with read or drawing. `templates` are
    shapes to take with templates. `slips` are readings that others contradict. `asked` are open questions of the
    drawing. `to_enter` are sizes between named faces that are to be put on the list.
    """

    job: str
    revision: str
    lines: tuple[PlanLine, ...]
    checks: tuple[CheckLine, ...]
    templates: tuple[tuple[str, str], ...]
    given: tuple[tuple[str, str], ...]
    pinned: tuple[str, ...]
    faces: int
    free: tuple[Free, ...]
    cut_up: bool
    minutes: float
    places: tuple[PlacedFace, ...]
    slips: tuple[str, ...]
    asked: tuple[str, ...]
    sentence: str
    to_enter: tuple[Feature, ...] = ()


def of_sample(record: Reader, job: Job, style: Style = MM) -> SamplePlan:
    """The plan as it stands after all that was read. NotFound where there is neither a size nor a face."""
    revisions = record.revisions(job.of_id)
    features = [f for f in record.features(revisions[-1].id) if f.scale == "cast"] if revisions else []
    if not features:
        raise NotFound(
            f"Job {job.number} has neither sizes nor faces yet: name the faces of the sample casting first, each with "
            "what makes it."
        )
    number_of = geometry.core_numbers(record, job)
    made = job_geometry.of_features(job, features, number_of, record.fits(job.of_id), style=style)
    castings = [item for item in record.items(job.of_id) if item.kind == "casting"]
    apart: dict[str, list[tuple[str, float]]] = {}
    read = _read(record, job, features, castings, apart)
    shapes = tuple((f.balloon, f.name) for f in features if f.quantity in SHAPES and f.balloon not in read)
    if made.cast is None:
        raise NotFound(f"Job {job.number} has no length between two faces yet: name the faces of the sample casting.")
    look = _Look(made.cast, features, read, style, drawn=revisions[-1].rev != SAMPLE_REV)
    look.apart = apart
    return look.plan(job, revisions[-1].rev, shapes, tuple(q.text for q in made.asked))


def _read(
    record: Reader,
    job: Job,
    features: Sequence[Feature],
    castings: Sequence[Item],
    apart: dict[str, list[tuple[str, float]]],
) -> dict[str, Estimate]:
    """What was read of each feature on the castings of the job: mean over castings and its standard uncertainty.

    A casting whose reading stands apart from all others (a unit mixed up, a face not cast) is left out and put into
    `apart`: balloon, then serial and mean.
    """
    if not castings:
        return {}
    lines = lineage.of_job(record, job)
    now = {lines.first(f.id, limits=False): f for f in features}
    same = {lines.feature(f.id): f for f in features}
    unknown = {f.id for f in record.job_features(job.of_id) if not f.nominal_known}
    values: dict[str, dict[Id, list[float]]] = {}
    certified: dict[str, tuple[float | None, float | None]] = {}
    for r in Evidence(record).right(record.item_readings(item.id for item in castings)):
        feature = now.get(lines.first(r.feature_id, limits=False))
        if feature is None and r.feature_id in unknown:  # the drawing that was made of it took nothing away
            feature = same.get(lines.feature(r.feature_id))
        if feature is not None:
            values.setdefault(feature.balloon, {}).setdefault(r.item_id, []).append(r.value)
            certified[feature.balloon] = (r.u95_mm, r.k)
    by_balloon = {f.balloon: f for f in features}
    made = {}
    serials = {item.id: item.serial for item in castings}
    for balloon, by_casting in values.items():
        mean = {item_id: sum(v) / len(v) for item_id, v in by_casting.items()}
        for item_id in _apart(mean):
            apart.setdefault(balloon, []).append((serials[item_id], mean[item_id]))
            del by_casting[item_id]
        means = [mean[item_id] for item_id in by_casting]
        rough = faces_touched.u_rough(by_balloon[balloon], castings[0])
        every = [v for own in by_casting.values() for v in own]
        made[balloon] = Estimate(sum(means) / len(means), reading_u(every, *certified[balloon], INSIDE_U, rough))
    return made


APART = 0.001  # risk of leaving out a good casting, for each size
FEWEST = 4  # castings that can outvote one


def _apart(mean: Mapping[Id, float]) -> list[Id]:
    """The castings whose mean stands out of all, by their ids."""
    if len(mean) < FEWEST:
        return []
    from inspect_tui.metrology.spread.outliers import flag_outliers

    ids = list(mean)
    return [ids[at] for at in flag_outliers([mean[item_id] for item_id in ids], alpha=APART).index]


class _Look:
    """The network of a sample with what may be read in it."""

    def __init__(
        self, network: Network, features: Sequence[Feature], read: Mapping[str, Estimate], style: Style, drawn: bool
    ) -> None:
        self.network, self.read, self.style, self.drawn = network, read, style, drawn
        self.apart: Mapping[str, Sequence[tuple[str, float]]] = {}  # by balloon: serials left out, with what they read
        self.feature = {f.balloon: f for f in features}
        self.named = {f.balloon: f for f in features if geometry.is_named_face(f)}
        self.face_of = {self.network.size(b).b.name: f for b, f in self.named.items()}
        self.pairs = {f.balloon: f for f in self._wanted_pairs()}
        self.datums = {network.datum_of(axis): axis for axis in AXES}

    # ------------------------------------------------------------------------------ what may be taken
    def _wanted_pairs(self) -> list[Feature]:
        """Walls that were said, and across each core: sizes between named faces that are not on the list yet."""
        there = {geometry.between(f) for f in self.feature.values()}
        pairs = []
        for face in self.named.values():
            other = self.named.get(geometry.wall_of(face) or "")
            if other is not None:
                pairs.append(self._pair(face, other, "wall"))
        for a in self.named.values():
            for b in self.named.values():
                ends = (a.ends[0], b.ends[0])
                same = a.axis == b.axis and ends[0].core_id is not None and ends[0].core_id == ends[1].core_id
                if same and (ends[0].facing, ends[1].facing) == (1, -1):
                    pairs.append(self._pair(a, b, "over the core"))
        return [p for p in pairs if geometry.between(p) not in there and p.balloon not in self.feature]

    def _pair(self, a: Feature, b: Feature, why: str) -> Feature:
        """From the face whose metal or space begins there to the one where it ends: a wall looks out at both ends."""
        first = a if a.ends[0].facing == (-1 if why == "wall" else 1) else b
        return naming.pair(first, b if first is a else a, why)

    def _ends(self, feature: Feature) -> tuple[str, str]:
        pair = geometry.between(feature)
        if pair and feature.balloon in self.pairs:
            a, b = (self.network.size(name).b.name for name in pair)
            return a, b
        size = self.network.size(feature.balloon)
        return (size.a.name if size.a else self.network.datum_of(size.axis)), size.b.name

    def _means(self, feature: Feature, a: str, b: str) -> str:
        number = self.network.number
        return means_of(feature, [self.network.faces[number[name]].cored for name in (a, b) if name in number])

    def _possible(self) -> list[Possible]:
        made = []
        for feature in [*self.feature.values(), *self.pairs.values()]:
            if feature.balloon not in self.network.size_number and feature.balloon not in self.pairs:
                continue
            a, b = self._ends(feature)
            if a == b:  # the datum itself
                continue
            state = planning.READ if feature.balloon in self.read else ""
            if not state and self.drawn and feature.nominal_known and _machined(feature):
                state = planning.GIVEN
            made.append(Possible(name=feature.balloon, a=a, b=b, means=self._means(feature, a, b), state=state))
        return made

    # ------------------------------------------------------------------------------ the plan
    def plan(self, job: Job, revision: str, shapes: tuple[tuple[str, str], ...], asked: tuple[str, ...]) -> SamplePlan:
        """Everything in words. `revision` is its letter."""
        possible = self._possible()
        faces = [f.name for f in self.network.faces if f.axis in AXES]
        is_cut = any(p.means == "section" and p.state == planning.READ for p in possible)
        made = planning.plan(faces, possible, self.datums, is_cut_up=is_cut)
        levelled = self._levelled()
        lines = tuple(self._line(n, step) for n, step in enumerate(made.steps, start=1))
        entering = {line.size for line in lines if not line.entered} | {c.size for c in made.checks}
        return SamplePlan(
            job=job.number,
            revision=revision,
            lines=lines,
            checks=tuple(
                CheckLine(size=c.size, what=self._name(c.size), means=c.means, minutes=c.minutes, over=c.over)
                for c in made.checks
            ),
            templates=shapes,
            given=tuple((name, planning.READ if name in self.read else planning.GIVEN) for name in made.given),
            pinned=made.pinned,
            faces=len(faces),
            free=tuple(self._free(made)),
            cut_up=made.cut_up,
            minutes=made.minutes,
            places=self._placed(levelled),
            slips=self._slips(levelled),
            asked=(*asked, *self._without_datum()),
            sentence=self._sentence(made, lines, len(faces)),
            to_enter=tuple(pair for name, pair in self.pairs.items() if name in entering),
        )

    def _without_datum(self) -> Iterator[str]:
        """The axes along which faces were named, but none to count from."""
        for axis in sorted({face.axis for face in self.named.values()}):
            if self.network.datum_of(axis) not in self.network.number:
                yield f"nobody said from which face places along {axis} are counted: name the datum of {axis}"

    def said(self, name: str) -> str:
        """A face as people say it: the name it was given, else its maker and place."""
        if name in self.face_of:
            named = self.face_of[name]
            return f"{named.name} ({named.balloon})"
        if name not in self.network.number:
            return f"the datum of {self.datums[name]}"
        face = self.network.face(name)
        datum = ", the datum" if name in self.datums else ""
        if face.place_mm is None:
            return f"{face.maker}'s face at {face.spot}{datum}"
        return face.said(self.style) + datum

    def _name(self, size: str) -> str:
        return (self.feature.get(size) or self.pairs[size]).name

    def _line(self, number: int, step: planning.Step) -> PlanLine:
        name, means = self._name(step.size), MEANS[step.means]
        start, pins = self.said(step.start), self.said(step.pins)
        text = f"{step.size} {name}: from {start} to {pins}, {means.words}"
        if not step.tied:
            text += "; no size leads there from the datum yet"
        return PlanLine(
            number=number,
            size=step.size,
            what=name,
            start=start,
            pins=pins,
            means=step.means,
            minutes=step.minutes,
            u_mm=step.u_mm,
            from_datum=step.from_datum,
            tied=step.tied,
            entered=step.size in self.feature,
            sentence=text,
        )

    def _free(self, made: FacePlan) -> Iterator[Free]:
        """What stays free, by what hangs together, with what would tie it down."""
        left = list(made.free)
        pieces = self.network.pieces([size.name for size in self.network.sizes])
        while left:
            piece = next(p for p in pieces if left[0] in p)
            own = [name for name in left if name in piece]
            left = [name for name in left if name not in piece]
            sizes = [s.name for s in self.network.sizes if s.b.name in piece]
            yield Free(faces=tuple(map(self.said, own)), sizes=tuple(sizes), why=self._why_free(own[0], own, sizes))

    def _why_free(self, first: str, own: Sequence[str], sizes: Sequence[str]) -> str:
        face = self.network.face(first)
        if face.place_mm is None and first not in self.face_of:
            return f"nobody said where the ends of {sizes[0]} stand: say their places, or name the faces"
        them, hang = ("it", "hangs") if len(own) == 1 else ("them", "hang")
        if self.network.datum_of(face.axis) in self.network.number:
            tie = f"a size from the datum of {face.axis} to {'it' if len(own) == 1 else 'one of them'}"
        else:
            tie = f"a datum along {face.axis}"
        on = f" on {', '.join(sizes[:3])} alone" if sizes else " on nothing"
        return f"{hang}{on}: {tie} pins {them}"

    # ------------------------------------------------------------------------------ what is known by now
    def _levelled(self) -> Levelled | None:
        """The places by the readings alone; nothing is believed of sizes that nobody knows."""
        readings = [
            Reading(size=name, mm=value.value, u=value.u, casting="sample")
            for name, value in self.read.items()
            if name in self.network.size_number
            and self._ends(self.feature[name])[0] != self._ends(self.feature[name])[1]
        ]
        try:
            return level(self.network, readings) if readings else None
        except DataError:
            return None  # a reading that is no number is asked about where it was entered

    def _placed(self, levelled: Levelled | None) -> tuple[PlacedFace, ...]:
        if levelled is None:
            return ()
        return tuple(
            PlacedFace(
                face=self.said(name),
                from_face=self.said(levelled.from_face[name]),
                mm=place.value,
                u_mm=place.u,
            )
            for name, place in levelled.places.items()
            if levelled.from_face.get(name, name) != name
        )

    def _left_out(self) -> tuple[str, ...]:
        """Castings that are left out with some of their sizes, the one with the most first."""
        by_casting: dict[str, list[str]] = {}
        for size, castings in self.apart.items():
            for serial, mean in castings:
                by_casting.setdefault(serial, []).append(f"{size} {self.style.length(mean)}")
        return tuple(
            f"casting {serial} stands apart from the others and is left out with {', '.join(sizes[:3])}"
            + (f" and {len(sizes) - 3} more" if len(sizes) > 3 else "")
            + ": look at it again"
            for serial, sizes in sorted(by_casting.items(), key=lambda casting: -len(casting[1]))
        )

    def _slips(self, levelled: Levelled | None) -> tuple[str, ...]:
        """The readings that all others contradict, the worst first, after castings that stand apart."""
        if levelled is None:
            return self._left_out()
        wrong = sorted((r for r in levelled.residuals if r.slip), key=lambda r: -abs(r.standardised))
        style = self.style
        return self._left_out() + tuple(
            f"{r.size} stands {style.length(abs(r.off_mm))} {'above' if r.off_mm > 0 else 'below'} what the others "
            f"give (beyond {style.length(sqrt(10.83) * r.u, unit=False)} it is taken for a slip): read it again"
            for r in wrong
        )

    def _sentence(self, made: FacePlan, lines: Sequence[PlanLine], faces: int) -> str:
        if not lines:
            rest = f"; {_counted(len(made.free), 'face')} no size on the list pins" if made.free else ""
            return f"{_pinned(made, faces)}{rest}: nothing is left to take."
        about = f"about {self._time(made.minutes)}"
        cut = ", with a casting cut up" if made.cut_up else ""
        free = f"; {_counted(len(made.free), 'face')} would still be free" if made.free else ""
        return (
            f"{_pinned(made, faces)}; {_counted(len(lines), 'size')} more, {about}{cut}, "
            f"pin{'s' if len(lines) == 1 else ''} all that can be pinned{free}. Next: {lines[0].sentence}."
        )

    def _time(self, minutes: float) -> str:
        hours, rest = divmod(round(minutes), 60)
        return f"{hours} h {rest} min" if hours else f"{rest} min"


def means_of(feature: Feature, cored: Sequence[bool]) -> str:
    """With what a size is read: on the casting cut up where it says so, a shape with a template, a wall between core
    and outside through the metal, a wall between two cores only cut up, all else from outside.

    `cored`: of each of its faces, whether a core makes it.
    """
    if is_sectioned(feature):
        return "section"
    if feature.quantity in SHAPES:
        return "template"
    if feature.quantity == "wall" and len(cored) == 2:
        return "ultrasonic" if any(cored) and not all(cored) else "section" if all(cored) else "reach"
    return "reach"


def _machined(feature: Feature) -> bool:
    """Whether a drawing of the machined part gives it: both its ends are machined, or one is and the other a datum."""
    stocked = [end.stock_mm > 0.0 for end in feature.ends]
    if not any(stocked):
        return feature.machined
    return all(stock or end.coord_mm == 0.0 for stock, end in zip(stocked, feature.ends, strict=True))


def _pinned(made: FacePlan, faces: int) -> str:
    return f"{len(made.pinned)} of {_counted(faces, 'face')} {'is' if len(made.pinned) == 1 else 'are'} pinned"


def _counted(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"
