"""The Panel app: importing this module puts the example's figures into Panel's document.

The build takes the charts' document from it, and `panel serve webapp/app.py` shows it. Each chart
is drawn into the element whose id is its name.
"""

from panel.io.state import state

from conversation import Conversation
from pennyflat.buying.highs import solve
from pennyflat_display.figures import Figures
from view import Charts

example = Conversation()
example.prepare(solve)

charts = Charts()
figures = Figures()
figures.show(charts.news(example.work))
for figure in figures.all:
    state.curdoc.add_root(figure)
