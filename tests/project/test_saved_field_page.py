"""The page for the field says what the verdict says, and what the printed pack says, and nothing of its own."""

import html
import json
import re
from collections import Counter
from datetime import datetime
from pathlib import Path

import pytest

import bottlewright as bw
from bottlewright.errors import InputError
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.people import People, Person
from bottlewright.logbook.roles import KINDS, ROLES
from bottlewright.project.content_policy import own_policy
from bottlewright.project.field_page import checked_address, entry_words, field_file

CURLEW = Path(__file__).parent.parent.parent / "examples" / "curlew" / "rocket.toml"


@pytest.fixture(scope="module")
def landed():
    return bw.read(CURLEW).changed({"scatter.flights": 200}).scatter()


@pytest.fixture(scope="module")
def people(tmp_path_factory):
    return People(tmp_path_factory.mktemp("people"))


@pytest.fixture(scope="module")
def page(landed, people):
    return field_file(landed, landed, people, addresses=["http://192.168.7.20:8731"])


def plain(text):
    return " ".join(text.split())


def text_of(page):
    return plain(html.unescape(re.sub(r"<(style|script|svg).*?</\1>|<[^>]+>", " ", page.html, flags=re.DOTALL)))


def test_every_number_that_people_act_on_is_the_verdicts(landed, page):
    act, said = landed.act, text_of(page)
    for text in (act.allowed, act.water, act.pressure, act.pumper, act.operator, act.spectators, act.wind, act.because,
                 act.distances_because, act.pumper_place, act.operator_place):  # fmt: skip
        assert text
        assert text.lower() in said.lower()
    for row in (*act.sides, *act.winds):
        assert f"{row.where} {row.says}" in said
    for call in landed.found.calls:
        assert plain(f"{call.at} {call.why} {call.verdict}") in said
    for one in act.unchecked:
        assert one.lower() in said.lower()
    assert landed.verdict_lines()[0].partition(". ")[0] in said
    assert page.html.count('<svg xmlns="http://www.w3.org/2000/svg" class="bw"') == 2, "the map, wide and narrow"


def test_of_when_it_is_and_that_the_laptops_page_counts_stands_before_anything_that_people_act_on(landed, people):
    page = field_file(landed, landed, people, now=datetime(2027, 3, 20, 14, 5))
    said = text_of(page)
    first = said[said.index("Made on") : said.index(landed.verdict_lines()[0].partition(". ")[0])]
    assert first.strip() == (
        f"Made on 20 Mar 2027, 14:05 for design {landed.digest[:8]}. What was changed since then is not on this page: "
        "a design, a limit, a stop. Where the laptop’s page says something else, the laptop’s page counts."
    )
    assert said.index("Made on") < min(said.index(words) for words in (landed.act.allowed, landed.act.pumper))
    assert not re.search(r'id="saved"[^>]*(hidden|class="[^"]*screen)', page.html), "it is printed too"


def test_without_landings_it_says_so_and_draws_the_field_with_everybody_in_their_place(people, tmp_path):
    bare = tmp_path / "rocket.toml"
    for file in CURLEW.parent.iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes())
    proved = bw.read(bare).prove()
    page = field_file(proved, None, people)
    said = text_of(page)
    assert "Nobody has worked out where it comes down. Only the published distances count." in said
    assert "the command" not in said, "nobody types at the field"
    assert page.html.count("<svg", page.html.index("<figure"), page.html.index("</figure>")) == 2, "wide and narrow"
    assert "pumper 6.1 m" in page.html


def test_a_field_that_cannot_be_used_as_drawn_is_no_map_and_the_page_is_there_all_the_same(people, tmp_path):
    bare = tmp_path / "rocket.toml"
    bare.write_text(CURLEW.read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "field.geojson").write_text("{}", encoding="utf-8")
    page = field_file(bw.read(bare).prove(), None, people)
    assert "No map: the field can't be used as it is drawn." in text_of(page)
    assert "<figure" not in page.html


def test_without_a_field_drawn_there_is_no_map_and_it_says_why(people):
    lapwing = CURLEW.parent.parent / "lapwing" / "rocket.toml"
    page = field_file(bw.read(lapwing).prove(), None, people)
    assert "<figure" not in page.html
    assert "Nobody has worked out where it comes down." in text_of(page)


def test_distances_of_landings_that_are_not_at_hand_are_not_called_the_published_ones(landed, people):
    page = field_file(landed, None, people)
    assert landed.act.sides
    assert "The distances come from landings that were worked out before" in text_of(page)
    assert "Only the published distances count" not in text_of(page)


def test_a_rocket_that_stops_is_no_less_stopped_on_the_page(people):
    stopped = bw.read(CURLEW).changed({"charge.pressure": "9 bar"}).prove()
    assert stopped.verdict.level == "stop"
    said = text_of(field_file(stopped, None, people))
    assert "STOP: nobody pumps this rocket" in said
    assert "none: see the top of this page" in said
    assert 'class="shape stop"' in field_file(stopped, None, people).html


