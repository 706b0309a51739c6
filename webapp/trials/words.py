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
    "bench.of": "{normal} of {sown}",
    "bench.curves_said": "A step line and a band for each mix; the table after it has the numbers.",
    "bench.replicates": "Pots of the same mix",
    "bench.untested": "Not tried with {crop}: {names}.",
    "bench.tests": "What knowing more before choosing is worth, for {wanted} seedlings",
    "bench.busy": "Working it out …",
    "bench.worked_out": "What the trials show is worked out.",
    "bench.no_crop": "This crop is not among those you raise.",
    "bench.counts": "Counts",
    "bench.water": "Water taken up",
    "bench.looks": "Weekly looks",
    "bench.rest": "Feed, photos and notes",
    "bench.row": "{what}, row {number}",
    "bench.details": "Details",
    "bench.picture_said": "A bar from the low to the high end for each mix; Details has them.",
    "bench.plan": "For your plan",
    "bench.plan_note": (
        "Nothing changes until you use it. Weeks of feeding and growing time then hold for every"
        " crop in that mix."
    ),
    "bench.use": "Use in the plan",
    "bench.use_this": "Use in the plan what the trial of {medium} shows",
    "bench.uses": "Came up: {emergence}",
    "bench.uses_weeks": ("Feeds for {weeks} week", "Feeds for {weeks} weeks"),
    "bench.uses_at_least": ("Feeds for at least {weeks} week", "Feeds for at least {weeks} weeks"),
    "bench.uses_pace": "Growing time {pace} (1 = as entered)",
    "bench.uses_pace_at_least": "Growing time at least {pace} (1 = as entered)",
    "bench.uses_unfit": "Never ready in it",
    "bench.table": "{crop}: what came up",
    "bench.table_note": (
        "Abnormal seedlings are left out here; the curves have them. Likely between: 95 % intervals"
        " by Jeffreys’ prior. Half up after: the formula of Coolbear and others (1984)."
    ),
    "bench.curve_table": "The curves as numbers, day by day",
    "bench.curve_note": "Likely between: 80 % intervals, each day by itself.",
    "bench.pairs": "Is the difference real? Pair by pair",
    "bench.pairs_note": (
        "How often luck alone would part two equal mixes so far is the p-value of Fisher’s exact"
        " test, not the chance that they are equal; of all pairs, Bonferroni’s. Of many pairs one"
        " looks different by luck, so look at the last figure."
    ),
    "bench.replicates_note": (
        "More than chance: below 2.5 % of the time, the level of the seed testing rules’ tolerances"
        " (from memory); the chance itself is exact."
    ),
    "bench.money_table": "{crop}: cost of a ready seedling in the mixes tried",
    "bench.money_note": (
        "Likely between: 80 % of what may be. Carried through: emergence by the counts, the weeks"
        " between two looks in which the mix ran out of feed, the growing time by the heights, and"
        " a loss in filling 5 points either way of one you measured, 15 of one you did not (common"
        " practice, no source)."
    ),
    "bench.tests_note": (
        "What would be saved on average. More seeds leave some doubt (statisticians call it the"
        " expected value of sample information; Ades, Lu and Claxton 2004); feeding and filling are"
        " taken as settled (expected value of partial perfect information; Howard 1966), so those"
        " are upper bounds. A dash: nobody saw this mix run out of feed, so it is taken as entered,"
        " or nothing came up."
    ),
    "undo.lesson": "What the trial shows is in the plan now.",
    "column.normal": "Came up",
    "column.likely": "Likely between",
    "column.half_up": "Half up after (days)",
    "column.up": "Up",
    "act.add_pot": "Add a pot",
    "act.add_count": "Add a count",
    "act.add_water": "Add a reading",
    "act.add_look": "Add a look",
    "act.example_trial": "Try it with invented counts",
    "act.paste": "Add these pots",
    "act.show": "Show results",
    "act.trial_csv": "Save as CSV",
    "undo.trials": "The trials are changed.",
    "column.middle": "Middle",
    "column.cheapest": "Cheapest with chance",
    "column.worth_emergence": "{seeds} more seeds",
    "column.worth_charge": "Its feeding watched",
    "column.worth_fill": "Its filling measured",
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
