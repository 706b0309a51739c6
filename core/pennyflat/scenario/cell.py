"""How much of a bag goes into a cell."""


def bag_litres_per_cell(cell_ml: float, fill_loss: float) -> float:
    """
    Loosened volume from the bag that one filled cell takes. [L]

    `cell volume / (1 - fill_loss)`, since part of the bag settles, is firmed in or is spilt.
    [Common practice puts the loss at 0.10 to 0.20; no source found.]

    Parameters
    ----------
    cell_ml : float
        Volume of one cell as filled. [mL]
    fill_loss : float
        Share of the loosened volume that never fills a cell, below 1. [1]

    Examples
    --------
    >>> bag_litres_per_cell(60, 0.12)
    0.06818
    """
    return cell_ml / 1000 / (1 - fill_loss)
