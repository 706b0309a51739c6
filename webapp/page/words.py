"""The texts of the page's frame: its places, and the text above the example."""

ENGLISH = {
    "place.label": "Places",
    "place.enter": "Enter",
    "place.buy": "Buy",
    "place.compare": "Compare",
    "place.grow": "Grow",
    "place.share": "Share",
    "place.to_buy": "See what to buy",
    "first.example": "This is an invented example.",
    "first.look": "Look around",
    "compare.title": "Every crop in every mix",
    "compare.caption": "A ready seedling: what you use up, and at the till for this crop alone",
    "compare.till": "till {price}",
    "compare.note": (
        "Marked: what the plan sows. It buys for all crops together, so it may choose a mix that is"
        " not the cheapest for one crop alone. Tap a crop for its details."
    ),
    "compare.numbers": "The numbers, mix by mix",
    "compare.cells": "The cells to sow",
    "compare.alone": "What to buy for this crop alone",
    "compare.steps": "Cost at the till as the number grows",
    "column.crop": "Crop",
}
