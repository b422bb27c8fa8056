"""A shared garden: nobody in without a phrase, nobody beyond their role, no session that was handed in."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from fastapi.routing import APIRoute
from fastapi.testclient import TestClient

from mullbed.domain.people import Role
from mullbed.domain.signing import Where
from mullbed.errors import InputFault
from mullbed.store.database import open_record
from mullbed.store.journal import count
from mullbed.usecases import invite_person as admit_people
from mullbed.usecases.invite_person import Attempt
from mullbed.web.sessions import COOKIE, OPEN, OPEN_UNDER

PHRASE = "wet barrow odd lantern"
Opening = Callable[..., TestClient]


def add(record: Path, name: str, role: Role, beds: frozenset[str] | None = None) -> None:
    """Let somebody accept an invitation."""
    where, moment, token = Where(str(record)), datetime.now(UTC), f"token of {name}"
    admit_people.invite_person(where, token, role, beds, ("Ada", moment))
    admit_people.accept_invitation(where, token, Attempt(name, PHRASE, "test"), name.lower(), moment)


def enter(client: TestClient, name: str, phrase: str = PHRASE) -> int:
    """Sign in."""
    return client.post("/sign-in", data={"name": name, "phrase": phrase}).status_code


@pytest.fixture
def shared(open_page: Opening, record: Path) -> TestClient:
    """Return a shared garden with a lead, a helper of one bed and a viewer."""
    add(record, "Ada", Role.LEAD)
    add(record, "Bo", Role.HELPER, frozenset({"Garlic Bed"}))
    add(record, "Cy", Role.VIEWER)
    return open_page(sign_in=True)


def addresses(client: TestClient, *methods: str) -> list[tuple[str, str]]:
    """Return every address of the application with its method; parts in braces become a bed that is not Bo's."""
    from urllib.parse import quote

    bed = quote("Gate Bed")
    found = []
    app = client.app
    stack = list(app.routes)  # type: ignore[attr-defined]
    while stack:
        route = stack.pop()
        inner = getattr(route, "original_router", None) or getattr(route, "router", None)
        if inner is not None:
            stack.extend(inner.routes)
        if isinstance(route, APIRoute):
            path = re.sub(r"\{[^}]+\}", bed, route.path)
            found += [(method, path) for method in route.methods if method in methods]
    return sorted(set(found))


def test_every_address_but_the_door_asks_who_is_there(shared: TestClient):
    known = addresses(shared, "GET", "POST", "PUT", "DELETE", "PATCH")
    assert len(known) > 15
    for method, path in known:
        if path in OPEN:
            continue
        if path.startswith(OPEN_UNDER):  # the address itself is the key, and this one opens nothing
            assert shared.request(method, path).status_code == 404
            continue
        answer = shared.request(method, path)
        assert answer.status_code == 401 or (answer.status_code == 303 and answer.headers["location"] == "/sign-in"), (
            f"{method} {path} answered {answer.status_code} to a stranger"
        )


def test_a_viewer_changes_nothing_at_any_address(shared: TestClient, record: Path):
    assert enter(shared, "Cy") == 303
    for method, path in addresses(shared, "POST", "PUT", "DELETE", "PATCH"):
        if path not in OPEN and path not in ("/sign-out", "/phrase"):
            assert shared.request(method, path).status_code == 403, f"{method} {path} let a viewer through"


def test_a_helper_neither_sees_nor_changes_a_bed_of_others(shared: TestClient, record: Path):
    assert enter(shared, "Bo") == 303
    with open_record(str(record)) as kept, kept.reading() as transaction:
        before = count(transaction)
    for method, path in addresses(shared, "GET", "POST"):
        if "Gate%20Bed" in path:
            status = shared.request(method, path).status_code
            assert status in (403, 404), f"{method} {path} answered {status} to a helper of another bed"
    for data in ({"job": "water", "amount": "10 l"}, {"job": "note", "text": "x"}):
        assert shared.post("/did", data=data | {"bed": "Gate Bed"}).status_code in (403, 404)
    with open_record(str(record)) as kept, kept.reading() as transaction:
        assert count(transaction) == before
    assert shared.get("/bed/Garlic%20Bed").status_code == 200
    assert shared.get("/people").status_code == 403
    assert shared.post("/people/invite", data={"role": "lead"}).status_code == 403


def test_a_session_that_was_handed_in_is_not_taken_over(shared: TestClient):
    shared.cookies.set(COOKIE, "chosen-by-another")
    answer = shared.post("/sign-in", data={"name": "Ada", "phrase": PHRASE})
    told = answer.headers["set-cookie"]
    assert "chosen-by-another" not in told
    assert "HttpOnly" in told and "samesite=lax" in told.lower()
    shared.cookies.clear()
    shared.cookies.set(COOKIE, "chosen-by-another")
    assert shared.get("/").headers["location"] == "/sign-in"


