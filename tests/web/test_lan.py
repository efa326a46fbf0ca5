"""Phones on the local network: nothing without the passcode, then what the role may, and no more."""

import json
import re
import socket

import pytest
from conftest_lan import LAN, PASSCODE, Phone, at_laptop, joined
from conftest_web import CURLEW, HOST, TOKEN, served
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.routing import Mount, Route
from starlette.websockets import WebSocketDisconnect

from bottlewright.errors import InputError
from bottlewright.logbook.people import PEOPLE
from bottlewright.project.field_page import _inside
from bottlewright.project.people import ROLES, People
from bottlewright.web import serve
from bottlewright.web.door import Door, Tries, local_addresses, new_passcode, qr_text
from bottlewright.web.roles import may_look, may_post

PAGES = ("/", "/sketch", "/prove", "/tune", "/fly", "/field", "/make", "/need", "/words", "/people")


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    folder = tmp_path_factory.mktemp("lan")
    (folder / "rocket.toml").write_bytes((CURLEW / "rocket.toml").read_bytes())
    (folder / "field.geojson").write_bytes((CURLEW / "field.geojson").read_bytes())
    with served(folder, Door(frozenset({LAN}), PASSCODE)) as pages:
        yield pages


@pytest.fixture(autouse=True)
def nobody_there(pages):
    yield
    for guest in pages.office.door.guests:
        pages.office.door.remove(guest)
    pages.office.door.tries = Tries()


def all_paths(pages):
    """Return every path that is served, with something in the place of its names."""
    for route in pages.app.app.routes:
        if isinstance(route, Mount):
            yield "GET", f"{route.path}/live.js"
        elif isinstance(route, Route):
            for method in route.methods - {"HEAD"}:
                yield method, re.sub(r"\{[^}]*\}", "sketch", route.path)


# --- without the passcode --------------------------------------------------------------------------------------


def test_without_the_passcode_nothing_is_served_but_the_page_that_asks_for_it_and_its_style(pages):
    phone = Phone(pages.app)
    served_to_all = {("GET", "/join"), ("GET", "/static/style.css")}
    for method, path in [*all_paths(pages), *(("GET", page) for page in PAGES), ("GET", "/static/style.css")]:
        if (method, path) in {("POST", "/join"), ("POST", "/entries")}:
            continue  # the passcode itself, and a page that brings a pass of its own
        answer = phone.request(method, path, headers={"X-Bottlewright-Token": TOKEN})
        if (method, path) in served_to_all:
            assert answer.status_code == 200
        else:
            assert answer.status_code in (303, 403), (method, path)
            assert answer.headers.get("location", "/join") == "/join"
            assert "Curlew" not in answer.text
    asks = phone.get("/join")
    assert "Curlew" not in asks.text
    assert "<script" not in asks.text
    assert "not encrypted" in asks.text


@pytest.mark.parametrize("session", ["", "guessed", "x" * 43])
def test_a_socket_without_a_session_gets_nothing(pages, session):
    phone = Phone(pages.app)
    phone.cookies.set("bottlewright-session", session)
    with pytest.raises(WebSocketDisconnect), phone.window() as window:
        window.receive_text()


def test_who_asked_and_was_given_nothing_yet_sees_no_page(pages):
    phone = Phone(pages.app)
    phone.knock()
    phone.ask("AB", "pump")
    assert "Wait for the laptop" in phone.get("/join").text
    for path in PAGES:
        assert phone.get(path).headers["location"] == "/join"
    with pytest.raises(WebSocketDisconnect), phone.window() as window:
        window.receive_text()


@given(guess=st.text(max_size=20))
@settings(max_examples=60, deadline=None)
def test_no_guess_comes_in(guess):
    door = Door(frozenset({LAN}), PASSCODE, Tries(each=10**6, together=10**6))
    right = "".join(one for one in guess if one in "0123456789") == PASSCODE
    assert bool(door.knock(guess, "192.168.7.9")) == right


def test_a_passcode_is_taken_as_it_is_read_aloud():
    door = Door(frozenset({LAN}), PASSCODE)
    assert door.knock("471 390 265", "192.168.7.9")
    assert door.knock("471-390-265", "192.168.7.9")


