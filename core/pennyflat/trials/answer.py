"""The answer of a trial: one sentence, with the one thing to do next.

If the crop is raised and its cost is known in two mixes or more, the answer is about money: the mix
that most likely makes the cheapest ready seedling, and the most valuable measurement before
choosing, if any. Otherwise it is about what comes up, and how many more seeds would settle that.
Only this module decides what to do next, so that no two sentences give different advice.
"""

from collections.abc import Collection
from operator import itemgetter

from pennyflat.chances.contest import best_of, posterior, seeds_to_be_sure
from pennyflat.chances.proportion import jeffreys_interval
from pennyflat.sentences import Listed, Money, Said, phrase, say, say_count
from pennyflat.trials.findings import Answer, Stakes

SURE = 0.9
"""Chance above which a leader is named without "most likely". Ours. [1]"""

ALL_BUT_SURE = 0.995
"""Chance that is more than 99 %, rounded: differences are no longer said to be chance. Ours. [1]"""


def answer_of(
    crop: str,
    counted: dict[str, tuple[int, int]],
    money: Stakes | None,
    currency: str,
    unfit: Collection[str] = (),
) -> Answer | None:
    """
    The answer of one crop's trial, from the normal seedlings and seeds counted by mix.

    `leader`, the mix, `by` "cost" or "emergence", its `chance`, `next`, the measurement to make
    first, or `more_seeds` for each mix, and the `sentence`. None if nothing was counted. Unfit
    mixes, in which seedlings stayed stunted or yellow, are excluded. Without `money`, the crop is
    not raised.

    >>> answer = answer_of("leek", {"Fine": (9, 10), "Bulk": (6, 10)}, None, "EUR")
    >>> print(answer["sentence"])
    Fine brings up the most leek of the 2 mixes tried (chance 94...%).
    """
    if not counted:
        return None
    fit = {mix: count for mix, count in counted.items() if mix not in unfit}
    if not fit:
        unsound = say("No mix tried grew sound {crop}: it stayed stunted or yellow.", crop=crop)
        return _answer(unsound)
    if not any(up for up, _ in fit.values()):
        return _answer(say("No {crop} came up in any mix tried.", crop=crop))
    if len(fit) == 1:
        ((mix, count),) = fit.items()
        low, high = (100 * end for end in jeffreys_interval(*count))
        gaps = {"mix": mix, "crop": crop, "low": low, "high": high}
        only = say(
            "Only {mix} can be judged: likely between {low:.0f} and {high:.0f} % of the seed of"
            " {crop} comes up in it.",
            **gaps,
        )
        return _answer(only, leader=mix)
    tried = say("the {count} mixes tried", count=len(fit))
    if len(fit) < len(counted):
        tried = say("the {count} mixes tried that grew it well", count=len(fit))
    gaps = {"crop": crop, "tried": tried}
    if money is not None and len(money["mixes"]) > 1:
        return _by_cost(money, currency, gaps)
    return _by_emergence(fit, gaps)


def _answer(sentence, **known):
    blank = dict.fromkeys(("leader", "by", "chance", "next", "more_seeds"))
    return {**blank, **known, "sentence": sentence}


def _percent(chance):
    if chance >= ALL_BUT_SURE:
        return phrase("more than 99\N{NO-BREAK SPACE}%")
    return say("{percent:.0f}\N{NO-BREAK SPACE}%", percent=100 * chance)


