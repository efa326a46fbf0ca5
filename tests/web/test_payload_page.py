"""A camera is put on board on the page of the rocket: it weighs, and what it feels and sees stands there at once."""

import json

from bottlewright.design import read_design

CAMERA = {
    "name": "camera", "mass": "25 g", "position": "200 mm", "view": "70 deg", "exposure": "2 ms", "pixels": "1920",
    "held": "on a shelf", "breaks_away": "9 N", "cell": "lithium", "tethered": "yes", "waterproof": "", "looks": "down",
}  # fmt: skip


def test_a_camera_put_on_board_weighs_and_is_spoken_of_on_sketch_and_fly(curlew):
    before = read_design(curlew.office.job.file)
    assert curlew.do("do/payload", **CAMERA).status_code == 200
    design = read_design(curlew.office.job.file)
    camera = design.mass[len(before.mass)]
    assert (camera.mass.text, camera.position.text, camera.payload.pixels) == ("25 g", "200 mm", 1920)
    assert camera.payload.tethered is True
    assert camera.payload.waterproof is None, "nobody has looked"
    sketch, fly = curlew.get("/sketch").text, curlew.get("/fly").text
    for page in (sketch, fly):
        assert "camera feels" in page
        assert "can burn, hours after a blow" in page
    assert f"mass-{len(before.mass)}-payload-view" in sketch
    assert curlew.do("do/take-part", part=f"mass.{len(before.mass)}").status_code == 200
    assert read_design(curlew.office.job.file).mass == before.mass


def test_what_is_wrong_with_it_is_said_beside_its_field_and_nothing_is_written(curlew):
    text = curlew.office.job.file.read_text(encoding="utf-8")
    for given, field in (({"mass": ""}, "mass"), ({"view": "wide"}, "view"), ({"pixels": "many"}, "pixels")):
        answer = curlew.do("do/payload", **(CAMERA | given))
        assert answer.status_code == 422
        assert list(json.loads(answer.headers["X-Fields"])) == [field]
    assert curlew.office.job.file.read_text(encoding="utf-8") == text
