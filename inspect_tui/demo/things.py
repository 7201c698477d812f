"""The scenario as recorded things: job, cores, tools, drawing features with ends, instruments, certificates."""

from __future__ import annotations

from inspect_tui.demo import scenario as job_
from inspect_tui.demo import workshop as shop
from inspect_tui.demo.scenario import Face, Fact
from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.sizes.tolerance import iso8062_3
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.measuring import Calibration, Instrument, Person
from inspect_tui.model.words import NO_ID, Id
from inspect_tui.model.work import Core, End, Feature, Job, Tool, ToolFeature

EXPANSION = {"aluminium": 23e-6, "resin": 50e-6, "hardwood": 5e-6, "steel": 11.5e-6}
LAYOUT_GRADE = 9
REFERENCE = {"UT1": "step block of ductile iron, 5600 m/s, certificate"}


def job() -> Job:
    """The order as it was opened, with the first layout's contraction."""
    return Job(
        number=job_.NUMBER,
        name=job_.NAME,
        alloy=job_.ALLOY,
        construction=job_.CONSTRUCTION,
        customer_ref=job_.CUSTOMER_REF,
        rule=job_.RULE,
        a_x=job_.PLAN_FIRST["x"],
        a_y=job_.PLAN_FIRST["y"],
        a_z=job_.PLAN_FIRST["z"],
        ua_x=job_.U_PLAN,
        ua_y=job_.U_PLAN,
        ua_z=job_.U_PLAN,
        a_source="plan 1.0 % of the casting, the foundry's figure",
        tool_share=job_.TOOL_SHARE,
    )


def cores(job_id: Id) -> list[Core]:
    """The seven numbered cores."""
    return [
        Core(
            job_of_id=job_id,
            number=c.number,
            name=c.name,
            makes_surface=c.makes_surface,
            set_order=c.order,
            volume_dm3=c.volume,
        )
        for c in sorted(job_.CORES, key=lambda c: c.number)
    ]


def patterns_and_sticks(job_id: Id, cores: dict[int, Core]) -> list[Tool]:
    """Everything that is made from the layout, and what only measures."""
    facts = {c.number: c for c in job_.CORES}

    def tool(kind: str, label: str, material: str, number: int | None = None, second: bool = False) -> Tool:
        return Tool(
            job_of_id=job_id,
            kind=kind,
            label=label,
            core_id=cores[number].id if number else None,
            material=material,
            expansion_per_c=EXPANSION.get(material),
            second_a=job_.SECOND_A if second else None,
            second_u=0.0008 if second else None,
        )

    return [
        tool("pattern_drag", "drag pattern", "hardwood"),
        tool("pattern_cope", "cope pattern", "hardwood"),
        *(tool("core_stick", f"stick {n}", facts[n].stick_material, n) for n in sorted(facts)),
        tool("master", "master 3", "hardwood", 3, second=True),
        tool("other", "trial assembly", "not stated"),
    ]


def boxes(job_id: Id, cores: dict[int, Core], made_from: dict[str, Tool]) -> list[Tool]:
    """The core boxes, each with the stick or master it came from; box 2 is carried over from an older set."""
    return [
        Tool(
            job_of_id=job_id,
            kind="core_box",
            label=f"box {c.number}",
            core_id=cores[c.number].id,
            material=c.box_material,
            expansion_per_c=EXPANSION[c.box_material],
            made_from_id=None if c.number == 2 else made_from["master 3" if c.number == 3 else f"stick {c.number}"].id,
        )
        for c in sorted(job_.CORES, key=lambda c: c.number)
    ]


def _end(which: str, face: Face, facing: int, stock: float, cores: dict[int, Core]) -> End:
    half = {"D": "drag", "U": "cope"}.get(face.part)
    core = None if half else cores[int(face.part[1:])].id
    return End(which=which, half=half, core_id=core, facing=facing, coord_mm=face.coord, stock_mm=stock)