def test_signing_out_ends_the_session_on_the_server_too(shared: TestClient):
    enter(shared, "Ada")
    token = shared.cookies[COOKIE]
    assert shared.get("/").status_code == 200
    shared.post("/sign-out")
    shared.cookies.clear()
    shared.cookies.set(COOKIE, token)
    assert shared.get("/").status_code == 303


def test_an_unknown_name_and_a_wrong_phrase_get_the_same_answer(shared: TestClient):
    wrong = shared.post("/sign-in", data={"name": "Ada", "phrase": "not this one at all"})
    unknown = shared.post("/sign-in", data={"name": "Nobody", "phrase": "not this one at all"})
    assert (wrong.status_code, wrong.text) == (unknown.status_code, unknown.text)
    assert "match. Try again, or ask your lead." in wrong.text


def test_guessing_is_stopped_even_with_the_right_phrase_at_last(shared: TestClient):
    for _ in range(admit_people.MOST_BY_NAME):
        assert enter(shared, "Ada", "a wrong phrase here") == 403
    assert enter(shared, "Ada") == 429


def test_an_invitation_lets_one_person_in_once(open_page: Opening, record: Path):
    where, moment = Where(str(record)), datetime.now(UTC)
    add(record, "Ada", Role.LEAD)
    client = open_page(sign_in=True)
    enter(client, "Ada")
    text = client.post("/people/invite", data={"role": "helper", "bed": "Garlic Bed"}).text
    code = re.search(r"code=([\w-]+)", text).group(1)  # type: ignore[union-attr]
    client.cookies.clear()
    assert client.get(f"/accept?code={code}").status_code == 200
    sent = {"code": code, "name": "<script>alert(1)</script>", "phrase": PHRASE}
    assert client.post("/accept", data=sent).status_code == 303
    assert client.post("/accept", data=sent | {"name": "Eve"}).status_code == 422
    assert client.get(f"/accept?code={code}").status_code == 404
    client.cookies.clear()
    enter(client, "Ada")
    people = client.get("/people").text
    assert "<script>alert" not in people and "&lt;script&gt;alert" in people
    admit_people.invite_person(where, "old", Role.LEAD, None, ("Ada", moment - admit_people.INVITATION))
    assert not admit_people.is_open(where, "old", moment + timedelta(seconds=1))


def test_the_only_lead_stays_and_whoever_leaves_is_signed_out(shared: TestClient, record: Path, open_page: Opening):
    where = Where(str(record))
    with pytest.raises(InputFault, match="only lead"):
        admit_people.change_role(where, "ada", Role.VIEWER, None)
    enter(shared, "Bo")
    admit_people.change_role(where, "bo", None, None)
    assert shared.get("/").status_code == 303


def test_neither_phrase_nor_token_lies_in_the_record(shared: TestClient, record: Path):
    enter(shared, "Ada")
    token = shared.cookies[COOKIE]
    kept = b"".join(one.read_bytes() for one in record.parent.glob("record.sqlite*"))
    assert b"$argon2id$" in kept
    assert PHRASE.encode() not in kept and token.encode() not in kept


@pytest.mark.parametrize("text", ["' OR 1=1 --", "{{ 7*7 }}", "Ada\x00", "x" * 3000, "../../etc/passwd"])
def test_hostile_names_are_only_names(shared: TestClient, text: str):
    answer = shared.post("/sign-in", data={"name": text, "phrase": text})
    assert answer.status_code in (403, 422)
    assert "49" not in re.sub(r"v=\w+", "", answer.text.split("<main")[1].split("</main>")[0])


def test_over_https_the_session_is_bound_to_it(open_page: Opening, record: Path):
    add(record, "Ada", Role.LEAD)
    told = open_page(sign_in=True, secure=True).post("/sign-in", data={"name": "Ada", "phrase": PHRASE}).headers
    assert told["set-cookie"].startswith("__Host-") and "Secure" in told["set-cookie"]


def test_the_people_are_a_tap_away_for_the_lead_alone(shared: TestClient, open_page: Opening):
    assert enter(shared, "Ada") == 303
    assert 'href="/people"' in shared.get("/").text
    helper = open_page(sign_in=True)
    assert enter(helper, "Bo") == 303
    assert 'href="/people"' not in helper.get("/").text


def test_a_helper_s_map_paper_and_links_hold_their_own_beds(shared: TestClient):
    assert enter(shared, "Bo") == 303
    for path in ("/map", "/print", "/show"):
        text = shared.get(path).text
        assert "Wren" not in text, path
    assert shared.get("/print/labels.pdf?bed=Wren%20Bed").status_code == 404
    assert shared.get("/bed/Wren%20Bed/card").status_code == 404
    assert shared.post("/show/link", data={"lasts": "14"}).status_code == 403
    assert shared.post("/season/again").status_code == 403
