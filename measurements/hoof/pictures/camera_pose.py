"""Where the camera may have stood, from the four corners of the card.

A square tells how it is turned by its shortened sides, and how near the camera is by its converging
ones. Seen nearly square on, both are faint and the side to which it is turned is in doubt. So not
one camera is found but as many as fit, each with its weight: over distances from arm's length to
a few steps (how far the picture was zoomed in is not known), and both ways of turning.
Least squares by Gauss and Newton with Laplace's approximation (from memory).
"""

import math
from dataclasses import dataclass

import numpy as np

from measurements.hoof.pictures.draws import DRAWS, even_draws, normal_draws
from measurements.hoof.pictures.homography import UNIT_CORNERS, card_to_picture
from measurements.hoof.pictures.measured import Card, Floats, Point, UnusablePicture
from measurements.hoof.pictures.rotations import (
    nearest_rotation,
    rotation,
    turn_between,
    turning_vector,
)

# From arm's length to a few steps. House default, as is how likely each is (below).
NEAREST_MM, FARTHEST_MM = 450.0, 3_600.0
DISTANCES = 12
# A camera's focal length over the long edge of its pictures: a phone's main lens is near 0.72;
# wide ones 0.4; zoomed or cut out up to ten times as much. Order of size from memory.
SHORTEST_FOCAL, LONGEST_FOCAL = 0.4, 12.0
# The middle of the lens from the middle of the picture, SD, share of the long edge. From memory.
CENTRE_SD_SHARE = 0.005
TURNED_SD_RAD = math.radians(20.0)  # people try to face the card; house default, weak
# Corners this far from those of any square seen were put elsewhere. House defaults.
WORST_FIT_PX, WORST_FIT_SHARE = 3.0, 0.02
NO_SQUARE = "The card's corners do not fit a square seen from anywhere. Place them again."
ROUNDS, SETTLED = 8, 1e-6  # of a step: far below what the corners tell
LONGEST_STEP_RAD = 0.2
FOCAL_SD_LOG = 0.03  # of a focal length that the picture's own data gave; house default


@dataclass(frozen=True)
class Cameras:
    """`DRAWS` cameras that could have taken the picture, in the frame of the card.

    The frame: right, down and away from the viewer, mm about the card's middle. `rotation` takes
    it to the camera's (shape (n, 3, 3)); `place_mm` is the camera in it (n, 3); `focal_px` (n,);
    `centre_px` (n, 2).
    """

    rotation: Floats
    place_mm: Floats
    focal_px: Floats
    centre_px: Floats

    def rays(self, seen_px: Floats) -> Floats:
        """Directions (n, k, 3) in the card's frame of points seen at (n, k, 2) px."""
        flat = (seen_px - self.centre_px[:, None, :]) / self.focal_px[:, None, None]
        ahead = np.concatenate([flat, np.ones((*flat.shape[:2], 1))], axis=-1)
        return ahead @ self.rotation

    def turned_deg(self, place_px: Point) -> float:
        """By how much the card's plane is turned from the line of sight to a point, deg, mean."""
        seen = np.broadcast_to(np.array(place_px, dtype=np.float64), (DRAWS, 1, 2))
        line = self.rays(seen)[:, 0]
        along = line[:, 2] / np.linalg.norm(line, axis=1)
        return float(np.degrees(np.arccos(np.clip(along, -1, 1))).mean())


@dataclass(frozen=True)
class _Fits:
    """Fitted cameras: `poses` (c, 8), `focal_px` (c,), roots of covariances (c, 8, 8), weights."""

    poses: Floats
    focal_px: Floats
    roots: Floats
    weights: Floats


