"""The trial bench: today's counts, pasted tables, and the report on the trials.

Pots belong to the scenario. The report takes about a second in the browser, so a button starts it,
and it stays until the next time.
"""

from datetime import date, timedelta
from math import inf

import param

from reader.words import later, text
from work import edits

EXAMPLE = (
    # Seedlings so far by day, of 10 sown; abnormal; heights in weeks 2 and 4; leaves. Made up.
    ({5: 2, 7: 6, 10: 9}, 0, (32, 96), "green"),
    ({5: 0, 7: 3, 10: 7}, 1, (24, 62), "yellowing"),
    ({6: 4, 8: 7, 12: 8}, 0, (26, 78), "green"),
)


class Bench(param.Parameterized):
    """The entries at the bench, and the report on the trials."""

    asked = param.Dict({}, doc="What was typed at the head of the bench, by field of `bench.`.")
    report = param.Dict(None, allow_None=True, doc="Report of `pennyflat.trials.report`.")
    is_waiting = param.Boolean(False, doc="Whether results were asked for before any answer.")
    told = param.List(doc="What became of the last pasted table, in sentences.")

    def is_behind(self, scenario):
        """Whether the report is about other entries than these."""
        return self.report is not None and self._report_on != scenario

    def shown(self):
        """The report's part on the crop whose results are shown; None until there are any."""
        crops = {crop["crop"]: crop for crop in self.report["crops"]} if self.report else {}
        return crops.get(self.asked.get("crop"), next(iter(crops.values()), None))

    def day_of(self, pot):
        """Days from sowing for today's count in a pot; None if unknown."""
        day, on, sown_on = self.asked.get("day"), self.asked.get("on"), pot.get("sown_on")
        if isinstance(day, int | float):
            return day
        try:
            days = (date.fromisoformat(on or today()) - date.fromisoformat(sown_on)).days
        except (TypeError, ValueError):
            return None
        return days if days > 0 else None

    def show(self, scenario):
        """Make the report on a scenario, or remember that it is wanted if there is none yet."""
        from pennyflat.trials.report import trial_report  # slow to load, and rarely needed

        self.is_waiting = scenario is None
        if scenario is not None:
            self.report, self._report_on = trial_report(scenario), scenario

    def paste(self, document):
        """The pots of the pasted table."""
        from pennyflat.trials.table import read_table

        crop = next(iter(edits.names(document, "sowings")), None)
        found = read_table(self.asked.get("pasted") or "", crop=crop)
        added = [later("bench.added", count=len(found.trials))] if found.trials else []
        self.told = [*added, *found.problems]
        if found.trials:
            self.asked = self.asked | {"pasted": ""}
        return found.trials

    def applied(self, row, message):
        """A mix with what its trial taught about it for a crop."""
        from pennyflat.trials.growth import taken_over

        found = next(mix for mix in self.shown()["mixes"] if mix["medium"] == message.medium)
        return taken_over(row, message.crop, found["lesson"])


def examples(document):
    """Made-up pots of the first crop, one for each of the first mixes."""
    return [
        {
            "medium": medium,
            "crop": next(iter(edits.names(document, "sowings")), None),
            "sown": 10,
            "sown_on": (date.today() - timedelta(days=14)).isoformat(),
            "counts": [{"day": day, "emerged": up} for day, up in counts.items()],
            "abnormal": abnormal,
            "looks": [
                {"week": 2, "height_mm": early, "leaves": "green"},
                {"week": 4, "height_mm": late, "leaves": leaves},
            ],
            "notes": text("bench.invented"),
        }
        for medium, (counts, abnormal, (early, late), leaves) in zip(
            edits.names(document, "media"), EXAMPLE, strict=False
        )
    ]


def today():
    """The visitor's calendar day, in ISO 8601."""
    return date.today().isoformat()


def counted(document, pot, day, value):
    """
    The document with the seedlings seen in a pot by a day; None removes the day.

    >>> work = {"trials": [{"counts": [{"day": 9, "emerged": 4}]}]}
    >>> counted(work, 0, 6, 2)["trials"][0]["counts"]
    [{'day': 6, 'emerged': 2}, {'day': 9, 'emerged': 4}]
    """
    rows = edits.at(document, ("trials", pot, "counts"), [])
    rows = [row for row in rows if row["day"] != day]
    if value is not None:
        days = [row["day"] if isinstance(row["day"], int | float) else -inf for row in rows]
        place = next((i for i, other in enumerate(days) if other > day), len(rows))
        rows.insert(place, {"day": day, "emerged": value})
    return edits.with_value(document, ("trials", pot, "counts"), rows)
