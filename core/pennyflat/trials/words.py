"""What trials show, in plain sentences: the report of `trial_report` for people."""

from pennyflat.sentences import Amount, Listed, Money, Said, phrase, say, say_count
from pennyflat.trials.findings import (
    CostBand,
    ReplicatesRow,
    Stakes,
    TrialReport,
    TriedCrop,
    TriedMix,
)

NOTES = phrase(
    "Ranges of what comes up are 95 % intervals by Jeffreys' prior, days to half emergence are"
    " Coolbear's (1984), and how often luck alone parts two mixes is Fisher's exact test."
)
"""Names of the figures in the literature."""


def trial_lines(report: TrialReport) -> list[str]:
    """
    The report on trials as lines of text.

    >>> trial_lines({"crops": [], "currency": "EUR"})
    ['No trials are written down in this plan.']
    """
    if not report["crops"]:
        return [phrase("No trials are written down in this plan.")]
    currency, lines = report["currency"], []
    for crop in report["crops"]:
        lines += ["", crop["crop"]]
        if crop["answer"] and crop["says"]:
            lines += [crop["answer"]["sentence"], crop["says"]]
        else:
            lines.append(phrase("Nothing has been counted yet."))
        for mix in crop["mixes"]:
            growth = mix["growth"] or {"says": None, "quality": None}
            lines += speed_of(mix) + charge_of(mix)
            lines += [line for line in (growth["says"], growth["quality"]) if line]
        lines += [replicates_of(found) for found in crop["replicates"] if found["in_doubt"]]
        lines += pairs_of(crop)
        for money in crop["money"]:
            lines += [_cost(mix, currency) for mix in money["mixes"]]
            lines += [line for mix in money["mixes"] for line in band_of(mix)]
        if crop["money"] and len(crop["money"][0]["mixes"]) > 1:
            lines += worth_lines(crop["money"][0], currency)
    return [*lines[1:], "", NOTES]


def speed_of(mix: TriedMix) -> list[str]:
    """How fast a mix's seedlings came up and how fast it takes up water, as sentences."""
    found: list[str] = []
    if mix["half_days"] and mix["half_between"]:
        after, by = mix["half_between"]
        gaps = {"mix": mix["medium"], "after": after, "by": by, "mean": mix["mean_days"]}
        half = say(
            "{mix}: half of those that came up were up after {half:.1f} days, seen between day"
            " {after:g} and day {by:g}; {mean:.1f} days on average.",
            half=mix["half_days"]["Coolbear"],
            **gaps,
        )
        found.append(half)
    if mix["water_ml_per_minute"]:
        low, high = (Amount(ml, "liquid") for ml in mix["water_ml_per_minute"])
        gaps = {"mix": mix["medium"], "rate": low, "low": low, "high": high}
        if f"{low:.1f}" == f"{high:.1f}":
            found.append(say("{mix} takes up water at {rate:.1f} a minute at first.", **gaps))
        else:
            found.append(
                say("{mix} takes up water at {low:.1f} to {high:.1f} a minute at first.", **gaps)
            )
    return found


_SIGNS = {"stall": phrase("growth stalled"), "yellowing": phrase("the oldest leaves yellowed")}


def charge_of(mix: TriedMix) -> list[str]:
    """When a mix ran out, as sentences."""
    if mix["charge"] is None:
        return []
    gaps = mix["charge"] | {"mix": mix["medium"], "week": mix["charge"]["after"]}
    if gaps["by"] is None:
        return [say("{mix} still fed its plants in week {week:g}, the last look.", **gaps)]
    gaps["sign"] = _SIGNS[mix["charge"]["sign"]]
    return [say("{mix} ran out between week {after:g} and week {by:g}: {sign}.", **gaps)]


def replicates_of(found: ReplicatesRow) -> str:
    """What pots of the same mix say about each other, one of `replicates`, as a sentence."""
    counts, percent = Listed(tuple(found["normal"]), ","), 100 * found["chance"]
    gaps = {"mix": found["medium"], "counts": counts, "sown": found["sown"], "percent": percent}
    if found["in_doubt"]:
        return say(
            "{mix}: {counts} of {sown} in its pots is more than chance ({percent:.1f} % of the"
            " time): look for what differed.",
            **gaps,
        )
    return say(
        "{mix}: {counts} of {sown} in its pots may well be chance ({percent:.0f} % of the time).",
        **gaps,
    )


