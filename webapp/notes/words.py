"""Texts of the notes on method and sources, and on what the page is made of."""

METHOD = {
    "notes.cells": (
        "Cells to sow: the smallest number of cells that gives at least the seedlings you want, as"
        " surely as you asked for (binomial distribution: each cell is taken to be independent of"
        " the others). Where you counted what came up, all that the counts leave open is averaged"
        " over (beta-binomial distribution)."
    ),
    "notes.litres": (
        "Mix: cells × volume of a cell ÷ (1 − loss in filling). A blend: parts by volume ÷"
        " (1 − shrinking)."
    ),
    "notes.label": (
        "Labels: an inch is 25.4 mm, a bushel 2150.42 cubic inches, a US gallon 231 cubic inches."
        " Quarts of dry goods are dry quarts."
    ),
    "notes.feed": "Feed: grams in a litre = ppm of nitrogen ÷ (10 × per cent of nitrogen in it).",
    "notes.cost": (
        "Cost of a ready seedling: all that is used up ÷ (cells × share that ends ready). At the"
        " till it is the same with whole packages in place of what is used up."
    ),
    "notes.plan": (
        "The recommendation: mixes for all crops, packages, deals, limits and trips are chosen"
        " together so that the money is least, and HiGHS, a solver, proves that it is. Where the"
        " proof takes longer than 10 seconds, the plan says so and how much less might be possible."
    ),
    "notes.club": (
        "A club's saving: by the Shapley value, each member pays what they add to the cost,"
        " averaged over every order in which the members could have joined."
    ),
}
"""How the figures are worked out, in the order of the page."""

TRIAL = {
    "notes.likely": (
        "“Most likely 37 to 98 %”: the Jeffreys interval at 95 %. It leaves out 2.5 % at either end"
        " of the beta distribution of (up + ½, not up + ½). The table has Wilson's score interval"
        " beside it."
    ),
    "notes.best": (
        "Chance of being the best: how often a share drawn from a mix's own distribution is the"
        " highest of all."
    ),
    "notes.pairs": "Pair by pair: Fisher's exact test, two-sided.",
    "notes.half": (
        "Half up after: the day on which half of those that came up were up, on a straight line"
        " between two counts. Of N seedlings, half is number (N + 1) ÷ 2 (Coolbear, Francis and"
        " Grierson 1984); the column beside it takes N ÷ 2 (Farooq, Basra, Hafeez and Ahmad 2005)."
    ),
}
"""Statisticians' names for the figures of a trial."""

CARE = {
    "notes.apart": (
        "A poor lot of seed, or damping-off, takes many cells at once. Then the number of cells to"
        " sow is too small."
    ),
    "notes.varies": (
        "How long a mix feeds and how much is lost in filling vary with watering, warmth and hand,"
        " and published figures disagree. Measure yours and enter it."
    ),
    "notes.volume": (
        "A bag may hold less than its label says. What loosened peat and soaked coir give is yours"
        " to enter."
    ),
    "notes.watts": "Rated watts × hours is the most that a light or mat with a thermostat uses.",
    "notes.money": "There is one currency. Nothing is converted, and no price is looked up.",
}
"""Cautions for reading the figures."""

ENGLISH = {
    "place.notes": "Notes on method and sources",
    "notes.method": "How it is worked out",
    **METHOD,
    "notes.trial": "What a trial shows",
    **TRIAL,
    "notes.care": "What the figures do not know",
    **CARE,
    "notes.safety": "Safety, by kind of work",
    "notes.sources": "All sources",
    "notes.sources_gist": "whose figures these are, and what each is used for",
    "notes.sources_intro": (
        "{count} sources, cited as they were published. Beside each figure on the page stands how"
        " well it is known:"
    ),
    "notes.used": "Used for: {uses}.",
    "used.bag_checks": "what to look for on a bag",
    "used.cautions": "safety",
    "used.compressed": "what compressed goods make",
    "used.containers": "volumes of cells",
    "used.crop_names": "names of crops",
    "used.crops": "crops",
    "used.doses": "doses of feed",
    "used.ec_bands": "readings of salts",
    "used.emergence_days": "days to emergence",
    "used.feeds": "feeds",
    "used.media": "mixes",
    "used.nutrient_levels": "levels of nutrients",
    "used.places": "how numbers and days are written",
    "used.practice": "common practice",
    "used.symptoms": "problems and what helps",
    "used.checks": "formulas and their checks",
    # What the page is made of
    "about.title": "About",
    "about.gist": "notes and sources, parts and their licences",
    "about.intro": (
        "Pennyflat is free under the MIT licence. The page is made of the parts below; all of them"
        " come with it."
    ),
    "about.caption": "Parts of the page",
    "about_head.part": "Part",
    "about_head.version": "Version",
    "about_head.licence": "Licence",
    "about.within": "in {part}",
    "about.sbom": "Save the list of parts (CycloneDX)",
    "about.save": "Save the licences",
    "about.read": "Read the licences",
    "about.missing": (
        "The list of parts could not be fetched. Reload the page once you are connected."
    ),
}
