"""The card as printed: a picture with exact corners, and a page of two to cut out."""

import io
import json
import re
from pathlib import Path

import numpy as np
import pypdf
import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from PIL import Image

from caseboard.lib.pdf.parent import Paper
from caseboard.sheets.picture_card import (
    BACK_MM,
    BASE_MM,
    PAGE_MM,
    card_html,
    card_pdf,
    card_picture,
)
from measurements.hoof.pictures.card_codes import CARDS
from measurements.hoof.pictures.card_face import FACE_HEIGHT_MM
from measurements.hoof.pictures.card_find import card_find
from tests.cast import Cast


@pytest.mark.parametrize("dpi", [72, 150, 300, 601.5])
def test_the_card_is_found_on_its_own_picture_where_it_says(tmp_path: Path, dpi: float) -> None:
    out, said = tmp_path / "card.png", io.StringIO()
    call_command("picture_card", "--out", str(out), "--dpi", str(dpi), "--number", "9", stdout=said)
    told = json.loads(said.getvalue())
    with Image.open(out) as picture:
        card = card_find(np.asarray(picture))
        assert picture.info["dpi"][0] == pytest.approx(dpi, abs=0.1)
    assert card is not None
    assert (card.number, told["side_mm"]) == (9, 60.0)
    assert card.corners_px == pytest.approx(np.array(told["corners_px"]), abs=0.1)


@pytest.mark.parametrize("number", range(1, CARDS + 1))
def test_every_card_is_found_with_its_words(number: int) -> None:
    card = card_find(np.asarray(card_picture(number, dpi=72)[0]))
    assert card is not None
    assert (card.number, card.mirrored) == (number, False)


def test_folded_it_stands_upright() -> None:
    assert pytest.approx(FACE_HEIGHT_MM**2 + BASE_MM**2) == BACK_MM**2


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_two_cards_are_one_page_within_what_printers_reach(paper: Paper) -> None:
    pdf = pypdf.PdfReader(io.BytesIO(card_pdf(60, paper)))
    [page] = pdf.pages
    width, height = PAGE_MM[paper]
    assert float(page.mediabox.width) / 72 * 25.4 == pytest.approx(width, abs=0.2)
    assert float(page.mediabox.height) / 72 * 25.4 == pytest.approx(height, abs=0.2)
    text = " ".join(page.extract_text().split())
    for words in ("Card 60", "Card 1", "100 mm", "Nobody kneels", "faces the camera"):
        assert words in text
    html = card_html(60, paper)
    tops = [
        float(top)
        for _, top in re.findall(r'<g transform="translate\(([\d.]+) ([\d.]+)\)">\n<rect', html)
    ]
    assert len(tops) == 4  # two strips, and the face in each
    assert min(tops) >= 6  # mm; most printers leave 5 at most


def test_who_is_signed_in_prints_the_card(client: Client, cast: Cast) -> None:
    path = reverse("picture_card_pdf")
    assert client.get(path).status_code == 302
    client.force_login(cast.owner)
    for asked in ("", "?number=60&paper=letter", "?number=99", "?number=x", "?number=٣"):
        answer = client.get(path + asked)
        assert answer["Content-Type"] == "application/pdf"


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be written"):
        call_command("picture_card", "--out", str(tmp_path / "none" / "card.png"))