def test_the_steps_are_those_of_the_pack_in_its_words(page):
    said = text_of(page)
    for words in ("Before you leave home", "Everyone stands behind their line with eye protection on",
                  "Never approach a rocket under pressure, whatever the reason", "Hold point. Pump up"):  # fmt: skip
        assert words in said
    assert "the cover" not in said
    assert "{" not in said


def test_the_table_of_the_day_stands_on_it_in_its_own_words(page):
    said, table = text_of(page), day_table()
    for state in table.states.values():
        assert f"{state.name} {state.says[:1].upper()}{state.says[1:]}." in said
    for step in table.steps.values():
        who = "anybody" if step.by == "any" else table.roles[step.by].says
        assert f"{step.event} → {step.to} {who} {table.acts[step.event].does}" in said
    for words in (*table.confirms.values(), *(table.gates[one] for step in table.steps.values() for one in step.gates)):
        assert words.says in said
    for limit in table.limits.values():
        assert f"{limit.says[:1].upper()}{limit.says[1:]} {limit.source}" in said
    assert not re.findall(r"<(?:input|option)[^>]* (?:checked|selected)", page.html), "nobody confirmed anything"


@pytest.mark.parametrize("role", sorted(ROLES))
def test_anybody_stops_and_calls_from_it_whatever_their_role(landed, people, role):
    page = field_file(landed, None, people, Person("m", "AB", role))
    assert "<button type=\"button\" data-stop>Stop</button>" in page.html
    own = ["pumped"] if "pressure" in ROLES[role].writes else []
    assert re.findall(r'<form data-what="([^"]+)"', page.html) == ["thunder", "near miss", *own]


def test_it_reassures_nobody(page):
    said = text_of(page).lower()
    assert not re.findall(r"\b(safe|ok|okay|fine|optimal|all clear)\b", said)


def test_its_policy_is_of_the_style_and_the_script_that_are_in_it(page):
    policy = html.unescape(re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', page.html)[1])
    assert policy == own_policy(page.html, page.connect)
    assert len(re.findall("sha256-", policy)) == 2
    changed = own_policy(page.html.replace("sighted(", "SIGHTED("), page.connect)
    assert changed != policy, "another script is another policy"
    names = Counter(re.findall(r' id="([^"]+)"', page.html))
    assert [name for name, times in names.items() if times > 1] == []


@pytest.mark.parametrize("role", sorted(ROLES))
def test_each_role_has_its_own_fields_and_no_others(landed, people, role):
    page = field_file(landed, None, people, Person("m", "AB", role))
    assert re.findall(r'<form data-kind="(\w+)"', page.html) == list(ROLES[role].writes)
    assert 'id="who"' not in page.html, "it is known who writes"
    data = json.loads(re.search(r'id="data">(.*?)</script>', page.html)[1])
    assert data["pass"].startswith("m.")
    assert data["digest"] == landed.digest


def test_what_is_kept_for_one_folder_is_never_sent_to_another(landed, people, tmp_path):
    pages = [field_file(landed, None, one) for one in (people, people, People(tmp_path))]
    marks = [json.loads(re.search(r'id="data">(.*?)</script>', page.html)[1])["mark"] for page in pages]
    assert marks[0] == marks[1] != marks[2]
    assert all(mark.startswith("laptop.") for mark in marks)


def test_who_builds_in_inches_writes_in_their_units(people):
    page = field_file(bw.begin(bottle="carbonated-1500", pressure="20 psi", bore="0.354 in").prove(), None, people)
    for unit in ("speed, mph", "it says, psi", "to the launcher, ft"):
        assert unit in page.html


@pytest.mark.parametrize("text", [
    "javascript:alert(1)", "http://a b", "http://x;script-src *", "ftp://1.2.3.4", "http://x/y", "",
])  # fmt: skip
def test_only_an_address_is_an_address(text):
    with pytest.raises(InputError, match="no address of a laptop"):
        checked_address(text)
    assert checked_address("http://192.168.1.20:8731/") == "http://192.168.1.20:8731"


@pytest.mark.parametrize("kind", [*KINDS, "other", None])
def test_an_entry_that_somebody_wrote_by_hand_shuts_no_page(kind):
    assert len(entry_words({"entry": "1", "kind": kind, "speed_m_s": "fast", "remark": None, "at": 7})) == 3


def test_an_entry_is_said_in_words():
    entry = {"kind": "sight", "angle_deg": 48.0, "distance_m": 50.0, "height_m": 57.03, "height_off_m": 1.95,
             "who": "AB", "role": "record", "at": "2027-03-20T14:05:00+01:00", "remark": "clear sky"}  # fmt: skip
    assert entry_words(entry) == (
        "2027-03-20 14:05", "AB, record", "48° from 50 m: 57.0 m ± 1.9 m for the angle alone; clear sky")  # fmt: skip
