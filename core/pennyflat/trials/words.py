"""What trials show, in plain sentences: the report of `trial_report` for people."""

from pennyflat.sentences import Amount, Listed, Said, phrase, say
from pennyflat.trials.costs import band_of
from pennyflat.trials.findings import (
    Pot,
    ReplicatesRow,
    Stakes,
    TrialReport,
    TriedCrop,
    TriedMix,
)
from pennyflat.trials.growth import pace_of


def trial_lines(report: TrialReport) -> list[str]:
    """
    The report on trials as lines of text.

    Parameters
    ----------
    report : dict
        As from `trial_report`.

    Returns
    -------
    list of str

    Examples
    --------
    >>> trial_lines({"crops": [], "currency": "EUR"})
    ['No trials are written down in this scenario.']
    """
    if not report["crops"]:
        return [phrase("No trials are written down in this scenario.")]
    lines = []
    for crop in report["crops"]:
        lines += ["", crop["crop"]]
        lines.append(crop["says"] or phrase("Nothing has been counted yet."))
        for mix in crop["mixes"]:
            lines += speed_of(mix) + charge_of(mix) + pace_of(mix)
        lines += [replicates_of(found) for found in crop["replicates"] if found["in_doubt"]]
        lines += pairs_of(crop)
        for money in crop["money"]:
            lines += _money(money, report["currency"])
    return lines[1:]


def speed_of(mix: TriedMix) -> list[str]:
    """
    How fast a mix's seedlings came up and how fast it takes up water, as sentences.

    Parameters
    ----------
    mix : dict
        One of a crop's `mixes` in the report.

    Returns
    -------
    list of str

    Examples
    --------
    >>> speed_of({"medium": "Fine mix", "half_days": None, "water_ml_per_minute": [9.5, 9.5]})
    ['Fine mix takes up water at 9.5 mL a minute at first.']
    """
    found: list[str] = []
    if mix["half_days"] and mix["half_between"]:
        half = mix["half_days"]
        after, by = mix["half_between"]
        found.append(
            say(
                "{mix}: half of those that came up were up after {coolbear:.1f} days (Coolbear"
                " 1984) or {farooq:.1f} (Farooq 2005), seen between day {after:g} and day {by:g};"
                " mean emergence time {mean:.1f} days.",
                mix=mix["medium"],
                coolbear=half["Coolbear"],
                farooq=half["Farooq"],
                after=after,
                by=by,
                mean=mix["mean_days"],
            )
        )
    if mix["water_ml_per_minute"]:
        found.append(_uptake(mix["medium"], *mix["water_ml_per_minute"]))
    return found


def _uptake(mix, low, high):
    if f"{low:.1f}" == f"{high:.1f}":
        return say(
            "{mix} takes up water at {rate:.1f} a minute at first.", mix=mix, rate=_water(low)
        )
    return say(
        "{mix} takes up water at {low:.1f} to {high:.1f} a minute at first.",
        mix=mix,
        low=_water(low),
        high=_water(high),
    )


def _water(ml):
    return Amount(ml, "liquid")


def charge_of(mix: Pot | TriedMix) -> list[str]:
    """
    When a mix ran out, as sentences.

    Parameters
    ----------
    mix : dict
        One of a crop's `mixes` in the report.

    Returns
    -------
    list of str

    Examples
    --------
    >>> charge_of({"medium": "Fine mix", "charge": {"after": 3, "by": 5, "sign": "stall"}})
    ['Fine mix ran out between week 3 and week 5: growth stalled.']
    """
    charge = mix["charge"]
    if charge is None:
        return []
    if charge["by"] is None:
        return [
            say(
                "{mix} still fed its plants in week {week:g}, the last look.",
                mix=mix["medium"],
                week=charge["after"],
            )
        ]
    return [
        say(
            "{mix} ran out between week {after:g} and week {by:g}: {sign}.",
            mix=mix["medium"],
            after=charge["after"],
            by=charge["by"],
            sign=_SIGNS[charge["sign"]],
        )
    ]


_SIGNS = {
    "stall": phrase("growth stalled"),
    "yellowing": phrase("the oldest leaves yellowed"),
}


