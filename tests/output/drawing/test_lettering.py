"""Widths of letters against the metrics of a real face, where one is installed."""

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from bedstone.output.drawing.lettering import CAPITAL, clean, shortened, width, wrapped

FACE = Path("/usr/share/fonts/truetype/liberation/LiberationSans-Regular.ttf")


@pytest.mark.skipif(not FACE.exists(), reason="Liberation Sans is not installed")
@pytest.mark.parametrize(
    "text", ["Support A1-2b", "0123456789 / −1.5 ± 3 mm", "über Kąty, Ångström: ß", "WMil.,;'\"@#"]
)
def test_texts_are_as_wide_as_in_the_face(text):
    # its own metrics, read from the file of the face
    font = TTFont(FACE)
    letters, widths = font.getBestCmap(), font["hmtx"]
    size = 10.0
    real = sum(widths[letters[ord(c)]][0] for c in text) / font["head"].unitsPerEm * size
    assert width(text, size * CAPITAL) == pytest.approx(real, rel=0.02)


def test_letters_that_are_not_in_the_table_are_taken_wide():
    assert width("橋", CAPITAL) == pytest.approx(1.0)
    assert width("Щ", CAPITAL) >= 0.938  # width in Liberation Sans


def test_shortened_texts_fit_and_say_so():
    text = "a very long name of a bridge " * 5
    short = shortened(text, 2.0, 40.0)
    assert short.endswith("…")
    assert width(short, 2.0) <= 40.0
    assert shortened("short", 2.0, 40.0) == "short"


def test_wrapped_texts_keep_every_word_and_fit():
    text = "Thickness of the web and of everything-that-has-no-blank-in-it-at-all is told"
    lines = wrapped(text, 2.0, 25.0)
    assert all(width(line, 2.0) <= 25.0 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert len(wrapped(text, 2.0, 25.0, 2)) == 2
    assert wrapped("", 2.0, 25.0) == []


def test_what_does_not_print_is_left_out():
    assert clean("a\x1b[31m\nb\u2028 c\ud800") == "a [31m b c"
