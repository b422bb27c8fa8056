"""The garden from above leads to every bed, in the picture and in the list."""

from __future__ import annotations

import re

from fastapi.testclient import TestClient


def test_the_map_leads_to_the_same_beds_as_its_list(client: TestClient):
    text = client.get("/map").text
    picture, _, rest = text.partition("</svg>\n<p")
    in_picture = re.findall(r'<a href="(/bed/[^"]+)"', picture)
    in_list = re.findall(r'<a href="(/bed/[^"]+)"', rest.partition("</ol>")[0])
    assert len(in_picture) == 12 and sorted(in_picture) == sorted(in_list)
    assert all(client.get(address).status_code == 200 for address in in_picture[:2])
    assert "The garden from above" in client.get("/").text
