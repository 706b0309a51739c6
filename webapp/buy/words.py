"""Texts of the shopping list and of the questions at the shelf, by key, as in words.py."""

ENGLISH = {
    "bar.wait": "Fill in the needed fields for an answer",
    "bar.stale": "Some entries need correcting",
    "bar.working": "Working it out …",
    "bar.at_home": "Nothing to buy: everything is at home",
    "bar.buy": "Buy {lines}: {total}",
    "bar.buy_more": (
        "Buy {lines} and {more} more item: {total}",
        "Buy {lines} and {more} more items: {total}",
    ),
    "advice.title": "What to do",
    "advice.each": (
        "With seed, trays and the rest that is {each} for each of {wanted} ready seedlings."
    ),
    "advice.not_counted": "Not counted: {missing}.",
    "advice.lacks": "{what} ({crops})",
    "advice.checking": "Still checking whether another mix saves more …",
    "advice.bound": "No proof in the time given: another choice could bring it down to {bound}.",
    "advice.unproven": "No proof could be made here that no other choice costs less.",
    "verdict.sow": (
        "sow {cells} cell with {seeds} seeds",
        "sow {cells} cells with {seeds} seeds",
    ),
    "verdict.how": "{sow}, {feed}",
    "verdict.feed": ("feed {times} time", "feed {times} times"),
    "verdict.no_feed": "no feeding",
    "verdict.only": "No other mix here brings it to transplanting.",
    "verdict.same": "By what you use up, {second} costs the same.",
    "verdict.less": "By what you use up, it costs {saves} less than {second}: {reason}.",
    "verdict.used_up": (
        "If you used up everything you buy, {medium} would cost less for this crop: {each} each."
    ),
    "turns.title": "What would change this",
    "turns.none": "No other number, price or trip that was tried changes it.",
    "rescue.line": "{medium} runs out of fertiliser in week {week}. {by}",
    "rescue.in": "{medium}: {by}",
    # The shopping list
    "errand.working": "Working out the list …",
    "errand.stale": "For the last complete entries.",
    "errand.nothing": "Nothing to buy: everything is at home already.",
    "errand.in_cart": "{done} of {of} in the cart",
    "errand.new_price": "New price ({symbol})",
    "errand.new_price_untaxed": "New price without tax ({symbol})",
    "errand.deal": "with {take} for {pay}",
    "errand.subtotal": "Packages here",
    "errand.trip": "the trip",
    "errand.total": "To pay",
    "errand.packages": "Packages",
    "errand.trips": "Trips",
    "errand.with_the_rest": "With costs not on this list",
    "errand.over": "Over the budget of {budget} by {over}.",
    "errand.within": "Within the budget of {budget}.",
    "errand.unmet": "{item}: {short} cannot be had, the limits are too low.",
    "errand.left_over": "Left over",
    "errand.worth": "worth {worth}",
    "errand.why_chosen": "Your own choice.",
    # Questions at the shelf
    "ask.title": "Before you pay",
    "ask.crop": "Worked out for {crop}.",
    "ask.choose": "Choose another crop",
    "ask.wait": "Being worked out …",
    "ask.crop_working": "How these figures are worked out",
    "ask.plan_working": "How this sum is worked out",
    "working.none": "No mix gets this crop ready, so there is nothing to work out.",
    "working.growing": "Cells, seeds and feedings",
    "working.as_used": "What you use up",
    "working.at_the_till": "At the till, for this crop alone",
    "working.plan": "All crops together",
    "working.note": "Amounts are shown with four digits; the working goes on with all of them.",
    "ask.bags": "Is the big bag worth it, and which package costs least?",
    "ask.matters": "Which guess matters most?",
    "ask.remedies": "Feed, pot on, or a richer mix?",
    "big_bag.never": (
        "{package} of {medium} does not come to less at the till than smaller packages, up to"
        " {up_to} seedlings."
    ),
    "big_bag.always": "{package} of {medium} comes to less at the till for any number.",
    "big_bag.wins": "{package} of {medium} comes to less at the till {ranges}.",
    "big_bag.between": "from {first} to {last} seedlings",
    "big_bag.on": "from {first} seedlings on",
    "big_bag.note": (
        "For this crop alone, trips included. How long a leftover keeps, and how much is needed"
        " again, is entered with the mix."
    ),
    "next_year.now": (
        "{medium} bought at its lowest price per litre: {bulk} now instead of {least}, and {left}"
        " left over."
    ),
    "next_year.now.us": (
        "{medium} bought at its lowest price per quart: {bulk} now instead of {least}, and {left}"
        " left over."
    ),
    "next_year.no_use": "With no use for that in another season it does not pay.",
    "next_year.pays": (
        "Over {years} seasons it pays: {bulk} in all, against {least} when the least is paid each"
        " year."
    ),
    "next_year.does_not_pay": (
        "Over {years} seasons it does not pay: {bulk} in all, against {least} when the least is"
        " paid each year."
    ),
    "ladder.least": "{medium}: least per litre as {package} from {store}, {price}.",
    "ladder.least.us": "{medium}: least per dry quart as {package} from {store}, {price}.",
    "ladder.package": "Package",
    "ladder.per_litre": "A litre",
    "ladder.per_litre.us": "A dry quart",
    "ladder.more": "More than the least",
    "ladder.free": "it is not free",
    "matters.first": (
        "For {crop} in {medium}, {what} matters most: {each_low} each at {low}, {each_high} at"
        " {high}."
    ),
    "matters.stalls": (
        "For {crop} in {medium}, {what} matters most: at {stalls} no seedling is ready."
    ),
    "matters.none": "As entered, no seedling of this crop is ready.",
    "matters.what": "Guess",
    "matters.low": "Each, if low",
    "matters.high": "Each, if high",
    "matters.at": "{each} at {value}",
    "matters.basis": "{what}: {basis}.",
    "matters.chart_said": (
        "Bars of the cost of a ready seedling at a low and a high value of each guess, the widest"
        " first. The table below holds the same numbers."
    ),
    "by.feed": "Feeding with {name}",
    "by.pot_on": "Potting on into {name}",
    "by.other_medium": "{name} from the start",
    "by.any.feed": "Feeding",
    "by.any.pot_on": "Potting on",
    "by.any.other_medium": "Another mix from the start",
    "by.hungry": "{medium}, hungry weeks: {weeks}",
    "by.remedy": "Remedy",
    "by.each": "A ready seedling",
    "by.best": "{medium}: cheapest is “{how}”, at {price} each.",
    "by.nothing": "{medium}: nothing that is entered would help.",
    "by.none": "Every mix here feeds this crop until transplanting.",
}
