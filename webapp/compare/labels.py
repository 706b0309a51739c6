"""Reading labels before paying: two bags side by side, and what a front promises.

`Work.asked` keeps what is typed, as for the look-ups of Grow; it is not part of the scenario.
"""

from page.fields import LookedUp
from page.markup import render
from pennyflat.trade.bag import promises, side_by_side
from reader.words import text


def parts(work):
    """The fragments of opened cards: id to (function, what it shows)."""
    tax = work.scenario.tax if work.report else 0.0
    found = {
        "two": (_two, work.asked, tax, work.currency),
        "label": (_label, work.asked, work.currency),
    }
    return {name: part for name, part in found.items() if name in work.opened}


def _two(asked, tax, currency):
    fields, found, fault = LookedUp(asked, currency), None, ""
    bags = [(fields[f"size_{bag}"], fields[f"price_{bag}"]) for bag in "ab"]
    if all(size and price is not None for size, price in bags):
        try:
            found = side_by_side(*bags, tax=tax, decimal_mark=currency.place.decimal)
        except ValueError as error:
            fault = str(error)
    return render("two.html", fields=fields, found=found, fault=fault, currency=currency)


def _label(asked, currency):
    fields = LookedUp(asked, currency)
    front, listed = fields["front"], fields["listed"]
    says = ()
    if front and listed:
        says = promises(front, listed) or (text("front.kept"),)
    return render("label.html", says=says, fields=fields)
