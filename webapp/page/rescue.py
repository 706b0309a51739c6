"""What would get a crop to transplanting in a mix that runs out of feed, in one sentence."""

from reader.words import said, text


def unready_said(row, rescues):
    """Why no mix gets the crop of a row of the plan ready, and what of `rescues` would help."""
    helps = [rescue for rescue in rescues if rescue["crop"] == row["crop"]]
    if not helps:
        return said(row["why_not"])
    best = min(helps, key=lambda rescue: (rescue["each"] is None, rescue["each"]))
    by = said(best["sentence"])
    if best["by"]:
        by = text("rescue.in", medium=best["medium"], by=by)
    return f"{said(row['why_not'])} {by}"
