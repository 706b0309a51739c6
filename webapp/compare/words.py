"""The texts of the comparison, and of one crop in detail."""

ENGLISH = {
    "answer.limits": "not to be had",
    "answer.detail": "Details for",
    "answer.chart_said": "Bar chart. {bars}. The table below holds the same numbers.",
    "answer.bar": "{medium} {price}",
    "answer.bar_not_ready": "{medium} not ready",
    "answer.table": "{crop}: the numbers",
    "answer.table_note": (
        "What you use up: every input for what the cells take, per seedling expected ready."
        " At the till: whole packages, seed packets, trays and trips for this crop alone, per"
        " seedling wanted."
    ),
    "answer.buy": (
        "{crop}: what to buy for {count} seedling alone",
        "{crop}: what to buy for {count} seedlings alone",
    ),
    "answer.buy_line": "{count} × {item}, {size}",
    "answer.buy_tray": "{count} × {item}",
    "answer.at": "at {store}",
    "answer.paid": "{price} at the till",
    "answer.nothing": "nothing to buy: it is at home already",
    "answer.crossing": "From {count} seedlings {medium} costs less.",
    "answer.no_crossing": "The lines do not cross in this range.",
    "answer.no_lines": (
        "There is nothing to draw: no mix gets ready, or so many are wanted that one package more"
        " makes no step to be seen."
    ),
    "answer.rescue": "What would make it ready",
    "answer.say_stale": "The answer is for the last complete entries.",
    "goods.seeds": ("{count} seed", "{count} seeds"),
    "goods.trays": ("{count} tray", "{count} trays"),
    "short.seeds": "seeds",
    "answer.plan_tag": "in the plan",
    # Labels
    "labels.title": "Bags by their labels",
    "two.title": "Which of two bags costs less, by their labels?",
    "two.intro": "Type the size as it is printed, with its unit: 8 quarts, 2 cu ft, 50 L.",
    "label.lookup.size_a": "First bag: size, with its unit",
    "label.lookup.price_a": "First bag: price ({symbol})",
    "label.lookup.size_b": "Second bag: size, with its unit",
    "label.lookup.price_b": "Second bag: price ({symbol})",
    "two.a": "First bag: {amount}, {price}.",
    "two.b": "Second bag: {amount}, {price}.",
    "front.title": "Does the bag hold what its front promises?",
    "front.intro": ("Type both in English. What to look for is common practice, no source."),
    "label.lookup.front": "Words on the front",
    "label.lookup.listed": "List of ingredients",
    "front.kept": "No promise of food, easy wetting or fine grain lacks its ingredient.",
}
