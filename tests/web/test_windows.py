"""Many windows on one folder: a slow one holds up nobody, a lost one comes back, a broken file is said."""

import socket
import sys
import threading
import time
import urllib.request

import pytest
from conftest_browser import curlew_served, needs_chromium, opened
from playwright.sync_api import expect
from starlette.applications import Starlette
from starlette.routing import WebSocketRoute
from starlette.testclient import TestClient
from websockets.sync.client import connect

from bottlewright.design import parse_design
from bottlewright.web.board import Board


@pytest.fixture
def served_curlew(tmp_path):
    with curlew_served(tmp_path) as server:
        yield server


def window(server, page="sketch"):
    return connect(f"ws://{server.host}/live/{page}?width=wide", origin=server.url, max_size=None)


def changed(server, millilitres):
    server.office.job.change({"charge.water": f"{millilitres} mL"})
    server.office.changed()
    return server.office.revision


def read_until(one, revision, seconds=20.0):
    """Return how long it takes until a window has this revision."""
    begun = time.monotonic()
    while f'{{"revision": {revision},' not in one.recv(timeout=seconds)[:40]:
        pass
    return time.monotonic() - begun


def test_a_window_that_reads_nothing_holds_up_no_other(served_curlew):
    asleep = socket.create_connection(served_curlew.host.split(":"))
    asleep.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1024)
    asleep.sendall(
        f"GET /live/sketch?width=wide HTTP/1.1\r\nHost: {served_curlew.host}\r\nOrigin: {served_curlew.url}\r\n"
        "Upgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\n"
        "Sec-WebSocket-Key: MDEyMzQ1Njc4OWFiY2RlZg==\r\n\r\n".encode()
    )
    half = [socket.create_connection(served_curlew.host.split(":")) for _ in range(50)]
    for one in half:
        one.sendall(b"GET /sketch HTTP/1.1\r\nHost: ")  # and never another byte
    with window(served_curlew) as awake:
        for millilitres in range(300, 330):  # more than any buffer holds for the one asleep
            read_until(awake, changed(served_curlew, millilitres))
    for one in (asleep, *half):
        one.close()


def test_a_window_that_comes_back_gets_the_whole_page_at_once(served_curlew):
    with window(served_curlew) as one:
        one.recv()
    now = changed(served_curlew, 310)
    served_curlew.office.job.settle()
    with window(served_curlew) as again:
        message = again.recv(timeout=10)
    assert f'"revision": {now}' in message
    assert "data-same" not in message


def test_a_page_that_is_loaded_while_a_hand_moves_is_whole(served_curlew):
    changed(served_curlew, 310)
    with urllib.request.urlopen(f"{served_curlew.url}/sketch", timeout=20) as answer:
        page = answer.read().decode()
    assert 'value="310 mL"' in page
    assert "data-same" not in page


def test_a_window_that_asks_gets_the_whole_page_once_more(served_curlew):
    with window(served_curlew) as one:
        first = one.recv(timeout=10)
        one.send("all")
        assert one.recv(timeout=10) == first
        assert "data-same" not in first


def test_two_windows_that_save_at_once_both_keep_what_they_wrote(served_curlew):
    job = served_curlew.office.job
    both = [threading.Thread(target=job.change, args=({key: value},)) for key, value in
            (("charge.water", "301 mL"), ("fins.span", "121 mm"))]  # fmt: skip
    for one in both:
        one.start()
    for one in both:
        one.join()
    job.settle()
    text = (served_curlew.office.folder / "rocket.toml").read_text(encoding="utf-8")
    assert '"301 mL"' in text
    assert '"121 mm"' in text


@needs_chromium
def test_a_page_says_that_nobody_answers_and_comes_back_by_itself(browser, served_curlew):
    page, _ = opened(browser, f"{served_curlew.url}/sketch")
    served_curlew.close()
    expect(page.locator(".lost")).to_be_visible()
    now = changed(served_curlew, 320)
    served_curlew.listen()
    begun = time.monotonic()
    expect(page.locator("html")).to_have_attribute("data-revision", str(now))
    assert time.monotonic() - begun < 4.0  # two seconds between tries at most; the machine may be busy
    expect(page.locator(".lost")).to_be_hidden()


@needs_chromium
def test_a_file_that_somebody_broke_is_refused_in_words_and_what_is_here_stays(browser, served_curlew):
    file = served_curlew.office.folder / "rocket.toml"
    whole = file.read_text(encoding="utf-8")
    page, _ = opened(browser, f"{served_curlew.url}/sketch")
    file.write_text("[vessel\nvolume = ", encoding="utf-8")
    page.get_by_role("button", name="Take the file as it is now").click()
    expect(page.locator("#theirs .wrong")).to_contain_text("line 1")
    page.get_by_role("button", name="Keep what is here").click()
    expect(page.locator("#theirs")).to_be_hidden()
    assert parse_design(file.read_text(encoding="utf-8")).name == "Curlew"
    assert file.read_text(encoding="utf-8") == whole


def test_a_stop_is_told_before_a_page_that_takes_long_is_drawn():
    quick, stands = threading.Event(), [""]
    quick.set()

    def render(_page, _width):
        assert quick.wait(20.0)
        return 1, "<p>the page</p>"

    board = Board(render, lambda: {"stop": stands[0], "at": 0.0})

    async def live(socket):
        await board.attend(socket, "launch", "wide")

    with TestClient(Starlette(routes=[WebSocketRoute("/live", live)])).websocket_connect("/live") as one:
        assert one.receive_json()["html"]
        quick.clear()
        stands[0] = "smoke"
        board.changed()
        told = one.receive_json()
        assert (told["stop"], "html" in told) == ("smoke", False)
        quick.set()
        assert one.receive_json()["html"]


def test_whatever_many_threads_say_at_once_the_last_word_is_shown():
    said = [0]
    board = Board(lambda page, _: (0, f"{page} {said[0]}"))

    def speak():
        for _ in range(3000):
            said[0] += 1
            board.changed()

    was = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        threads = [threading.Thread(target=speak) for _ in range(4)]
        for one in threads:
            one.start()
        while any(one.is_alive() for one in threads):
            board.rendered("sketch", "wide")
    finally:
        sys.setswitchinterval(was)
    assert board.rendered("sketch", "wide") == (0, f"sketch {said[0]}")
