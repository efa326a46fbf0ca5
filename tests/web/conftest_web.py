"""A served folder, and a client that speaks as its own pages do."""

from pathlib import Path

from starlette.testclient import TestClient

from bottlewright.web.app import make_app

HOST, TOKEN = "127.0.0.1:8731", "a-token-for-the-tests"
CURLEW = Path(__file__).parent.parent.parent / "examples" / "curlew"


class Pages(TestClient):
    """A client with the host, the origin and the token of the server's own pages."""

    def do(self, what, **given):
        return self.post(f"/{what}", data=given, headers={"X-Bottlewright-Token": TOKEN, "Origin": f"http://{HOST}"})


def served(folder):
    """Return a client of a folder, its physics compiled."""
    app = make_app(folder, frozenset({HOST}), TOKEN)
    pages = Pages(app, base_url=f"http://{HOST}", follow_redirects=False)
    assert app.office.warm.ready.wait(300)
    pages.office = app.office
    return pages
