"""Texts that the page's scripts show, by key, as in words.py.

The build writes them into index.html in English; Python sends them anew when the language changes.
"""

ENGLISH = {
    "start.title": "Pennyflat: what one seedling costs",
    "start.label": "Getting ready",
    "start.bar": "Getting ready to recalculate",
    "start.fetch": "Fetching the calculator",
    "start.fetched": "Fetching the calculator: {got} of {of} MB",
    "start.python": "Starting Python …",
    "start.parts": "Loading the page's parts …",
    "start.answer": "Working out the answer …",
    "start.no_script": (
        "The example can be read as it is; to change it, allow this page to run JavaScript."
    ),
    "wrong.at_start": (
        "The calculator could not start, so the figures below are only the example. {why}"
    ),
    "wrong.in_step": "Something went wrong in the last step. {why} What you entered is still here.",
    "wrong.details": "What the program said",
    "wrong.script": "The file {file} could not be loaded.",
    "wrong.fetch": "The file {file} could not be fetched ({status}).",
    "wrong.damaged": "The file {file} is damaged: {got} bytes of {of} arrived.",
    "wrong.missing": "The file {file} is not in this page.",
    "wrong.message": "A message from the calculator could not be read.",
    "wrong.memory": (
        "There was not enough memory. Close other tabs or programs and load the page again."
    ),
    "wrong.browser": (
        "This browser cannot run WebAssembly, which it needs. A current Firefox, Chrome, Edge or"
        " Safari can."
    ),
}