def test_passcodes_are_nine_digits_and_all_different():
    found = {new_passcode() for _ in range(200)}
    assert len(found) == 200
    assert all(re.fullmatch("[0-9]{9}", one) for one in found)


# --- guessing --------------------------------------------------------------------------------------------------


@settings(max_examples=80, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 4), st.floats(0.0, 400.0)), max_size=120))
def test_guesses_from_one_address_and_from_all_stay_few_whatever_their_order(guesses):
    clock = [0.0]
    tries = Tries(lambda: clock[0], each=5, each_s=300.0, together=12, together_s=3600.0)
    door = Door(frozenset({LAN}), PASSCODE, tries)
    answered = []
    for who, pause in guesses:
        clock[0] += pause
        try:
            door.knock("1", f"192.168.7.{who}")
        except InputError:
            continue
        answered.append((clock[0], who))
    for when, who in answered:
        assert sum(one == who and when - 300.0 < at <= when for at, one in answered) <= 5
        assert sum(when - 3600.0 < at <= when for at, _ in answered) <= 12
    assert tries.counted <= 12


def test_a_right_passcode_after_too_many_wrong_ones_waits_too_and_others_do_not(pages):
    guesser, friend = Phone(pages.app, "192.168.7.66"), Phone(pages.app, "192.168.7.31")
    for _ in range(5):
        assert "not the passcode" in guesser.knock("000000000").text
    refused = guesser.knock()
    assert refused.status_code == 422
    assert "Too many wrong passcodes" in refused.text
    assert "set-cookie" not in refused.headers
    assert friend.knock().status_code == 303
    assert "Somebody guesses" in pages.get("/people").text


def test_an_address_that_a_request_only_claims_to_have_changes_nothing(pages):
    guesser = Phone(pages.app, "192.168.7.66")
    for turn in range(5):
        guesser.headers["X-Forwarded-For"] = f"192.168.7.{turn}"
        guesser.knock("000000000")
    guesser.headers["X-Forwarded-For"] = "127.0.0.1"
    assert guesser.knock().status_code == 422
    assert guesser.get("/people").headers["location"] == "/join"


# --- sessions --------------------------------------------------------------------------------------------------


def test_the_session_is_new_with_the_passcode_and_no_script_of_another_site_can_use_it(pages):
    phone = Phone(pages.app)
    phone.cookies.set("bottlewright-session", "planted-by-somebody-else-0123456789")
    cookie = phone.knock().headers["set-cookie"]
    assert "planted" not in cookie
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    other = Phone(pages.app)
    other.cookies.set("bottlewright-session", "planted-by-somebody-else-0123456789")
    assert other.get("/sketch").headers["location"] == "/join"


def test_each_phone_has_a_token_of_its_own_and_none_has_the_laptops(pages):
    (one, first), (other, second) = joined(pages, "AB"), joined(pages, "CD")
    shown = [phone.get("/sketch").text for phone in (one, other)]
    assert TOKEN not in "".join(shown)
    assert first.token in shown[0]
    assert first.token not in shown[1]
    assert first.token != second.token


def test_who_is_sent_away_sees_nothing_more_and_the_open_window_ends(pages):
    phone, guest = joined(pages, "AB")
    with phone.window() as window:
        window.receive_text()
        at_laptop(pages, "/people/remove", key=guest.key)
        pages.do("do/change", key="charge.water", value="301 mL")  # there would be something to see
        with pytest.raises(WebSocketDisconnect):
            window.receive_text()
    pages.do("do/undo")
    assert phone.get("/sketch").headers["location"] == "/join"
    assert pages.office.people.who_shows(pages.office.people.pass_of(guest.person)) is None


def test_a_phone_is_answered_by_the_address_that_is_served_and_by_no_name_that_somebody_made_for_it(pages):
    phone, guest = joined(pages, "AB")
    for host in (HOST, "localhost:8731", "evil.example", "evil.example:8731", "192.168.7.20", "192.168.7.21:8731", ""):
        assert phone.get("/sketch", headers={"Host": host}).status_code == 403
    for origin in ("null", "http://evil.example", f"http://{HOST}", f"https://{LAN}"):
        assert phone.get("/sketch", headers={"Origin": origin}).status_code == 403
        assert phone.post("/join", data={"passcode": PASSCODE}, headers={"Origin": origin}).status_code == 403
        with pytest.raises(WebSocketDisconnect):
            phone.window(Origin=origin).__enter__()
    assert pages.get("/sketch", headers={"Host": LAN}).status_code == 403, "the laptop has its own address"
    assert guest.role


