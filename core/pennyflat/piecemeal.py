"""Long work that can be left off and taken up again.

Such work is a generator: it yields nothing, but wherever it may wait, and returns what it found.
"""


def to_the_end(work):
    """
    Go through with a piece of long work.

    Parameters
    ----------
    work : generator

    Returns
    -------
    object
        What it returns.

    Examples
    --------
    >>> def counted(rows):
    ...     found = 0
    ...     for row in rows:
    ...         found += 1
    ...         yield
    ...     return found
    >>> to_the_end(counted("abc"))
    3
    """
    while True:
        try:
            next(work)
        except StopIteration as end:
            return end.value
