"""The texts of the charts, in English: by key, with named gaps.

Charts receive the module with their texts. The page has its own (webapp/reader/words.py), which
includes these texts and their translations; a notebook uses this one.
"""

ENGLISH = {
    "axis.each": "{symbol} per ready seedling",
    "axis.wanted": "seedlings wanted",
    "axis.comes_up": "share of the seed that comes up",
    "chart.wanted": ("{count} wanted", "{count} wanted"),
    "answer.chart": "{crop}: cost of one ready seedling, by what you use up",
    "answer.steps": "{crop}: cost at the till as the number grows",
    "answer.not_ready": "Not ready",
    "answer.not_ready_why": "Not ready: {why}",
    "answer.stalls": "stalls in week {week}",
    "matters.weeks": ("{value} week", "{value} weeks"),
    "matters.germination": "germination",
    "matters.fill loss": "loss in filling",
    "matters.weeks in the tray": "time in the tray",
    "matters.weeks the mix feeds": "the mix feeds for",
    "matters.feed strength": "strength of the feed",
    "matters.from_to": "{what}: {low} or {high}",
    "matters.not_ready_at": "not ready at {value}",
    "matters.table": "{crop} in {medium}: {each} each as entered",
    "matters.key_low": "at the low value",
    "matters.key_high": "at the high value",
    "calendar.chart": "From sowing to planting out",
    "column.mix": "mix",
    "column.feed": "feed",
    "column.seed": "seed",
    "column.container": "tray",
    "column.energy": "energy",
    "column.labour": "time",
    "column.day": "Day",
    "bench.curves": "{crop}: share up by day, with where it likely lies",
    "bench.money_title": "{crop}: what it does to the cost of a ready seedling, by what you use up",
    "bench.share_title": "{crop}: how much of the seed is likely to come up",
    "bench.bar": "{medium}: {range}",
    "bench.range": "{low} to {high}",
    "bench.interval": "{low} to {high}",
    "bench.not_ready": "may stall",
    "bench.no_end": "no end",
}
"""A pair is for one thing and for any other number of them."""


def text(key, /, **gaps):
    """The text of a key with its gaps filled; KeyError if there is no such text."""
    return ENGLISH[key].format_map(gaps)


def counted(key, count, /, **gaps):
    """
    The text of a key for a number of things, with its gaps filled.

    >>> counted("matters.weeks", 1, value="1"), counted("matters.weeks", 1.5, value="1.5")
    ('1 week', '1.5 weeks')
    """
    one, several = ENGLISH[key]
    return (one if count == 1 else several).format_map({"count": count, **gaps})
