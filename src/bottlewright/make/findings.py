"""What this package itself finds in a design: what was filled in, what will not fit, which glue must not be used."""

import math
from collections.abc import Iterator, Sequence

from bottlewright.design import Design
from bottlewright.findings import Finding, Level, Stage
from bottlewright.make.dimensions import mm
from bottlewright.make.drawing import Pattern
from bottlewright.make.letting_out.sizes import MOST_ARC
from bottlewright.make.patterns.nesting import PAPERS, pieces_of, usual_paper
from bottlewright.make.plan.glues import glue_named, glues, structural_wait, usual_temperature
from bottlewright.make.plan.schedule import Plan
from bottlewright.make.plan.steps import PEOPLE
from bottlewright.make.specification import Specification
from bottlewright.proof.build_findings import splice_glue_findings

__all__ = ["about_glues", "about_letting_out", "about_patterns", "about_stand", "about_workshop"]


def _finding(level: Level, code: str, *words: str) -> Finding:
    """Return a finding of this package from hazard, found, limit, source and remedy."""
    hazard, found, limit, source, remedy = words
    return Finding(level, Stage.MAKE, code, hazard, found, limit, source, remedy)


def about_workshop(design: Design, plan: Plan | None) -> Iterator[Finding]:
    """Say what the schedule had to fill in, and that there is none."""
    shop = design.workshop
    warm = f"{usual_temperature() - 273.15:g} °C"
    missing = (
        (not shop.hours, "workshop.hours", "every day from 10:00 to 16:00", 'hours = ["Sat 10:00-13:00"]'),
        (shop.start is None, "workshop.start", "the next full hour", 'start = "2027-03-06"'),
        (shop.people is None, "workshop.people", f"{PEOPLE} people", "people = 4"),
        (shop.temperature is None, "workshop.temperature", warm, 'temperature = "16 °C"'),
    )
    gaps = [(f"{path}, taken as {taken}", such) for gap, path, taken, such in missing if gap]
    if gaps:
        yield _finding(
            Level.NOTE,
            "workshop-not-described",
            "the schedule may not fit your workshop",
            "not in the design: " + "; ".join(path for path, _ in gaps),
            "what holds in your workshop",
            "our choice",
            "Write under [workshop]: " + ", ".join(such for _, such in gaps),
        )
    if plan is None:
        yield _finding(
            Level.LOOK,
            "no-schedule",
            "there is no date to plan for",
            "the work never fits the opening hours",
            "openings that the build fits into within five years",
            "this program",
            "Give more or longer openings in workshop.hours, and look at workshop.closed.",
        )


def about_patterns(patterns: Sequence[Pattern], spec: Specification) -> Iterator[Finding]:
    """Say which parts come in tiles, which fins can't sit where they are, and that there are no fins."""
    paper = PAPERS[usual_paper(spec.habit.inches)]
    window = paper.window
    tiles = {p.title: sum(piece.clipped for piece in pieces_of(p, window)) for p in patterns if p.printed}
    if any(tiles.values()):
        yield _finding(
            Level.NOTE,
            "tiled-pattern",
            "a part in tiles is only as true as its joins",
            f"larger than a sheet of {paper.name}: "
            + ", ".join(f"{title} ({n} tiles)" for title, n in tiles.items() if n),
            "one sheet",
            "this program",
            "Join the crosses on a flat table, then measure one dimension over the join before you cut.",
        )
    fins, sleeve, to_mm = spec.design.fins, spec.design.sleeve, spec.to_mm
    if fins and sleeve and not spec.fins_on_sleeve:
        front, rear = mm(fins.position), mm(fins.position) + mm(fins.root)
        start, end = mm(sleeve.position), mm(sleeve.position) + mm(sleeve.length)
        if front < end and start < rear:
            yield _finding(
                Level.LOOK,
                "fins-half-on-sleeve",
                "a fin that sits on the sleeve with one end and on the bottle with the other can't be fixed straight",
                f"roots from {to_mm(front)} to {to_mm(rear)} behind the nose tip, "
                f"sleeve from {to_mm(start)} to {to_mm(end)}",
                "the whole root on the sleeve, or all of it on the bottle",
                "this program",
                "Change length and position of the sleeve, or fins.position. The patterns are for fins on the bottle.",
            )
    if fins is None:
        yield _finding(
            Level.NOTE,
            "no-fins",
            "a rocket without fins tumbles unless something else steadies it",
            "the design has no [fins]",
            "fins or another means to keep the nose forward",
            "our judgement",
            "If you mean it so, you get no fin patterns, no strip and no jig. Otherwise add [fins].",
        )


def about_letting_out(spec: Specification) -> Iterator[Finding]:
    """Say where pack, door and bay do not go together, and what the flights do not have that the patterns show."""
    found, to_mm = spec.letting_out, spec.to_mm
    bay, pack = found.bay, found.pack
    if bay is None or pack is None:
        return
    if bay.asked_arc > MOST_ARC:
        yield _finding(
            Level.LOOK, "pack-wider-than-door", "the pack sticks in the door, and the rocket comes down unbraked",
            f"a pack {to_mm(pack.across)} thick asks for a door {math.degrees(bay.asked_arc):.0f}° of the way round",
            "90° at most: a tube that is open farther folds", "common practice, no source",
            "Take thinner cloth or a smaller canopy, or another way than a door: the nose itself comes off whole.",
        )  # fmt: skip
    if found.nose_asked > 0.0:
        yield _finding(
            Level.LOOK, "no-room-for-bay", "the rocket that you build is longer than the one that was flown here",
            f"the bay stands {to_mm(bay.ahead)} ahead of the bottle, and the nose with it has {to_mm(found.nose)}",
            f"nose.length of {to_mm(found.nose_asked)} or more, and a nose with a shape of its own", "our choice",
            "Write the length from the tip to the bottle, bay included, into nose.length; or fold the canopy shorter.",
        )  # fmt: skip


def about_stand(spec: Specification) -> Iterator[Finding]:
    """Say which pieces of the stand come out with no length, and which hole is wider than its board."""
    impossible = [f"{p.name} {spec.to_mm(p.length)}" for p in spec.pieces if p.length <= 0.0]
    sizes = spec.stand
    if sizes.hole >= sizes.board_width - 10.0:
        impossible.append(f"hole of {spec.to_tenth(sizes.hole)} in a board of {spec.to_mm(sizes.board_width)}")
    if impossible:
        yield _finding(
            Level.LOOK,
            "stand-does-not-fit",
            "you can't build the stand as the design describes it",
            "; ".join(impossible),
            "every piece longer than 0 mm, 5 mm of wood beside the hole",
            "this program",
            "Correct width, depth, height and boards in launcher.frame, and launcher.coupling.diameter.",
        )


def about_glues(design: Design) -> Iterator[Finding]:
    """Say which glue the table does not know, and that hot glue and superglue must not hold the vessel together."""
    named = [("workshop.glue", design.workshop.glue, "white wood glue")]
    if design.vessel.count > 1 and design.vessel.joint != "coupling":
        days = f"a wait of {structural_wait() / 86400:.0f} days"
        named.append(("vessel.joint_adhesive", design.vessel.joint_adhesive, days))
    for path, name, instead in named:
        glue = glue_named(name) if name else None
        if name and glue is None:
            yield _finding(
                Level.LOOK,
                "unknown-glue",
                "this program does not know how long your glue takes",
                f"{path}: {name!r} is not in the table",
                f"a glue of the table: {', '.join(glues())}",
                "this program",
                f"The schedule counts on {instead}. Ask its data sheet before you trust it.",
            )
    yield from splice_glue_findings(design)
