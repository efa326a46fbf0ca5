"""The page Sketch in a browser: fins dragged by mouse, finger and keys, each one entry of undo."""

import re

import pytest
from conftest_browser import curlew_served, needs_chromium, opened
from playwright.sync_api import expect

pytestmark = needs_chromium


@pytest.fixture(scope="module")
def served_curlew(tmp_path_factory):
    with curlew_served(tmp_path_factory.mktemp("curlew")) as server:
        yield server


@pytest.fixture
def curlew(served_curlew):
    """Take back what the test changed."""
    office = served_curlew.office
    before = office.job.project.text
    yield served_curlew
    office.job.settle()
    while office.job.can_undo:
        office.job.undo()
    office.changed()
    assert office.job.project.text == before


def written(server, key="span", unit="mm"):
    """Return what the file on disk says of a length of the fins."""
    server.office.job.settle()
    return float(re.search(rf'^{key} = "([\d.]+) {unit}', server.office.job.file.read_text(), re.MULTILINE)[1])


def middle(grip):
    box = grip.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def grip_of(page, name, size="wide"):
    grip = page.locator(f"#grip-{size}-{name} .hit")
    grip.scroll_into_view_if_needed()
    return grip


def test_a_fin_is_dragged_by_mouse_and_one_undo_takes_it_back(browser, curlew):
    page, said = opened(browser, f"{curlew.url}/sketch")
    x, y = middle(grip_of(page, "fins-span"))
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, 8):
        page.mouse.move(x, y - 10 * step)
        page.wait_for_timeout(300 if step in (3, 5) else 20)  # the hand rests, and goes on
    held = page.locator("#grip-wide-fins-span")
    expect(held).to_have_attribute("data-held", "")
    page.mouse.up()
    expect(page.get_by_label("span, outwards", exact=True)).not_to_have_value("140 mm")
    expect(held).not_to_have_attribute("data-held", "")
    now = written(curlew)
    assert now > 180.0
    assert '± 1 mm"' in re.search(r"^span = .*$", curlew.office.job.file.read_text(), re.MULTILINE)[0]
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_label("span, outwards", exact=True)).to_have_value("140 mm")
    assert written(curlew) == 140.0
    assert not curlew.office.job.can_undo
    page.get_by_role("button", name="Do again").click()
    expect(page.get_by_label("span, outwards", exact=True)).to_have_value(f"{now:.0f} mm")
    assert said == []


def test_the_drawing_keeps_its_scale_while_the_hand_holds_on(browser, curlew):
    page, _ = opened(browser, f"{curlew.url}/sketch")
    body = page.locator('#figure-rocket-wide [data-part="body"]')
    before = body.get_attribute("d")
    x, y = middle(grip_of(page, "fins-span"))
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y - 60, steps=4)
    expect(page.get_by_label("span, outwards", exact=True)).not_to_have_value("140 mm")
    assert body.get_attribute("d") == before
    gx, gy = middle(page.locator("#grip-wide-fins-span .square"))
    assert (abs(gx - x), abs(gy - (y - 60))) < (2.0, 2.0), "the grip stays under the hand"
    page.mouse.up()
    expect(body).not_to_have_attribute("d", before)


def test_a_fin_is_dragged_by_a_finger_on_a_telephone(browser, curlew):
    page, said = opened(browser, f"{curlew.url}/sketch", "phone", has_touch=True, is_mobile=True)
    grip = grip_of(page, "fins-span", "narrow")
    x, y = middle(grip)
    finger = page.context.new_cdp_session(page)
    drawing = page.locator("#figure-rocket-narrow")
    top = drawing.bounding_box()["y"]
    finger.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    for step in range(1, 6):
        finger.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": x, "y": y + 8 * step}]})
        page.wait_for_timeout(30)
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    expect(page.get_by_label("span, outwards", exact=True)).not_to_have_value("140 mm")
    assert written(curlew) < 120.0
    # words above may wrap anew; the browser then keeps what is looked at in its place
    assert drawing.bounding_box()["y"] == pytest.approx(top, abs=2.0), "the drawing does not move under the finger"
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_label("span, outwards", exact=True)).to_have_value("140 mm")
    assert not curlew.office.job.can_undo
    assert said == []


