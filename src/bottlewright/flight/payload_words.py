"""What flies along, in words: what it feels, what its mount has to hold, what a camera sees, how its cell is kept."""

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.flight.findings import limit
from bottlewright.flight.fly import Flight
from bottlewright.flight.payload import Carried, carried, ground_seen, smear_of
from bottlewright.physics.air import G0

__all__ = ["CELL_CARE", "CELL_SOURCE", "mount_words", "payload_lines"]

CELL_SOURCE = "National Fire Protection Association, lithium-ion tip sheet (read in a copy)"
CELL_CARE = (
    "Somebody stays with it while it charges, at 0 to 40 °C (32 to 104 °F), on stone or metal. A cell that is swollen, "
    "hot, bent or wet goes outdoors, away from everything that burns, and is never charged or flown again."
)


def payload_lines(design: Design, flight: Flight) -> list[tuple[str, str, str]]:
    """Return what there is to say of all that flies along: what, its number, and more about it."""
    habit, lines = unit_habit(design), list[tuple[str, str, str]]()
    for one in carried(design, flight):
        name, top = one.part.name, flight.summary["apogee_m"]
        opens = f"{one.opening / G0:.0f} as the {design.recovery.kind} opens" if one.opening else ""
        lines.append((f"{name} feels", f"{one.peak / G0:.0f} times gravity", opens))
        lines.append((f"{name} is held", one.payload.held, mount_words(one, habit)))
        wide, smeared = ground_seen(one, top), smear_of(design, one.payload)
        if wide is not None:
            lines.append((f"{name} sees", habit.distance(wide, 2), "of ground from side to side, from the top"))
        if smeared is not None:
            lines.append((f"{name}'s picture", f"moves {smeared.most:.1f} pixels", "at most on the climb, at its edge"))
    return lines


def mount_words(one: Carried, habit: UnitHabit) -> str:
    """Return what its mount has to hold and where it has to let go."""
    if not one.on_mount:
        return "and has to be as firm as the rocket: pack it in foam"
    most, pull = limit("mount_lets_go").value, one.payload.breaks_away
    now = "nobody has drawn it off yet" if pull is None else f"it lets go at {habit.force(pull.value, 2)}"
    if one.wanted > most:
        return f"a mount would have to hold {habit.force(one.wanted, 2)}, and let go by {habit.force(most, 2)}; {now}"
    return f"its mount has to let go between {habit.force(one.wanted, 2)} and {habit.force(most, 2)}; {now}"
