"""Texts of the shopping list and of the questions at the shelf, by key, as in words.py."""

ENGLISH = {
    # The shopping list
    "errand.title": "The shopping list",
    "errand.intro": (
        "The least money for all crops together. Tick what is in the cart, type in a price that has"
        " changed."
    ),
    "errand.go": "To the shopping list",
    "errand.working": "Working out the list for what was entered last …",
    "errand.stale": "For the last complete entries.",
    "errand.nothing": "Nothing to buy: everything is at home already.",
    "errand.in_cart": "{done} of {of} in the cart",
    "errand.new_price": "New price ({symbol})",
    "errand.deal": "with {take} for {pay}",
    "errand.subtotal": "Packages here",
    "errand.trip": "the trip",
    "errand.total": "To pay",
    "errand.packages": "Packages",
    "errand.trips": "Trips",
    "errand.with_the_rest": "With seed, trays, light and time",
    "errand.over": "Over the budget of {budget} by {over}.",
    "errand.within": "Within the budget of {budget}.",
    "errand.unmet": "{item}: {short} cannot be had, the limits are too low.",
    "errand.unproven": (
        "There are too many choices of mixes to try all. With everything counted this plan costs"
        " {found}; no plan can cost less than {at_least}."
    ),
    "errand.left_over": "Left over",
    "errand.worth": "worth {worth}",
    "errand.plan": "Which mix for which crop",
    "errand.why_chosen": "Your own choice.",
    "errand.why_only": "No other mix would do.",
    "errand.why_same": "{instead} would cost the same in all.",
    "errand.why_more": "{instead} in its place would add {more} in all.",
    # Plans side by side
    "plans.title": "What planning together saves",
    "plans.caption": "The plan above beside others: to pay, with the rest, and how much more",
    "plans.choice": "Choice of mixes",
    "plans.with_the_rest": "With the rest",
    "plans.more": "More than the plan",
    "plan.joint": "The plan above",
    "plan.one_mix": "One mix for all",
    "plan.each_its_own": "Each crop insists on its own cheapest",
    "plans.mix": "{medium} for {crops}",
    "plans.and": ", ",
    "plans.same": "the same",
    "plans.joint_more": "–",
    "plans.unmet": "Not enough to be had: {items}.",
    "plans.note": (
        "Own cheapest: the mix in which a crop by itself comes to least, whole packages and trips"
        " counted; all is then bought together. The rest: seed, trays, light, heat and time, as"
        " used."
    ),
}
