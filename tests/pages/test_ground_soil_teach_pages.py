"""Checks of the ground, the soil over the years, and sheets to teach with, on the page."""

from __future__ import annotations

import html
import io
import struct
import zlib
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from urllib.parse import quote

import pytest
from fastapi.testclient import TestClient

from mullbed.domain.record import entry_id
from mullbed.domain.record_seen import FieldChecked
from mullbed.domain.signing import Where
from mullbed.store.database import open_record
from mullbed.store.journal import every_entry, gardens
from mullbed.usecases.log_line import Line, log_check, log_photo, log_soil_test
from pages.conftest import signed

BED = {"bed": "Garlic Bed"}


def checks_of(record: Path) -> list[FieldChecked]:
    with open_record(str(record)) as kept, kept.reading() as transaction:
        (garden,) = gardens(transaction)
        return [one.facts for one in every_entry(transaction, garden) if isinstance(one.facts, FieldChecked)]


def sent(client: TestClient, **fields: object) -> str:
    """Send a check and return the page it leads to."""
    answer = client.post("/ground", data={"job": "checked", **BED, **fields})
    assert answer.status_code == 303, html.unescape(answer.text)[-900:]
    return html.unescape(client.get(answer.headers["location"]).text)


def test_every_check_of_the_list_opens_with_its_steps(client: TestClient):
    page = client.get("/ground", params=BED).text
    addresses = sorted({part.split('"')[0] for part in page.split('href="/ground/')[1:]})
    assert len(addresses) >= 14
    for address in addresses:
        answer = client.get("/ground/" + html.unescape(address))
        assert answer.status_code == 200, address
        assert ('<ol class="steps">' in answer.text and "Write it down" in answer.text) or "jar" in address


def test_five_rings_are_scored_from_their_times(client: TestClient, record: Path):
    page = sent(
        client, check="infiltration", value=["3:00", "200", "4:00", "", ""], bore="6 in", rain="2", depth="10 cm"
    )
    assert "Written down." in page
    assert "rapid" in page and "in/h" in page
    (kept,) = checks_of(record)
    assert kept.readings == pytest.approx((20.0, 18.0, 15.0))  # known: one inch in 3 min is 20 in/h
    assert (kept.days_since_rain, kept.depth, kept.operator) == (2, pytest.approx(0.1), "Ada")


def test_a_strip_without_its_unit_keeps_nothing(client: TestClient, record: Path):
    answer = client.post("/ground", data={"job": "checked", **BED, "check": "nitrate", "value": "50"})
    assert answer.status_code == 422 and "factor of four" in answer.text
    assert not checks_of(record)
    page = sent(client, check="nitrate", value="50 60", reads="nitrate")
    assert checks_of(record)[0].readings == pytest.approx((11.3, 13.56))  # x 0.226
    assert "between" in page


def test_a_squeeze_is_ticked_and_a_colour_typed(client: TestClient, record: Path):
    sent(client, check="layer_moisture", value=["few drops", "holds together"])
    sent(client, check="colour", value="10YR 3/2 10YR 4/2")
    squeezed, colour = checks_of(record)
    page = sent(client, check="jar", value="4/6.8/8")
    assert ": 15 %, loam on Garlic Bed" in page  # known: 50 % sand, 35 % silt, 15 % clay
    assert squeezed.readings == (55.0, 45.0)
    assert colour.word == "10YR 3/2" and colour.readings == (3.0, 4.0)


def test_a_check_that_waited_on_a_phone_is_kept_once(client: TestClient, record: Path):
    moment = datetime(2027, 6, 9, 7, tzinfo=UTC)
    fields = [["job", "checked"], ["bed", "Garlic Bed"], ["check", "worms"], ["value", "6 9 12"]]
    note = {"id": entry_id(moment, bytes(10)), "path": "/ground", "fields": fields}
    note |= {"written_at": moment.isoformat(), "sent_at": (moment + timedelta(hours=2)).isoformat()}
    assert client.post("/field", json=[note]).json()[0]["state"] == "kept"
    assert client.post("/field", json=[note]).json()[0]["state"] == "known"
    assert [one.readings for one in checks_of(record)] == [(6.0, 9.0, 12.0)]


def test_the_timer_is_a_help_and_no_need(client: TestClient):
    page = client.get("/ground/infiltration", params=BED).text
    assert page.count('name="value"') == 5 and page.count("data-ring=") == 5
    assert page.count("hidden>Poured") == 5, "without script no button stands there that does nothing"
    assert "Without the buttons" in page
    script = client.get("/static/ring-timer.js")
    assert script.status_code == 200 and len(script.content) < 6000


def test_a_jar_is_read_when_stokes_says(client: TestClient):
    page = client.get("/ground/jar/times", params={"column": "10 cm", "warmth": "20"}).text
    assert '<span class="the-number">45</span>' in page  # published with the check: 45 s and 7.7 h
    assert '<span class="the-number">7.7</span>' in page
    colder = client.get("/ground/jar/times", params={"column": "10 cm", "warmth": "10"}).text
    assert '<span class="the-number">10.0</span>' in colder  # derived: 10.0 h with water of 1.307 mPa s


def test_the_soil_over_the_years_is_held_against_a_test(client: TestClient, record: Path):
    plain = client.get("/soil", params=BED | {"years": "3"})
    assert plain.status_code == 200
    assert "No soil test" in plain.text and plain.text.count("<svg") >= 4
    log_soil_test(Line(Where(str(record)), signed(), date(2027, 3, 20)), "Garlic Bed", organic_matter=0.044)
    tested = html.unescape(client.get("/soil", params=BED | {"years": "3"}).text)
    assert "came 4.4" in tested
    assert client.get("/soil/outlook.pdf", params=BED).content.startswith(b"%PDF")
    table = client.get("/soil/outlook.csv", params=BED | {"years": "1"}).text
    assert table.startswith("bed,date,thing") and "organic_matter" in table
    assert client.get("/soil", params={"bed": "Nowhere"}).status_code == 404


