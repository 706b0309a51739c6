"""The Panel app: importing this module builds its document, the charts of the example.

A chart is drawn into the element whose id is its name. What is typed does not go through the
document but through conversation.py, which needs none of Panel's and answers before this is here.
"""

from panel.io.state import state

from charts import Charts
from conversation import Conversation

example = Conversation()
"""Nobody has said anything in it; a start from a snapshot goes on with it."""
example.prepare()

charts = Charts(example.work)
for chart in charts.figures:
    state.curdoc.add_root(chart)
