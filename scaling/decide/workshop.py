"""What a workshop might change about a limit of the window: the proposals against each, in sizes from the least up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from scaling.decide.offers import OFFERS
from scaling.decide.proposals import Bench, Change, Offer, Proposal, motor, times, told, wider
from scaling.decide.remedies import DOWN, UP, more_cells
from scaling.decide.risk_kinds import KINDS
from scaling.decide.risks import Risk
from scaling.files.toml import quoted
from scaling.files.units import format_short
from scaling.port.schema import DECIDED
from scaling.robot.kinds import KINDS as PART_KINDS
from scaling.robot.parts import Part
from scaling.shop.materials import materials
from scaling.shop.shelves import family_of

ENVELOPE = ("length", "width", "height")
"""Sizes that follow from the factor, so that no workshop sets them by themselves."""

LEFT = (0.95, 0.9, 0.85, 0.8, 0.7, 0.6)
"""Shares of a part's mass that pocketing leaves, of a thickness that is kept where no shelf says."""

LEAST_LEFT = 0.5
"""Share of a thickness below which a sheet is another part."""


def _sheets(bench: Bench) -> Iterator[Part]:
    yield from (part for part in bench.port.carried if part.is_sheet)


def _key(part: Part, name: str) -> str:
    return f"parts.{quoted(part.name)}.{name}"


def thinner(bench: Bench, _risk: Risk | None) -> Iterator[Proposal]:
    """Each sheet part by itself, of the next thinner sizes that its material is sold in."""
    shelves = bench.study.design.shelves | bench.study.brief.shelves
    for part in _sheets(bench):
        now = float(part.thickness_at(bench.port.factor))
        family = family_of(part.material)
        sizes = shelves.sizes("sheet", family) if family else tuple(now * share for share in LEFT)
        texts = [f"{format_short(1e3 * size, 3)} mm" for size in sorted(sizes, reverse=True)
                 if LEAST_LEFT <= size / now < 0.999]  # fmt: skip
        yield [Change(f"make {part.name} {text} thick", {_key(part, "thickness"): text}) for text in texts]


def pocketed(bench: Bench, _risk: Risk | None) -> Iterator[Proposal]:
    """Each solid frame part by itself, with material milled out of it."""
    for part in bench.port.carried:
        if not PART_KINDS[part.kind].solid or part.group != "frame":
            continue
        now = float(part.at(bench.port.factor)) / part.count
        many = " of each" if part.count > 1 else ""
        yield [
            Change(f"pocket {format_short(1e3 * now * (1 - share), 2)} g out{many} of {part.name}",
                   {_key(part, "mass"): told("mass", now * share)})
            for share in LEFT
        ]  # fmt: skip


def lighter_material(bench: Bench, _risk: Risk | None) -> Iterator[Proposal]:
    """Each part by itself of the lighter materials of its kind, the heaviest of them first; not the rotor's."""
    for part in bench.port.carried:
        own = materials().get(part.material or "")
        if own is None or part.name == "rotor":
            continue
        found = [each for each in materials().values()
                 if each.kind == own.kind and each.density.typical < own.density.typical]  # fmt: skip
        found.sort(key=lambda each: -each.density.typical)
        yield [Change(f"make {part.name} of {each.name}", {_key(part, "material"): each.name}) for each in found]


def lighter_motor(table: str) -> Offer:
    """Offer the lighter motors of the brief's own catalogue, the heaviest of them first."""

    def offer(bench: Bench, risk: Risk | None) -> Iterator[Proposal]:
        own = bench.values.get(f"{table}.mass", 0.0)
        space = bench.study.brief.options
        listed = () if space is None else space.rotor_motors if table == "rotor.motor" else space.drive_motors
        weights = {each.name: each.numbers["mass"] for each in listed}
        for proposal in motor(table)(bench, risk):
            for change in proposal:
                if weights[change.text.rpartition(" motor ")[2]] < own:
                    yield [change]

    return offer


def at_its_bound(bench: Bench, name: str) -> Iterator[Proposal]:
    """A key of the design that the brief bounds, stated at its bound."""
    bound = bench.study.brief.limits.get(name)
    if bound is not None and name in bench.values and name not in (*ENVELOPE, *DECIDED):
        text = told(name, bound.value)
        yield [Change(f"make {name} {text}", {bench.key(name): text})]


OF_LIMITS: Mapping[str, tuple[Offer, ...]] = {
    "mass": (thinner, pocketed, lighter_material, lighter_motor("rotor.motor"), lighter_motor("drive.motor")),
    "rotor_speed": (
        times("rotor.ratio", DOWN, "gear the rotor up to {size} to 1"),
        lambda bench, _risk: more_cells(bench),
        motor("rotor.motor"),
    ),
    "tip_speed": (
        times("rotor.ratio", UP, "gear the rotor down to {size} to 1"),
        times("rotor.diameter", LEFT, "take a rotor of {size}"),
    ),
    "gyro_margin": (wider, times("drive.ratio", UP, "gear the drive down to {size} to 1")),
}
"""What is offered against the limits that are no risk, by the limit's name."""


def proposals(bench: Bench, limit: str) -> list[Proposal]:
    """Return what might be changed about a limit by its name."""
    found = list(at_its_bound(bench, limit))
    if limit in OF_LIMITS:
        found += [each for offer in OF_LIMITS[limit] for each in offer(bench, None)]
    else:
        for kind in (kind for kind in KINDS if limit in kind.among((limit,))):
            risk = Risk(kind, kind.code, limit)
            found += [each for offer in OFFERS.get(kind.code, ()) for each in offer(bench, risk)]
    return [each for each in found if each]
