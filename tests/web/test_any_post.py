"""Whatever is posted is done or refused in words, and the file stays a design."""

from conftest_web import CURLEW, served
from hypothesis import given, settings
from hypothesis import strategies as st

from bottlewright.design import parse_design

KEYS = st.one_of(
    st.sampled_from(["charge.pressure", "vessel", "mass.0.mass", "mass.99.mass", "fins.count", "vessel.proof", "name",
                     "", ".", "a..b", "schema", "launcher.crew.shelter", "site.map", "boundary",
                     "new keep-out", "pumper", "rectangle", "launcher"]),
    st.text(max_size=30),
)  # fmt: skip
VALUES = st.one_of(
    st.sampled_from(["", "5 bar", "80 psi", "true", "3", "-1", "nan", "1e999 bar", "{}", "[1]", "'''", "\x00",
                     "../x"]),
    st.text(max_size=60),
)
DOES = st.sampled_from(["do/change", "do/changes", "do/undo", "do/redo", "do/first", "do/open", "do/theirs", "do/mine",
                       "do/test", "do/take-out-test", "do/sure", "do/add-part", "do/take-part", "do/measured-here",
                       "do/forget-measured", "do/draw", "do/import", "do/wind", "do/write-wind",
                       "do/view", "do/part", "do/workshop", "do/card", "do/damage", "do/damage-done",
                       "do/fresh-bottle", "do/use-learned", "do/leave-learned"])  # fmt: skip


def test_whatever_is_posted_is_done_or_refused_in_words(tmp_path):
    for name in ("rocket.toml", "field.geojson", "prices.csv"):
        (tmp_path / name).write_bytes((CURLEW / name).read_bytes())
    with served(tmp_path) as pages:

        @settings(max_examples=60)
        @given(DOES, KEYS, VALUES, st.text(max_size=8))
        def post(does, key, value, spread):
            given_values = {key: value} if does in ("do/changes", "do/first") else {
                "key": key, "value": value, "spread": spread, "file": value, "pressure": value, "hold": "60 s",
                "medium": "water", "passed": "true", "date": spread, "number": spread, "words": value,
                "how": value, "name": value, "mass": spread, "position": spread, "part": key,
                "drag": spread, "what": key, "corners": value, "distance": value, "bearing": spread, "was": key,
                "kind": value, "form": spread, "width": value, "text": value, "speed": value, "from": spread,
                "closer": spread, "code": key, "price": value, "have": spread, "hours": value, "people": spread,
                "day": spread, "done": spread, "measured.dry_mass": value}  # fmt: skip
            answer = pages.do(does, **given_values)
            assert answer.status_code in (200, 422)
            assert answer.status_code == 200 or answer.text
            assert parse_design((tmp_path / "rocket.toml").read_text(encoding="utf-8"))

        post()
        assert pages.get("/sketch").status_code == 200
    assert sorted(path.name for path in tmp_path.iterdir()) == ["field.geojson", "prices.csv", "rocket.toml"]
