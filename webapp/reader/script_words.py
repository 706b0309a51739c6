"""Texts shown by the page's scripts, by key, as in words.py.

The build writes them into index.html in English; Python sends them again when the language changes.
"""

ENGLISH = {
    "start.title": "Pennyflat: what one seedling costs",
    "start.label": "Getting ready",
    "start.bar": "Getting ready to recalculate",
    "start.fetch": "Fetching the calculator",
    "start.fetched": "Fetching the calculator: {got} of {of} MB",
    "start.python": "Starting Python …",
    "start.no_script": (
        "The example can be read as it is; to change it, allow this page to run JavaScript."
    ),
    "wrong.at_start": (
        "The calculator could not start, so the figures below do not follow what you type. {why}"
    ),
    "wrong.charts": "The charts could not be drawn; everything else works. {why}",
    "wrong.in_step": "Something went wrong in the last step. {why} What you entered is still here.",
    "wrong.details": "What the program said",
    "wrong.again": "Load the page again",
    "wrong.webassembly": (
        "This browser cannot run WebAssembly, which it needs. Use a current Firefox, Chrome, Edge"
        " or Safari; if WebAssembly is switched off here, allow it for this page."
    ),
    "wrong.memory": (
        "There was not enough memory. Close other tabs or programs and load the page again."
    ),
    "wrong.missing": (
        "This page is being updated, and some of its files are of another version. Load the page"
        " again in a minute."
    ),
    "wrong.damaged": (
        "The file {file} did not arrive as it should have. Load the page again; if that does not"
        " help, the copy on the server is damaged."
    ),
    "wrong.unreachable": (
        "The file {file} could not be fetched. Check the connection and load the page again."
    ),
    "wrong.worker": "The program that calculates could not be loaded.",
    "wrong.stopped": "It stopped again and again.",
    "watch.behind": "Still working: the figures do not yet follow what you entered last.",
    "watch.restarting": (
        "The calculator stopped and is starting again. Until then the figures are not current."
    ),
    "watch.restarted": (
        "The calculator stopped and was started again. It goes on from your plan and what you"
        " entered since."
    ),
    "watch.left_out": (
        "The calculator stopped twice at the same step, so that step is left out: {what}. All else"
        " is still here."
    ),
    "watch.whole_plan": "opening your plan",
    "watch.close": "Close this message",
    "keep.evicted": (
        "This browser no longer has the plan that this page kept here. Browsers remove what pages"
        " keep when room runs short or when they are asked to; a plan saved as a file stays."
    ),
    "update.newer": "A newer version of this page is ready. It comes with your next visit.",
    "update.take_over": "Load it now",
}