def test_a_form_that_does_not_say_where_it_comes_from_is_refused(pages):
    phone = Phone(pages.app)
    del phone.headers["Origin"]
    assert phone.knock().status_code == 403


def test_a_server_without_a_door_answers_nobody_on_the_network(tmp_path):
    with served(tmp_path) as alone:
        phone = Phone(alone.app)
        for path in ("/", "/join", "/static/style.css", "/sketch"):
            assert phone.get(path, headers={"Host": HOST, "Origin": f"http://{HOST}"}).status_code == 403


# --- roles -----------------------------------------------------------------------------------------------------


BY_ITSELF = {f"/{verb}/{kind}" for verb in ("start", "stop") for kind in ("cures", "map", "flights", "wind")}
LAPTOP_ONLY = {"/do/begin", "/do/open", "/do/anew", "/people/give", "/people/refuse", "/people/remove",
               "/people/forget", "/do/prepare", "/do/landings", "/do/copy"}  # fmt: skip
OF_THE_DAY = {"/do/stop", "/do/day", "/do/turn"}
"""Open to every role: a stop is anybody's, and of the rest the day itself says whose it is."""
BY_HAND = {"/do/measure"}
"""What is read in the field: whoever has a role of the day writes it."""
OF_A_CLASS = {"/do/contest", "/do/team", "/do/logger", "/do/logger-column", "/do/logger-event", "/do/logger-view",
              "/do/logger-take"}  # fmt: skip
"""Teams and rule of a contest, a logger's file: whoever is in charge, and whoever writes down what is read aloud."""


@settings(max_examples=120, deadline=None)
@given(data=st.data())
def test_a_role_writes_what_is_its_own_and_nothing_else(pages, data):
    posts = sorted({path for method, path in all_paths(pages) if method == "POST"})
    designs = [path for path in posts if path not in LAPTOP_ONLY and not path.startswith(("/join", "/entries"))]
    assert len(designs) > 15
    role, path = data.draw(st.sampled_from(sorted(ROLES))), data.draw(st.sampled_from(posts))
    own = role == "in charge" and path in designs and path not in BY_ITSELF
    by_hand = path in BY_HAND and role != "look on"
    by_class = path in OF_A_CLASS and role in ("record", "in charge")
    apart = BY_HAND | OF_A_CLASS
    assert may_post(role, path) == (by_hand or by_class or path in OF_THE_DAY or (own and path not in apart))


def test_a_page_that_nobody_thought_of_is_closed(pages):
    """Of everything that is served, a phone sees what is named; a route that is new is closed until it is."""
    seen = {path for method, path in all_paths(pages) if method == "GET" and may_look(path)}
    closed = {path for method, path in all_paths(pages) if method == "GET"} - seen
    # Of a lesson's sheets the worksheet is named alone: its key is the teacher's.
    assert closed == {"/join", "/join/state", "/lesson/sketch.pdf"}
    assert may_look("/lesson/worksheet.pdf")
    assert not may_look("/lesson/key.pdf")
    assert {f"/{name}" for name in ("sketch", "day", "need", "words")} <= seen | {"/need"}
    for path in ("/people", "/first", "/new", "/static", "/live/people", "/live/new", "/day/x", "/photo/a/b"):
        assert not may_look(path), path


@pytest.mark.parametrize("role", [one for one in ROLES if one != "in charge"])
def test_a_post_that_a_role_may_not_make_changes_nothing(pages, role):
    phone, guest = joined(pages, "AB", role)
    before = {one.name: one.read_bytes() for one in pages.office.folder.iterdir()}
    revision = pages.office.revision
    for method, path in all_paths(pages):
        if path in OF_A_CLASS and role == "record":
            continue  # its own
        if method == "POST" and not path.startswith(("/join", "/entries")):
            answer = phone.write(path, guest, key="charge.pressure", value="9 bar", file="rocket.toml")
            refused = path in OF_THE_DAY or (path in BY_HAND and role != "look on")
            assert answer.status_code == (422 if refused else 403), path
    assert pages.office.revision == revision
    assert {one.name: one.read_bytes() for one in pages.office.folder.iterdir()} == before