def feature(fact: Fact, revision_id: Id, rev: str, ord_: int, cores: dict[int, Core], before: Id | None) -> Feature:
    """One balloon of one revision, at the drawing's finished size; limits move with the size."""
    minus, plus = fact.minus, fact.plus
    if rev == "A":
        minus, plus = job_.REVISION_A_LIMITS.get(fact.balloon, (minus, plus))
    lower: float | None = round(fact.finished + minus, 6)
    upper: float | None = round(fact.finished + plus, 6)
    source, note = fact.band_source, None
    if source == job_.DEFAULT_BAND:
        band = iso8062_3(fact.size, LAYOUT_GRADE)
        lower, upper, source = band.lower, band.upper, job_.DEFAULT_BAND
        note = "size of the full-size layout, not on the drawing: measured on sticks and boxes"
    elif fact.cut:
        note = "only on the sectioned casting"
    elif fact.station is not None:
        note = f"taken at x = {MM.given(fact.station, unit=False)}"
    machined = bool(fact.stock_a or fact.stock_b)  # the drawing gives the limits of a machined size as cast
    ends: tuple[End, ...] = ()
    if fact.a.part:
        facing_a, facing_b = fact.facing
        ends = (_end("A", fact.a, facing_a, fact.stock_a, cores), _end("B", fact.b, facing_b, fact.stock_b, cores))
    return Feature(
        revision_id=revision_id,
        same_as_id=before,
        balloon=fact.balloon,
        name=fact.name,
        quantity=fact.quantity,
        axis=fact.axis,
        nominal=fact.finished,
        lower=lower,
        upper=upper,
        band_source=source,
        scale=fact.scale,
        machined=machined,
        note=note,
        ord=ord_,
        raw_lower=round(fact.size + minus, 6) if machined else None,
        raw_upper=round(fact.size + plus, 6) if machined else None,
        raw_source=source if machined else None,
        ends=ends,
    )


def tool_features(features: list[Feature], tools: list[Tool], job: Job) -> list[ToolFeature]:
    """What can be measured on each tool, with the steps to its target."""
    return [
        ToolFeature(
            tool_id=tool.id,
            feature_id=feature.id,
            sense=chain.sense_on(feature, tool),
            steps=chain.plan_steps(feature, tool, job),
            band_source=source,
        )
        for tool in tools
        for feature in features
        if (source := _band_source(feature, tool))
    ]


def replanned(old: ToolFeature, feature: Feature, tool: Tool, job: Job) -> ToolFeature | None:
    """A new version of a tool's feature where the job's contraction gives it other steps; None where it does not."""
    steps = chain.plan_steps(feature, tool, job)
    if [(s.kind, s.scale, s.offset_mm) for s in steps] == [(s.kind, s.scale, s.offset_mm) for s in old.steps]:
        return None
    return replace(old, id=NO_ID, replaces_id=old.id, steps=steps)


def _band_source(feature: Feature, tool: Tool) -> str:
    """Where the tooling limits come from; empty when the feature is not measured on this tool."""
    if feature.balloon == "K10-G" or tool.kind == "other":
        return feature.band_source if feature.balloon == "K10-G" and tool.kind == "other" else ""
    if not chain.measurable_on(feature, tool) or (tool.kind == "master" and feature.scale == "tool"):
        return ""
    return feature.band_source if feature.scale == "tool" else "share of the casting band"


# ------------------------------------------------------------------------------ people and instruments
def people() -> list[Person]:
    """The roles of the shop; initials stand for them."""
    return [Person(initials=initials, name=name, role=role) for initials, name, role in shop.PEOPLE]


def instruments() -> list[Instrument]:
    """Everything that is measured with."""
    return [
        Instrument(
            label=i.label,
            kind=i.kind,
            serial=i.number,
            resolution=i.resolution,
            range_lo=i.low,
            range_hi=i.high,
            expansion_per_c=EXPANSION["steel"],
        )
        for i in shop.INSTRUMENTS
    ]


@frozen
class Certificate:
    """One line of a certificate list."""

    instrument: str
    done: str
    calibration: Calibration


def certificates(instruments: dict[str, Instrument]) -> list[Certificate]:
    """All certificates by date; each gives the claimed U at k = 2 and the error as found."""
    made = [
        Certificate(
            i.number,
            done,
            Calibration(
                instrument_of_id=instruments[i.number].of_id,
                done_on=done,
                due_on=due,
                result=result,
                u95_mm=i.u95,
                error_mm=error,
                reference=REFERENCE.get(i.number, "works certificate") + f" {i.number}/{done[:4]}",
            ),
        )
        for i in shop.INSTRUMENTS
        for done, due, result, error in i.certificates
    ]
    return sorted(made, key=lambda c: (c.done, c.instrument))
