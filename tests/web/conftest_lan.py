"""A folder that phones may join, and a phone that knocks."""

from conftest_web import HOST, TOKEN
from starlette.testclient import TestClient

LAN, PASSCODE = "192.168.7.20:8731", "471390265"


class Phone(TestClient):
    """A client in the local network, with an address of its own."""

    def __init__(self, app, address="192.168.7.31"):
        super().__init__(app, base_url=f"http://{LAN}", follow_redirects=False, client=(address, 40000))
        self.headers["Origin"] = f"http://{LAN}"

    def knock(self, passcode=PASSCODE):
        return self.post("/join", data={"passcode": passcode})

    def ask(self, name, role, adult=""):
        return self.post("/join/ask", data={"name": name, "role": role, "adult": adult})

    def window(self, page="sketch", **headers):
        """Open a window as a page of this phone's own does."""
        return self.websocket_connect(f"ws://{LAN}/live/{page}?width=wide", headers=headers)

    def write(self, path, guest, **given):
        """Post as a page of this phone's own does."""
        return self.post(path, data=given, headers={"X-Bottlewright-Token": guest.token if guest else TOKEN})


def at_laptop(pages, path, **given):
    return pages.post(path, data=given, headers={"X-Bottlewright-Token": TOKEN, "Origin": f"http://{HOST}"})


def joined(pages, name="AB", role="look on", address="192.168.7.31"):
    """Return a phone with a role that the laptop gave, and its place on the list."""
    phone = Phone(pages.app, address)
    assert phone.knock().status_code == 303
    adult = "yes" if role == "in charge" else ""
    assert phone.ask(name, role, adult).status_code == 303
    guest = next(one for one in pages.office.door.guests if one.name == name)
    assert at_laptop(pages, "/people/give", key=guest.key, role=role, adult=adult).status_code == 200
    return phone, guest
