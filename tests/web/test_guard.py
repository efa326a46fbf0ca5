"""Only the server's own pages are answered, and only in small portions."""

import hashlib
import tomllib
from importlib.resources import files

import pytest
from conftest_web import HOST, TOKEN
from starlette.websockets import WebSocketDisconnect

from bottlewright.figures.colours import LIGHT, class_rules
from bottlewright.web.guard import MOST_BYTES

OWN = {"X-Bottlewright-Token": TOKEN, "Origin": f"http://{HOST}"}


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1:9999", "localhost", ""])
def test_a_foreign_host_is_refused(empty, host):
    assert empty.get("/", headers={"Host": host}).status_code == 403


@pytest.mark.parametrize("origin", ["http://evil.example", "null", f"http://{HOST}.evil.example", "file://"])
def test_a_foreign_origin_is_refused_on_pages_and_posts(empty, origin):
    assert empty.get("/", headers={"Origin": origin}).status_code == 403
    answer = empty.post("/do/begin", data={"name": "Thief"}, headers={**OWN, "Origin": origin})
    assert answer.status_code == 403
    assert not empty.office.designs()


@pytest.mark.parametrize("headers", [{"Origin": "http://evil.example"}, {}])
def test_a_foreign_socket_is_refused_and_so_is_one_that_does_not_say_where_from(empty, headers):
    with pytest.raises(WebSocketDisconnect), empty.websocket_connect("/live/first", headers=headers) as socket:
        socket.receive_text()


def test_a_change_needs_the_token_of_the_session(empty):
    for token in ("", "wrong"):
        answer = empty.post("/do/begin", data={"name": "Thief"}, headers={**OWN, "X-Bottlewright-Token": token})
        assert answer.status_code == 403
    assert not empty.office.designs()


def test_a_change_is_never_made_by_looking(curlew):
    before = (curlew.office.folder / "rocket.toml").read_bytes()
    for path in ("/do/undo", "/do/change?key=charge.pressure&value=9+bar", "/start/tune"):
        assert curlew.get(path).status_code in (404, 405)
    for method in ("PUT", "DELETE", "PATCH"):
        assert curlew.request(method, "/sketch", headers=OWN).status_code == 403
    assert (curlew.office.folder / "rocket.toml").read_bytes() == before


def test_what_is_too_large_is_refused_before_it_is_read(curlew):
    answer = curlew.post("/do/change", content=b"x" * (MOST_BYTES + 1), headers=OWN)
    assert answer.status_code == 403
    endless = (b"x" * 1000 for _ in range(1000))
    assert curlew.post("/do/change", content=endless, headers=OWN).status_code == 403


@pytest.mark.parametrize("path", [
    "/static/../../pyproject.toml", "/static/%2e%2e/app.py", "/file/../rocket.toml", "/file/%2e%2e%2frocket.toml",
    "/picture/fly/..%2f..%2frocket.svg", "/etc/passwd",
])  # fmt: skip
def test_no_path_leads_out_of_what_is_served(curlew, path):
    answer = curlew.get(path)
    assert answer.status_code == 404
    assert b"[vessel]" not in answer.content


def test_a_page_loads_nothing_from_elsewhere_and_runs_nothing_inline(curlew):
    for page in ("sketch", "prove", "tune", "fly", "field", "make"):
        answer = curlew.get(f"/{page}")
        assert answer.status_code == 200
        assert answer.headers["content-security-policy"].startswith("default-src 'self'")
        assert " style=" not in answer.text
        assert "<script>" not in answer.text
        assert " onclick" not in answer.text
        assert "://" not in answer.text.replace("http://www.w3.org/2000/svg", "")


def test_files_of_others_are_the_ones_that_were_looked_at():
    vendor = files("bottlewright.web") / "static" / "vendor"
    listed = tomllib.loads((vendor / "VENDOR.toml").read_text(encoding="utf-8"))["file"]
    for one in listed:
        assert hashlib.sha256((vendor / one["name"]).read_bytes()).hexdigest() == one["sha256"]
        assert (vendor / one["licence_file"]).read_text(encoding="utf-8")
    shipped = {entry.name for entry in vendor.iterdir()} - {"VENDOR.toml"}
    assert shipped == {name for one in listed for name in (one["name"], one["licence_file"])}


def test_the_classes_of_the_figures_have_the_colours_of_the_page():
    style = (files("bottlewright.web") / "static" / "style.css").read_text(encoding="utf-8")
    assert class_rules({name: f"var(--{name})" for name in LIGHT}) in style
