"""Price lists as people write them: read, said what was meant, or refused with the line."""

import csv
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.design.price_file import read_prices


@pytest.mark.parametrize(
    "text",
    [
        "part,price\nbottle,1.20\nhose,3\n", "price;part\n1,20;bottle\n3;hose\n",
        "Part\tPrice\r\nbottle\t1,20\r\nhose\t3",
        "\n\npart,price\nbottle,1.20\n\nhose,3\ngauge,\n", "part , price , shop\nbottle, 1.20, corner\nhose,\u00a03,\n",
        '“part”,“price”\nbottle,1.20\nhose,3\n',
    ],
)
def test_price_lists_are_read_however_they_are_separated(text):
    assert read_prices(text) == {"bottle": 1.20, "hose": 3.0}


def test_a_decimal_comma_in_quotes_is_read_and_said():
    said = []
    assert read_prices('part,price\nbottle,"1,20"\nhose,3\n', said.append) == {"bottle": 1.2, "hose": 3.0}
    assert said == ["a price with a decimal comma was read with a point (line 2)"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no columns"), ("a,b\n1,2\n", "no columns"),
        ("part,price\nbottle,cheap\n", "line 2: 'cheap' is not a price"),
        ("part,price\nbottle,-1\n", "not a price"), ("part,price\nbottle,nan\n", "not a price"),
        ("part,price\nbottle,1e999\n", "not a price"), ("part,price\nbottle," + "9" * 200, "under 10 million"),
        ("part,price\nbottle,1,20\n", "line 2: has more cells than the first line; a decimal comma needs quotes"),
        ("part;price\nbottle;1,200\n", "write 1200 or 1.200"), ("part;price\nbottle;1.234,50\n", "in two ways"),
        ("part,price\nbottle,1\nbottle,2\n", "line 3: 'bottle' stands twice"), ("part,price\n,2\n", "without a part"),
        ('part,price\n"bot\ntle",2\n', "a line break"),
        ('part,price\n"bottle,2\n' + "hose,3\n" * 100, "a quote left open"),
        ("part,price\n" + "x" * 200_000 + ",1\n", "line 2"),
        ("part,price\n" + "a,1\n" * 6000, "line 3: 'a' stands twice"),
        ("part,price\n" + "".join(f"a{i},1\n" for i in range(6000)), "more than 5000 lines"),
        ("part,price\nbo\0ttle,1\n", "line 2"),
    ],
)  # fmt: skip
def test_what_is_no_price_list_is_refused_with_the_line(text, words):
    with pytest.raises(ValueError, match=words) as caught:
        read_prices(text)
    assert not isinstance(caught.value, csv.Error)
    assert len(str(caught.value)) < 200
    assert not re.search("NUL|field larger|newline", str(caught.value)), "the CSV reader's own words"


@given(st.text(st.sampled_from('part,price\n;\t"1.2 \r\0“'), max_size=80))
def test_no_text_does_more_than_be_read_or_refused(text):
    try:
        prices = read_prices(f"part,price\n{text}")
    except ValueError:
        return
    assert all(0.0 <= price < 1e7 for price in prices.values())