def replicates_of(found: ReplicatesRow) -> str:
    """
    What pots of the same mix say about each other, as a sentence.

    Parameters
    ----------
    found : dict
        One of a crop's `replicates` in the report.

    Returns
    -------
    str

    Examples
    --------
    >>> replicates_of({"medium": "Mix", "normal": [2, 9], "sown": 10, "chance": 0.002,
    ...                "in_doubt": True})
    'Mix: 2, 9 of 10 in its pots is more than chance (0.2 % of the time): look for what differed.'
    """
    gaps = {
        "mix": found["medium"],
        "counts": Listed(tuple(found["normal"]), ","),
        "sown": found["sown"],
        "percent": 100 * found["chance"],
    }
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
    Pair by pair, the chance that one mix is better and Fisher's exact test, as sentences.

    Parameters
    ----------
    crop : dict
        One of the `crops` in the report.

    Returns
    -------
    list of str

    Examples
    --------
    >>> pairs_of({"pairs": [{"medium": "A", "other": "B", "beats_chance": 0.83, "fisher": 1.0,
    ...                      "fisher_all_pairs": 1.0}]})
    ["A beats B with chance 0.83; Fisher's exact test: p = 1.000."]
    """
    return [_pair(pair, len(crop["pairs"])) for pair in crop["pairs"]]


def _pair(pair, count):
    gaps = {
        "mix": pair["medium"],
        "other": pair["other"],
        "chance": pair["beats_chance"],
        "p": pair["fisher"],
    }
    if count == 1:
        return say(
            "{mix} beats {other} with chance {chance:.2f}; Fisher's exact test: p = {p:.3f}.",
            **gaps,
        )
    return say(
        "{mix} beats {other} with chance {chance:.2f}; Fisher's exact test: p = {p:.3f}, {all:.3f}"
        " for all {count} pairs.",
        **gaps,
        all=pair["fisher_all_pairs"],
        count=count,
    )


def _money(money, currency):
    lines = [_cost(mix, currency) for mix in money["mixes"]]
    lines += [line for mix in money["mixes"] for line in band_of(mix)]
    if len(money["mixes"]) > 1:
        lines += worth_lines(money, currency)
    return lines


def _cost(mix, currency):
    if mix["low"] is None:
        return say(
            "{mix}: its charge most likely runs out too early; not ready.", mix=mix["medium"]
        )
    gaps = {
        "mix": mix["medium"],
        "low": mix["low"],
        "currency": currency,
        "chance": mix["cheapest_chance"],
    }
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
        high=mix["high"],
    )


def worth_lines(money: Stakes, currency: str) -> list[Said]:
    """
    Which measurement to make before choosing a mix, and what it is worth, as sentences.

    Parameters
    ----------
    money : dict
        One of a crop's `money` in the report, of two mixes or more.
    currency : str
        ISO 4217 code.

    Returns
    -------
    list of Said

    Examples
    --------
    >>> fill = {"medium": "Mix", "measure": "fill", "worth": 0.4}
    >>> worth_lines({"wanted": 60, "tests": [fill], "first": fill, "everything_worth": 1.5}, "EUR")
    ['The next thing to measure: the loss in filling with Mix;...', 'Knowing everything for...']
    """
    first = money["first"]
    if money["everything_worth"] is None:
        return [
            phrase(
                "What a measurement is worth cannot be told: fewer than two mixes came up, or none"
                " is sure to be ready in time."
            )
        ]
    if first is None:
        return [phrase("No single measurement of any mix would save anything: choose now.")]
    return [
        _next(first, money, currency),
        say(
            "Knowing everything for certain would be worth {worth:.2f} {currency}.",
            worth=money["everything_worth"],
            currency=currency,
        ),
    ]


def _next(first, money, currency):
    gaps = {
        "mix": first["medium"],
        "worth": first["worth"],
        "currency": currency,
        "wanted": money["wanted"],
    }
    if first["measure"] == "emergence":
        return say(
            "The next test to make: {seeds} more seeds in {mix}, worth {worth:.2f} {currency}"
            " for {wanted} seedlings.",
            seeds=money["test_seeds"],
            **gaps,
        )
    if first["measure"] == "charge":
        return say(
            "The next thing to measure: how long the charge of {mix} lasts; leave a pot unfed until"
            " its oldest leaves yellow. Worth at most {worth:.2f} {currency} for {wanted}"
            " seedlings.",
            **gaps,
        )
    return say(
        "The next thing to measure: the loss in filling with {mix}; fill a tray and measure what it"
        " took. Worth at most {worth:.2f} {currency} for {wanted} seedlings.",
        **gaps,
    )
