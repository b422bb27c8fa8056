"""Attacks on every page, form and answer: script, SQL, templates, paths, headers, floods, other people's things.

The addresses are taken from the application itself, so that a new one is attacked as soon as it is there.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from urllib.parse import quote, urlencode

import pytest
from fastapi.routing import APIRoute
from fastapi.testclient import TestClient

from mullbed.domain.people import Role
from mullbed.domain.record import entry_id
from mullbed.domain.signing import Signature, Where
from mullbed.store.database import open_record
from mullbed.store.journal import count, every_entry, gardens
from mullbed.usecases import invite_person as admit_people
from mullbed.usecases.create_garden import create_garden
from mullbed.usecases.invite_person import Attempt
from mullbed.web.writing import JOBS

Opening = Callable[..., TestClient]
DAY = date(2027, 6, 9)
PHRASE = "wet barrow odd lantern"
MARK = "h7q"
"""Every payload holds it, so that what came back is found."""
SCRIPT = f"<script>{MARK}()</script>"
PAYLOADS = {
    "markup and statements": (
        f"{SCRIPT}\"><img src=x onerror={MARK}()>'><svg onload={MARK}()>'; DROP TABLE entries; --' OR '1'='1"
        f" {{{{ 1333*3 }}}}${{1333*3}}{{% raw %}}#eval(1333*3)"
    ),
    "address": f"javascript:{MARK}()",
    "path": f"../../../../etc/passwd\r\nset-cookie: {MARK}=1\r\n\r\n<b>\u202e",
}
each_payload = pytest.mark.parametrize("payload", PAYLOADS.values(), ids=PAYLOADS)
FIELDS = [
    "account",
    "although",
    "amount",
    "at",
    "back",
    "batch",
    "because",
    "bed",
    "beds",
    "by",
    "cans",
    "climate",
    "code",
    "container",
    "count",
    "crop",
    "decimal",
    "decision",
    "digest",
    "enough",
    "entry",
    "example",
    "feel",
    "fresh",
    "garden",
    "grows",
    "half",
    "id",
    "invited",
    "job",
    "know",
    "language",
    "last",
    "lasts",
    "latitude",
    "length.0",
    "lift",
    "mark",
    "mass",
    "n.leaf",
    "name",
    "name.0",
    "on_soil",
    "origin",
    "phrase",
    "put_back",
    "role",
    "sign",
    "skip",
    "sown",
    "sprayed",
    "step",
    "take",
    "text",
    "then",
    "unit",
    "units",
    "verdict",
    "water",
    "what",
    "when",
    "word",
    "words",
]
DO_WITHOUT_BEING_TOLD = frozenset(
    {"/ahead", "/begin/anew", "/people/invite", "/season/again", "/season/stop", "/show/end", "/show/link", "/sign-out"}
)
"""These do what they are for, whatever is sent with it."""
HELPERS_MAY = frozenset(
    {
        "/accept",
        "/api/entries",
        "/api/entries/take-back",
        "/bed/{name}/card",
        "/bed/{name}/lay",
        "/did",
        "/field",
        "/ground",
        "/in-hand",
        "/noticed",
        "/phrase",
        "/reading",
        "/sign-in",
        "/sign-out",
        "/soil/tests",
        "/take-back",
        "/trial/{name}/read",
    }
)
"""Where a helper may send something. Whoever adds an address here says that a helper may write there."""


def routes(client: TestClient, method: str) -> list[str]:
    """Return every address of the application that answers a method, as a pattern."""
    found, stack = set(), list(client.app.routes)  # type: ignore[attr-defined]
    while stack:
        route = stack.pop()
        inner = getattr(route, "original_router", None) or getattr(route, "router", None)
        if inner is not None:
            stack.extend(inner.routes)
        if isinstance(route, APIRoute) and method in route.methods:
            found.add(route.path)
    return sorted(found)


def filled(pattern: str, value: str = "Garlic Bed") -> str:
    return re.sub(r"\{[^}]+\}", quote(value, safe=""), pattern)


def harmless(text: str, where: str) -> None:
    """See that nothing of a payload runs: no tag, no attribute, no address, no sum of a template."""
    assert SCRIPT not in text, where
    for tag in re.findall(r"<[a-zA-Z][^>]*>", text):
        assert not re.search(rf"\s(?:on\w+|style|srcdoc)\s*=\s*[\"']?[^>]*{MARK}", re.sub(r'"[^"]*"', '""', tag)), tag
        assert not re.search(r"(?:href|src|action|formaction)\s*=\s*[\"']?\s*javascript:", tag, re.I), tag
    assert "3999" not in text, f"a template ran: {where}"
    assert "root:x:0" not in text, f"a file was read: {where}"
    assert "Traceback" not in text and "sqlalchemy" not in text, where


def entries_in(record: Path) -> int:
    with open_record(str(record)) as kept, kept.reading() as transaction:
        return count(transaction)


def note(**fields: str) -> dict[str, object]:
    return {"id": entry_id(datetime.now(UTC), os.urandom(10)), "fields": [list(pair) for pair in fields.items()]}


@pytest.fixture
def shared(open_page: Opening, record: Path) -> TestClient:
    """Return a shared garden: Ada leads, Bo helps on one bed, Cy looks on."""
    where, moment = Where(str(record)), datetime.now(UTC)
    people = (("Ada", Role.LEAD, None), ("Bo", Role.HELPER, frozenset({"Garlic Bed"})), ("Cy", Role.VIEWER, None))
    for name, role, beds in people:
        admit_people.invite_person(where, name, role, beds, ("Ada", moment))
        admit_people.accept_invitation(where, name, Attempt(name, PHRASE, "test"), name.lower(), moment)
    return open_page(sign_in=True)


def enter(client: TestClient, name: str) -> None:
    client.cookies.clear()
    assert client.post("/sign-in", data={"name": name, "phrase": PHRASE}).status_code == 303


# ---- what is asked in an address ------------------------------------------------------------------------------


@each_payload
def test_nothing_in_an_address_runs_reads_a_file_or_breaks_a_page(client: TestClient, payload: str, record: Path):
    before = entries_in(record)
    everything = urlencode([(field, payload) for field in FIELDS])
    beside_a_bed = urlencode(
        [("bed", "Garlic Bed"), *((name, payload) for name in ("sign", "know", "skip", "id", "take"))]
    )
    for pattern in routes(client, "GET"):
        for path, query in ((filled(pattern, payload), everything), (filled(pattern), beside_a_bed)):
            answer = client.get(f"{path}?{query}")
            assert answer.status_code < 500, f"{path}?{query}: {answer.status_code}"
            assert "set-cookie" not in answer.headers
            if answer.is_redirect:
                assert answer.headers["location"].startswith("/") and "\n" not in answer.headers["location"]
            elif "html" in answer.headers["content-type"] or "svg" in answer.headers["content-type"]:
                harmless(answer.text, f"{path}?{query}")
            else:
                assert answer.headers["x-content-type-options"] == "nosniff" and "root:x:0" not in answer.text
    assert entries_in(record) == before


# ---- what is written down -------------------------------------------------------------------------------------


def every_note(payload: str) -> Iterator[dict[str, str]]:
    """Return a form of every job with a payload in each of its text fields in turn, the others being sound."""
    sound: dict[str, dict[str, str]] = {
        "note": {"text": "Frogs"},
        "water": {"amount": "20 l"},
        "layer": {"lift": "grass clippings: 1 bucket", "although": "", "words": ""},
        "drawn back": {"put_back": "no"},
        "sown": {"crop": "kale"},
        "picked": {"crop": "garlic", "mass": "1 kg"},
        "noticed": {"sign": "sharp"},
        "looked": {"what": "squeeze", "word": "crackles"},
        "counted": {"name": "our lawn", "count": "2"},
        "came in": {"what": "straw_general", "count": "2", "container": "bale", "origin": "a farm", "because": "dry",
                    "decision": "hold and test", "sprayed": "yes"},
        "weighed": {"what": "straw_general", "container": "bale", "mass": "12 kg"},
        "beans sown": {"batch": "straw"},
        "beans read": {"batch": "straw", "verdict": "clear"},
        "checked": {"check": "worms", "value": "9", "operator": "Bo"},
        "plots read": {"trial": "Garlic Bed", "measure": "harvest", "plot.P01": "2", "operator": "Bo"},
    }  # fmt: skip
    for job, fields in sound.items():
        for name in (*fields, "words", "bed", "job"):
            yield {"job": job, "bed": "Garlic Bed"} | fields | {name: payload}


@each_payload
def test_nothing_that_is_written_down_runs_when_it_is_shown(client: TestClient, payload: str, record: Path):
    asked = {"asked": "yes", "blocks": "4", "name": "Garlic Bed", "question": payload, "own": payload}
    ways = {"way": ["layers as planned", "the grower's own way"]}
    assert client.post("/trials/new", data=asked | ways).status_code == 303
    assert client.post("/trial/Garlic%20Bed/lock").status_code == 303
    for form in every_note(payload):
        answer = client.post("/did", data=form)
        assert answer.status_code in (303, 403, 404, 422), f"{form}: {answer.status_code}"
        if answer.status_code != 303:
            harmless(answer.text, str(form))
    batch = [note(**form) for form in every_note(payload)]
    told = client.post("/api/entries", json=batch)
    kept = {
        dict(one["fields"])["job"]  # type: ignore[call-overload]
        for one, answer in zip(batch, told.json(), strict=True)
        if answer["state"] == "kept"
    }
    assert kept == set(JOBS), "each job takes hostile words as words"
    for pattern in routes(client, "GET"):
        if "pdf" not in pattern and "look" not in pattern:
            answer = client.get(filled(pattern), params={"bed": "Garlic Bed"})
            assert answer.status_code < 500, pattern
            if "html" in answer.headers.get("content-type", ""):
                harmless(answer.text, pattern)
    if "script" in payload and "<" in payload:
        assert f"&lt;script&gt;{MARK}" in client.get("/bed/Garlic%20Bed").text, "the note is shown, as text"


def test_hostile_names_of_garden_beds_and_heaps_are_shown_as_text_alone(open_page: Opening, tmp_path: Path):
    from importlib.resources import files

    text = Path(str(files("mullbed.files").joinpath("demo/garden.toml"))).read_text(encoding="utf-8")
    hostile = f"<script>{MARK}()</script>' onload={MARK}()"
    for name in ("Garlic Bed", "Tanglewick", "Gate Bed"):
        text = text.replace(f'"{name}"', json.dumps(f"{name} {hostile}"))
    text = re.sub(r'(?m)^(name = ")(our lawn|leaf stack)"', rf"\1\2 {hostile}" + '"', text)
    folder = Path(str(files("mullbed.files").joinpath("demo")))
    for beside in folder.iterdir():
        if beside.is_file() and beside.name != "garden.toml":
            (tmp_path / beside.name).write_bytes(beside.read_bytes())
    (tmp_path / "garden.toml").write_text(text, encoding="utf-8")
    where = Where(str(tmp_path / "hostile.sqlite"))
    signed = Signature("Ada", datetime(2026, 3, 1, tzinfo=UTC), date(2027, 3, 1), lambda: os.urandom(10))
    create_garden(tmp_path / "garden.toml", where, signed)
    client = open_page(where=where)
    bed = f"Garlic Bed {hostile}"
    shown = 0
    for pattern in routes(client, "GET"):
        if "pdf" in pattern:
            continue
        answer = client.get(filled(pattern, bed), params={"bed": bed})
        assert answer.status_code < 500, pattern
        if not any(kind in answer.headers.get("content-type", "") for kind in ("json", "csv")):
            harmless(answer.text, pattern)
            shown += f"&lt;script&gt;{MARK}" in answer.text
    assert shown >= 8


# ---- files ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "path",
    [
        "../../../../etc/passwd",
        "..%2f..%2f..%2fetc%2fpasswd",
        "%2e%2e%2f%2e%2e%2fapp.py",
        "....//app.py",
        "/etc/passwd",
    ],
)
def test_no_address_leads_out_of_its_folder(client: TestClient, path: str):
    for base in ("/static/", "/bed/", "/look/", "/api/beds/", "/api/entries/", "/look/x/"):
        answer = client.get(f"{base}{path}")
        assert answer.status_code in (404, 405), f"{base}{path}: {answer.status_code}"
        assert "root:x:0" not in answer.text and "def build_app" not in answer.text


@pytest.mark.parametrize("named", ["/etc/passwd", "../../../../../../etc/passwd", "C:\\\\secret.csv"])
def test_a_garden_file_that_is_brought_cannot_name_a_file_of_the_server(open_page: Opening, tmp_path: Path, named: str):
    client = open_page(where=Where(f"{tmp_path}/new.sqlite"))
    text = (
        '[site]\nname = "X"\nlatitude = 47.0\n[season]\nfirst_day = 2027-03-01\nlast_day = 2027-09-01\n'
        f'[weather]\ndaily_file = "{named}"\n[soil]\ntexture = "loam"\norganic_matter = "3 %"\n'
        '[[beds]]\nname = "One"\nsize = "1 m x 3 m"\n'
    )
    answer = client.post("/begin/bring", files={"garden": ("garden.toml", text.encode(), "text/plain")})
    assert answer.status_code == 422
    assert "root:" not in answer.text and "daemon" not in answer.text
    assert client.get("/").headers["location"] == "/begin"


# ---- floods ---------------------------------------------------------------------------------------------------


def test_a_file_that_would_unpack_to_a_flood_is_read_as_what_it_is_no_text(open_page: Opening, tmp_path: Path):
    import gzip
    import io
    import zipfile

    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("garden.toml", b"\0" * 8_000_000)
    client = open_page(where=Where(f"{tmp_path}/new.sqlite"))
    for bomb in (packed.getvalue(), gzip.compress(b"\0" * 8_000_000)):
        answer = client.post("/begin/bring", files={"garden": ("garden.toml", bomb, "text/plain")})
        assert answer.status_code == 422
    packed_body = gzip.compress(b"job=note&text=" + b"a" * 10_000_000)
    told = {"content-encoding": "gzip", "content-type": "application/x-www-form-urlencoded"}
    assert client.post("/did", content=packed_body, headers=told).status_code == 422, "a packed form is not unpacked"


@pytest.mark.parametrize(
    ("body", "kind"),
    [
        (b"&".join(b"f%d=1" % number for number in range(500)), "application/x-www-form-urlencoded"),
        (b"job=note&bed=Garlic+Bed&text=" + b"a" * 2100, "application/x-www-form-urlencoded"),
        (b"&" * 250_000, "application/x-www-form-urlencoded"),
        (b"[" * 200_000, "application/json"),
        (b'{"a":' * 40_000, "application/json"),
        (b'[{"id": "x", "fields": ' + b"[" * 60_000, "application/json"),
        (b"1" * 200_000, "application/json"),
        (b"--x\r\n" * 40_000, "multipart/form-data; boundary=x"),
    ],
)
def test_a_body_made_to_tire_the_server_is_refused_and_nothing_is_kept(
    client: TestClient, record: Path, body: bytes, kind: str
):
    before = entries_in(record)
    for path in routes(client, "POST"):
        if path in DO_WITHOUT_BEING_TOLD:
            continue
        answer = client.post(filled(path), content=body, headers={"content-type": kind})
        assert answer.status_code in (303, 400, 403, 404, 413, 422), f"{path}: {answer.status_code}"
    assert entries_in(record) == before


def test_a_long_address_is_answered_and_not_kept(client: TestClient):
    answer = client.get("/bed/" + "x" * 5000, params={"id": "y" * 50_000})
    assert answer.status_code in (404, 422) and len(answer.text) < 20_000


# ---- other pages, other hosts ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "https://evil.test"},
        {"origin": "null"},
        {"origin": ""},
        {"sec-fetch-site": "cross-site", "origin": ""},
    ],
)
def test_no_form_is_taken_from_another_page(shared: TestClient, record: Path, headers: dict[str, str]):
    enter(shared, "Ada")
    before = entries_in(record)
    for path in routes(shared, "POST"):
        assert shared.post(filled(path), data={"job": "note"}, headers=headers).status_code == 403, path
    assert entries_in(record) == before


def test_no_address_answers_under_a_strange_host_and_none_repeats_one(shared: TestClient):
    for path in routes(shared, "GET"):
        assert shared.get(filled(path), headers={"host": "evil.test"}).status_code == 421, path
    enter(shared, "Ada")
    for name in ("x-forwarded-host", "x-host", "forwarded", "x-original-url", "x-rewrite-url"):
        told = shared.post("/people/invite", data={"role": "helper"}, headers={name: "evil.test"})
        assert told.status_code == 200 and "evil.test" not in told.text, name


@pytest.mark.parametrize(
    "back",
    [
        "//evil.test",
        "/\\evil.test",
        "https://evil.test",
        "/\t/evil.test",
        "\\\\evil.test",
        "javascript:alert(1)",
        "/%0d%0a",
    ],
)
def test_nobody_is_led_away(client: TestClient, back: str):
    sent = note(job="note", bed="Garlic Bed", text="x")
    client.post("/api/entries", json=[sent])
    answer = client.post("/take-back", data={"id": sent["id"], "back": back})
    place = answer.headers["location"]
    assert place.startswith("/") and not place.startswith(("//", "/\\")) and "evil" not in place.split("?")[0]
    answer = client.post("/noticed", data={"job": "noticed", "bed": "Garlic Bed", "sign": "sharp", "then": back})
    assert answer.headers["location"].startswith("/noticed")


# ---- other people's things ------------------------------------------------------------------------------------


def test_a_helper_sends_nothing_but_where_it_is_said_that_helpers_may(shared: TestClient, record: Path):
    enter(shared, "Bo")
    before = entries_in(record)
    for path in routes(shared, "POST"):
        if path not in HELPERS_MAY:
            assert shared.post(filled(path), data={"role": "lead", "account": "bo"}).status_code == 403, path
    jobs = {form["job"]: form for form in every_note("x") if form["job"] != "x"}
    for bed in ("Gate Bed", " gate bed"):
        for form in jobs.values():
            form = form | {"bed": bed, "words": "", "although": ""}
            for path in ("/did", "/noticed", "/in-hand", f"/bed/{quote(bed)}/lay", f"/bed/{quote(bed)}/card"):
                shared.post(path, data=form)
    with open_record(str(record)) as kept, kept.reading() as transaction:
        (garden,) = gardens(transaction)
        fresh = list(every_entry(transaction, garden))[before:]
    assert not [one for one in fresh if one.bed not in (None, "Garlic Bed")]


def test_nobody_makes_themselves_more_than_they_are(shared: TestClient, record: Path):
    where = Where(str(record))
    for name, role in (("Bo", Role.HELPER), ("Cy", Role.VIEWER)):
        enter(shared, name)
        extra = {"role": "lead", "leads": "yes", "may_write": "true", "beds": "", "account": name.lower()}
        for path in routes(shared, "POST"):
            if path not in ("/sign-in", "/accept", "/sign-out"):
                shared.post(filled(path), data=extra, params=extra)
        for query in ("?role=lead", "?account=ada"):
            shared.get(f"/people{query}")
        assert {one.name: one.role for one in admit_people.list_people(where)}[name] is role
        assert shared.get("/people").status_code == 403


def test_an_invitation_gives_no_more_than_it_says(shared: TestClient, record: Path):
    where, moment = Where(str(record)), datetime.now(UTC)
    admit_people.invite_person(where, "token of Di", Role.VIEWER, None, ("Ada", moment))
    shared.cookies.clear()
    sent = {"code": "token of Di", "name": "Di", "phrase": PHRASE, "role": "lead", "beds": "", "account": "ada"}
    assert shared.post("/accept", data=sent).status_code == 303
    assert {one.name: one.role for one in admit_people.list_people(where)}["Di"] is Role.VIEWER


def test_what_is_not_theirs_and_what_is_not_there_answer_alike(shared: TestClient):
    enter(shared, "Ada")
    others = note(job="note", bed="Gate Bed", text="a secret")
    shared.post("/api/entries", json=[others])
    enter(shared, "Bo")
    nowhere = entry_id(datetime.now(UTC), os.urandom(10))

    def told(identity: str) -> tuple[int, str]:
        answer = shared.get(f"/api/entries/{identity}")
        return answer.status_code, answer.text.replace(identity, "ID")

    assert told(str(others["id"])) == told(nowhere)
    for there, not_there in (("Gate Bed", "Nowhere"), ("Plum Bed", "Else")):
        for path in ("/bed/{}", "/bed/{}/lay", "/bed/{}/did", "/did?bed={}", "/noticed?bed={}", "/api/beds/{}"):
            pages = [shared.get(path.format(quote(name))) for name in (there, not_there)]
            assert pages[0].status_code == pages[1].status_code == 404, path
            assert there not in re.sub(rf"(?i)no bed is called .*?{there}.*?\.", "", pages[0].text), path
    page = shared.get("/did", params={"id": str(others["id"])}).text
    assert "a secret" not in page


def test_an_entry_of_another_garden_is_not_there(open_page: Opening, record: Path, tmp_path: Path):
    from importlib.resources import files

    sound = Path(str(files("mullbed.files").joinpath("demo/garden.toml")))
    where = Where(str(record), "elsewhere")
    create_garden(sound, where, Signature("Eve", datetime.now(UTC), DAY, lambda: os.urandom(10)))
    with open_record(str(record)) as kept, kept.reading() as transaction:
        mine, *_ = (name for name in gardens(transaction) if name != "elsewhere")
        theirs = next(one.id for one in every_entry(transaction, "elsewhere"))
    client = open_page(where=Where(str(record), mine))
    assert client.get(f"/api/entries/{theirs}").status_code == 404
    assert client.post("/api/entries/take-back", json={"ids": [theirs]}).status_code == 404
    assert client.post("/take-back", data={"id": theirs}).status_code == 404


def test_a_session_is_taken_from_the_cookie_alone_and_is_new_each_time(shared: TestClient):
    from mullbed.web.sessions import COOKIE

    enter(shared, "Ada")
    first = shared.cookies[COOKIE]
    answer = shared.post("/sign-in", data={"name": "Ada", "phrase": PHRASE})
    second = answer.cookies[COOKIE]
    assert first != second and len(second) >= 43
    shared.cookies.clear()
    earlier = shared.get("/", headers={"cookie": f"{COOKIE}={first}"})
    assert earlier.status_code == 303, "the earlier session of this browser is over"
    assert shared.get("/", headers={"cookie": f"{COOKIE}={second}"}).status_code == 200
    for way in (
        {"params": {COOKIE: second}},
        {"headers": {"authorization": f"Bearer {second}"}},
        {"headers": {COOKIE: second}},
    ):
        assert shared.get("/", **way).status_code == 303  # type: ignore[arg-type]
