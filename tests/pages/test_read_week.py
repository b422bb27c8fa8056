"""A chart is read by tapping: a week in words, the weeks beside it one tap away, without any script."""

from __future__ import annotations

import html
import re

from fastapi.testclient import TestClient


def test_a_tap_on_the_chart_reads_a_week_that_stands_in_the_table(client: TestClient):
    text = client.get("/bed/Garlic%20Bed").text
    taps = re.findall(r'<a href="(/bed/Garlic%20Bed\?week=[\d-]+)#read">', text)
    assert len(taps) == 6 and "Tap the picture to read a week." in text
    read = html.unescape(client.get(taps[3]).text)
    sentence = re.search(r'id="read".*?<p class="strong">(Week of ([^:]+): given (\S+) [^<]*)</p>', read, re.S)
    assert sentence, read[:200]
    row = re.search(rf'<th scope="row">{sentence.group(2)}</th><td>(\S+)', read)
    assert row is not None and row.group(1) == sentence.group(3)
    assert read.count('stroke-dasharray="7 4"') == 1


def test_the_weeks_beside_it_are_reached_and_the_edges_hold(client: TestClient):
    taps = re.findall(r'<a href="(/bed/Garlic%20Bed\?week=([\d-]+))#read">', client.get("/bed/Garlic%20Bed").text)
    first = client.get("/bed/Garlic%20Bed?week=2027-06-09").text
    assert "Week before" not in first and "Week after" in first
    middle = client.get(taps[2][0]).text
    assert "Week before" in middle and "Week after" in middle
    for nonsense in ("soon", "2031-01-01", "<script>", "2027-06-01"):
        answer = client.get("/bed/Garlic%20Bed", params={"week": nonsense})
        assert answer.status_code == 200 and "Tap the picture" in answer.text and "<script>" not in answer.text
