"""Lengths as people write them."""

from __future__ import annotations

import math
import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mounts.units import length_mm, number, text_mm, wrapped


@pytest.mark.parametrize(
    ("written", "expected_mm"),
    [
        # an inch is 25.4 mm and a foot 304.8 mm, exactly (agreement of 1959)
        (18, 18.0),
        (0.8, 0.8),
        ("18", 18.0),
        ("18 mm", 18.0),
        ("18mm", 18.0),
        (" 1.8 CM ", 18.0),
        ("0.4 m", 400.0),
        ("0.032 in", 0.8128),
        ("3/4 in", 19.05),
        ('3/4"', 19.05),
        ("3/4″", 19.05),
        ("3⁄4 inch", 19.05),
        ("¾ in", 19.05),
        ("1 1/2 in", 38.1),
        ('1-1/2"', 38.1),
        ("1½”", 38.1),
        ("1 ½ inches", 38.1),
        ("1/2 mm", 0.5),
        ("12,5 mm", 12.5),
        ("0,250", 0.25),
        ("32 thou", 0.8128),
        ("4 ft", 1219.2),
        ("4' 6 1/2\"", 1384.3),
        ("4'-6\"", 1371.6),
        ("−0.1", -0.1),
    ],
)
def test_length_reads_every_way_of_writing(written: object, expected_mm: float) -> None:
    """Each spelling gives the millimetres it means, to the last bit."""
    assert length_mm(written) == expected_mm


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("3/4", "looks like inches; write '3/4 in'"),
        ("1 1/2", "looks like inches; write '1 1/2 in'"),
        ("½", "looks like inches; write '1/2 in'"),
        ("1,250", "could mean 1.250 or 1250"),
        ("18 furlong", "unknown unit 'furlong'"),
        ("1 5/4 in", "below one"),
        ("1' 13\"", "fewer than 12 inches"),
        ("1/0 in", "divides by zero"),
        *((text, "must be a length such as") for text in ("", "mm", "3 4", "1e3", "1.5/2 in", "1,250.5")),
        *((text, "must be a length such as") for text in ("5²", "١٢", "1/2/3 in")),
        *((thing, "must be a length such as") for thing in (True, False, None, [18], {"mm": 18}, b"18")),
        *((size, "finite") for size in (math.nan, math.inf, -math.inf, 10**400)),
        ("1" * 41, "must be a length such as"),
    ],
)
def test_length_refuses_what_it_does_not_know(written: object, told: str) -> None:
    """What is no length, or could mean two, is refused with one short line that says what to write."""
    with pytest.raises(ValueError, match=re.escape(told)) as caught:
        length_mm(written)

    assert len(str(caught.value)) < 90
    assert "\n" not in str(caught.value)


@given(
    st.integers(0, 200),
    st.integers(1, 63),
    st.sampled_from([2, 4, 8, 16, 32, 64]),
    st.sampled_from(["{w} {n}/{d} in", "{w}-{n}/{d}in", '{w} {n}/{d}"', "{w}  {n}/{d} Inches"]),
)
def test_length_of_mixed_inches_is_the_exact_fraction(whole: int, top: int, bottom: int, form: str) -> None:
    """A mixed fraction of inches is the float nearest to (w + n/d) · 127/5, by exact fractions."""
    top %= bottom
    expected_mm = float((whole + Fraction(top, bottom)) * Fraction(127, 5))

    assert length_mm(form.format(w=whole, n=top, d=bottom)) == expected_mm


@given(st.integers(0, 9999), st.integers(0, 99), st.sampled_from(".,"), st.sampled_from(["", "mm", " cm", " in"]))
def test_length_of_a_decimal_is_the_exact_decimal(whole: int, hundredths: int, point: str, unit: str) -> None:
    """Two decimals behind a point or a comma mean the same, in every unit."""
    factor = {"": Fraction(1), "mm": Fraction(1), " cm": Fraction(10), " in": Fraction(127, 5)}[unit]
    expected_mm = float((whole + Fraction(hundredths, 100)) * factor)

    assert length_mm(f"{whole}{point}{hundredths:02d}{unit}") == expected_mm


@given(st.floats(-5000, 5000))
def test_text_reads_back(size_mm: float) -> None:
    """What is written for people reads back to half a micrometre, and writes the same again."""
    again = length_mm(text_mm(size_mm))

    assert abs(again - size_mm) <= 0.0005 + 1e-12
    assert text_mm(again) == text_mm(size_mm)


@given(st.text(max_size=12))
def test_length_of_any_text_is_a_number_or_one_line(text: str) -> None:
    """No text raises anything but a ValueError, and what is read is finite."""
    try:
        read = length_mm(text)
    except ValueError as error:
        told = str(error)
        read = 0.0
    else:
        told = ""
    assert "\n" not in told
    assert math.isfinite(read)


@pytest.mark.parametrize(
    ("value", "expected"),
    [(0.0, "0"), (-0.0, "0"), (-0.0001, "0"), (-10, "-10"), (100, "100"), (0.05, "0.05")],
)
def test_number_has_no_trailing_zeros_or_minus_zero(value: float, expected: str) -> None:
    """Zeros that carry nothing are dropped, zeros of the integer part stay."""
    assert number(value) == expected


def test_inches_beside_feet_end_below_a_foot():
    """12 in are a foot of 304.8 mm: eleven and some are inches beside it, twelve are not."""
    assert length_mm("1 ft 11 7/8 in") == pytest.approx(304.8 + 11.875 * 25.4)
    for written in ("1 ft 12 in", "1 ft 12 1/8 in"):
        with pytest.raises(ValueError, match="fewer than 12 inches"):
            length_mm(written)


def test_a_length_has_forty_characters_at_most():
    """Zeros before a figure change nothing; one too many and it is no length."""
    assert length_mm("18 mm".rjust(40, "0")) == 18.0
    with pytest.raises(ValueError, match="must be a length such as"):
        length_mm("18 mm".rjust(41, "0"))


def test_a_fraction_behind_a_whole_number_is_below_one():
    """1 3/4 in is a length, 1 4/4 and 1 5/4 are slips; alone a fraction may be one or more."""
    assert length_mm("1 3/4 in") == pytest.approx(44.45)
    assert length_mm("4/4 in") == pytest.approx(25.4)
    for written in ("1 4/4 in", "1 5/4 in"):
        with pytest.raises(ValueError, match="a fraction below one"):
            length_mm(written)


@pytest.mark.parametrize(
    ("written", "mm"),
    [("1,250", None), ("12,250", None), ("120,250", None), ("1234,250", 1234.25), ("0,250", 0.25), ("1,25", 1.25)],
)
def test_a_comma_that_could_part_thousands_is_refused(written, mm):
    """One to three digits, none of them a leading nought, before a comma, three behind it: read two ways."""
    if mm is None:
        with pytest.raises(ValueError, match="could mean"):
            length_mm(f"{written} mm")
    else:
        assert length_mm(f"{written} mm") == mm


def test_lengths_are_told_to_the_micrometre():
    """Three decimals of a mm: a fourth is rounded away, a third is not."""
    assert (text_mm(1.23449), text_mm(0.001), text_mm(0.00049)) == ("1.234 mm", "0.001 mm", "0 mm")
    assert (number(1.23449), number(0.0004)) == ("1.234", "0")


def test_words_are_not_parted_at_a_hyphen():
    """A name such as near-end-2 stays whole, for it is searched for and typed."""
    assert wrapped("the screw near-end-2", 16) == ["the screw", "near-end-2"]