def test_claims_and_lessons_are_shown_and_printed(client: TestClient):
    page = html.unescape(client.get("/teach").text)
    lessons = sorted({part.split('"')[0] for part in page.split('href="/teach/lesson/')[1:]})
    assert len(lessons) == 7
    claims = html.unescape(client.get("/teach/claims").text)
    assert "Layers act many times faster than a pile" in claims and "What would settle it" in claims
    assert client.get("/teach/claims.pdf").content.startswith(b"%PDF")
    for one in lessons:
        shown = client.get(f"/teach/lesson/{one}")
        assert shown.status_code == 200 and '<svg class="chart"' in shown.text, one
    assert client.get(f"/teach/lesson/{lessons[0]}/sheet.pdf").content.startswith(b"%PDF")
    assert client.get("/teach/lesson/none").status_code == 404


def a_picture(shade: int) -> bytes:
    """Return a small PNG."""

    def chunk(kind: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))

    rows = b"".join(b"\0" + bytes([shade, 90, 60]) * 24 for _ in range(16))
    head = struct.pack(">IIBBBBB", 24, 16, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")


def test_before_and_after_shows_photographs_and_what_was_read_twice(client: TestClient, record: Path, tmp_path: Path):
    empty = html.unescape(client.get("/teach/before-after", params=BED).text)
    assert "too early to show a change" in empty and "weak" in empty
    where = Where(str(record))
    for shade, day in ((60, date(2026, 5, 3)), (200, date(2027, 5, 1))):
        file = tmp_path / f"{shade}.png"
        file.write_bytes(a_picture(shade))
        log_photo(Line(where, signed(), day), file, bed="Garlic Bed", place="the gate")
    log_check(Line(where, signed("Ada"), date(2026, 5, 3)), "worms", ["4", "5", "3"], bed="Garlic Bed")
    log_check(Line(where, signed("Bo"), date(2027, 5, 1)), "worms", ["9", "8", "10"], bed="Garlic Bed")
    page = html.unescape(client.get("/teach/before-after", params=BED).text)
    assert "Garlic Bed, then and now: 1 thing was read twice" in page
    assert "9, 1 May 2027" in page
    assert "another operator" in page and "+125%" in page
    assert "Both from one place: the gate." in page
    sources = [part.split('"')[0] for part in page.split('src="/teach/photo/')[1:]]
    assert len(sources) == 2
    assert client.get(f"/teach/photo/{sources[0]}").content == a_picture(60)
    assert client.get(f"/teach/photo/{quote('0' * 64)}").status_code == 404
    pdf = client.get("/teach/before-after.pdf", params=BED).content
    from pypdf import PdfReader

    assert "another operator" in " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())


def test_a_soil_test_is_typed_with_its_method_and_stands_in_the_list(client: TestClient, record: Path):
    form = BED | {"value.organic matter": "4,2", "value.phosphorus": "61", "value.pH": "6.4", "laboratory": "Hill Test"}
    refused = client.post("/soil/tests", data=form)
    assert refused.status_code == 422 and "without its method" in html.unescape(refused.text)
    assert "None yet" in client.get("/soil/tests", params=BED).text
    answer = client.post("/soil/tests", data=form | {"method": "Bray 1", "depth": "20 cm"})
    assert answer.status_code == 303
    page = html.unescape(client.get(answer.headers["location"]).text)
    assert "Written down." in page
    assert "9 June 2027, 0-20 cm, Hill Test" in page
    assert "phosphorus 61 mg/kg (Bray 1)" in page and "phosphorus class very high" in page
    assert client.post("/soil/tests", data=form | {"method": "Bray 1", "value.pH": "64"}).status_code == 422
    assert "came 4.2" in html.unescape(client.get("/soil", params=BED | {"years": "1"}).text)


def test_a_laboratory_table_is_brought_in_once_and_its_faults_told_at_once(client: TestClient):
    good = b"Parcel;OM [%];pH\nGarlic Bed;3,9;6,6\nGate Bed;4,4;6,9\n"
    columns = {"columns": "bed=Parcel"}
    answer = client.post("/soil/tests/bring", files={"table": ("report.csv", good)}, data=columns)
    assert answer.status_code == 303
    assert "Organic matter 3.9" in client.get("/soil/tests", params=BED).text
    again = client.post("/soil/tests/bring", files={"table": ("report.csv", good)}, data=columns)
    assert "known=2" in again.headers["location"] and "&id=" not in again.headers["location"]
    bad = b"Parcel,K,pH\nGarlic Bed,3,66\nNowhere,4,6\n"
    told = client.post("/soil/tests/bring", files={"table": ("report.csv", bad)}, data=columns | BED)
    words = html.unescape(told.text)
    assert told.status_code == 422 and "66" in words and "no unit" in words and "Nothing was kept." in words
    for name, content in (("x.xlsx", b"no archive"), ("x.csv", b"\xff\xfe\x00"), ("x.csv", b"")):
        assert client.post("/soil/tests/bring", files={"table": (name, content)}, data=BED).status_code == 422, name


def test_a_spreadsheet_that_would_swell_is_refused_before_it_is_opened(client: TestClient):
    import zipfile

    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/sharedStrings.xml", b"0" * 90_000_000)
    assert len(packed.getvalue()) < 200_000
    answer = client.post("/soil/tests/bring", files={"table": ("bomb.xlsx", packed.getvalue())}, data=BED)
    assert answer.status_code == 422 and "90 MB when opened" in answer.text
