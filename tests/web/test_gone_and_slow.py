"""A folder that is deleted while it is open is not made anew unasked; a client that stalls holds no socket."""

import re
import shutil
import socket
import urllib.request
from concurrent.futures import ThreadPoolExecutor

import pytest
from conftest_web import CURLEW, served

from bottlewright.web import guard
from bottlewright.web.serve import serving


@pytest.fixture
def alone(tmp_path):
    folder = tmp_path / "rockets"
    shutil.copytree(CURLEW, folder)
    pages = served(folder)
    yield pages, folder
    pages.office.close()


def test_a_folder_that_is_deleted_is_said_to_be_gone_and_nothing_is_written_until_somebody_says_so(alone):
    pages, folder = alone
    shutil.rmtree(folder)
    assert pages.do("do/change", key="charge.water", value="400 mL").status_code == 200
    assert not folder.exists()
    said = pages.get("/sketch").text
    assert "The folder rockets is gone" in said
    assert "400 mL" in said  # what was typed is kept
    assert pages.do("do/anew").status_code == 200
    assert 'water = "400 mL' in (folder / "rocket.toml").read_text(encoding="utf-8")
    assert [one.name for one in folder.iterdir()] == ["rocket.toml"]  # nobody invents a map
    assert "is gone" not in pages.get("/sketch").text


def test_a_folder_that_is_noticed_to_be_gone_says_so_without_a_change(alone):
    pages, folder = alone
    was = pages.office.job.revision
    shutil.rmtree(folder)
    pages.office.job.look_outside()
    assert pages.office.job.gone
    assert pages.office.job.revision > was
    assert "Make the folder again" in pages.get("/prove").text
    assert not folder.exists()


def test_a_folder_that_comes_back_with_its_file_is_gone_no_more_and_takes_the_change(alone, tmp_path):
    pages, folder = alone
    folder.rename(tmp_path / "elsewhere")
    pages.do("do/change", key="charge.water", value="400 mL")
    assert pages.office.job.gone
    (tmp_path / "elsewhere").rename(folder)
    pages.office.job.look_outside()
    assert not pages.office.job.gone
    pages.office.job.save_again()
    assert 'water = "400 mL' in (folder / "rocket.toml").read_text(encoding="utf-8")


def test_a_folder_that_comes_back_empty_stays_gone(alone):
    pages, folder = alone
    shutil.rmtree(folder)
    pages.office.job.look_outside()
    folder.mkdir()
    pages.do("do/change", key="charge.water", value="400 mL")
    assert not list(folder.iterdir())
    assert pages.office.job.gone


def test_a_body_that_does_not_come_is_answered_and_its_socket_closed(tmp_path, monkeypatch):
    """However many stall, each is let go; and a page comes meanwhile."""
    monkeypatch.setattr(guard, "BODY_SECONDS", 0.3)
    with serving(tmp_path) as (address, _):
        host = address.removeprefix("http://").strip("/")
        name, port = host.split(":")

        def stalled(_):
            head = (f"POST /do/change HTTP/1.1\r\nHost: {host}\r\nX-Bottlewright-Token: {token}\r\n"
                    "Content-Length: 999\r\n\r\n")
            with socket.create_connection((name, int(port)), timeout=20) as client:
                client.sendall(head.encode() + b"key=")
                answer = b""
                while got := client.recv(4096):  # until the server closes
                    answer += got
                return answer

        token = token_of(address)
        with ThreadPoolExecutor(20) as pool:
            answers = list(pool.map(stalled, range(20)))
        assert all(b" 408 " in one.splitlines()[0] for one in answers)


def token_of(address):
    with urllib.request.urlopen(address) as page:
        return re.search(r'name="token" content="([^"]+)"', page.read().decode())[1]
