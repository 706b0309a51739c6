"""Texts of the trial bench, by key, as in words.py."""

ENGLISH = {
    "bench.title": "The trial bench",
    "bench.intro": (
        "Sow the same seed side by side in several mixes, write down what comes up, and see what"
        " that really shows. Trials are part of your plan; days without a look don’t matter."
    ),
    "bench.today": "Count today",
    "bench.today_intro": (
        "All that are up so far, those since lost or pulled included. Days count from sowing; with"
        " the day of sowing in a pot they are counted for you."
    ),
    "bench.no_day": "Give the day after sowing above, or the day this pot was sown below.",
    "bench.on_day": "day {day}, of {sown} sown",
    "bench.before": "{emerged} on day {day} before",
    "bench.pot": "{medium}, {crop}",
    "bench.labelled": "{pot}, {label}",
    "bench.pots": "The pots",
    "bench.gist": "{emerged} of {sown} up on day {day}",
    "bench.gist_none": ("{count} sown, nothing counted yet", "{count} sown, nothing counted yet"),
    "bench.invented": "Invented, to show what the bench does.",
    "bench.added": "Pots added: {count}.",
    "bench.paste": "Paste from a spreadsheet",
    "bench.paste_intro": (
        "With a row of headings: mix, crop, seeds sown, pot, and either a column for each day (day"
        " 5, day 9, …) or the two columns day and emerged. A CSV file saved here is read too."
    ),
    "bench.empty": "No pots yet.",
    "bench.shows": "What it shows",
    "bench.stale": "For what was entered before; ask again to bring it up to date.",
    "bench.nothing": "Nothing is written down yet: add a pot first.",
    "bench.incomplete": "Fill in what is marked above first; then the trials can be shown.",
    "bench.no_counts": "Nothing has been counted yet.",
    "bench.table": "What came up in {crop}, with 95 % intervals",
    "bench.interval": "{low} to {high}",
    "bench.of": "{normal} of {sown}",
    "bench.curves": "{crop}: share up by day, with 80 % bands",
    "bench.curves_said": "A step line and a band for each mix; the table after it has the numbers.",
    "bench.curve_table": "The curves as numbers: share up, with 80 % intervals day by day",
    "bench.curve_cell": "{share} ({low} to {high})",
    "bench.details": "Is the difference real? Pair by pair, with Fisher's exact test",
    "bench.pairs_note": (
        "A p-value is how often chance alone would part two equal mixes so far, not the chance that"
        " they are equal. Of many pairs one looks different by luck, so look at the last figure."
    ),
    "bench.replicates": "Pots of the same mix",
    "bench.replicates_note": (
        "In doubt below 2.5 % of the time, the level of the seed testing rules' tolerances (from"
        " memory); the chance itself is exact."
    ),
    "bench.money_title": "What it does to the cost of a ready {crop} seedling, by what you use up",
    "bench.money_said": "A bar from the low to the high end for each mix; the table has them.",
    "bench.money_table": "Cost of a ready {crop} seedling in the mixes tried, 80 % of what may be",
    "bench.money_note": (
        "Carried through: emergence by the counts, the weeks between two looks in which the charge"
        " ran out, and a loss in filling 5 points either way of yours (common practice, no source)."
    ),
    "bench.cheapest": "{medium} is the cheapest of those tried with chance {chance}.",
    "bench.cheapest_alone": "Only {medium} was tried, so there is nothing to compare it with.",
    "bench.untested": "Not tried with {crop}: {names}.",
    "bench.next_emergence": (
        "The one test to make next: {seeds} more seeds in {medium}. Knowing their result before"
        " choosing is worth {worth} for {wanted} seedlings; what the test costs is not taken off."
    ),
    "bench.next_charge": (
        "The one thing to measure next: how long the charge of {medium} lasts. Leave a pot unfed"
        " until its oldest leaves yellow; knowing that before choosing is worth {worth} at most for"
        " {wanted} seedlings."
    ),
    "bench.next_fill": (
        "The one thing to measure next: the loss in filling with {medium}. Fill a tray and measure"
        " what it took; knowing that before choosing is worth {worth} at most for {wanted}"
        " seedlings."
    ),
    "bench.no_next": "No single measurement of any mix would save anything: choose now.",
    "bench.next_untold": (
        "What a measurement is worth cannot be told: fewer than two mixes came up, or none is sure"
        " to be ready in time."
    ),
    "bench.tests": "What knowing more before choosing is worth, for {wanted} seedlings",
    "bench.everything": "Knowing everything for certain would be worth {worth}.",
    "bench.tests_note": (
        "Expected savings. More seeds leave some doubt (expected value of sample information; Ades,"
        " Lu and Claxton 2004); charge and filling are taken as settled (expected value of partial"
        " perfect information; Howard 1966), so those are upper bounds. A dash: nobody saw this"
        " mix's charge run out, so it is taken as entered, or nothing came up."
    ),
    "bench.busy": "Working it out …",
    "bench.worked_out": "What the trials show is worked out.",
    "bench.not_ready": "may stall",
    "bench.no_end": "no end",
    "bench.bar": "{medium}: {range}",
    "bench.range": "{low} to {high}",
    "bench.use": "Use in the scenario",
    "bench.use_this": "Use in the scenario what the trial of {medium} shows",
    "bench.uses": "Emergence {emergence}",
    "bench.uses_weeks": (
        "Emergence {emergence}, feeds for {weeks} week",
        "Emergence {emergence}, feeds for {weeks} weeks",
    ),
    "bench.uses_at_least": (
        "Emergence {emergence}, feeds for at least {weeks} week",
        "Emergence {emergence}, feeds for at least {weeks} weeks",
    ),
    "bench.normal_only": "Abnormal seedlings are left out of these figures; the curves have them.",
    "bench.no_crop": "This crop is not among those you raise.",
    "bench.counts": "Counts",
    "bench.water": "Water taken up",
    "bench.looks": "Weekly looks",
    "bench.rest": "Feed, photos and notes",
    "bench.row": "{what}, row {number}",
    "act.add_pot": "Add a pot",
    "act.add_count": "Add a count",
    "act.add_water": "Add a reading",
    "act.add_look": "Add a look",
    "act.example_trial": "Try it with invented counts",
    "act.paste": "Add these pots",
    "act.show": "Show results",
    "act.trial_csv": "Save as CSV",
    "undo.trials": "The trials are changed.",
    "undo.lesson": "What the trial shows is in the mix now.",
    "column.normal": "Normal seedlings",
    "column.emergence": "Share",
    "column.wilson": "Wilson",
    "column.jeffreys": "Jeffreys",
    "column.best": "Best of all with chance",
    "column.half_coolbear": "Half up after (days)",
    "column.half_farooq": "Half up, Farooq (days)",
    "column.mean_days": "Mean time (days)",
    "column.band": "80 % range",
    "column.middle": "Middle",
    "column.cheapest": "Cheapest with chance",
    "column.worth_emergence": "{seeds} more seeds",
    "column.worth_charge": "Its charge watched",
    "column.worth_fill": "Its filling measured",
    "column.use": "Take over",
    "label.bench.on": "Counted on",
    "label.bench.day": "or day after sowing",
    "label.bench.crop": "Crop",
    "label.bench.pasted": "Table",
    "label.bench.count[]": "Up so far",
    "label.trials[].medium": "Mix",
    "label.trials[].crop": "Crop",
    "label.trials[].sown": "Seeds sown",
    "label.trials[].sown_on": "Sown on",
    "label.trials[].label": "Pot or replicate",
    "label.trials[].abnormal": "Abnormal seedlings",
    "label.trials[].counts[].day": "Day after sowing",
    "label.trials[].counts[].emerged": "Up so far",
    "label.trials[].water[].minute": "Minute",
    "label.trials[].water[].ml": "Taken up so far ({unit})",
    "label.trials[].looks[].week": "Week after sowing",
    "label.trials[].looks[].height_mm": "Height ({unit})",
    "label.trials[].looks[].leaves": "Oldest leaves",
    "label.trials[].fed_in_weeks": "Fed in weeks",
    "label.trials[].photos": "Photos",
    "label.trials[].notes": "Notes",
    "hint.trials[].abnormal": "Of those up: will not make a plant.",
    "hint.trials[].fed_in_weeks": "Set apart by semicolons, as in 3; 4,5.",
    "hint.trials[].photos": "File names, set apart by semicolons.",
    "leaves.green": "green",
    "leaves.yellowing": "yellowing",
    "fault.weeks": "“{text}” does not fit. Write weeks as in 3; 4,5.",
}
