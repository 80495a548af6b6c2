from itertools import combinations

import pytest

from trials.plans.tags import (
    MOST_TAGS,
    TAG_LETTERS,
    check_letter,
    draw_tags,
    is_drawn_tag,
    nearest_tags,
    tag_problem,
)

ALL = tuple(draw_tags(MOST_TAGS, seed=41))


def test_every_tag_there_is_can_be_drawn_once() -> None:
    """13 x 13 tags, all different, all fitting their last letter."""
    assert len(set(ALL)) == 169
    assert all(is_drawn_tag(tag) for tag in ALL)


def test_any_single_wrong_letter_is_caught() -> None:
    """All 169 tags x 3 places x 12 other letters."""
    for tag in ALL:
        for place in range(3):
            for letter in TAG_LETTERS.replace(tag[place], ""):
                assert tag_problem(tag[:place] + letter + tag[place + 1 :]) is not None


def test_any_swap_of_two_letters_is_caught() -> None:
    """All 169 tags x 3 swaps, but for a swap of two equal letters, which changes nothing."""
    for tag in ALL:
        for one, other in combinations(range(3), 2):
            letters = list(tag)
            letters[one], letters[other] = letters[other], letters[one]
            swapped = "".join(letters)
            assert swapped == tag or tag_problem(swapped) is not None


def test_the_worked_example_of_the_papers() -> None:
    """HT is checked by K: (4 + 8 x 10) mod 13 = 6."""
    assert check_letter("H", "T") == "K"
    assert tag_problem("htk ") is None
    assert tag_problem("HTJ") == "Tag HTJ: last letter does not fit. HTK?"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "Tag blank: a tag has three letters. Look again."),
        ("HTKK", "Tag HTKK: a tag has three letters. Look again."),
        ("H0K", "Tag H0K: 0 is not a letter of our tags (CDFHJKLNPRTVX). Look again."),
    ],
)
def test_what_is_no_tag_is_told(typed: str, says: str) -> None:
    """Value, rule, next step."""
    assert tag_problem(typed) == says


def test_a_mistyped_tag_finds_its_neighbours() -> None:
    """One letter wrong, or two swapped."""
    assert nearest_tags("HKT", ("HTK", "CDF")) == ("HTK",)


def test_same_seed_same_tags_and_more_tags_begin_alike() -> None:
    """Adding a spare does not rename the jars."""
    assert draw_tags(12, 7) == draw_tags(14, 7)[:12]
    assert draw_tags(12, 7) != draw_tags(12, 8)


def test_no_more_tags_than_there_are() -> None:
    """170 of three letters do not exist."""
    with pytest.raises(ValueError, match="there are 169"):
        draw_tags(170, 1)
