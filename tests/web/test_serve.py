"""One server for each folder, on this computer only, at the address that it tells."""

import contextlib
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request

import pytest

from bottlewright.errors import InputError
from bottlewright.web.connections import EACH, TOGETHER
from bottlewright.web.serve import listening


@pytest.fixture
def served(tmp_path):
    command = [sys.executable, "-m", "bottlewright", "open", str(tmp_path / "rockets"), "--no-browser"]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, start_new_session=True)
    line = process.stderr.readline()
    yield process, re.search(r"http://127\.0\.0\.1:\d+/", line)[0], tmp_path / "rockets"
    if process.poll() is None:
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()
    process.stderr.close()


def test_pages_come_at_once_and_a_second_server_says_who_has_the_folder(served):
    _, address, folder = served
    with urllib.request.urlopen(address, timeout=60) as answer:
        assert "Choose your bottle" in answer.read().decode()
    command = [sys.executable, "-m", "bottlewright", "open", str(folder), "--no-browser"]
    second = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert second.returncode == 2
    assert address in second.stderr


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGHUP])
def test_it_ends_when_asked_and_leaves_the_folder_as_it_was(served, how):
    process, _, folder = served
    process.send_signal(how)
    process.wait(30)
    until = time.monotonic() + 10
    while time.monotonic() < until and any(folder.iterdir()):
        time.sleep(0.1)
    assert list(folder.iterdir()) == []


def test_a_killed_server_leaves_the_folder_open_for_the_next(served):
    process, _, folder = served
    os.killpg(process.pid, signal.SIGKILL)
    process.wait()
    command = [sys.executable, "-m", "bottlewright", "open", str(folder), "--no-browser"]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True, start_new_session=True) as again:
        assert "http://127.0.0.1:" in again.stderr.readline()
        os.killpg(again.pid, signal.SIGKILL)


ON_A_NETWORK = """
import sys
from pathlib import Path
from bottlewright.web import serve
serve.local_addresses = lambda: ["127.0.0.2"]
serve.serve(Path(sys.argv[1]), None, False, lambda text: print(text, file=sys.stderr, flush=True), lan=True)
"""


def test_with_lan_it_tells_the_way_in_and_takes_only_whoever_knows_it(tmp_path):
    command = [sys.executable, "-c", ON_A_NETWORK, str(tmp_path)]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as process:
        said = ""
        while "do not trust" not in said.replace("Do not", "do not").partition("CAUTION")[2]:
            said += process.stderr.readline()
        address = re.search(r"http://127\.0\.0\.2:\d+", said)[0]
        passcode = re.search(r"Passcode: +([\d ]+)", said)[1]
        for given, comes_in in (("000 000 000", False), (passcode, True)):
            body = urllib.parse.urlencode({"passcode": given}).encode()
            asks = urllib.request.Request(f"{address}/join", body, {"Origin": address})
            opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
            with contextlib.suppress(urllib.error.HTTPError):
                page = opener.open(asks, timeout=60).read().decode()
                assert comes_in
                assert "Who are you" in page
        with urllib.request.urlopen(f"{address}/sketch", timeout=60) as answer:
            assert "What is the passcode?" in answer.read().decode()
        with urllib.request.urlopen(address.replace("127.0.0.2", "127.0.0.1"), timeout=60) as answer:
            assert "Choose your bottle" in answer.read().decode()
        with pytest.raises(urllib.error.URLError):
            urllib.request.urlopen(address.replace("127.0.0.2", "127.0.0.3"), timeout=5)
        _idle_ones_are_few(int(address.rpartition(":")[2]))
        process.kill()


def _idle_ones_are_few(port):
    """A neighbour, then a room of them, opens connections and says nothing; the laptop is answered all the while."""
    def held(neighbours, each):
        for number in range(neighbours):
            for _ in range(each):
                one = opened.enter_context(socket.create_connection(("127.0.0.2", port), 5, (f"127.0.1.{number}", 0)))
                one.settimeout(0.0)
                idle.append(one)
        with urllib.request.urlopen(f"http://127.0.0.1:{port}", timeout=60) as answer:
            assert "Choose your bottle" in answer.read().decode()
        return sum(not _ended(one) for one in idle)

    with contextlib.ExitStack() as opened:
        idle = []
        assert held(1, EACH + 20) == EACH
        assert held(12, EACH) == TOGETHER


def _ended(one):
    try:
        return one.recv(1) == b""
    except BlockingIOError:
        return False
    except ConnectionResetError:
        return True


def test_only_this_computer_is_listened_to_and_a_taken_port_is_said():
    with listening(0) as listener:
        host, port = listener.getsockname()
        assert host == "127.0.0.1"
        with pytest.raises(InputError, match=f"port {port} .* is taken"):
            listening(port)
