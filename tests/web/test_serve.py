"""One server for each folder, on this computer only, at the address that it tells."""

import os
import re
import signal
import subprocess
import sys
import time
import urllib.request

import pytest

from bottlewright.errors import InputError
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


def test_it_ends_when_asked_and_leaves_the_folder_as_it_was(served):
    process, _, folder = served
    process.send_signal(signal.SIGTERM)
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


def test_only_this_computer_is_listened_to_and_a_taken_port_is_said():
    with listening(0) as listener:
        host, port = listener.getsockname()
        assert host == "127.0.0.1"
        with pytest.raises(InputError, match=f"port {port} .* is taken"):
            listening(port)
