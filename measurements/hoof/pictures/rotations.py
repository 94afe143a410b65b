"""Rotations in bulk: from a turning vector to a matrix and back (Rodrigues' formula)."""

import numpy as np

from measurements.hoof.pictures.measured import Floats


def rotation(vector: Floats) -> Floats:
    """The matrices (..., 3, 3) that turn by the vectors (..., 3): axis times angle, rad."""
    angle = np.linalg.norm(vector, axis=-1)[..., None, None]
    safe = np.where(angle > 1e-9, angle, 1.0)
    x, y, z = np.moveaxis(vector, -1, 0)
    zero = np.zeros_like(x)
    cross = np.stack([zero, -z, y, z, zero, -x, -y, x, zero], axis=-1)
    cross = cross.reshape(*vector.shape[:-1], 3, 3)
    one = np.where(angle > 1e-9, np.sin(safe) / safe, 1.0)
    two = np.where(angle > 1e-9, (1 - np.cos(safe)) / safe**2, 0.5)
    return np.asarray(np.eye(3) + one * cross + two * (cross @ cross), dtype=np.float64)


def turning_vector(matrix: Floats) -> Floats:
    """The vector (3,) of one rotation matrix, for turns of less than 180 degrees."""
    off = np.array(
        [matrix[2, 1] - matrix[1, 2], matrix[0, 2] - matrix[2, 0], matrix[1, 0] - matrix[0, 1]]
    )
    sine = np.linalg.norm(off) / 2
    angle = np.arctan2(sine, (np.trace(matrix) - 1) / 2)
    return off / 2 * (angle / sine if sine > 1e-9 else 1.0)


def turn_between(first: Floats, second: Floats) -> Floats:
    """The matrix of the shortest turn from one unit vector to another (each (3,))."""
    axis = np.cross(first, second)
    sine = np.linalg.norm(axis)
    angle = np.arctan2(sine, first @ second)
    return rotation(axis * (angle / sine if sine > 1e-12 else 0.0))


def nearest_rotation(matrix: Floats) -> Floats:
    """The rotation matrix nearest to a 3x3 matrix."""
    left, _, right = np.linalg.svd(matrix)
    turned = left @ np.diag([1.0, 1.0, np.sign(np.linalg.det(left @ right))]) @ right
    return np.asarray(turned, dtype=np.float64)
