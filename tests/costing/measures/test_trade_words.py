"""The program's own words in the set of the shop; what is sought is found in either."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.measures.manner import Manner, writing_as
from webapp.costing.measures.trade_words import TERMS, in_trade_words, said_in_either, terms_sought
from webapp.costing.settings.table import SETTINGS_BY_NAME, default_rates

AMERICAN = Manner(words="American")


def _american(text: str) -> str:
    with writing_as(AMERICAN):
        return in_trade_words(text)


@pytest.mark.outside(source="the trade in Britain and in America", kind="common practice")
@pytest.mark.parametrize(
    ("british", "american"),
    [
        ("Swivel castor 100 mm with brake", "Swivel caster 100 mm with brake"),
        ("Bolts in the castors", "Bolts in the casters"),
        ("Cut housings, grooves and rebates", "Cut dados, grooves and rabbets"),
        ("Lipping", "Solid edging"),
        ("Surface planer, then thicknesser", "Jointer, then planer"),
        ("Planer-thicknesser", "Jointer and planer"),
        ("Timber yard", "Lumber yard"),
        ("Carriage of an order", "Freight of an order"),
        ("Softwood 4 by 2", "Softwood 2x4"),
        ("Countersunk screws", "Flat head screws"),
        ("Sawn boards", "Boards"),
    ],
)
def test_a_sentence_of_the_program_is_said_in_the_set_of_the_shop(british: str, american: str) -> None:
    assert in_trade_words(british) == british
    assert _american(british) == american


@pytest.mark.parametrize("text", ["60 by 18 mm on quote", "castors_carry", "{castors_carry}", "1200 by 600", "timbers"])
def test_what_is_no_word_of_the_trade_is_left_alone(text: str) -> None:
    assert _american(text) == text


def test_the_set_ends_with_what_it_was_set_for() -> None:
    with writing_as(AMERICAN), writing_as(Manner()):
        assert in_trade_words("castor") == "castor"
    assert in_trade_words("castor") == "castor"


def test_either_word_finds_the_other_and_what_was_typed_comes_first() -> None:
    for british, american in TERMS:
        ours, theirs = british.partition("|")[0], american.partition("|")[0]
        assert theirs in said_in_either(ours), ours
        assert said_in_either(theirs)[0] == theirs
        assert len(said_in_either(theirs)) > 1, theirs
    assert terms_sought("2x4 caster") == (("2x4", "4 by 2"), ("caster", "castor"))
    assert terms_sought("") == ()


def test_a_word_with_a_dotless_i_is_no_term() -> None:
    assert said_in_either("lıppıng") == ("lıppıng",)


@given(st.text(alphabet="abc 24x", max_size=30))
def test_no_word_that_is_sought_is_lost(text: str) -> None:
    assert "".join(term[0] for term in terms_sought(text)).replace(" ", "") == "".join(text.split())


def test_kinds_settings_and_steps_are_called_in_the_set_of_the_shop() -> None:
    kinds, labels = KINDS[Kind.BOARD].singular, SETTINGS_BY_NAME["machine_planer"].label
    steps = {name: step.label for name, step in default_rates().operations.items()}
    with writing_as(AMERICAN):
        assert (kinds, KINDS[Kind.BOARD].singular) == ("Sawn board", "Board")
        assert (labels, SETTINGS_BY_NAME["machine_planer"].label) == (
            "Planer-thicknesser, an hour", "Jointer and planer, an hour",
        )  # fmt: skip
        others = {name: step.label for name, step in default_rates().operations.items()}
    assert {name: others[name] for name in others if others[name] != steps[name]} == {
        "cut_housings": "Cut dados, grooves and rabbets",
        "plane_parts": "Joint and plane, rip and cut solid parts",
        "fit_hardware": "Bolt on casters, feet and brackets",
    }