def test_a_fin_is_turned_by_keys(browser, curlew):
    page, said = opened(browser, f"{curlew.url}/sketch")
    grip = page.get_by_role("slider", name="span", exact=True)
    grip.focus()
    for key in ("ArrowUp", "ArrowUp", "Shift+ArrowUp"):
        grip.press(key)
    expect(grip).to_have_attribute("aria-valuetext", "152 mm")
    expect(page.get_by_label("span, outwards", exact=True)).to_have_value("152 mm")
    assert written(curlew) == 152.0
    page.wait_for_timeout(100)
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_label("span, outwards", exact=True)).to_have_value("140 mm")
    grip.press("Home")
    low = grip.get_attribute("aria-valuemin")
    expect(grip).to_have_attribute("aria-valuenow", re.compile(rf"^{float(low):g}(\.0)?$"))
    expect(page.get_by_label("span, outwards", exact=True)).to_have_value(f"{float(low):g} mm")  # the desk has it
    assert written(curlew) == float(low)
    assert said == []


def test_ballast_is_moved_by_keys(browser, curlew):
    page, said = opened(browser, f"{curlew.url}/sketch")
    page.get_by_role("slider", name="clay in the tip").press("ArrowRight")
    expect(page.get_by_role("slider", name="clay in the tip")).to_have_attribute("aria-valuetext", "41 mm")
    expect(page.get_by_label("clay in the tip: position", exact=True)).to_have_value("41 mm")
    curlew.office.job.settle()
    assert 'position = "41 mm ± 3 mm"' in curlew.office.job.file.read_text()
    assert said == []


@pytest.mark.parametrize("size", ["wide", "phone"])
def test_no_grip_lies_over_another_and_each_is_as_wide_as_a_finger(browser, curlew, size):
    page, _ = opened(browser, f"{curlew.url}/sketch", size)
    page.wait_for_timeout(300)
    boxes = [one.bounding_box() for one in page.locator(".handle:visible .hit").all()]
    assert len(boxes) >= 7
    for number, one in enumerate(boxes):
        assert one["width"] >= 44.0
        assert one["height"] >= 44.0
        for other in boxes[:number]:
            aside = abs(one["x"] - other["x"]) >= one["width"] - 0.5
            assert aside or abs(one["y"] - other["y"]) >= one["height"] - 0.5, (one, other)


def test_whoever_says_how_they_know_gets_the_plus_or_minus_beside_it(browser, curlew):
    page, said = opened(browser, f"{curlew.url}/sketch")
    page.get_by_label("root, along the body: how sure").select_option("with callipers")
    off = page.get_by_label("root, along the body: how far it may easily be off")
    expect(off).to_have_value("0.1 mm")
    off.fill("3 mm")
    off.press("Tab")
    expect(page.get_by_label("root, along the body: how sure")).to_have_value("with a tape")
    curlew.office.job.settle()
    assert curlew.office.job.project.value("fins.root").text == "140 mm ± 3 mm"
    assert said == []


def test_ctrl_z_takes_back_and_ctrl_y_does_again_but_not_while_text_is_written(browser, curlew):
    page, _ = opened(browser, f"{curlew.url}/sketch")
    grip = page.get_by_role("slider", name="nose", exact=True)
    grip.press("ArrowRight")
    field = page.locator("#in-nose-length")
    expect(field).to_have_value("241 mm")
    grip.press("Control+z")
    expect(field).to_have_value("240 mm")
    grip.press("Control+y")
    expect(field).to_have_value("241 mm")
    field.press("Control+z")
    assert curlew.office.job.project.value("nose.length").text == "241 mm ± 1 mm"


def test_something_half_written_stays_while_another_window_changes_the_rocket(browser, curlew):
    page, _ = opened(browser, f"{curlew.url}/sketch")
    page.get_by_label("what", exact=True).fill("camera")
    page.locator("#weights").get_by_label("mass", exact=True).focus()
    other, _ = opened(browser, f"{curlew.url}/sketch")
    other.get_by_role("slider", name="altimeter").press("Shift+ArrowRight")
    expect(page.locator("#weights")).to_contain_text("140 mm")
    expect(page.get_by_label("what", exact=True)).to_have_value("camera")


def test_a_grip_let_go_goes_on_from_where_it_is(browser, curlew):
    page, _ = opened(browser, f"{curlew.url}/sketch")
    grip = page.locator("#grip-wide-mass-0-position")
    x, y = middle(grip_of(page, "mass-0-position"))
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 50, y, steps=5)
    page.mouse.up()
    now = float(grip.get_attribute("aria-valuenow"))
    assert now > 60.0
    page.wait_for_timeout(500)
    grip.press("ArrowRight")
    expect(grip).to_have_attribute("aria-valuetext", f"{now + 1:.0f} mm")