def test_who_is_in_charge_changes_the_design_from_a_phone_and_gives_nobody_a_role(pages):
    phone, guest = joined(pages, "AB", "in charge")
    assert phone.write("/do/change", guest, key="charge.water", value="310 mL").status_code == 200
    pages.office.job.settle()
    assert '"310 mL"' in (pages.office.folder / "rocket.toml").read_text(encoding="utf-8")
    pages.do("do/undo")
    other = Phone(pages.app, "192.168.7.32")
    other.knock()
    other.ask("CD", "record")
    wanted = next(one for one in pages.office.door.guests if one.name == "CD")
    assert phone.write("/people/give", guest, key=wanted.key, role="record").status_code == 403
    assert phone.write("/people/give", None, key=wanted.key, role="record").status_code == 403
    assert wanted.role == ""


def test_no_child_is_in_charge(pages):
    phone = Phone(pages.app)
    phone.knock()
    assert "Only an adult" in phone.ask("AB", "in charge").text
    phone.ask("AB", "pump")
    guest = pages.office.door.guests[0]
    for adult in ("", "yes"):
        answer = at_laptop(pages, "/people/give", key=guest.key, role="in charge", adult=adult)
        assert answer.status_code == 422
    phone.ask("AB", "in charge", "yes")
    assert at_laptop(pages, "/people/give", key=guest.key, role="in charge").status_code == 422
    assert guest.role == ""
    assert at_laptop(pages, "/people/give", key=guest.key, role="in charge", adult="yes").status_code == 200


@pytest.mark.parametrize("name", ["", "Anna Example", "ABCD", "1234", "<b>", "A1", "../", "٣"])
def test_a_whole_name_is_not_taken(pages, name):
    phone = Phone(pages.app)
    phone.knock()
    assert phone.ask(name, "pump").status_code == 422
    assert [one.name for one in pages.office.door.guests] == [""]


def test_two_have_not_one_name(pages):
    joined(pages, "AB")
    phone = Phone(pages.app, "192.168.7.40")
    phone.knock()
    assert "is taken" in phone.ask("ab", "pump").text


def test_the_list_is_for_the_laptop_alone(pages):
    phone, _ = joined(pages, "AB", "in charge")
    assert phone.get("/people").status_code == 403
    with pytest.raises(WebSocketDisconnect), phone.window("people") as window:
        window.receive_text()
    assert not may_look("/people")
    assert PASSCODE[:3] in pages.get("/people").text
    for path in ("/sketch", "/", "/join"):
        assert PASSCODE[:3] + " " not in phone.get(path).text


# --- the network -----------------------------------------------------------------------------------------------


def test_without_lan_this_computer_is_all_that_is_listened_to(monkeypatch):
    with serve.listening(0) as listener, serve._local_too(False, listener) as beside:
        assert beside == []
    monkeypatch.setattr(serve, "local_addresses", list)
    with serve.listening(0) as listener, pytest.raises(InputError, match="in no local network"):
        serve._local_too(True, listener).__enter__()


def test_with_lan_it_listens_at_each_local_address_and_never_at_all_of_them(monkeypatch):
    monkeypatch.setattr(serve, "local_addresses", lambda: ["127.0.0.2"])
    with serve.listening(0) as listener, serve._local_too(True, listener) as beside:
        port = listener.getsockname()[1]
        assert [one.getsockname() for one in beside] == [("127.0.0.2", port)]
        with pytest.raises(OSError, match="refused"):
            socket.create_connection(("127.0.0.3", port), timeout=2)


@pytest.mark.parametrize(("address", "taken"), [
    ("192.168.1.20", True), ("10.1.2.3", True), ("172.20.0.4", True), ("169.254.3.4", True), ("8.8.8.8", False),
    ("127.0.0.1", False), ("0.0.0.0", False),
])  # fmt: skip
def test_an_address_that_the_world_can_reach_is_never_served(monkeypatch, address, taken):
    class Asked:
        def __init__(self, *_):
            pass

        def __enter__(self):
            return self

        def __exit__(self, *_):
            pass

        def connect(self, _):
            pass

        def getsockname(self):
            return address, 0

    monkeypatch.setattr(socket, "socket", Asked)
    monkeypatch.setattr(socket, "getaddrinfo", lambda *_: [])
    assert local_addresses() == ([address] if taken else [])


