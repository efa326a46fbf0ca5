"""A served folder, and a client that speaks as its own pages do."""

from pathlib import Path

from starlette.testclient import TestClient

from bottlewright.web.app import make_app

HOST, TOKEN = "127.0.0.1:8731", "a-token-for-the-tests"
CURLEW = Path(__file__).parent.parent.parent / "examples" / "curlew"


class Pages(TestClient):
    """A client with the host, the origin and the token of the server's own pages."""

    def websocket_connect(self, url, *given, **more):
        """Open a window at the server's own address, which the client itself would not call."""
        return super().websocket_connect(f"ws://{HOST}{url}", *given, **more)

    def do(self, what, /, **given):
        """Post as a page does, and wait until the file is written, which a page need not."""
        own = {"X-Bottlewright-Token": TOKEN, "Origin": f"http://{HOST}"}
        answer = self.post(f"/{what}", data=given, headers=own)
        if self.office.job:
            self.office.job.settle()
        return answer


def served(folder, door=None):
    """Return a client of a folder, its physics compiled."""
    app = make_app(folder, frozenset({HOST}), TOKEN, door)
    pages = Pages(app, base_url=f"http://{HOST}", follow_redirects=False, client=("127.0.0.1", 50000))
    assert app.office.warm.ready.wait(300)
    pages.office = app.office
    return pages
