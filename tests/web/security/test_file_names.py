"""Names of files that come from outside."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.web.security.file_names import LONGEST, safe_file_name


@pytest.mark.parametrize(
    ("given_name", "safe"),
    [
        ("setups.xlsx", "setups.xlsx"),
        ("../../etc/passwd", "passwd"),
        ("C:\\Users\\a\\photo.jpg", "photo.jpg"),
        ("Prüfplan Rev. 7.pdf", "Prüfplan Rev. 7.pdf"),
        ("a\u0308.txt", "ä.txt"),
        ("gpj.exe\u202e.txt", "gpj.exe.txt"),
        ('a"b<c>|d?.txt', "abcd.txt"),
        (".hidden", "hidden"),
        ("trailing. ", "trailing"),
        ("two\r\nlines.txt", "twolines.txt"),
        ("CON.txt", "_CON.txt"),
        ("lpt1", "_lpt1"),
        ("console.txt", "console.txt"),
        ("", "file"),
        ("...", "file"),
        ("/", "file"),
        ("x" * 300 + ".jpeg", "x" * 115 + ".jpeg"),
        ("x" * 300, "x" * 120),
    ],
)
def test_known_tricks(given_name, safe):
    assert safe_file_name(given_name) == safe


@given(st.text(max_size=400))
def test_whatever_comes_in_a_harmless_name_comes_out(name):
    safe = safe_file_name(name)
    assert 0 < len(safe) <= LONGEST
    assert not set(safe) & set('/\\<>:"|?*\0\r\n\u202e')
    assert safe not in {".", ".."}
    assert safe[0] != "."
    assert safe_file_name(safe) == safe
