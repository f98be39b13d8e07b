"""What can be typed for an option, and what is said of a slip."""

import click
import pytest

from wearcast.cli.options import Number, Quarter, Share


@pytest.mark.parametrize("text", ["0.95", "95%", "95 %", " 95.0% "])
def test_a_chance_is_a_share_or_a_percentage(text: str):
    assert Share().convert(text, None, None) == pytest.approx(0.95)


@pytest.mark.parametrize("text", ["95", "0", "1", "-5%", "100%", "high", "nan", ""])
def test_what_is_no_chance_is_refused_with_an_example(text: str):
    with pytest.raises(click.BadParameter) as told:
        Share().convert(text, None, None)
    assert str(told.value) == f"{text!r} is not a chance such as 0.95 or 95%"


@pytest.mark.parametrize("text", ["Q1 2027", "q1-2027", "Q1/2027", "Q12027"])
def test_a_quarter_may_be_named_before_its_year(text: str):
    assert Quarter().convert(text, None, None) == "2027Q1"


@pytest.mark.parametrize("text", ["2027Q1", "2027-Q1", "spring", "Q5 2027"])
def test_any_other_quarter_is_left_for_the_logbook_to_judge(text: str):
    assert Quarter().convert(text, None, None) == text


def test_words_for_a_number_are_refused_in_words():
    with pytest.raises(click.BadParameter) as told:
        Number().convert("eight", None, None)
    assert str(told.value) == "'eight' is not a number"
