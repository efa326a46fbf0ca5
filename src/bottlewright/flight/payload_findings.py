"""Verdicts on what flies along: its mount, its cell, its picture, and whom it films."""

from collections.abc import Iterator

from bottlewright.design.document import Design
from bottlewright.design.shape import stations
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.findings import Finding, Level, Stage
from bottlewright.flight.findings import limit
from bottlewright.flight.fly import Flight
from bottlewright.flight.payload import CROOKED, Carried, carried, smear_of
from bottlewright.flight.payload_words import CELL_CARE, CELL_SOURCE
from bottlewright.quantities import value_of

__all__ = ["payload_findings"]

_NO_WORD = "somebody has looked, and the file says so"


def payload_findings(design: Design, flight: Flight, jolt: bool = False) -> Iterator[Finding]:
    """Judge what flies along; nothing where nothing does.

    Parameters
    ----------
    jolt
        Whether the greatest acceleration is that of an instant, as the nozzle is taken as open at once.
    """
    habit = unit_habit(design)
    for one in carried(design, flight):
        if one.on_mount:
            yield from _mount(one, jolt, habit)
        yield from _unsaid(one, habit)
        yield from _cell(one, design, habit)
        yield from _picture(one, design)


def _find(level: Level, code: str, hazard: str, found: str, held: str, source: str, remedy: str) -> Finding:
    return Finding(level, Stage.FLY, code, hazard, found, held, source, remedy)


def _mount(one: Carried, jolt: bool, habit: UnitHabit) -> Iterator[Finding]:
    """Hold the pull at which a mount lets go against what the flight asks, and against what it may hold at most."""
    times, most, name = limit("mount_times"), limit("mount_lets_go"), one.part.name
    pull, loose = one.payload.breaks_away, "falls by itself" if not one.payload.tethered else "hangs from its cord"
    for_long = " for about 1 ms, the jolt of water let go in no time" if jolt and one.load > one.opened else ""
    asked = f"the flight pulls with {habit.force(one.load, 2)}{for_long}"
    if pull is not None and pull.value - pull.spread < one.wanted:
        yield _find(
            Level.STOP if pull.value < one.load else Level.LOOK, "payload-comes-off",
            f"The {name} comes off in the flight and {loose}",
            f"{asked}, its mount lets go at {habit.force(pull.value, 2)}, give or take {habit.force(pull.spread, 2)}",
            f"{times.says}: {habit.force(one.wanted, 2)}", times.source,
            f"Hold it more firmly and draw it off again with a scale{_shelf(one)}.",
        )  # fmt: skip
    if one.wanted > most.value:
        yield _find(
            Level.LOOK, "payload-too-heavy", f"No mount both holds the {name} and lets go in time",
            f"{asked}, and 1.5 times that is {habit.force(one.wanted, 2)}", most.says, most.source,
            f"Take a lighter one, or carry it inside, in foam{_shelf(one)}.",
        )  # fmt: skip
    elif pull is not None and pull.value > most.value:
        yield _find(
            Level.LOOK, "payload-holds-fast", f"Whatever the {name} strikes, it strikes with the whole rocket",
            f"its mount lets go at {habit.force(pull.value, 2)}", most.says, most.source,
            f"Less tape or a narrower strap, so that it lets go between {habit.force(one.wanted, 2)} and "
            f"{habit.force(most.value, 2)}.",
        )  # fmt: skip
    if one.payload.tethered is False:
        yield _find(
            Level.LOOK, "payload-untied", f"The {name} falls by itself where its mount lets go",
            f"{habit.mass(one.part.mass.value)} without a cord to the rocket; where it comes down is not worked out",
            "a cord that ties it to the rocket", "our judgement",
            "Tie it to the rocket with a cord that is longer than its mount and shorter than the way to a fin.",
        )  # fmt: skip


def _shelf(one: Carried) -> str:
    return ", or set it on a shelf that bears the push" if one.payload.held == "on the side" else ""


def _unsaid(one: Carried, habit: UnitHabit) -> Iterator[Finding]:
    """List what nobody has said of it."""
    payload, most = one.payload, limit("mount_lets_go").value
    band = f"{habit.force(one.wanted, 2)} to {habit.force(most, 2)}"
    open_ = [
        (payload.breaks_away is None and one.on_mount and one.wanted <= most,
         f"the pull that draws it off its mount (from {band})", 'breaks_away = "10 N", drawn off with a scale'),
        (payload.tethered is None and one.on_mount, "whether a cord ties it", "tethered = true"),
        (payload.cell is None, "what cell it has", 'cell = "lithium", "alkaline" or "none"'),
        (payload.waterproof is None and payload.cell != "none",
         "whether seams and lens are closed against water", "waterproof = true, once the seams are taped"),
    ]  # fmt: skip
    lacking = [(what, right) for gap, what, right in open_ if gap]
    if lacking:
        yield _find(
            Level.UNCHECKED, "payload-unsaid", f"Not everything that matters is known of the {one.part.name}",
            f"nobody has said {', '.join(what for what, _ in lacking)}", _NO_WORD, "our judgement",
            f"Say it on the page Sketch, or write it under mass.{one.number}.payload: "
            f"{'; '.join(right for _, right in lacking)}.",
        )  # fmt: skip


def _cell(one: Carried, design: Design, habit: UnitHabit) -> Iterator[Finding]:
    payload, name = one.payload, one.part.name
    if payload.waterproof is False and payload.cell != "none":
        yield _find(
            Level.LOOK, "lithium-wet" if payload.cell == "lithium" else "payload-wet",
            f"Water gets into the {name}", "its seams are not taped; a launch sprays it, and it may land in a puddle",
            "seams taped, lens port dry", "our judgement", "Tape its seams, and dry the port before each flight.",
        )  # fmt: skip
    if payload.cell != "lithium":
        return
    behind, end = limit("cell_behind"), stations(design).nose_end
    if design.nose is not None and one.part.position.value < behind.value * end:
        yield _find(
            Level.LOOK, "lithium-in-the-tip", "A hard landing crushes the cell, and a crushed cell burns",
            f"the {name} sits {habit.length(value_of(one.part.position))} behind the tip of a nose that is "
            f"{habit.length(end)} long", behind.says, behind.source,
            "Carry it further back, in foam, and look at the margin again.",
        )  # fmt: skip
    yield _find(
        Level.NOTE, "lithium-care", f"The {name}'s lithium cell can burn, hours after a blow as well",
        "a lithium cell on board", "no cell that is swollen, hot, bent or wet is charged or flown again",
        CELL_SOURCE, CELL_CARE,
    )  # fmt: skip


def _picture(one: Carried, design: Design) -> Iterator[Finding]:
    if one.payload.view is None:
        return
    smeared, held = smear_of(design, one.payload), limit("smear_pixels")
    if smeared is not None and smeared.most > held.value:
        yield _find(
            Level.NOTE, "picture-smears", f"The {one.part.name}'s pictures are blurred where the rocket turns",
            f"up to {smeared.most:.0f} pixels, and over {held.value:.0f} in {100.0 * smeared.share:.0f} % of the "
            f"climb, with fins crooked by {CROOKED:g} times their ±", held.says, held.source,
            "Take a shorter exposure, in bright sun; set the fins straight, for they make it roll.",
        )  # fmt: skip
    yield _find(
        Level.NOTE, "films-people", "The camera films whoever stands below, children too",
        f"the {one.part.name} flies along", "parents have agreed before a child is filmed",
        "our judgement; local rules on pictures of children come first",
        "Have the briefing page signed: it asks for it. Show no picture on which somebody can be known who has not "
        "agreed.",
    )  # fmt: skip
