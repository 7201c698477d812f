"""Sizes taken off a sample casting before there is a drawing: log them, get round drawing sizes proposed, adopt them.

A sample casting has contracted already: its sizes are casting sizes. Faces that were machined give the finished size,
raw faces the as-cast one (the stock planned for them is taken off for the drawing), worn ones only a bound.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import sqrt
from statistics import median

from inspect_tui.errors import JobFileError, NotFound
from inspect_tui.frozen import NamedTuple, frozen_by_name, replace
from inspect_tui.metrology.sizes import chain, sample_size
from inspect_tui.metrology.sizes.sample_size import Proposal
from inspect_tui.metrology.sizes.tolerance_text import parse_band
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.measuring import Note
from inspect_tui.model.words import Id
from inspect_tui.model.work import DrawingRevision, Feature, Item, Job
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.record.kinds import kind_of
from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record
from inspect_tui.shop.common import faces_touched, find, lineage
from inspect_tui.shop.common.evidence import Evidence
from inspect_tui.shop.common.geometry import faces as geometry
from inspect_tui.shop.jobs.file import plan as job_plan
from inspect_tui.shop.kit.facts import reading_u

MARKS = ("as cast", "machined", "worn")
MARK = "sample: "  # how a mark begins among the notes of a feature
SLIP = 0.2  # a reading farther from the others than this is in another unit or on another line
SURE = 0.8  # a proposal likelier than this needs no second look: a judgement


@frozen_by_name
class SampleSize:
    """One size of the sample, over its castings, with what it may have been on the drawing; mm, finished size."""

    feature: Feature
    mark: str
    n: int  # readings
    castings: int
    mean: float  # as measured on the sample
    s: float | None  # between castings
    u: float
    proposal: Proposal | None
    finished: float | None  # proposed for the drawing, stock taken off where the face was raw
    alternatives: tuple[str, ...]
    sentence: str

    @property
    def sure(self) -> bool:
        """One round figure stands clearly before the others, and the face was not worn."""
        return self.proposal is not None and self.proposal.best.p >= SURE and self.mark != "worn"


@frozen_by_name
class Sample:
    """All sizes of a sample; `system` is what the drawing was made in, as far as the sizes tell."""

    revision: DrawingRevision
    castings: tuple[Item, ...]
    sizes: tuple[SampleSize, ...]
    system: str
    p_system: float
    sentence: str


def begin(record: Record, job: Job, by: Id | None = None) -> DrawingRevision:
    """The edition that the sample's sizes are logged on; made when the job has no drawing yet."""
    revisions = record.revisions(job.of_id)
    if revisions:
        return revisions[-1]
    number, rev = job_plan.sample_edition(job)
    made: DrawingRevision = record.add(DrawingRevision(job_of_id=job.of_id, number=number, rev=rev), by)
    return made


def mark(record: Record, feature: Feature, what: str, why: str = "", by: Id | None = None) -> Note:
    """Say that a face of the sample was machined, is worn, or is as cast after all; the last word counts."""
    if what not in MARKS:
        raise JobFileError(f"A size of a sample is {', '.join(MARKS)}, not '{what}'.")
    text = f"{MARK}{what}" + (f", {why}" if why.strip() else "")
    made: Note = record.add(Note(about_kind=kind_of(feature).number, about_id=feature.id, text=text), by)
    return made


def mark_of(record: Reader, feature: Feature) -> str:
    """as cast, machined or worn: the last mark, else what the feature says."""
    for row in (feature.id, *reversed(record.feature_lineage(feature.id))):
        for note in reversed(record.notes(row)):
            for what in MARKS:
                if note.text.startswith(MARK + what):
                    return what
    return "machined" if feature.machined else "as cast"


