"""One line, taken apart. The grammar is our own; its examples are those of docs/quick-line.md."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.quick_line import LineRefused, QuickLine, read_line


def test_the_first_example():
    line = read_line("6 downlight 8w 2700k dim")
    assert (line.pieces, line.words, line.watts, line.cct_k) == (6, ("downlight",), 8, 2700)
    assert (line.driven, line.layer, line.layer_is_said, line.unsure) == (
        "dim",
        "ambient",
        False,
        (),
    )


def test_metres_a_place_and_a_layer():
    line = read_line("4.2m tape under shelf night")
    assert (line.length_m, line.words, line.place) == (Decimal("4.2"), ("tape",), "under shelf")
    assert (line.layer, line.layer_is_said, line.pieces) == ("night", True, None)


def test_each_side_is_asked_about_and_never_guessed():
    line = read_line("2x wall light bedside each side")
    assert line.unsure == ("each_side",)
    assert line.piece_choices == (2, 4)


def test_two_numbers_that_may_both_be_the_quantity_are_asked_about():
    line = read_line("6 downlight 3")
    assert (line.unsure, line.piece_choices) == (("pieces",), (6, 3))


@pytest.mark.parametrize(
    "text",
    [
        "6 downlight 8w 2700k dim",
        "dim 2700k 8w downlight 6",
        "8 W downlight, 6 x, 2700 K, dimmed",
        "six downlight 8 watts 2700 kelvin dimmable",
        "6× DOWNLIGHT 8,0w 2700K dim",
        "x6 downlight 8w 2700k dim",
    ],
)
def test_the_order_and_the_spelling_do_not_matter(text):
    line = read_line(text)
    assert (line.pieces, line.words, line.watts, line.cct_k, line.driven) == (
        6, ("downlight",), 8, 2700, "dim",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "length_m"),
    [("tape 4.2m", "4.2"), ("tape 4,2 m", "4.2"), ("tape 420cm", "4.2"), ("tape 4200 mm", "4.2"),
     ("tape 4 metres", "4")],
)  # fmt: skip
def test_lengths(text, length_m):
    assert read_line(text).length_m == Decimal(length_m)


def test_watts_per_metre_are_watts_and_no_length():
    line = read_line("3 x 2.8m tape 9.6w/m accent")
    assert (line.pieces, line.length_m, line.watts) == (3, Decimal("2.8"), Decimal("9.6"))


@pytest.mark.parametrize(
    ("said", "driven"),
    [("switched", "switched"), ("on/off", "switched"), ("1-10V", "analogue-dimmed"),
     ("digital", "digital-dimmed"), ("tunable", "dc-tunable"), ("rgbw", "dc-rgbw")],
)  # fmt: skip
def test_ways_of_driving(said, driven):
    assert read_line(f"4 spotlight {said}").driven == driven


def test_a_layer_that_nothing_tells_stays_open():
    assert read_line("4 widget").layer == ""


@pytest.mark.parametrize("text", ["", "   ", "6", "🙂🙂", "2 x", "...", "​​"])
def test_nothing_to_read_is_refused(text):
    with pytest.raises(LineRefused, match="empty"):
        read_line(text)


@pytest.mark.parametrize("text", ["a" * 10_000, "word " * 60, "6 " + "x" * 300])
def test_what_is_no_line_is_refused(text):
    with pytest.raises(LineRefused, match="long"):
        read_line(text)


@pytest.mark.parametrize("text", ["0 downlight", "10000 downlight", "tape 0m", "tape 501m"])
def test_absurd_numbers_are_refused(text):
    with pytest.raises(LineRefused, match="too_many"):
        read_line(text)


def test_markup_and_right_to_left_text_are_only_words():
    assert read_line("<b>6</b> downlight").words[-1] == "downlight"
    assert read_line("مصباح 6").pieces == 6
    assert read_line("\u202e6 downlight").pieces == 6  # a sign that turns the direction is dropped


@given(st.text(max_size=400))
def test_any_text_is_read_or_refused(text):
    try:
        line = read_line(text)
    except LineRefused as refused:
        assert refused.code in {"empty", "long", "too_many"}
    else:
        assert isinstance(line, QuickLine)
        assert all(1 <= count <= 9999 for count in line.piece_choices)


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        ("same pieces as Q01.2 down accent", "q01.2", ("down",)),
        ("the same as circuit 3 night", "3", ()),
        ("other feed of L102.11", "l102.11", ()),
        ("same as 4 circuit two", "4", ("circuit", "two")),
        ("second feed of q01.2, switched", "q01.2,", ()),
    ],
)
def test_a_line_may_stand_for_another_part_of_pieces_that_hang_already(text, code, words):
    line = read_line(text)
    assert (line.same_as, line.words, line.pieces) == (code.strip(","), words, None)


def test_the_same_as_a_thing_is_no_circuit():
    line = read_line("same as downlight")
    assert line.same_as == ""
    assert "downlight" in line.words
