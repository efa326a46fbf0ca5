"""People: who joined, who asks, and how somebody comes in or is taken out."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.project.field_page import entry_words
from bottlewright.project.people import ROLES, Forgotten
from bottlewright.web.door import qr_svg, spoken

if TYPE_CHECKING:
    from bottlewright.web.office import Office

__all__ = ["PeoplePage", "people_page"]


_MOST_SHOWN = 40


class Row(NamedTuple):
    """Somebody on the list: a mark for the buttons, the name, where from, what is asked for, said and given."""

    key: str
    name: str
    address: str
    wants: str
    adult: bool
    role: str


@dataclass(frozen=True)
class PeoplePage:
    """The laptop's list.

    Parameters
    ----------
    addresses, passcode, qr
        How to come in; empty where nobody can.
    asking, joined, silent
        Who asks for a role, who has one, and how many gave the passcode and said nothing yet.
    wrong
        How many wrong passcodes are remembered.
    roles
        To choose from, with what each does.
    entries, torn
        What came from the field last, with its photo where it lies in the folder; how many lines can't be read.
    forgotten
        Who was taken out of the files last, and of which.
    """

    addresses: Sequence[str]
    passcode: str
    qr: str
    asking: Sequence[Row]
    joined: Sequence[Row]
    silent: int
    wrong: int
    roles: Sequence[tuple[str, str]]
    entries: Sequence[tuple[str, str, str, str]]
    torn: int
    forgotten: tuple[str, Forgotten] | None


def people_page(office: "Office") -> PeoplePage:
    """Return who is there."""
    door = office.door
    entries, torn = office.journal.read()
    last = [(*entry_words(one), office.photo(str(one.get("photo", "")))) for one in reversed(entries[-_MOST_SHOWN:])]
    if door is None:
        return PeoplePage((), "", "", (), (), 0, 0, (), last, torn, office.forgotten)
    guests = door.guests
    rows = [Row(one.key, one.name, one.address, one.wants, one.adult, one.role) for one in guests]
    addresses = sorted(f"http://{host}/" for host in door.hosts)
    return PeoplePage(
        addresses, spoken(door.passcode), qr_svg(f"{addresses[0]}join?code={door.passcode}"),
        [one for one in rows if one.wants and not one.role], [one for one in rows if one.role],
        sum(not one.wants and not one.role for one in rows), door.tries.counted,
        [(name, role.does) for name, role in ROLES.items()], last, torn, office.forgotten,
    )  # fmt: skip
