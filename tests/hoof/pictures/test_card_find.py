"""The card is found on rendered pictures, its corners to a part of a pixel, and nothing else is.

A short form of tests/bench/pictures/cards.py, which draws five hundred of each.
"""

from functools import cache

import numpy as np
import numpy.typing as npt
import pytest

from measurements.hoof.pictures.card_find import FoundCard, card_find
from tests.hoof.pictures.rendered import Rendered, Shot, random_shot, rendered
from tests.hoof.pictures.textures import false_squares, random_cells

PLAIN = Shot(seed=4, card=17, side_px=90, turn_deg=12, height_deg=6)


@cache
def plain() -> Rendered:
    return rendered(PLAIN)


def found(grey: npt.NDArray[np.uint8]) -> FoundCard:
    card = card_find(grey)
    assert card is not None
    return card


def errors_px(card: FoundCard, corners_px: npt.NDArray[np.float64] | None) -> list[float]:
    assert corners_px is not None
    return [float(each) for each in np.linalg.norm(card.corners_px - corners_px, axis=1)]


def test_the_card_is_found_on_pictures_good_and_bad() -> None:
    rng = np.random.default_rng(2)
    errors: list[float] = []
    for _ in range(16):
        picture = rendered(random_shot(rng))
        card = found(picture.grey)
        assert (card.number, card.mirrored) == (picture.shot.card, False)
        errors += errors_px(card, picture.corners_px)
    assert np.quantile(errors, 0.9) <= 0.4  # the goal is 0.7; measured 0.18
    assert max(errors) <= 1.0


def test_nothing_is_found_where_no_card_is() -> None:
    rng = np.random.default_rng(3)
    assert all(card_find(rendered(random_shot(rng, card=False)).grey) is None for _ in range(10))


@pytest.mark.parametrize("surface", [random_cells, false_squares])
def test_squares_that_only_look_like_a_card_are_none(surface) -> None:
    for seed in range(4):
        tile = surface(np.random.default_rng(seed))
        assert card_find((255 * tile).astype(np.uint8)) is None


@pytest.mark.parametrize(("side_px", "blur_px"), [(50, 1.5), (60, 2.0), (160, 5.0)])
def test_a_small_or_soft_card_is_found(side_px: float, blur_px: float) -> None:
    picture = rendered(Shot(seed=8, side_px=side_px, blur_px=blur_px, turn_deg=10))
    assert max(errors_px(found(picture.grey), picture.corners_px)) <= 1.0


@pytest.mark.parametrize("in_light", [True, False])
def test_light_that_spreads_before_the_tone_curve_does_not_shrink_the_square(
    in_light: bool,
) -> None:
    """Black shrinks by a pixel and a half there; without the shift in the fit this fails."""
    picture = rendered(Shot(seed=5, side_px=150, blur_px=2.0, blur_in_light=in_light, noise=1))
    assert picture.corners_px is not None
    true = np.linalg.norm(
        picture.corners_px - np.roll(picture.corners_px, 1, axis=0), axis=1
    ).mean()
    assert found(picture.grey).side_px == pytest.approx(true, rel=0.003)


@pytest.mark.parametrize("turns", [1, 2, 3])
def test_a_card_lying_on_its_side_or_head_keeps_its_own_corners(turns: int) -> None:
    card, turned = found(plain().grey), found(np.rot90(plain().grey, turns))
    rows, columns = plain().grey.shape
    x, y = card.corners_px.T
    places = {1: (y, columns - 1 - x), 2: (columns - 1 - x, rows - 1 - y), 3: (rows - 1 - y, x)}
    assert turned.number == card.number
    assert turned.corners_px == pytest.approx(np.stack(places[turns], axis=1), abs=0.05)


def test_a_mirrored_picture_is_known_as_mirrored() -> None:
    card, mirrored = found(plain().grey), found(np.ascontiguousarray(plain().grey[:, ::-1]))
    assert (mirrored.number, mirrored.mirrored) == (17, True)
    x, y = card.corners_px.T
    assert mirrored.corners_px == pytest.approx(
        np.stack([plain().grey.shape[1] - 1 - x, y], axis=1), abs=0.05
    )


def test_of_two_cards_the_larger_counts() -> None:
    small = rendered(Shot(seed=1, card=3, side_px=60)).grey
    both = np.concatenate([small, plain().grey], axis=1)
    assert found(both).number == 17


def test_a_large_picture_is_as_exact_as_a_small_one() -> None:
    picture = rendered(Shot(seed=9, side_px=190, width_px=2800, height_px=2100))
    assert max(errors_px(found(picture.grey), picture.corners_px)) <= 0.4


def test_a_card_cut_by_the_rim_is_not_measured() -> None:
    assert plain().corners_px is not None
    left = int(plain().corners_px[:, 0].min()) + 12  # type: ignore[index]
    assert card_find(np.ascontiguousarray(plain().grey[:, left:])) is None


@pytest.mark.parametrize("shape", [(1, 1), (10, 2000), (3000, 30), (64, 64)])
def test_pictures_of_odd_shapes_have_no_card(shape: tuple[int, int]) -> None:
    noise = np.random.default_rng(1).integers(0, 256, shape).astype(np.uint8)
    assert card_find(noise) is None


def test_what_is_no_picture_of_grey_values_is_refused() -> None:
    with pytest.raises(ValueError, match="grey"):
        card_find(np.zeros((40, 40, 3), np.uint8))
    with pytest.raises(ValueError, match="grey"):
        card_find(np.zeros((40, 40)))  # type: ignore[arg-type]
