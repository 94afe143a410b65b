"""From points on a picture to places on a foot: where the line of sight meets the point's plane.

A foot has depth: the toe stands in its middle plane, the heel in front of it. Each of many cameras
that fit sends each point's ray, with the tap's own error, to the plane the point lies in. What
all of them say is the value with its error.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from measurements.hoof.pictures.camera_pose import (
    CENTRE_SD_SHARE,
    FOCAL_SD_LOG,
    Cameras,
    cameras_of,
)
from measurements.hoof.pictures.draws import DRAWS, even_draws, normal_draws
from measurements.hoof.pictures.homography import as_it_stands
from measurements.hoof.pictures.measured import CARD_OFF_MM_SD, Card, Floats, Point
from measurements.hoof.pictures.rotations import rotation

# How the card stands to the plane of the foot's middle, put down by eye: turned about the upright
# and leaning, SD. House defaults.
CARD_TURNED_SD_RAD = math.radians(2.25)
CARD_LEANS_SD_RAD = math.radians(0.8)
# Some cards stand far off it, where the horse or the yard left no other place: how many, and how far,
# SD. House defaults. Every third draw is of that kind, whatever its weight.
FAR_OFF_PART, FAR_OFF_MM_SD, FAR_OFF_EVERY = 0.25, 30.0, 3
# How squarely people stand to a foot, SD: part of what the card is seen turned by is the card's own.
# House default: up to 25 deg; taken narrower, a picture turned that far is not turned back enough.
SQUARE_SD_RAD = math.radians(15.0)
# How a camera is held by eye without a card to tell: turned by up to as much either way, looking a
# little down or up, all alike likely, from arm's length to a few steps. House defaults.
TURNED_BY_EYE_RAD = math.radians(12.0)
LOOKS_DOWN_BY_EYE_RAD, TILTED_BY_EYE_RAD = math.radians(1.75), math.radians(12.0)
NEAREST_MM, FARTHEST_MM = 600.0, 3_000.0


@dataclass(frozen=True)
class Sightings:
    """Rays of all points from all cameras in the frame of the foot: right, down, away from the
    viewer, mm. `origin` (n, 3), `rays` (n, k, 3); `stretch` (n,) is the error of the scale; `weights`
    (n,) how likely each is; `card_turn` (n, 3, 3) takes the card's own frame to the foot's."""

    origin: Floats
    rays: Floats
    stretch: Floats
    weights: Floats
    card_turn: Floats | None = None

    def at(self, nearer_mm: Floats) -> Floats:
        """Places (n, k, 2): right and down, mm, of points so much nearer than the middle plane.

        `nearer_mm` has shape (n, k).
        """
        reach = -nearer_mm - self.origin[:, None, 2]
        with np.errstate(all="ignore"):  # a ray along the plane meets it nowhere: no value then
            steps = reach / self.rays[:, :, 2]
        flat = self.origin[:, None, :2] + steps[:, :, None] * self.rays[:, :, :2]
        return flat * self.stretch[:, None, None]


def tapped(points: Mapping[str, Point], names: Sequence[str], tap_px: float | Floats) -> Floats:
    """Where the named points may truly be, shape (DRAWS, k, 2), px; the taps' error may differ from
    draw to draw (DRAWS,)."""
    placed = np.array([points[name] for name in names], dtype=np.float64)
    error = normal_draws(2 * len(names), "taps").reshape(DRAWS, len(names), 2)
    return placed + np.reshape(tap_px, (-1, 1, 1)) * error


def picture_middle(
    points: Mapping[str, Point], size_px: tuple[float, float] | None
) -> tuple[Floats, float, float]:
    """The middle of the uncut picture (2,), its SD and the long edge, px; guessed from the points
    when the size is not known (a picture that was cut)."""
    if size_px is not None:
        long_edge = max(size_px)
        return np.array(size_px) / 2, CENTRE_SD_SHARE * long_edge, long_edge
    placed = np.array(list(points.values()), dtype=np.float64)
    extent = float(np.ptp(placed, axis=0).max())
    return placed.mean(axis=0), 0.3 * extent, 1.7 * extent


def card_cameras(
    card: Card,
    points: Mapping[str, Point],
    size_px: tuple[float, float] | None,
    focal_px: float | None,
) -> Cameras:
    """The cameras that fit the card."""
    card = as_it_stands(card)
    every = {**points, **{str(n): corner for n, corner in enumerate(card.corners)}}
    centre, centre_sd, long_edge = picture_middle(every, size_px)
    return cameras_of(card, centre, long_edge, centre_sd, focal_px)


def by_card(
    cameras: Cameras,
    seen: Floats,
    card: Card,
    card_off_mm_sd: float | None,
    leans_sd_rad: float = CARD_LEANS_SD_RAD,
) -> Sightings:
    """Rays in the frame of the foot, whose middle plane the card stands in as well as may be.

    Nothing said of how well (`None`): mostly about so, sometimes far off. Where somebody told how far off it
    stood, that is known, and only what is about so is left.
    """
    if card_off_mm_sd is None and card.nearer_mm:
        card_off_mm_sd = CARD_OFF_MM_SD
    errors = normal_draws(4, "card")
    rays = cameras.rays(seen)
    own_share = CARD_TURNED_SD_RAD**2 / (CARD_TURNED_SD_RAD**2 + SQUARE_SD_RAD**2)
    seen_turned = np.arctan2(-rays[:, :, 0], rays[:, :, 2]).mean(axis=1)
    turn = np.zeros((DRAWS, 3))
    turn[:, 0] = leans_sd_rad * errors[:, 0]
    turn[:, 1] = own_share * seen_turned
    turn[:, 1] += math.sqrt(1 - own_share) * CARD_TURNED_SD_RAD * errors[:, 1]
    to_foot = rotation(turn)
    origin = np.einsum("nij,nj->ni", to_foot, cameras.place_mm)
    off_sd, weights = np.full(DRAWS, card_off_mm_sd or 0.0), np.ones(DRAWS)
    if card_off_mm_sd is None:
        far = np.arange(DRAWS) // 2 % FAR_OFF_EVERY == 0
        off_sd = np.where(far, FAR_OFF_MM_SD, CARD_OFF_MM_SD)
        weights = np.where(far, FAR_OFF_PART / far.mean(), (1 - FAR_OFF_PART) / (1 - far.mean()))
    origin[:, 2] -= off_sd * errors[:, 2]
    if card.nearer_mm:
        origin[:, 2] -= card.nearer_mm + card.told_sd_mm * normal_draws(1, "told")[:, 0]
    rays = np.einsum("nij,nkj->nki", to_foot, rays)
    return Sightings(origin, rays, 1 + card.side_sd_share * errors[:, 3], weights, to_foot)


def by_eye(
    seen: Floats,
    middle: tuple[Floats, float, float],
    px_per_mm: float,
    upright_rad: float,
    focal_px: float | None,
) -> Sightings:
    """Rays in the frame of the foot without a card, the scale guessed (px per mm near the foot).

    `upright_rad`: by how much the ground runs down to the right on the picture.
    """
    centre, centre_sd, _ = middle
    aim, error = even_draws(3, "aim"), normal_draws(3, "eye")
    distance = math.sqrt(NEAREST_MM * FARTHEST_MM) * np.exp(
        math.log(FARTHEST_MM / NEAREST_MM) / 2 * aim[:, 2]
    )
    focal = px_per_mm * distance
    if focal_px is not None:
        focal = focal_px * np.exp(FOCAL_SD_LOG * error[:, 2])
        distance = focal / px_per_mm
    off = seen - (centre + centre_sd * error[:, :2])[:, None, :]
    cosine, sine = math.cos(upright_rad), math.sin(upright_rad)
    flat = off @ np.array([[cosine, -sine], [sine, cosine]]) / focal[:, None, None]
    ahead = np.concatenate([flat, np.ones((*flat.shape[:2], 1))], axis=-1)
    turn = np.zeros((DRAWS, 3))
    turn[:, 1] = TURNED_BY_EYE_RAD * aim[:, 0]
    tilt = np.zeros((DRAWS, 3))
    tilt[:, 0] = -(LOOKS_DOWN_BY_EYE_RAD + TILTED_BY_EYE_RAD * aim[:, 1])
    rays = np.einsum("nij,nkj->nki", rotation(turn) @ rotation(tilt), ahead)
    origin = np.zeros((DRAWS, 3))
    origin[:, 2] = -distance
    return Sightings(origin, rays, np.ones(DRAWS), np.ones(DRAWS))
