"""A phrase is changed with the old one; what somebody may do is changed and put back."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from mullbed.domain.pass_phrase import is_common, phrase_faults
from mullbed.domain.people import Person, Role
from mullbed.domain.signing import Where
from mullbed.usecases import invite_person as admit_people
from mullbed.usecases.invite_person import Attempt
from mullbed.web.undo_mark import LASTS, mark_of, person_of

Opening = Callable[..., TestClient]
PHRASE = "wet barrow odd lantern"
FRESH = "quiet spade under seven"


def take_in(record: Path, name: str, role: Role, beds: frozenset[str] | None = None) -> None:
    where, moment = Where(str(record)), datetime.now(UTC)
    admit_people.invite_person(where, name, role, beds, ("Ada", moment))
    admit_people.accept_invitation(where, name, Attempt(name, PHRASE, "test"), name.lower(), moment)


def entered(open_page: Opening, name: str, phrase: str = PHRASE) -> TestClient:
    client = open_page(sign_in=True, secret="one secret for all of them")
    client.status = client.post("/sign-in", data={"name": name, "phrase": phrase}).status_code  # type: ignore[attr-defined]
    return client


@pytest.mark.parametrize("role", list(Role))
def test_a_phrase_is_changed_with_the_old_one_and_ends_every_other_session(
    open_page: Opening, record: Path, role: Role
):
    take_in(record, "Ada", Role.LEAD)
    take_in(record, "Bo", role)
    here, elsewhere = entered(open_page, "Bo"), entered(open_page, "Bo")
    assert here.post("/phrase", data={"phrase": "not the one I have", "fresh": FRESH}).status_code == 403
    assert here.post("/phrase", data={"phrase": PHRASE, "fresh": FRESH}).headers["location"] == "/phrase?changed=yes"
    assert here.get("/").status_code == 200
    assert elsewhere.get("/").headers["location"] == "/sign-in"
    assert entered(open_page, "Bo").status == 403  # type: ignore[attr-defined]
    assert entered(open_page, "Bo", FRESH).status == 303  # type: ignore[attr-defined]


def test_a_short_new_phrase_changes_nothing(open_page: Opening, record: Path):
    take_in(record, "Ada", Role.LEAD)
    here = entered(open_page, "Ada")
    for fresh in ("short", "password1234", "Ada12345678901"):
        assert here.post("/phrase", data={"phrase": PHRASE, "fresh": fresh}).status_code == 422
    assert entered(open_page, "Ada").status == 303  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "phrase",
    [
        "aaaaaaaaaaaa", "abcabcabcabc", "123456789012", "qwertyuiopas", "password1234", "PassWord-Pass-Word",
        "letmein letmein",
        "iloveyou2024!", "Welcome2Mullbed", "correct horse battery staple", "contraseña 1234", "ada lovelace 1815",
        "987654321098",
        "1qaz2wsx3edc", "admin@admin.1", "!!!!!!!!!!!!", "0000 1111 2222",
    ],
)  # fmt: skip
def test_a_phrase_that_is_soon_guessed_is_refused(phrase: str):
    assert is_common(phrase, "Ada Lovelace") and phrase_faults(phrase, "Ada Lovelace")


@pytest.mark.parametrize(
    "phrase",
    [PHRASE, FRESH, "mein Spaten rostet leise", "la pala vieja canta", "庭の土は毎年やわらかくなる", "x7-Tq!m2Zr#vL9"],
)
def test_a_phrase_of_ones_own_is_taken(phrase: str):
    assert phrase_faults(phrase, "Ada Lovelace") == []


def test_a_change_of_somebodys_role_is_put_back(open_page: Opening, record: Path):
    take_in(record, "Ada", Role.LEAD)
    take_in(record, "Bo", Role.HELPER, frozenset({"Gate Bed"}))
    client = entered(open_page, "Ada")
    for role in ("viewer", "out"):
        after = client.get(client.post("/people/change", data={"account": "bo", "role": role}).headers["location"]).text
        assert "Changed: Bo." in after
        mark = re.findall(r'name="mark" value="([^"]+)"', after)[0]
        assert client.post("/people/undo", data={"mark": mark}).status_code == 303
        bo = next(one for one in admit_people.list_people(Where(str(record))) if one.account == "bo")
        assert (bo.role, bo.beds) == (Role.HELPER, frozenset({"Gate Bed"}))


def test_a_mark_is_good_for_its_maker_for_an_hour_and_with_our_secret():
    bo, moment = Person("bo", "Bo", "", Role.HELPER, frozenset({"Gate Bed"})), datetime(2027, 6, 9, tzinfo=UTC)
    mark = mark_of(bo, "Ada", moment, "secret")
    assert person_of(mark, "Ada", moment + LASTS, "secret") == bo
    assert person_of(mark, "Cy", moment, "secret") is None
    assert person_of(mark, "Ada", moment + LASTS + timedelta(seconds=1), "secret") is None
    assert person_of(mark, "Ada", moment, "another") is None
    assert person_of("x" + mark, "Ada", moment, "secret") is None and person_of("", "Ada", moment, "secret") is None