def pairs_of(crop: TriedCrop) -> list[str]:
    """
    Pair by pair, the chance that one mix brings up more, and how often luck alone would do that.
    """
    return [
        say_count(
            len(crop["pairs"]),
            "{mix} brings up more than {other} with chance {chance:.2f}; luck alone parts equal"
            " mixes so far {luck} of the time.",
            "{mix} brings up more than {other} with chance {chance:.2f}; luck alone parts equal"
            " mixes so far {luck} of the time, one of {count} pairs {all} of the time.",
            mix=pair["medium"],
            other=pair["other"],
            chance=pair["beats_chance"],
            luck=_percent(pair["fisher"]),
            all=_percent(pair["fisher_all_pairs"]),
            count=len(crop["pairs"]),
        )
        for pair in crop["pairs"]
    ]


def _percent(chance):
    if chance < 0.001:
        return phrase("less than 0.1 %")
    return say("{percent:.3g} %", percent=100 * chance)


def _cost(mix, currency):
    gaps = mix | {"mix": mix["medium"], "currency": currency, "chance": mix["cheapest_chance"]}
    if mix["low"] is None:
        return say("{mix}: its own fertiliser most likely runs out too early; not ready.", **gaps)
    if mix["high"] is None:
        return say(
            "{mix}: {low:.3f} {currency} or more a ready seedling (80 %); cheapest of those tried"
            " with chance {chance:.2f}.",
            **gaps,
        )
    return say(
        "{mix}: {low:.3f} to {high:.3f} {currency} a ready seedling (80 %); cheapest of those tried"
        " with chance {chance:.2f}.",
        **gaps,
    )


def band_of(mix: CostBand) -> list[str]:
    """Why the band of a mix's cost, one of `money`'s, is as wide as it is, as sentences."""
    gaps = {"mix": mix["medium"], "pots": mix["pots"], "correlation": mix["correlation"]}
    pots = say_count(
        mix["pots"],
        "{mix}: one pot cannot show how pots differ, and no band from one pot holds 80 % both"
        " where they do and where they are alike. This one holds 75 % at least, up to a correlation"
        " of 0.15 between seeds of a pot, and up to 99 % where pots are alike; from three pots on"
        " it holds 75 to 90 %.",
        "{mix}: the differences between its {pots} pots are counted (correlation"
        " {correlation:.2f}).",
        **gaps,
    )
    if not mix["unmeasured"]:
        return [pots]
    wide = say(
        {
            ("fill_loss",): "{mix}: the band is wide because nobody measured the loss in filling.",
            ("feeds_for_weeks",): "{mix}: the band is wide because nobody measured how long it"
            " feeds.",
            ("fill_loss", "feeds_for_weeks"): "{mix}: the band is wide because nobody measured the"
            " loss in filling or how long it feeds.",
        }[tuple(mix["unmeasured"])],
        **gaps,
    )
    return [pots, wide]


def worth_lines(money: Stakes, currency: str) -> list[Said]:
    """
    Which measurement to make before choosing one of several mixes, and its worth, as sentences.
    """
    first, everything = money["first"], money["everything_worth"]
    if everything is None:
        untold = phrase(
            "What a measurement is worth cannot be told: fewer than two mixes came up, or none is"
            " sure to be ready in time."
        )
        return [untold]
    if first is None or first["worth"] is None:
        return [phrase("No single measurement of any mix would save anything.")]
    gaps = {
        "mix": first["medium"],
        "worth": Money(first["worth"], currency, in_all=True),
        "wanted": money["wanted"],
        "seeds": money["test_seeds"],
    }
    following = say(
        {
            "emergence": "The one test to make next: {seeds} more seeds in {mix}. Knowing their"
            " result before choosing is worth {worth} for {wanted} seedlings; what the test costs"
            " is not taken off.",
            "charge": "The one thing to measure next: how long {mix} feeds. Leave a pot unfed"
            " until its oldest leaves yellow; knowing that before choosing is worth {worth} at"
            " most for {wanted} seedlings.",
            "fill": "The one thing to measure next: the loss in filling with {mix}. Fill a tray"
            " and measure what it took; knowing that before choosing is worth {worth} at most for"
            " {wanted} seedlings.",
        }[first["measure"]],
        **gaps,
    )
    worth = Money(everything, currency, in_all=True)
    return [following, say("Knowing everything for certain would be worth {worth}.", worth=worth)]
