import pytest

from wearcast.logbook.drafting.phrases import (
    Known,
    Meaning,
    counts,
    deed_in,
    meanings,
    says_elsewhere,
    says_untouched,
)

PLACES = frozenset({"front blade", "rear blade", "left brush", "right brush"})
KNOWN = Known(PLACES, frozenset({"turned", "front", "squeegee"}))


@pytest.mark.parametrize(
    ("phrase", "said"),
    [
        ("turned front blade, worn", "front blade turn worn"),
        ("new sqg front - torn", "front blade fit damaged"),
        ("Trned rear squeege", "rear blade turn"),
        ("chgd l/h brush (split)", "left brush fit damaged"),
        ("front blade turned @ 1,234 hrs", "front blade turn"),
        ("new edge front blade", "front blade turn"),
        ("vordere Lippe gewendet, abgenutzt", "front blade turn worn"),
        ("Bürste re. erneuert (beschädigt)", "right brush fit damaged"),
        ("Lame arrière retournée (usure)", "rear blade turn worn"),
        ("cambio cepillo izquierdo, rotura", "left brush fit damaged"),
        ("voorste rubber gedraaid, versleten", "front blade turn worn"),
        ("left side brush new", "left side brush fit"),
        ("front blade taken off", "front blade remove"),
    ],
)
def test_a_phrase_of_known_words_is_sure(phrase: str, said: str):
    told = meanings(phrase, KNOWN)
    assert told is not None
    assert [" ".join(filter(None, one)) for one in told] == [said]


@pytest.mark.parametrize(
    ("phrase", "said"),
    [
        ("front and rear blade turned", ["front blade turn", "rear blade turn"]),
        ("L+R brush new", ["left brush fit", "right brush fit"]),
        ("both brushes replaced", ["left brush fit", "right brush fit"]),
        ("Front blade turned, rear replaced", ["front blade turn", "rear blade fit"]),
        (
            "turned front blade; left brush replaced, torn",
            ["front blade turn", "left brush fit damaged"],
        ),
    ],
)
def test_a_phrase_may_tell_of_two_things(phrase: str, said: list[str]):
    told = meanings(phrase, KNOWN)
    assert told is not None
    assert [" ".join(filter(None, one)) for one in told] == said


@pytest.mark.parametrize(
    "phrase",
    [
        "front blade not replaced",
        "front blade turned?  ask Kim",
        "new front blade ordered",
        "front blade turned 2nd time",
        "front blade turned and replaced",
        "brushes replaced",
        "squeegee turned",
        "front blade burned",
        "front blade swapped",
        "brush motor left new",
        "rotated left brush with right",
        "front blade re-fitted",
        "battery charged, front blade turned",
        "turned r. squeegee",
        "turned re ar blade",
        "trnde front blade now",
        "rotaded front blade",
        "turned dront blade",
        "turned fronst blade",
        "X",
        "",
        "front blade turned " * 20,
        "front blade due for replacement",
        "replacement of front blade is due",
        "front blade to change",
        "front blade fit for use",
        "bavette avant \u00e0 remplacer",
        "cepillo izquierdo por cambiar",
    ],
)
def test_a_phrase_with_a_doubt_in_it_is_not_sure(phrase: str):
    told = meanings(phrase, KNOWN)
    assert told is None or not all(one.position and one.action for one in told)


@pytest.mark.parametrize(
    "word", ["not", "no", "nicht", "pas", "ordered", "check", "tomorrow", "99"]
)
def test_a_word_too_many_takes_the_certainty_away(word: str):
    assert meanings(f"{word} front blade turned", KNOWN) is None
    assert meanings(f"front blade turned {word}", KNOWN) is None


def test_both_is_sure_only_where_there_are_two():
    assert meanings("both brushes new", Known(frozenset({"left brush"}))) is None
    assert meanings("both brushes new", Known(PLACES | {"side brush"})) is None


def test_a_part_without_its_place_is_a_position_where_there_is_one_only():
    assert meanings("pad changed", KNOWN) == (("pad", "fit", ""),)
    assert meanings("brush changed", KNOWN) is None


def test_work_on_other_things_of_the_machine_is_no_deed():
    assert says_elsewhere("flat tyre, wheel changed")
    assert not says_elsewhere("brush motor changed")
    assert not says_elsewhere("all fine")


@pytest.mark.parametrize(
    ("word", "whether"),
    [("Completed", "yes"), ("erledigt", "yes"), ("Cancelled", "no"), ("geplant", "no"),
     ("en cours", "no"), ("approved", ""), ("closed, not right", ""),
     ("VOID - entered in error", "no"), ("rear blade, new", "")],
)  # fmt: skip
def test_a_status_counts_or_does_not_or_is_not_sure(word: str, whether: str):
    assert counts(word) == whether


def test_a_legend_names_one_action():
    assert deed_in("new brush (torn)") == ("", "fit", "damaged")
    assert deed_in("turned or replaced") == ("", "", "")


def test_what_tickets_say_besides_takes_no_certainty_away():
    phrase = "Attended site. LH brush replaced as worn. Tested ok, left in good order."
    assert meanings(phrase) == (Meaning("left brush", "fit", "worn"),)


def test_tags_of_a_web_page_say_nothing():
    phrase = "<p>Front blade turned.</p><br/>Tested&nbsp;ok"
    assert meanings(phrase) == (Meaning("front blade", "turn", ""),)


@pytest.mark.parametrize(
    ("phrase", "whether"),
    [("OK", True), ("rear blade ok", True), ("front blade ok, turned", False), ("worn", False)],
)
def test_a_part_in_order_is_no_deed(phrase: str, whether: bool):
    assert says_untouched(phrase) == whether