def sizes(record: Reader, job: Job, system: str | None = None, style: Style = MM) -> Sample:
    """Every size that was read on castings of the job, with proposals; `system` None finds out mm or in."""
    revisions = record.revisions(job.of_id)
    if not revisions:
        raise NotFound(f"Job {job.number} has no sizes yet: add features and read them on the sample.")
    revision = revisions[-1]
    castings = [item for item in record.items(job.of_id) if item.kind == "casting"]
    features = {f.id: f for f in record.features(revision.id)}
    lines = lineage.of_job(record, job)
    now = {lines.first(feature_id, limits=False): feature_id for feature_id in features}
    read: dict[Id, dict[Id, list[float]]] = {}
    certified: dict[Id, tuple[float | None, float | None]] = {}
    for r in Evidence(record).right(record.item_readings(i.id for i in castings)):
        of = now.get(lines.first(r.feature_id, limits=False))
        if of is not None:
            read.setdefault(of, {}).setdefault(r.item_id, []).append(r.value)
            certified[of] = (r.u95_mm, r.k)
    means_of: list[_SampleRead] = []
    for feature_id, every in read.items():
        feature = features[feature_id]
        middle = median(v for values in every.values() for v in values)
        near = {i: [v for v in values if abs(v - middle) <= SLIP * abs(middle)] for i, values in every.items()}
        by_casting = {i: values for i, values in near.items() if values} or every
        means = [sum(values) / len(values) for values in by_casting.values()]
        mean, n = sum(means) / len(means), sum(len(v) for v in by_casting.values())
        s = sqrt(sum((m - mean) ** 2 for m in means) / (len(means) - 1)) if len(means) > 1 else None
        faces = faces_touched.u_rough(feature, castings[0])
        u = reading_u([v for values in by_casting.values() for v in values], *certified[feature_id], 0.01, faces)
        marked = mark_of(record, feature)
        means_of.append(_SampleRead(feature=feature, mark=marked, n=n, castings=len(means), mean=mean, s=s, u=u))
    lengths = [r for r in means_of if r.feature.quantity not in ("angle", "attribute", "temperature") and r.mean > 0]
    plain = [r for r in lengths if r.mark != "worn"] or lengths
    chosen, p = "mm", 1.0
    if plain:
        both = [[_propose(read_size, unit) for read_size in plain] for unit in ("mm", "in")]
        chosen, p = sample_size.system_of(both[0], both[1])
    if system is not None:
        chosen, p = system, p if chosen == system else 1.0 - p
    made = tuple(_size(read_size, chosen, style) for read_size in means_of)
    sure = sum(size.sure for size in made)
    unit = "mm" if chosen == "mm" else "fractions of an inch"
    text = f"{len(made)} sizes from {len(castings)} castings; the drawing was in {unit} ({style.percent(p)})"
    text += f"; {sure} sizes are clear, {len(made) - sure} want a second look"
    return Sample(revision=revision, castings=tuple(castings), sizes=made, system=chosen, p_system=p, sentence=text)


class _SampleRead(NamedTuple):
    """One size as it was read on the sample, mm: mean over castings, scatter between them, standard uncertainty."""

    feature: Feature
    mark: str
    n: int
    castings: int
    mean: float
    s: float | None
    u: float


def _propose(read: _SampleRead, system: str) -> Proposal:
    feature, marked, _, castings, mean, _, u = read
    worn = 0
    if marked == "worn":
        facing = {end.which: end.facing for end in feature.ends}
        space = facing.get("A", -1) > 0 and facing.get("B", 1) < 0
        worn = 1 if space or (feature.quantity == "diameter" and not feature.ends) else -1
    if marked == "machined":  # a cut face does not scatter as a cast one does
        return sample_size.propose(mean, u, system, castings * 9, worn)
    return sample_size.propose(mean, u, system, castings, worn)


def _size(read: _SampleRead, system: str, style: Style) -> SampleSize:
    feature, marked, n, castings, mean, s, u = read
    own = style.of(feature.quantity)
    size = own.plus_minus(mean, 2 * u, unit=False)
    head = f"{feature.balloon} {feature.name}: {size} from {n} readings on {castings} castings"
    if feature.quantity in ("angle", "attribute", "temperature") or mean <= 0:
        return SampleSize(
            feature=feature,
            mark=marked,
            n=n,
            castings=castings,
            mean=mean,
            s=s,
            u=u,
            proposal=None,
            finished=None,
            alternatives=(),
            sentence=head,
        )
    proposal = _propose(read, system)
    best = proposal.best
    stock = chain.as_cast(feature) - feature.nominal  # what the plan leaves on for machining
    finished = best.mm if marked == "machined" else best.mm - stock
    others = tuple(f"{c.text} ({style.percent(c.p)})" for c in proposal.candidates[1:3] if c.p > 0.02)
    text = f"{head}, {marked}: {best.text} ({style.percent(best.p)})"
    if others:
        text += f", else {', '.join(others)}"
    if marked == "worn":
        text += "; worn, so only a bound: take it from another size or a drawing"
    elif marked != "machined" and abs(stock) > 1e-9:
        text += f"; finished {style.length(finished, unit=False)} with its stock off"
    return SampleSize(
        feature=feature,
        mark=marked,
        n=n,
        castings=castings,
        mean=mean,
        s=s,
        u=u,
        proposal=proposal,
        finished=finished,
        alternatives=others,
        sentence=text,
    )