def cameras_of(
    card: Card, centre_px: Floats, long_edge_px: float, centre_sd_px: float, focal_px: float | None
) -> Cameras:
    """Cameras that fit the card's corners. `centre_px`: the middle of the uncut picture (2,).

    Raises `UnusablePicture` when no camera can have seen a square like that.
    """
    try:
        with np.errstate(all="ignore"):
            fits = _fitted(card, centre_px, long_edge_px, centre_sd_px, focal_px)
    except np.linalg.LinAlgError:
        raise UnusablePicture(NO_SQUARE) from None
    places = (np.arange(DRAWS // 2) + 0.5) / (DRAWS // 2)
    chosen = np.searchsorted(np.cumsum(fits.weights), places * fits.weights.sum())
    chosen = np.tile(np.minimum(chosen, len(fits.weights) - 1), 2)
    moved = np.einsum("nij,nj->ni", fits.roots[chosen], normal_draws(8, "pose"))
    poses = fits.poses[chosen] + moved
    step = math.log(FARTHEST_MM / NEAREST_MM) / (DISTANCES - 1) / 2
    spread = FOCAL_SD_LOG * math.sqrt(3.0) if focal_px else step
    stretch = np.exp(spread * even_draws(1, "distance")[:, 0])
    turned, shift = _placed(poses)
    shift = shift * stretch[:, None]
    place = -np.einsum("nji,nj->ni", turned, shift)
    return Cameras(turned, place, fits.focal_px[chosen] * stretch, centre_px + poses[:, 6:8])


def _placed(poses: Floats) -> tuple[Floats, Floats]:
    """Rotation and shift (mm) of poses: turning vector, shift over distance, log distance."""
    distance = np.exp(poses[..., 5])[..., None]
    ahead = np.concatenate([poses[..., 3:5], np.ones((*poses.shape[:-1], 1))], axis=-1)
    return rotation(poses[..., :3]), ahead * distance


def _fitted(
    card: Card, centre: Floats, long_edge: float, centre_sd: float, focal_px: float | None
) -> _Fits:
    seen = np.array(card.corners, dtype=np.float64)
    scale = math.sqrt(_area(seen)) / card.side_mm
    distances = np.geomspace(NEAREST_MM, FARTHEST_MM, DISTANCES)
    focal = scale * distances if focal_px is None else np.array([focal_px])
    usual = (focal > SHORTEST_FOCAL * long_edge) & (focal < LONGEST_FOCAL * long_edge)
    focal = focal[usual] if usual.any() else focal
    square = card_to_picture(card)
    starts = np.concatenate([_starts(square, centre, one) for one in focal])
    focal = np.repeat(focal, 2)
    poses = starts
    for _ in range(ROUNDS):
        residual, slope = _residuals(poses, focal, card, seen, centre, centre_sd)
        normal = slope.transpose(0, 2, 1) @ slope
        step = np.linalg.solve(normal, slope.transpose(0, 2, 1) @ residual[..., None])[..., 0]
        turn = np.abs(step[:, :3]).max(axis=1)
        step *= np.minimum(1.0, LONGEST_STEP_RAD / np.maximum(turn, 1e-12))[:, None]
        poses = poses - step
        if np.abs(step).max() < SETTLED:
            break
    residual, slope = _residuals(poses, focal, card, seen, centre, centre_sd)
    covariance = np.linalg.inv(slope.transpose(0, 2, 1) @ slope)
    roots = np.linalg.cholesky(covariance)
    logs = -0.5 * np.square(residual).sum(axis=1) + np.log(
        np.diagonal(roots, axis1=1, axis2=2)
    ).sum(axis=1)
    # Distances stand in equal ratios. That a far one is likelier by its square is a house default:
    # pictures from near and from far are then biased least.
    logs += 3 * poses[:, 5]
    off_px = card.corner_px * np.sqrt(np.square(residual[:, :8]).mean(axis=1))
    if not off_px[logs.argmax()] <= max(WORST_FIT_PX, WORST_FIT_SHARE * scale * card.side_mm):
        raise UnusablePicture(NO_SQUARE)
    weights = np.exp(logs - logs.max())
    # Both starts may end in the same place: then it counts once.
    apart = np.abs(poses[1::2, :3] - poses[::2, :3]).max(axis=1)
    weights[1::2][apart < 0.3 * np.sqrt(covariance[1::2, 0, 0])] = 0.0
    return _Fits(poses, focal, roots, weights)


def _starts(square: Floats, centre: Floats, focal: float) -> Floats:
    """Two poses (2, 8): that of the card's homography, and the one turned to the other side."""
    camera = np.array([[focal, 0.0, centre[0]], [0.0, focal, centre[1]], [0.0, 0.0, 1.0]])
    columns = np.linalg.solve(camera, square)
    size = (np.linalg.norm(columns[:, 0]) + np.linalg.norm(columns[:, 1])) / 2
    columns = columns / size
    across = np.cross(columns[:, 0], columns[:, 1])
    turned = nearest_rotation(np.column_stack([columns[:, 0], columns[:, 1], across]))
    shift = columns[:, 2]
    line, facing = shift / np.linalg.norm(shift), turned[:, 2]
    other = turn_between(facing, 2 * (facing @ line) * line - facing) @ turned
    tail = [shift[0] / shift[2], shift[1] / shift[2], math.log(shift[2]), 0.0, 0.0]
    return np.array([[*turning_vector(each), *tail] for each in (turned, other)])


def _residuals(
    poses: Floats, focal: Floats, card: Card, seen: Floats, centre: Floats, centre_sd: float
) -> tuple[Floats, Floats]:
    """Residuals over their SD (c, 12) and their slopes (c, 12, 8), by small differences."""
    delta = 1e-5
    nudges = np.concatenate([np.zeros((1, 8)), np.eye(8) * delta, np.eye(8) * -delta])
    turned, shift = _placed(poses[:, None, :] + nudges)
    flat = np.pad(UNIT_CORNERS * card.side_mm, ((0, 0), (0, 1)))
    there = flat @ turned.transpose(0, 1, 3, 2) + shift[:, :, None, :]
    shown = there[..., :2] / there[..., 2:] * focal[:, None, None, None]
    shown = shown + centre + (poses[:, None, 6:8] + nudges[:, 6:8])[:, :, None, :]
    fit = ((shown - seen) / card.corner_px).reshape(len(poses), len(nudges), 8)
    held = (poses[:, None, :] + nudges)[..., [0, 1, 6, 7]]
    held = held / np.array([TURNED_SD_RAD, TURNED_SD_RAD, centre_sd, centre_sd])
    both = np.concatenate([fit, held], axis=-1)
    slope = (both[:, 1:9] - both[:, 9:]) / (2 * delta)
    return both[:, 0], slope.transpose(0, 2, 1)


def _area(corners: Floats) -> float:
    x, y = corners[:, 0], corners[:, 1]
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2
