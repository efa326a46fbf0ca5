"""Who comes in from the local network: a passcode, few tries, and whoever the person at the laptop lets in."""

import contextlib
import hashlib
import ipaddress
import secrets
import socket
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from io import StringIO

from bottlewright.errors import InputError

__all__ = ["SHUT_WORDS", "Door", "Guest", "Tries", "local_addresses", "new_passcode", "qr_svg", "qr_text"]

_DIGITS, _GROUP = 9, 3
"""Of the passcode: 30 bits. All guesses that are answered in a day are 1440 of a thousand million."""
_MOST_GUESTS = 60
_GONE = 12 * 3600.0
"""Seconds after which a phone that asked for nothing any more has to give the passcode again."""

SHUT_WORDS = "Too many wrong passcodes: nobody new can join for a while. Wait, then look once more at the laptop"


def new_passcode() -> str:
    """Return a passcode that is read aloud without a mistake: digits only, none of them guessable."""
    return "".join(secrets.choice("0123456789") for _ in range(_DIGITS))


def spoken(passcode: str) -> str:
    """Return a passcode in groups, as it is read aloud."""
    return " ".join(passcode[start : start + _GROUP] for start in range(0, len(passcode), _GROUP))


class Tries:
    """Counts wrong passcodes: few from one address, and few in all, in a time that slides.

    Parameters
    ----------
    now
        The clock, s.
    each, each_s
        Wrong ones from one address, and in how many seconds.
    together, together_s
        The same for all addresses: a room full of them is no way round.
    """

    def __init__(self, now: Callable[[], float] = time.monotonic, each: int = 5, each_s: float = 300.0,
                 together: int = 60, together_s: float = 3600.0) -> None:  # fmt: skip
        self._now, self.each, self.each_s, self.together, self.together_s = now, each, each_s, together, together_s
        self._wrong: deque[tuple[float, str]] = deque()

    def shut(self, address: str) -> bool:
        """Say whether an address has to wait; a right passcode would not count either."""
        now = self._now()
        while self._wrong and self._wrong[0][0] <= now - max(self.together_s, self.each_s):
            self._wrong.popleft()
        own = sum(who == address and when > now - self.each_s for when, who in self._wrong)
        return own >= self.each or sum(when > now - self.together_s for when, _ in self._wrong) >= self.together

    def wrong(self, address: str) -> None:
        """Count a wrong passcode."""
        self._wrong.append((self._now(), address))

    @property
    def counted(self) -> int:
        """How many wrong ones are remembered."""
        return len(self._wrong)


@dataclass
class Guest:
    """A phone that gave the passcode.

    Parameters
    ----------
    address
        From where.
    token
        What its pages send with a change.
    name, wants, adult
        What was asked for: initials or a number, a role, and whether they say that they are an adult.
    role, person
        What the person at the laptop gave, and under which name the folder knows them; empty until then.
    refused
        Why a request was turned down; empty where it was not.
    windows, left
        How many windows are open, and since when there is none.
    """

    address: str
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    key: str = field(default_factory=lambda: secrets.token_hex(4))
    name: str = ""
    wants: str = ""
    adult: bool = False
    role: str = ""
    person: str = ""
    refused: str = ""
    seen: float = field(default_factory=time.monotonic)
    windows: int = 0
    left: float = field(default_factory=time.monotonic)


class Door:
    """The way in from the local network.

    Parameters
    ----------
    hosts
        Addresses with port at which it is served, such as ``"192.168.1.20:8731"``, and no others.
    passcode
        A new one when left out.

    Attributes
    ----------
    told
        Called when somebody new asks, or when passcodes are guessed at.
    """

    def __init__(self, hosts: frozenset[str], passcode: str | None = None, tries: Tries | None = None) -> None:
        self.hosts = hosts
        self.passcode = passcode or new_passcode()
        self.tries = tries or Tries()
        self.told: Callable[[], None] = lambda: None
        self._guests: dict[bytes, Guest] = {}
        self._lock = threading.RLock()

    @property
    def guests(self) -> list[Guest]:
        """All who gave the passcode and were not removed, in the order in which they came."""
        with self._lock:
            self._forget_the_gone()
            return list(self._guests.values())

    def knock(self, passcode: str, address: str) -> str:
        """Return a new session for whoever knows the passcode; empty for a wrong one.

        Raises
        ------
        InputError
            When there were too many wrong ones: then a right one is refused too, else counting them were no use.
        """
        given = "".join(letter for letter in passcode if letter.isdecimal() and letter.isascii())
        with self._lock:
            if self.tries.shut(address):
                raise InputError(SHUT_WORDS)
            if not secrets.compare_digest(given.encode(), self.passcode.encode()):
                self.tries.wrong(address)
                self.told()
                return ""
            self._forget_the_gone()
            while len(self._guests) >= _MOST_GUESTS:
                waiting = next((name for name, one in self._guests.items() if not one.role), None)
                if waiting is None:
                    raise InputError(f"{_MOST_GUESTS} phones have joined, and more are not taken")
                del self._guests[waiting]
            session = secrets.token_urlsafe(32)
            self._guests[_name_of(session)] = Guest(address)
        self.told()
        return session

    def guest(self, session: str) -> Guest | None:
        """Return whose session it is; None for one that this server did not give, or took back."""
        with self._lock:
            found = self._guests.get(_name_of(session)) if session else None
            if found is None or found.seen < time.monotonic() - _GONE:
                return None
            found.seen = time.monotonic()
            return found

    def of_key(self, key: str) -> Guest:
        """Return the guest that a button of the laptop's list means.

        Raises
        ------
        InputError
            When they left meanwhile.
        """
        found = next((one for one in self.guests if one.key == key), None)
        if found is None:
            raise InputError("This phone is not on the list any more")
        return found

    def holds(self, guest: Guest) -> bool:
        """Say whether a guest is still let in."""
        return bool(guest.role) and any(one is guest for one in self._guests.values())

    def remove(self, guest: Guest) -> None:
        """Send a guest away: session and open windows end."""
        with self._lock:
            self._guests = {name: one for name, one in self._guests.items() if one is not guest}

    def _forget_the_gone(self) -> None:
        gone = time.monotonic() - _GONE
        self._guests = {name: one for name, one in self._guests.items() if one.seen >= gone}


def _name_of(session: str) -> bytes:
    """Return what a session is found by: comparing it tells nobody anything about the session itself."""
    return hashlib.sha256(session.encode()).digest()


def local_addresses() -> list[str]:
    """Return this computer's addresses in local networks; nothing is sent to find them."""
    found: dict[str, None] = {}
    for far in ("10.255.255.255", "172.31.255.255", "192.168.255.255", "169.254.255.255", "224.0.0.251"):
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as one:
            try:
                one.connect((far, 9))  # only asks which way it would go
                found[one.getsockname()[0]] = None
            except OSError:
                continue
    with contextlib.suppress(OSError):
        found |= {str(one[4][0]): None for one in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
    return [text for text in found if _is_local(text)]


def _is_local(text: str) -> bool:
    address = ipaddress.ip_address(text)
    return address.is_private and not address.is_loopback and not address.is_unspecified


def qr_text(address: str) -> str:
    """Return an address as a QR code of letters, for a terminal."""
    import segno

    out = StringIO()
    segno.make(address, error="l", micro=False).terminal(out, compact=True, border=2)
    return out.getvalue()


def qr_svg(address: str) -> str:
    """Return an address as a QR code for a page."""
    import segno

    return str(segno.make(address, error="m", micro=False).svg_inline(omitsize=True, border=3, svgclass="qr"))
