"""Average, least and most light of a scene on the plane, from the light of its circuits."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from consult.light.solving import Solved
from engineering.maintenance import HOME

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaneFigures:
    """Maintained light on the plane [lx]; `uniformity` is least over average."""

    average_lx: float
    minimum_lx: float
    maximum_lx: float
    uniformity: float


def scene_plane(answer: Solved, weights: dict[str, float]) -> FloatArray:
    """The maintained light of a scene on the plane [lx]: array [rows, columns]."""
    total = np.zeros_like(np.array(answer.plane_lx[0]))
    for key, plane in zip(answer.keys, answer.plane_lx, strict=True):
        if weights.get(key, 0.0) > 0:
            total = total + weights[key] * np.array(plane)
    return np.asarray(total * HOME.value)


def figures(plane: FloatArray) -> PlaneFigures:
    """The figures of a plane.

    >>> figures(np.array([[1.0, 3.0]])).uniformity
    0.5
    """
    average = float(plane.mean())
    return PlaneFigures(
        average_lx=average,
        minimum_lx=float(plane.min()),
        maximum_lx=float(plane.max()),
        uniformity=float(plane.min()) / average if average > 0 else 0.0,
    )