def test_the_terminal_shows_the_way_in_and_warns():
    said = []
    serve._tell_the_way_in(Door(frozenset({LAN}), PASSCODE), said.append)
    text = "\n".join(said)
    assert f"http://{LAN}/" in text
    assert "471 390 265" in text
    assert "not encrypted" in text
    assert qr_text(f"http://{LAN}/join?code={PASSCODE}").rstrip("\n") in text


# --- what comes from the field, and photos ---------------------------------------------------------------------


def sent(client, shown, *entries, origin="null"):
    """Send as a page does that was saved: from a file, without a cookie."""
    body = json.dumps({"pass": shown, "entries": list(entries)})
    client.cookies.clear()
    return client.post("/entries", content=body, headers={"Origin": origin, "Content-Type": "text/plain"})


WIND = {"entry": "a" * 32, "kind": "wind", "at": "2027-03-20T14:05:00+01:00", "design": "1029bffa", "speed_m_s": 2.1}


def test_a_page_that_was_saved_sends_once_what_it_kept_and_learns_of_a_newer_design(pages):
    phone, guest = joined(pages, "AB", "watch the field")
    html = phone.get("/day").text
    shown = json.loads(re.search(r'id="data">(.*?)</script>', html)[1])["pass"]
    for _ in range(2):
        answer = sent(phone, shown, WIND)
        assert answer.headers["access-control-allow-origin"] == "null"
        assert answer.json() == {"kept": ["a" * 32], "refused": {}, "digest": pages.office.job.project.digest,
                                 "stop": ""}  # fmt: skip
    found = [one for one in pages.office.journal.read().entries if one["entry"] == "a" * 32]
    assert [(one["who"], one["role"]) for one in found] == [("AB", "watch the field")]
    assert "wind 2.1 m/s" in pages.get("/people").text
    refused = sent(phone, shown, {**WIND, "entry": "b" * 32, "kind": "pressure", "gauge_Pa": 1e5, "speed_m_s": None})
    assert list(refused.json()["refused"]) == ["b" * 32]
    at_laptop(pages, "/people/remove", key=guest.key)
    gone = sent(phone, shown, {**WIND, "entry": "c" * 32})
    assert gone.status_code == 403
    assert "sent away" in gone.text


@pytest.mark.parametrize(("wrong", "mark"), [
    ({"kind": "launch", "number": 10**400}, "d" * 32), ({"speed_m_s": 10**400}, "d" * 32), ({"entry": "\ud800"}, "?"),
])  # fmt: skip
def test_what_is_wrong_with_one_entry_loses_none_beside_it(pages, wrong, mark):
    entry = {key: value for key, value in {**WIND, "entry": "d" * 32, **wrong}.items()
             if key != "speed_m_s" or "number" not in wrong}  # fmt: skip
    answer = sent(Phone(pages.app), pages.office.people.pass_of("laptop"), {**WIND, "entry": "e" * 32}, entry)
    assert answer.status_code == 200
    assert answer.json()["kept"] == ["e" * 32]
    assert list(answer.json()["refused"]) == [mark]


def test_a_pass_of_half_letters_is_nobodys(pages):
    assert sent(Phone(pages.app), "\ud800.\ud800", WIND).status_code == 403


@pytest.mark.parametrize("held", [
    "[]", "[" * 100_000, '{"key": "no key", "people": []}', '{"key": "ab", "people": [1, {"mark": "x"}]}',
    '{"key": "ab", "people": [{"mark": "x", "name": "AB", "role": "king", "since": "9999-01-01"}]}',
])  # fmt: skip
def test_a_list_of_people_that_somebody_broke_lets_nobody_in_and_ends_nothing(tmp_path, held):
    (tmp_path / PEOPLE).write_text(held, encoding="utf-8")
    people = People(tmp_path)
    assert people.known() == []
    assert people.who_shows(people.pass_of("x")) is None
    mark = people.let_in("CD", "record")
    assert people.who_shows(people.pass_of(mark)).name == "CD"


