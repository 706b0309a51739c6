"""What would get a crop to transplanting in a mix that runs out of feed, in one sentence."""

from pennyflat_display.money import each
from reader.words import said, text


def rescue_said(rescue, currency):
    """One of the report's `rescues` as a sentence."""
    price = "" if rescue["each"] is None else each(rescue["each"], currency)
    return text(f"rescue.{rescue['by'] or 'nothing'}", name=rescue["with"], price=price)


def unready_said(row, rescues, currency):
    """Why no mix gets the crop of a row of the plan ready, and what of `rescues` would help."""
    helps = [rescue for rescue in rescues if rescue["crop"] == row["crop"]]
    if not helps:
        return said(row["why_not"])
    best = min(helps, key=lambda rescue: (rescue["each"] is None, rescue["each"]))
    by = rescue_said(best, currency)
    if best["by"]:
        by = text("rescue.in", medium=best["medium"], by=by)
    return f"{said(row['why_not'])} {by}"
