"""What the person at the laptop does with the list of those who joined: give a role, refuse, send away."""

import time
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from bottlewright.errors import InputError
from bottlewright.project.people import ROLES

if TYPE_CHECKING:
    from bottlewright.web.door import Door
    from bottlewright.web.office import Office

__all__ = ["PEOPLE_DOES"]


def give(office: "Office", given: Mapping[str, str]) -> None:
    """Give somebody a `role`; being in charge needs the laptop's own word that this is an adult."""
    door = _door(office)
    guest, role = door.of_key(given.get("key", "")), given.get("role", "")
    if role not in ROLES or not guest.name:
        raise InputError("Choose a role for somebody who asked")
    if ROLES[role].adult and not (guest.adult and given.get("adult") == "yes"):
        raise InputError(f"Only an adult is in charge: {guest.name} has to say so, and you have to confirm it")
    office.launch.give_role(role, guest.name, guest.adult and given.get("adult") == "yes")
    guest.person = office.people.let_in(guest.name, role, guest.person)
    guest.role, guest.refused, guest.left = role, "", time.monotonic()


def refuse(office: "Office", given: Mapping[str, str]) -> None:
    """Turn a request down; whoever asked may ask for something else."""
    guest = _door(office).of_key(given.get("key", ""))
    guest.wants = ""
    guest.refused = "The person at the laptop did not give you this role. Ask for another, or go there."


def remove(office: "Office", given: Mapping[str, str]) -> None:
    """Send somebody away: session, open windows and saved pages of theirs end."""
    door = _door(office)
    guest = door.of_key(given.get("key", ""))
    door.remove(guest)
    if guest.person:
        office.people.send_away(guest.person)


def _door(office: "Office") -> "Door":
    if office.door is None:
        raise InputError("Nobody can join: end this, and begin it again with `bottlewright open --lan`")
    return office.door


PEOPLE_DOES: Mapping[str, Callable[["Office", dict[str, str]], Any]] = {
    "/people/give": give, "/people/refuse": refuse, "/people/remove": remove,
    "/people/forget": lambda office, given: office.forget(given),
}  # fmt: skip
"""What is posted by the laptop alone, by path."""
