"""Vague words: whole words, inflected, in any case and Unicode form."""

import json
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.audit.phrases import fold
from witnessmark.audit.vague import as_json, prompts, vague_words, vocabularies

LANGUAGES = ("en", "de", "pl", "es")


@pytest.mark.parametrize(
    ("language", "said", "found"),
    [
        ("en", "Someone checks it REGULARLY, usually.", ("Someone", "REGULARLY", "usually")),
        ("en", "We check from time to time.", ("from time to time",)),
        ("en", "Every two hours the operator measures five pieces.", ()),
        ("de", "In der Regel prüft man das.", ("In der Regel", "man")),
        ("de", "eine REGELMÄSSIGE Prüfung, viele", ("REGELMÄSSIGE", "viele")),
        ("de", "Der Einrichter prüft nach jedem Umrüsten.", ()),
        ("pl", "Ktoś zwykle patrzy od czasu do czasu.",
         ("Ktoś", "zwykle", "od czasu do czasu")),
        ("pl", "regularnych kontroli", ("regularnych",)),
        ("es", "Alguien lo revisa de vez en cuando, más o menos.",
         ("Alguien", "de vez en cuando", "más o menos")),
        ("de-AT", "Manchmal.", ("Manchmal",)),
        ("fi", "joku joskus", ()),
    ],
)  # fmt: skip
def test_words_are_found_as_they_were_said(language, said, found):
    assert vague_words(said, language) == found


def test_a_word_inside_another_is_not_found():
    assert vague_words("The irregularlyshaped Herrmanns oftentimer") == ()
    assert vague_words("Hermann und Mannheim", "de") == ()


def test_punctuation_parts_the_words_of_a_phrase():
    assert vague_words("It is normal as. A rule says so") == ("normal",)


def test_each_word_once_however_it_is_written():
    assert vague_words("Often, often, OFTEN") == ("Often",)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_language_has_words_and_its_own_four_questions(language):
    own = prompts(language)
    assert len(set(own)) == 4
    assert all(question.endswith("?") for question in own)
    assert (own == prompts("en")) is (language == "en")
    assert len(vocabularies()[language].phrases) > 50


def test_a_language_that_is_not_offered_asks_in_english():
    assert prompts("fi") == prompts("en")


def test_the_notebook_gets_the_same_words():
    told = json.loads(json.dumps(as_json()))
    assert set(told) == set(LANGUAGES)
    for language, entry in told.items():
        assert set(entry["phrases"]) == vocabularies()[language].phrases
        assert tuple(entry["prompts"]) == prompts(language)


PHRASES = [(lang, phrase) for lang in LANGUAGES for phrase in sorted(vocabularies()[lang].phrases)]


@given(st.sampled_from(PHRASES), st.sampled_from(["NFC", "NFD"]), st.booleans())
def test_every_phrase_is_found_in_any_case_and_form(chosen, form, upper):
    language, phrase = chosen
    said = unicodedata.normalize(form, phrase.upper() if upper else phrase)
    assert phrase in [fold(found) for found in vague_words(f"xyz {said}, xyz", language)]


@given(st.text(), st.sampled_from(LANGUAGES))
def test_whatever_is_found_stands_in_the_text(text, language):
    for found in vague_words(text, language):
        assert found in unicodedata.normalize("NFC", text)
        assert fold(found) in vocabularies()[language].phrases
