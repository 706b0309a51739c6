"""What the modules of the charts have in common: the font, and data as columns filled by rows."""

FONT = "system-ui, sans-serif"


def columns(*names):
    """
    Data of a chart without rows.

    Examples
    --------
    >>> columns("x", "y")
    {'x': [], 'y': []}
    """
    return {name: [] for name in names}


def add(data, *row):
    """
    Put a row at the end of the data, its items in the order of the columns.

    Examples
    --------
    >>> marks = columns("x", "y")
    >>> add(marks, 3, 0.5)
    >>> marks
    {'x': [3], 'y': [0.5]}
    """
    for column, item in zip(data.values(), row, strict=True):
        column.append(item)
