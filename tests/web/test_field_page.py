"""Field in a browser: a football pitch with a road drawn by finger, people placed, the limit read; the same by keys."""

import re

import pytest
from conftest_browser import Server, by_axe, needs_chromium, opened
from conftest_web import CURLEW
from playwright.sync_api import expect

import bottlewright as bw
from bottlewright.project.grounds import grounds_of

pytestmark = needs_chromium

DAY = '''
[weather]
wind_speed = "2 m/s ± 0.5 m/s"
wind_from = "240 deg ± 20 deg"

[[weather.hours]]
at = "14:00"
wind_speed = "9 m/s"
wind_from = "west"

[scatter]
flights = 200
'''
"""As few flights as will do for a test: what they say is looked at elsewhere."""


@pytest.fixture
def plover(tmp_path):
    """A first rocket, a windy day, and nothing drawn."""
    project = bw.begin(bottle="carbonated-1500", pressure="2 bar")
    text = re.sub(r"^\[(weather|scatter)\]$", "", project.text, flags=re.MULTILINE)
    (tmp_path / "plover.toml").write_text(text + DAY, encoding="utf-8")
    server = Server(tmp_path)
    yield server
    server.close()


def on_screen(page, east, north):
    """Return where a place of the ground lies in the window."""
    return page.evaluate(
        """([east, north]) => {
             const svg = [...document.querySelectorAll(".ground > .over")].find((one) => one.clientWidth > 0);
             const { west, north: top, per } = svg.dataset;
             const at = new DOMPoint((east - west) / per, (top - north) / per).matrixTransform(svg.getScreenCTM());
             return [at.x, at.y];
           }""", [east, north])  # fmt: skip


def show(page):
    page.evaluate("document.querySelector('.ground:not(.only-wide)').scrollIntoView({block: 'center'})")


def tap(page, *places):
    show(page)
    for place in places:
        page.touchscreen.tap(*on_screen(page, *place))


def grounds(server):
    server.office.job.settle()
    return grounds_of(server.office.job.project)


def drawn(server, page, *, edge=None, keep_outs=None):
    """Wait until the page shows so many corners and things to keep out of, and return them as the file has them."""
    if edge is not None:
        expect(page.locator(".over:visible .traced.boundary .spot")).to_have_count(edge)
    if keep_outs is not None:
        expect(page.locator(".over:visible .traced.keep-out")).to_have_count(keep_outs)
    return grounds(server)


def drag_by_finger(page, start, end):
    finger = page.context.new_cdp_session(page)
    (x0, y0), (x1, y1) = start, end
    finger.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x0, "y": y0}]})
    for step in range(1, 6):
        at = {"x": x0 + (x1 - x0) * step / 5, "y": y0 + (y1 - y0) * step / 5}
        finger.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [at]})
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


PITCH = [(-34.0, -52.5), (34.0, -52.5), (34.0, 52.5), (-34.0, 52.5)]


def near(found, asked):
    return found == pytest.approx(asked, abs=1.5)  # a finger draws to half a metre, and a pixel is a third of one


