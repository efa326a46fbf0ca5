"""What Undo says that it takes back: each value by its name, in the words of the page."""

from bottlewright.project.differences import difference

PITCH = "[site]\nboundary = [['-34 m', '-52 m'], ['34 m', '-52 m'], ['34 m', '52 m']]\n"


def test_a_value_is_told_before_and_after():
    assert difference("[charge]\nwater = '400 mL'\n", "[charge]\nwater = '365 mL'\n") == "water 400 mL → 365 mL"


def test_an_outline_is_told_by_its_corners_and_not_by_every_number():
    assert difference(PITCH, "[site]\n") == "site, boundary 3 corners → not said"


def test_a_place_is_told_by_its_two_distances():
    assert difference("[site]\n", "[site]\nlaunch_point = ['2 m', '-5 m']\n").endswith("not said → 2 m, -5 m")


def test_a_long_value_is_cut_and_where_even_that_is_long_the_value_is_only_named():
    assert difference("", f"notes = '{'see it up, ' * 9}'\n") == "notes not said → see it up, see it up, s…"
    assert difference("", "[charge]\nwater = '365 mL ± 10 mL (assumed)'\n") == "water not said → 365 mL ± 10 mL"
    holds = [f"[recovery.mechanism]\nhold = '{force} N ± 0.02 N'\n" for force in ("0.06", "0.2")]
    assert difference(*holds) == "Letting out: pull that just draws the nose off"


def test_what_is_no_design_is_told_nothing_of():
    assert difference("[site", "[site]\n") == ""
