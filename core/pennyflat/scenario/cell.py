"""How much a cell holds, and how much of a bag goes into it.

Lengths are inside measures in centimetres, volumes in millilitres: 1 cm3 is 1 mL. A cell that is
not filled to the brim has a `fill_height`, the filled share of its depth from the bottom.
"""

import math


def cylinder_ml(diameter_cm: float, depth_cm: float, *, fill_height: float = 1.0) -> float:
    """
    Volume filled in a round cell with straight sides.

    `pi/4 d^2 h`. [Elementary geometry.]

    Parameters
    ----------
    diameter_cm, depth_cm : float
        Inside measures, more than 0. [cm]
    fill_height : float, default 1.0
        Filled share of the depth, more than 0 and at most 1. [1]

    Returns
    -------
    float
        Volume. [mL]

    Raises
    ------
    ValueError
        If a measure is out of range.

    Examples
    --------
    >>> cylinder_ml(4, 5)
    62.83
    """
    return cone_frustum_ml(diameter_cm, diameter_cm, depth_cm, fill_height=fill_height)


def cone_frustum_ml(
    top_cm: float, bottom_cm: float, depth_cm: float, *, fill_height: float = 1.0
) -> float:
    """
    Volume filled in a round cell with sloping sides.

    `pi/12 h (D^2 + D d + d^2)`. [Elementary geometry.]

    Parameters
    ----------
    top_cm, bottom_cm : float
        Inside diameters at the brim and at the bottom; the bottom may be 0. [cm]
    depth_cm : float
        Inside depth, more than 0. [cm]
    fill_height : float, default 1.0
        Filled share of the depth, more than 0 and at most 1. [1]

    Returns
    -------
    float
        Volume. [mL]

    Raises
    ------
    ValueError
        If a measure is out of range.

    Examples
    --------
    >>> cone_frustum_ml(6, 4, 7)
    139.28
    """
    return math.pi / 4 * square_frustum_ml(top_cm, bottom_cm, depth_cm, fill_height=fill_height)


def square_frustum_ml(
    top_cm: float, bottom_cm: float, depth_cm: float, *, fill_height: float = 1.0
) -> float:
    """
    Volume filled in a square cell with sloping sides, as in most trays.

    `h/3 (a^2 + a b + b^2)`. [Elementary geometry.]

    Parameters
    ----------
    top_cm, bottom_cm : float
        Inside sides at the brim and at the bottom; the bottom may be 0. [cm]
    depth_cm : float
        Inside depth, more than 0. [cm]
    fill_height : float, default 1.0
        Filled share of the depth, more than 0 and at most 1. [1]

    Returns
    -------
    float
        Volume. [mL]

    Raises
    ------
    ValueError
        If a measure is out of range.

    Examples
    --------
    >>> square_frustum_ml(3.8, 2.5, 5.0)
    50.3167
    """
    _positive(top_cm=top_cm, depth_cm=depth_cm, fill_height=fill_height)
    if not bottom_cm >= 0:
        raise ValueError(f"bottom_cm must be at least 0, not {bottom_cm!r}.")
    if fill_height > 1:
        raise ValueError(f"fill_height must be at most 1, not {fill_height!r}.")
    level_cm = bottom_cm + (top_cm - bottom_cm) * fill_height
    area = level_cm**2 + level_cm * bottom_cm + bottom_cm**2
    return depth_cm * fill_height / 3 * area


def bag_litres_per_cell(cell_ml: float, fill_loss: float) -> float:
    """
    Loosened volume from the bag that one filled cell takes.

    `cell volume / (1 - fill_loss)`, since part of the bag settles, is firmed in or is spilt.
    [Common practice puts the loss at 0.10 to 0.20; no source found.]

    Parameters
    ----------
    cell_ml : float
        Volume of one cell as filled, more than 0. [mL]
    fill_loss : float
        Share of the loosened volume that never fills a cell, at least 0 and below 1. [1]

    Returns
    -------
    float
        Volume out of the bag. [L]

    Raises
    ------
    ValueError
        If a value is out of range.

    Examples
    --------
    >>> bag_litres_per_cell(60, 0.12)
    0.06818
    """
    _positive(cell_ml=cell_ml)
    if not 0 <= fill_loss < 1:
        raise ValueError(f"fill_loss must be at least 0 and below 1, not {fill_loss!r}.")
    return cell_ml / 1000 / (1 - fill_loss)


def _positive(**measures):
    for name, value in measures.items():
        if not value > 0:
            raise ValueError(f"{name} must be more than 0, not {value!r}.")