def test_a_pitch_with_a_road_is_drawn_by_finger_people_are_placed_and_the_limit_is_read(browser, plover):
    page, said = opened(browser, f"{plover.url}/field", "phone", has_touch=True, is_mobile=True)
    show(page)
    page.get_by_label("Edge of the field", exact=True).check()
    tap(page, *PITCH, PITCH[0])  # the first one again closes it
    for found, asked in zip(drawn(plover, page, edge=4).edge.corners, PITCH, strict=True):
        assert near(found, asked)

    page.get_by_label("Keep out of").check()
    page.locator("#tools").get_by_label("what it is").select_option("road")
    page.locator("#tools").get_by_label("its name").fill("Ferry Road")
    tap(page, (37.0, -45.0), (37.0, 45.0))
    page.get_by_role("button", name="End the line here").tap()
    road, = drawn(plover, page, keep_outs=1).keep_outs
    assert (road.name, road.kind, road.form) == ("Ferry Road", "road", "line")
    assert near(road.corners[1], (37.0, 45.0))

    for who, label, place in (("pumper", "Who pumps", (-10.0, -5.0)), ("spectators", "Spectators", (-25.0, -20.0))):
        page.get_by_label(label, exact=True).check()
        tap(page, place)
        expect(page.locator(f".over:visible .spot.{who}")).to_have_count(1)
    placed = {one.role: one.place for one in grounds(plover).people}
    assert near(placed["spectators"], (-25.0, -20.0))
    assert near(placed["pumper"], (-10.0, -5.0))

    page.get_by_label("Move", exact=True).check()
    show(page)
    drag_by_finger(page, on_screen(page, *grounds(plover).edge.corners[2]), on_screen(page, 30.0, 40.0))
    expect(page.locator('[data-held]')).to_have_count(0)
    assert near(grounds(plover).edge.corners[2], (30.0, 40.0))
    page.get_by_role("button", name="Undo").tap()
    expect(page.locator(".over:visible .traced.boundary")).to_have_attribute("data-corners", re.compile(r"34(\.5)?,52"))
    expect(page.get_by_role("button", name="Do again")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390, "long words of Undo and Redo widen nothing"

    sides = page.evaluate(
        "[...document.querySelectorAll('.over .hit')].map((one) => one.getBoundingClientRect().width).filter(Boolean)")
    assert min(sides) >= 44.0

    page.get_by_role("button", name="Work out the landings").tap()
    expect(page.get_by_role("button", name="Stop")).to_be_visible()
    expect(page.locator("#winds")).to_be_visible(timeout=60_000)
    expect(page.locator("#hours")).to_contain_text("The wind of 9 m/s")
    expect(page.locator("#hours")).not_to_contain_text(re.compile(r"\bgo\b"))
    limit = plover.office.desk().landings.found.limits[8]
    page.get_by_label("wind, m/s").fill(f"{limit.speed + 0.5:.1f}")
    page.get_by_label("wind, m/s").press("Tab")
    expect(page.locator("#wind-says")).to_contain_text("limit")
    towards = page.get_by_label("from, degrees")
    ring = page.locator("#wind-point")
    ring.press("ArrowRight")
    expect(towards).to_have_value("250")
    ring.scroll_into_view_if_needed()
    box, rose = ring.bounding_box(), page.locator("#rose-over").bounding_box()
    drag_by_finger(page, (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2),
                   (rose["x"] + rose["width"] / 2, rose["y"] + 0.3 * rose["height"]))  # fmt: skip
    expect(towards).to_have_value(re.compile("^(355|0|5)$"))
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert said == []
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        assert by_axe(page).response["violations"] == []


def test_the_same_pitch_is_drawn_by_keys_alone(browser, plover):
    page, said = opened(browser, f"{plover.url}/field")
    page.get_by_text("The edge of the field, 0 corners").focus()
    page.keyboard.press("Enter")
    for k, corner in enumerate(PITCH):
        for side, value in zip(("east", "north"), corner, strict=True):
            page.get_by_label(f"The edge of the field, new corner {k + 1}, {side}").fill(f"{value:g}")
    page.keyboard.press("Enter")
    assert drawn(plover, page, edge=4).edge.corners == tuple(PITCH)

    page.get_by_text("Something else to keep out of").focus()
    page.keyboard.press("Enter")
    form = page.locator("#new-keep-out")
    form.get_by_label("kind").select_option("road")
    form.get_by_label("drawn as").select_option("line")
    for name, value in (("corner 1, east", "40"), ("corner 1, north", "-50"), ("corner 2, east", "40"),
                        ("corner 2, north", "50,5")):  # fmt: skip
        form.get_by_label(f"Something new, {name}").fill(value)
    page.keyboard.press("Enter")
    assert drawn(plover, page, keep_outs=1).keep_outs[0].corners == ((40.0, -50.0), (40.0, 50.5))

    corner = page.locator(".over:visible").get_by_role("button", name="edge of the field, corner 1")
    corner.focus()
    corner.press("Shift+ArrowRight")
    expect(page.locator(".over:visible .traced.boundary")).to_have_attribute("data-corners", re.compile("^-29,"))
    assert grounds(plover).edge.corners[0] == (-29.0, -52.5)
    page.locator(".over:visible").get_by_role("button", name="edge of the field, corner 1").press("Delete")
    assert drawn(plover, page, edge=3).edge.corners == tuple(PITCH[1:])

    form = page.locator("#person-spectators")
    form.get_by_label("away").fill("25")
    form.get_by_label("towards").fill("west")
    form.get_by_label("towards").press("Tab")
    expect(page.locator(".over:visible .spot.spectators")).to_have_count(1)
    page.get_by_text("The edge of the field, 3 corners").focus()
    page.locator("#corners-boundary-0").get_by_label("corner 1, east").fill("far")
    page.keyboard.press("Enter")
    expect(page.locator("#corners-boundary-0 .wrong")).to_contain_text("Corner 1 can't be read")

    upload = page.get_by_label("A GeoJSON file")
    for name, held, why in (("field.png", b"\x89PNG", "ends in .geojson"), ("field.geojson", b"{", "not GeoJSON"),
                            ("field.geojson", b" " * 100_001, "100 kB")):  # fmt: skip
        upload.set_input_files({"name": name, "mimeType": "application/json", "buffer": held})
        expect(page.locator("#import-wrong")).to_contain_text(why)
    upload.set_input_files(CURLEW / "field.geojson")
    assert len(drawn(plover, page, keep_outs=6).edge.corners) == 6
    expect(page.locator("#import-wrong")).to_be_empty()
    assert [text for text in said if "422" not in text] == []
