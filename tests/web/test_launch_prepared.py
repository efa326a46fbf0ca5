"""A day prepared from a real design on the pages: its verdict's numbers, what stands against it, its launch's file."""

import pytest
from conftest_web import CURLEW, served

from bottlewright.logbook.launches import all_launches
from bottlewright.logbook.records import VesselFile, VesselTest
from bottlewright.logbook.vessels import new_vessel

PEOPLE = {"role.charge": "MR", "role.pump": "K", "role.pull": "7", "role.watch": "LA", "role.record": "P",
          "adult.watch": "yes"}  # fmt: skip


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    """Serve a design of a bottle that was tested two days before the day that all tests are judged on."""
    folder, opened = tmp_path_factory.mktemp("prepared"), "2027-02-01"
    test = VesselTest.model_validate({"entry": "t1", "at": "2027-02-27T10:00:00", "pressure": "7.5 bar",
                                      "hold": "60 s", "medium": "water", "passed": True})  # fmt: skip
    new_vessel(folder / "logbook", VesselFile(id="B07", opened=opened, earlier=0, test=[test]))
    text = (CURLEW / "rocket.toml").read_text(encoding="utf-8")
    before, _, after = text.partition("cycles = 4\n")
    after = after.partition("[nozzle]")[2]
    written = f'{before}id = "B07"\n\n[nozzle]{after}'.replace('day = "2027-04-03"', "")
    (folder / "rocket.toml").write_text(written.replace('age = "40 days"', ""), encoding="utf-8")
    with served(folder) as pages:
        yield pages


def say(pages, what, role, **given):
    return pages.do("do/day", what=what, role=role, **given)


def test_a_bottle_whose_file_is_begun_after_the_day_was_prepared_is_told_of_as_it_is_now(pages):
    """The day goes on barring as it was prepared; the page says that it is settled, and how the day learns of it."""
    (file,) = (pages.office.folder / "logbook").rglob("B07.toml")
    kept = file.read_bytes()
    file.unlink()
    try:
        assert pages.do("do/prepare", **{"launches.rocket.toml": "2", **PEOPLE}).status_code == 200
        before = pages.get("/launch").text
    finally:
        file.write_bytes(kept)
    assert "there is no file logbook/vessels/B07.toml of it" in before
    assert "is not found any more" not in before
    many = len(pages.office.launch.screen("", "").rocket.findings)
    pages.office.shelf.standing("rocket.toml")  # it is judged beside the pages
    pages.office.changed()
    after = pages.get("/launch").text
    bar = after[after.index("What stands against it"):].partition("</ul>")
    assert "there is no file logbook/vessels/B07.toml of it" in bar[0]
    assert "is not found any more: prepare it anew" in bar[0]
    assert bar[2].lstrip().startswith('<p><a class="press" href="#prepare"')
    assert f"{many} open findings" in before
    assert f"{many} open findings" not in after
    assert "No pressure until the day is prepared anew" in after
    assert "vessel unknown" in str(pages.office.launch.screen("", "").rocket.steps[0].against), "the day still bars"


def test_a_day_of_a_real_design_is_judged_by_its_verdict_and_foretells_its_launch(pages):
    office = pages.office
    assert "Keep this day" in pages.get("/launch").text
    local = {f"local.{name}": "known" for name in ("ratio", "owner", "emergency", "lightning")}
    answers = {"launches.rocket.toml": "2", "who.rocket.toml": "Herons", **PEOPLE, **local}
    assert pages.do("do/prepare", **answers).status_code == 200
    rocket = office.launch.day.plan.rockets["Curlew"]
    verdict = office.shelf.standing("rocket.toml").judged.verdict
    assert (rocket.allowed_Pa, rocket.basis) == (verdict.allowed.gauge_Pa, verdict.allowed.because)
    assert set(rocket.looks) == {one.code for one in verdict.findings if one.level == "look"}
    assert say(pages, "step", "pump", rocket="Curlew", event="inspect").text == ""
    for block in office.launch.screen("charge", "laptop", every=True).rocket.lift:
        assert say(pages, "override", "charge", rocket="Curlew", gate=block.gate, code=block.code, adult="MR",
                   reason="I looked at it").text == ""  # fmt: skip
    assert say(pages, "step", "pump", rocket="Curlew", event="load").text == ""
    office.day_watch._following.submit(lambda: None).result(60)
    (launch,) = all_launches(office.folder / "logbook")
    assert (launch.rocket, launch.team, launch.vessel) == ("Curlew", "Herons", "B07")
    assert launch.prediction.height.value > 20.0
    assert office.launch.left_out == ""
    assert say(pages, "step", "pump", rocket="Curlew", event="seat").text == ""
    for point in ("field", "sky", "lines"):
        assert say(pages, "confirm", "watch", point=point).text == ""
    assert "flagged pin" in say(pages, "step", "watch", rocket="Curlew", event="clear").text, "its nose is armed"
    assert say(pages, "confirm", "pump", point="armed").text == ""
    assert say(pages, "step", "watch", rocket="Curlew", event="clear").text == ""
    refused = say(pages, "step", "pump", rocket="Curlew", event="pump")
    assert "how much wind Curlew bears" in refused.text, "nobody worked out its landings"
    assert "Curlew: Its water is in" in pages.get("/launch").text


def test_what_is_wrong_with_the_answers_is_said_by_field_and_nothing_changes(pages):
    import json

    before = pages.office.launch.day
    answer = pages.do("do/prepare", **{"launches.rocket.toml": "often", "role.charge": "MR", "role.pump": "MR"})
    assert answer.status_code == 422
    assert set(json.loads(answer.headers["X-Fields"])) == {"launches.rocket.toml", "role.charge"}
    assert pages.office.launch.day == before
