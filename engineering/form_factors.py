"""Form factors between rectangles and from a point to rectangles, all in closed form.

A form factor is the share of the light leaving one diffuse surface that reaches another directly.
The same numbers, times the receiving area, are the exchange areas [m²] used by the box solver.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from engineering.refusal import above_zero

FloatArray = NDArray[np.float64]


def parallel(*, a_m: float, b_m: float, distance_m: float) -> float:
    """Return the form factor between two equal, directly opposed rectangles a × b.

    Parameters
    ----------
    a_m, b_m : [m], above 0; sides.
    distance_m : [m], above 0; between the planes.

    Returns
    -------
    float, 0 to 1.

    Raises
    ------
    ValueError : a length is not a finite number above 0.

    References
    ----------
    J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors, C-11.

    >>> round(parallel(a_m=1, b_m=1, distance_m=1), 9)
    0.199824896
    """
    distance = above_zero("distance_m", distance_m)
    x = above_zero("a_m", a_m) / distance
    y = above_zero("b_m", b_m) / distance
    x_root, y_root = math.sqrt(1 + x * x), math.sqrt(1 + y * y)
    # log1p keeps the digits where the rectangles are small against their distance.
    bracket = (
        0.5 * math.log1p(x * x * y * y / (1 + x * x + y * y))
        + x * y_root * math.atan(x / y_root)
        + y * x_root * math.atan(y / x_root)
        - x * math.atan(x)
        - y * math.atan(y)
    )
    return 2 / (math.pi * x * y) * bracket


def perpendicular(*, edge_m: float, from_m: float, to_m: float) -> float:
    """Return the form factor between two rectangles at right angles with a common edge.

    Parameters
    ----------
    edge_m : [m], above 0; the common edge.
    from_m : [m], above 0; the other side of the rectangle the light leaves.
    to_m : [m], above 0; the other side of the rectangle it reaches.

    Returns
    -------
    float, 0 to 0.5.

    Raises
    ------
    ValueError : a length is not a finite number above 0.

    References
    ----------
    J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors, C-14.

    >>> round(perpendicular(edge_m=1, from_m=1, to_m=1), 9)
    0.200043776
    """
    edge = above_zero("edge_m", edge_m)
    w2 = (above_zero("from_m", from_m) / edge) ** 2
    h2 = (above_zero("to_m", to_m) / edge) ** 2
    w, h, diagonal = math.sqrt(w2), math.sqrt(h2), math.sqrt(w2 + h2)
    logs = (
        math.log1p(w2 * h2 / (1 + w2 + h2))
        + w2 * math.log(w2 * (1 + w2 + h2) / ((1 + w2) * (w2 + h2)))
        + h2 * math.log(h2 * (1 + w2 + h2) / ((1 + h2) * (w2 + h2)))
    )
    bracket = (
        w * math.atan(1 / w) + h * math.atan(1 / h) - diagonal * math.atan(1 / diagonal) + logs / 4
    )
    return bracket / (math.pi * w)


def parallel_exchange(
    *, step_u_m: float, step_v_m: float, count_u: int, count_v: int, distance_m: float
) -> FloatArray:
    """Return exchange areas [m²] between cells of two equal opposed grids, by cell offset.

    Entry [i, j] is A·F between two cells that lie i cells apart in u and j in v. With equal
    steps nothing but the offset counts, so a whole floor against a whole ceiling is one table.

    Parameters
    ----------
    step_u_m, step_v_m : [m], above 0; cell sides.
    count_u, count_v : cells each way, at least 1.
    distance_m : [m], above 0.

    Returns
    -------
    Array [count_u, count_v], [m²].

    References
    ----------
    Howell catalogue C-13: the corner sum becomes a second difference on an even grid.

    >>> float(parallel_exchange(step_u_m=1, step_v_m=1, count_u=1, count_v=1,
    ...                         distance_m=1)[0, 0].round(9))
    0.199824896
    """
    u = (np.arange(-1, count_u + 1) * step_u_m)[:, None]
    v = (np.arange(-1, count_v + 1) * step_v_m)[None, :]
    z2 = distance_m**2
    u_root, v_root = np.sqrt(u * u + z2), np.sqrt(v * v + z2)
    corner = (
        v * u_root * np.arctan(v / u_root)
        + u * v_root * np.arctan(u / v_root)
        - z2 / 2 * np.log(u * u + v * v + z2)
    ) / (2 * math.pi)
    return np.asarray(np.diff(np.diff(corner, 2, axis=0), 2, axis=1))


def perpendicular_exchange(
    *, step_edge_m: float, count_edge: int, from_lines_m: FloatArray, to_lines_m: FloatArray
) -> FloatArray:
    """Return exchange areas [m²] between cells of two grids at right angles.

    Entry [i, j, k] is A·F between a cell in strip j of the first plane and one in strip k of the
    second, i cells apart along the common edge.

    Parameters
    ----------
    step_edge_m : [m], above 0; cell side along the edge.
    count_edge : cells along the edge, at least 1.
    from_lines_m, to_lines_m : [m], rising from 0 or more; distances of the strip lines from
        the edge in each plane.

    Returns
    -------
    Array [count_edge, strips of the first, strips of the second], [m²].

    References
    ----------
    Howell catalogue C-15: corner sum over the two planes, second difference along the edge.

    >>> lines = np.array([0.0, 1.0])
    >>> float(perpendicular_exchange(step_edge_m=1, count_edge=1, from_lines_m=lines,
    ...                              to_lines_m=lines)[0, 0, 0].round(9))
    0.200043776
    """
    y = (np.arange(-1, count_edge + 1) * step_edge_m)[:, None, None]
    r2 = from_lines_m[None, :, None] ** 2 + to_lines_m[None, None, :] ** 2
    y2 = y * y
    r = np.sqrt(r2)
    angle = np.arctan2(y, r)
    total = r2 + y2
    logs = np.log(np.where(total > 0, total, 1.0))  # 0·log 0 = 0 on the edge itself
    corner = (y * r * angle - (r2 - y2) * logs / 4) / (2 * math.pi)
    along = -np.diff(corner, 2, axis=0)
    return np.asarray(np.diff(np.diff(along, axis=1), axis=2))


def point_to_parallel(
    u_m: FloatArray, v_m: FloatArray, distance_m: FloatArray | float
) -> FloatArray:
    """Return the corner function of a point facing a parallel rectangle.

    The form factor from the point to the rectangle between u₁, u₂ and v₁, v₂ (distances from
    the foot of the perpendicular) is the mixed difference f(u₂,v₂) − f(u₁,v₂) − f(u₂,v₁) + f(u₁,v₁).

    Parameters
    ----------
    u_m, v_m : [m], arrays that broadcast; signed.
    distance_m : [m], above 0.

    References
    ----------
    Howell catalogue B-3 (differential element to parallel rectangle).

    >>> round(float(point_to_parallel(np.array(1.0), np.array(1.0), 1.0)), 6)
    0.138532
    """
    u_root = np.sqrt(u_m * u_m + distance_m**2)
    v_root = np.sqrt(v_m * v_m + distance_m**2)
    return np.asarray(
        (u_m / u_root * np.arctan(v_m / u_root) + v_m / v_root * np.arctan(u_m / v_root))
        / (2 * math.pi)
    )


def point_to_perpendicular(
    along_m: FloatArray, height_m: FloatArray, distance_m: FloatArray
) -> FloatArray:
    """Return the corner function of a point facing along a perpendicular rectangle.

    The form factor to the rectangle between a₁, a₂ (along) and h₁, h₂ (out of the point's plane,
    0 or more) at the given distance is f(a₂,h₁) − f(a₁,h₁) − f(a₂,h₂) + f(a₁,h₂).

    Parameters
    ----------
    along_m, height_m, distance_m : [m], arrays that broadcast; distance above 0.

    References
    ----------
    Howell catalogue B-5 (differential element to perpendicular rectangle).

    >>> f = lambda a, h: float(point_to_perpendicular(np.array(a), np.array(h), np.array(1.0)))
    >>> round(f(1.0, 0.0) - f(0.0, 0.0) - f(1.0, 1.0) + f(0.0, 1.0), 7)
    0.0557342
    """
    root = np.sqrt(height_m * height_m + distance_m * distance_m)
    return np.asarray(distance_m / root * np.arctan(along_m / root) / (2 * math.pi))