@pytest.mark.parametrize("body", [b"", b"[]", b"{}", b"\xff", b'{"pass": 1}', b"[" * 5000, b'{"pass": "laptop."}'])
def test_what_no_page_sends_is_refused(pages, body):
    phone = Phone(pages.app)
    answer = phone.post("/entries", content=body, headers={"Origin": "null"})
    assert answer.status_code in (403, 422)
    assert "Curlew" not in answer.text


def test_entries_come_from_a_file_or_from_our_own_page_and_from_no_other_site(pages):
    shown = pages.office.people.pass_of("laptop")
    for origin in ("http://evil.example", "https://192.168.7.20:8731"):
        assert sent(Phone(pages.app), shown, WIND, origin=origin).status_code == 403
    assert sent(Phone(pages.app), shown, WIND, origin=f"http://{LAN}").status_code == 200


def test_the_page_of_the_field_is_complete_and_runs_only_what_is_ours(pages):
    phone, guest = joined(pages, "AB", "record")
    answer = phone.get("/day?save=yes")
    html, policy = answer.text, answer.headers["content-security-policy"]
    assert answer.headers["content-disposition"] == 'attachment; filename="field-curlew.html"'
    assert policy.startswith("default-src 'none'; style-src 'sha256-")
    assert f"connect-src http://{LAN};" in policy
    assert "unsafe" not in policy
    assert re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', html)[1].replace("&#39;", "'") in policy
    assert not re.findall(r'(?:src|href)="(?!#)', html)
    assert " style=" not in html
    assert PASSCODE not in html
    assert guest.token not in html
    assert TOKEN not in html
    assert "127.0.0.1" not in html


def test_a_page_that_could_never_send_is_not_made_and_says_why(pages, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("bottlewright.logbook.people.write_over", full)
    (pages.office.folder / PEOPLE).unlink(missing_ok=True)
    answer = pages.get("/day")
    assert answer.status_code == 507
    assert "No space left on device" in answer.text


def test_a_name_on_the_page_of_the_field_ends_no_element():
    assert "<" not in _inside({"mark": "</script><script>alert(1)</script>", "other": "<!--"})


def test_a_photo_is_for_those_who_joined_and_no_name_leads_elsewhere(pages):
    photos = pages.office.folder / "photos"
    photos.mkdir(exist_ok=True)
    (photos / "IMG_1.jpg").write_bytes(b"\xff\xd8 a picture")
    (photos / "notes.txt").write_text("not a picture", encoding="utf-8")
    (photos / "link.jpg").unlink(missing_ok=True)
    (photos / "link.jpg").symlink_to(pages.office.folder / "rocket.toml")
    stranger, (phone, _) = Phone(pages.app, "192.168.7.66"), joined(pages, "AB")
    assert stranger.get("/photo/IMG_1.jpg").status_code == 403
    assert b"picture" not in stranger.get("/photo/IMG_1.jpg").content
    shown = phone.get("/photo/IMG_1.jpg")
    assert shown.content == b"\xff\xd8 a picture"
    assert shown.headers["cache-control"] == "no-store"
    assert shown.headers["content-type"] == "image/jpeg"
    for name in ("link.jpg", "notes.txt", "..%2frocket.toml", "%2e%2e%2f.bottlewright-people.json", "x.jpg",
                 "IMG_1.jpg%00"):  # fmt: skip
        assert phone.get(f"/photo/{name}").status_code in (403, 404), name


def test_the_laptop_takes_a_person_out_of_every_file_and_of_what_undo_brings_back(pages):
    file = pages.office.folder / "rocket.toml"
    file.write_text(f"# glued by AXB\n{file.read_text(encoding='utf-8')}", encoding="utf-8")
    pages.office.job.look_outside()
    pages.do("do/theirs")
    pages.do("do/change", key="charge.water", value="305 mL")
    joined(pages, "AXB", "record")
    assert at_laptop(pages, "/people/forget", name="AXB").status_code == 200
    assert "AXB" not in file.read_text(encoding="utf-8")
    assert '"305 mL"' in file.read_text(encoding="utf-8")
    assert [one.name for one in pages.office.door.guests] == []
    pages.do("do/undo")
    assert "AXB" not in file.read_text(encoding="utf-8")
    assert "was taken out of 2 files" in pages.get("/people").text
    assert at_laptop(pages, "/people/forget", name=" ").status_code == 422
