"""What trials show, in plain sentences: the report of `trial_report` for people."""


def trial_lines(report):
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
        return ["No trials are written down in this scenario."]
    lines = []
    for crop in report["crops"]:
        lines += ["", crop["crop"]]
        lines.append(crop["says"] or "Nothing has been counted yet.")
        for mix in crop["mixes"]:
            lines += speed_of(mix) + charge_of(mix)
        lines += [replicates_of(found) for found in crop["replicates"] if found["in_doubt"]]
        lines += pairs_of(crop)
        for money in crop["money"]:
            lines += _money(money, report["currency"])
    return lines[1:]


def speed_of(mix):
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
    found = []
    if mix["half_days"]:
        half = mix["half_days"]
        after, by = mix["half_between"]
        found.append(
            f"{mix['medium']}: half of those that came up were up after {half['Coolbear']:.1f} days"
            f" (Coolbear 1984) or {half['Farooq']:.1f} (Farooq 2005), seen between day {after:g}"
            f" and day {by:g}; mean emergence time {mix['mean_days']:.1f} days."
        )
    if mix["water_ml_per_minute"]:
        low, high = mix["water_ml_per_minute"]
        rate = f"{low:.1f}" if f"{low:.1f}" == f"{high:.1f}" else f"{low:.1f} to {high:.1f}"
        found.append(f"{mix['medium']} takes up water at {rate} mL a minute at first.")
    return found


def charge_of(mix):
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
        return [f"{mix['medium']} still fed its plants in week {charge['after']:g}, the last look."]
    sign = {"stall": "growth stalled", "yellowing": "the oldest leaves yellowed"}[charge["sign"]]
    span = f"between week {charge['after']:g} and week {charge['by']:g}"
    return [f"{mix['medium']} ran out {span}: {sign}."]


def replicates_of(found):
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
    counts = ", ".join(f"{count}" for count in found["normal"])
    if found["in_doubt"]:
        return (
            f"{found['medium']}: {counts} of {found['sown']} in its pots is more than chance"
            f" ({100 * found['chance']:.1f} % of the time): look for what differed."
        )
    return (
        f"{found['medium']}: {counts} of {found['sown']} in its pots may well be chance"
        f" ({100 * found['chance']:.0f} % of the time)."
    )


def pairs_of(crop):
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
    count = len(crop["pairs"])
    found = []
    for pair in crop["pairs"]:
        every = f", {pair['fisher_all_pairs']:.3f} for all {count} pairs" if count > 1 else ""
        found.append(
            f"{pair['medium']} beats {pair['other']} with chance {pair['beats_chance']:.2f};"
            f" Fisher's exact test: p = {pair['fisher']:.3f}{every}."
        )
    return found


def _money(money, currency):
    lines = []
    for mix in money["mixes"]:
        if mix["low"] is None:
            lines.append(f"{mix['medium']}: its charge most likely runs out too early; not ready.")
            continue
        high = "no upper end" if mix["high"] is None else f"{mix['high']:.3f}"
        lines.append(
            f"{mix['medium']}: {mix['low']:.3f} to {high} {currency} a ready seedling (80 %);"
            f" cheapest of those tried with chance {mix['cheapest_chance']:.2f}."
        )
    if len(money["mixes"]) > 1:
        lines += worth_lines(money, currency)
    return lines


def worth_lines(money, currency):
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
    list of str

    Examples
    --------
    >>> fill = {"medium": "Mix", "measure": "fill", "worth": 0.4}
    >>> worth_lines({"wanted": 60, "tests": [fill], "first": fill, "everything_worth": 1.5}, "EUR")
    ['The next thing to measure: the loss in filling with Mix;...', 'Knowing everything for...']
    """
    first = money["first"]
    if money["everything_worth"] is None:
        return [
            "What a measurement is worth cannot be told: fewer than two mixes came up, or none is"
            " sure to be ready in time."
        ]
    if first is None:
        return ["No single measurement of any mix would save anything: choose now."]
    everything = f"{money['everything_worth']:.2f} {currency}"
    return [
        _next(first, money, currency),
        f"Knowing everything for certain would be worth {everything}.",
    ]


def _next(first, money, currency):
    medium, worth, wanted = first["medium"], f"{first['worth']:.2f} {currency}", money["wanted"]
    if first["measure"] == "emergence":
        return (
            f"The next test to make: {money['test_seeds']} more seeds in {medium}, worth {worth}"
            f" for {wanted} seedlings."
        )
    if first["measure"] == "charge":
        return (
            f"The next thing to measure: how long the charge of {medium} lasts; leave a pot unfed"
            f" until its oldest leaves yellow. Worth at most {worth} for {wanted} seedlings."
        )
    return (
        f"The next thing to measure: the loss in filling with {medium}; fill a tray and measure"
        f" what it took. Worth at most {worth} for {wanted} seedlings."
    )
