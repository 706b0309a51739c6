"""What the package whose label was typed last is worth to the plan."""

from reader.words import said, text


def worth_said(work):
    """
    What that package is worth, in one line.

    Blank without one, and while entries are wrong.
    """
    errand = work.errand
    if not errand.weighed or work.report is None or not work.is_current:
        return ""
    found = errand.worth(work.scenario)
    if found is None or not found.is_done:
        return text("worth.working")
    if found.result:
        return said(found.result)
    if not any(errand.plan.picks):
        return said(errand.bill["recommendation"]["sentence"])
    return text("worth.unmet" if errand.bill["unmet"] else "worth.unproven")