def adopt(
    record: Record,
    job: Job,
    number: str,
    rev: str,
    chosen: Mapping[str, float],
    drawing: Sequence[Feature] = (),
    general: str | None = None,
    by: Id | None = None,
) -> DrawingRevision:
    """Make a drawing edition of the sample: `chosen` finished sizes (mm, by balloon) and `drawing` features as stated.

    Sizes of `drawing` (machined faces of a drawing that exists) come before chosen ones of the same balloon; `general`
    is the tolerance of those that state none, such as "ISO 8062-3 DCTG 9". Every tool gets its sizes anew. What was
    read on the sample keeps naming the old edition. Raises JobFileError; nothing is written then.
    """

    old = find.latest_revision(record, job)
    if rev.casefold() in {r.rev.casefold() for r in record.revisions(job.of_id)}:
        raise JobFileError(f"Edition {rev} is there already; the newest is {old.rev}.")
    stated = {f.balloon.casefold(): f for f in drawing}
    left = {balloon.casefold(): size for balloon, size in chosen.items()}
    revision = DrawingRevision(id=uuid7(), job_of_id=job.of_id, number=number, rev=rev, default_band=general)
    rows: list[object] = [revision]
    features: list[Feature] = []
    before = record.features(old.id)
    for feature in before:
        key = feature.balloon.casefold()
        source = stated.pop(key, None)
        size = left.pop(key, None)
        if source is None:
            nominal = size if size is not None else feature.nominal
            source = replace(feature, nominal=nominal, nominal_known=feature.nominal_known or size is not None)
            if general and size is not None:
                band = parse_band(general, nominal, feature.quantity)
                if isinstance(band, str):
                    raise JobFileError(f"{feature.balloon}: {band}")
                source = replace(source, lower=band.lower, upper=band.upper, band_source=band.source)
        ends = tuple(replace(end, id=uuid7(), feature_id=b"") for end in source.ends or feature.ends)
        features.append(
            replace(source, id=uuid7(), revision_id=revision.id, same_as_id=feature.id, ends=ends, ord=feature.ord)
        )
    if left:
        raise JobFileError(f"{next(iter(left)).upper()} is not among the sizes of the sample.")
    for extra in stated.values():
        ends = tuple(replace(end, id=uuid7(), feature_id=b"") for end in extra.ends)
        features.append(replace(extra, id=uuid7(), revision_id=revision.id, ends=ends, ord=len(features) + 1))
    features = _placed(before, features)
    rows += features
    for tool in record.tools(job.of_id):
        rows += [job_plan.tool_feature(job, f, tool) for f in features if f.ends and chain.measurable_on(f, tool)]
    record.add_all(rows, by)
    return revision


def _placed(before: Sequence[Feature], features: Sequence[Feature]) -> list[Feature]:
    """The features with places where they are known by now: faces that were only named, and sizes between two of them.

    A face lies where its size from the datum says.
    """
    now = {feature.balloon: feature for feature in features}
    place: dict[str, float] = {}
    for face in before:
        if geometry.is_named_face(face):
            known = now[face.balloon]
            if face.ends[0].coord_mm is not None:
                place[face.balloon] = face.ends[0].coord_mm
            elif known.nominal_known:
                place[face.balloon] = chain.as_cast(known)
    pairs = {feature.balloon: geometry.between(feature) for feature in before}
    out = []
    for feature in features:
        names = (feature.balloon,) if feature.balloon in place else pairs.get(feature.balloon) or ()
        if names and all(name in place for name in names):
            ends = zip(feature.ends, names, strict=True)
            feature = replace(feature, ends=tuple(replace(end, coord_mm=place[name]) for end, name in ends))
        out.append(feature)
    return out