def _by_cost(money, currency, gaps):
    """Which mix is cheapest and what to measure before choosing."""
    best = max(money["mixes"], key=lambda mix: mix["cheapest_chance"])
    chance, first = best["cheapest_chance"], money["first"]
    if not chance:
        sentence = say(
            "In none of {tried} is {crop} sure to be ready before the fertiliser runs out.", **gaps
        )
        return _answer(sentence)
    gaps |= {"mix": best["medium"], "chance": _percent(chance), "seeds": money["test_seeds"]}
    if first is not None:
        gaps |= {"test": first["medium"], "worth": Money(first["worth"], currency, in_all=True)}
        case = first["measure"]
    else:
        case = "sure" if chance >= SURE else "likely"
    sentence = say(
        {
            "unready": "{mix} most likely makes the cheapest ready {crop} of {tried} (chance"
            " {chance}), though none is sure to be ready.",
            "sure": "{mix} makes the cheapest ready {crop} of {tried} (chance {chance}): choose"
            " now.",
            "likely": "{mix} most likely makes the cheapest ready {crop} of {tried} (chance"
            " {chance}), and no single measurement would pay: choose now.",
            "emergence": "{mix} most likely makes the cheapest ready {crop} of {tried} (chance"
            " {chance}), but {seeds} more seeds in {test} before you choose are worth {worth}.",
            "charge": "{mix} most likely makes the cheapest ready {crop} of {tried} (chance"
            " {chance}), but to see how long {test} feeds before you choose is worth up to"
            " {worth}.",
            "fill": "{mix} most likely makes the cheapest ready {crop} of {tried} (chance"
            " {chance}), but to measure what {test} loses in filling before you choose is worth up"
            " to {worth}.",
        }["unready" if money["everything_worth"] is None else case],
        **gaps,
    )
    return _answer(sentence, leader=best["medium"], by="cost", chance=chance, next=first)


def _by_emergence(counted, gaps):
    leader, chance = max(best_of(counted).items(), key=itemgetter(1))
    gaps |= {"mix": leader, "chance": _percent(chance)}
    known = {"leader": leader, "by": "emergence", "chance": chance}
    if chance >= SURE:
        sentence = say("{mix} brings up the most {crop} of {tried} (chance {chance}).", **gaps)
        return _answer(sentence, **known)
    seeds = seeds_to_be_sure([posterior(*count) for count in counted.values()])
    if seeds is None:
        sentence = say(
            "Of {tried}, the best bring up {crop} alike, and more seeds would not part them: choose"
            " by price.",
            **gaps,
        )
        return _answer(sentence, by="emergence")
    sentence = say_count(
        seeds,
        "{mix} most likely brings up the most {crop} of {tried} (chance {chance}); about {seeds}"
        " more seed in each would settle it.",
        "{mix} most likely brings up the most {crop} of {tried} (chance {chance}); about {seeds:,}"
        " more seeds in each would settle it.",
        **gaps,
        seeds=seeds,
    )
    return _answer(sentence, **known, more_seeds=seeds)


def what_it_shows(trials: dict[str, tuple[int, int]]) -> Said:
    """
    What came up in side-by-side trials, in plain sentences, and how little it proves if weak.

    From the seedlings and seeds by mix. It does not say what to do next. The ranges are 95 %
    Jeffreys intervals; the chances are those of `chances_best`.

    >>> print(what_it_shows({"Fine mix": (5, 5), "Bulk mix": (4, 5)}))
    Fine mix: 5 of 5 came up, so most likely 62 to 100 % of its seeds would. Bulk mix: 4 of 5 ...
    """
    sentences, widest = [], 0.0
    for mix, (emerged, sown) in trials.items():
        low, high = jeffreys_interval(emerged, sown)
        widest = max(widest, high - low)
        gaps = {"mix": mix, "emerged": emerged, "sown": sown, "low": 100 * low, "high": 100 * high}
        known = say(
            "{mix}: {emerged} of {sown} came up, so most likely {low:.0f} to {high:.0f} % of"
            " its seeds would.",
            **gaps,
        )
        sentences.append(known)
    leader, best = max(best_of(trials).items(), key=itemgetter(1))
    if len(trials) == 1 or best < ALL_BUT_SURE:
        sentences.append(next(words for width, words in _KNOWN.items() if widest >= width))
    gaps = {"mix": leader, "count": len(trials), "chance": _percent(best)}
    if len(trials) == 2:
        sentences.append(say("{mix} brings up more (chance {chance}).", **gaps))
    elif len(trials) > 2:
        sentences.append(say("{mix} brings up the most of the {count} (chance {chance}).", **gaps))
    return say("{sentences}", sentences=Listed(tuple(sentences), " "))


_KNOWN = {
    0.4: phrase("That is next to nothing known: so few seeds fit almost any share."),
    0.2: phrase("That is known only roughly: large differences may still be chance."),
    0.1: phrase(
        "That is a fair picture: differences of a few seedlings in a hundred remain chance."
    ),
    0.0: phrase("That is well known."),
}
"""Words for the width of the widest 95 % interval. Ours."""
