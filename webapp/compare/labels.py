"""Reading labels before paying: two bags side by side.

`Work.asked` keeps what is typed, as for the look-ups of Grow; it is not part of the scenario.
"""

from page.fields import LookedUp, some
from page.markup import render
from pennyflat.trade.bag import side_by_side
from reader import measures
from reader.words import text


def parts(work):
    """The fragment of the card, if it is opened: its id to (function, what it shows)."""
    tax = work.scenario.tax if work.report else 0.0
    bags = some(work.asked, "size_a", "price_a", "size_b", "price_b")
    return {"two": (_two, bags, tax, work.currency)} if "two" in work.opened else {}


def _two(asked, tax, currency):
    fields = LookedUp(asked, currency)
    bags = [(fields[f"size_{bag}"], fields[f"price_{bag}"]) for bag in "ab"]
    lines, says, fault = [], "", ""
    if all(size and price is not None for size, price in bags):
        try:
            found = side_by_side(*bags, tax=tax, decimal_mark=currency.decimal_mark)
        except ValueError as error:
            fault = str(error)
        else:
            says = found.says
            for bag, litres, price in zip("ab", found.litres, found.per_litre, strict=True):
                held = measures.goods(litres, "L", currency)
                per_litre = measures.price_per(price, "L", currency)
                lines.append(text(f"two.{bag}", amount=held, price=per_litre))
            lines += found.notices
    rows = [[fields.field(f"{what}_{bag}") for what in ("size", "price")] for bag in "ab"]
    return render("two.html", rows=rows, says=says, lines=lines, fault=fault)
