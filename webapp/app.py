"""The Panel app: importing this module puts the figures of the example into Panel's document.

The build takes the charts' page from it, and `panel serve webapp/app.py` shows it. A chart is drawn
into the element whose id is its name. What is typed goes through conversation.py, which needs none
of this.
"""

from panel.io.state import state

from charts import Charts
from conversation import Conversation
from figures import Figures
from pennyflat.buying.highs import solve

example = Conversation()
example.prepare(solve)

charts = Charts()
figures = Figures()
figures.show(charts.news(example.work))
for figure in figures.all:
    state.curdoc.add_root(figure)
