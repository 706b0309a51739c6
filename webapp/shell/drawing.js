/* The charts: the build's document (webapp/app.py), drawn by BokehJS alone and changed by Bokeh's own patches.

   Python sends {name of a model: {property: value}}; see core/pennyflat_display/charts.py. A model's tag holds its colours in both schemes, and its
   additional properties in saved pictures (figures/parts.py). */

const drawing = {
  dark: matchMedia("(prefers-color-scheme: dark)"),
  document: null, // once the charts are on the page
  waiting: [], // news from before that
  plainTexts: 0,

  /* Draws each figure into the element whose id is its name, with the waiting news applied from the start. Between two of them the
     page answers, since all of them together take long. */
  async draw(made) {
    await drawing.shown();
    const { Document } = Bokeh.require("document");
    const found = Document.from_json(made), models = drawing.models(found.roots());
    drawing.ids = Object.fromEntries(models.filter(({ name }) => name).map(({ name, id }) => [name, id]));
    drawing.paint(found);
    drawing.apply(found, drawing.waiting.splice(0));
    const figures = [...found.roots()], places = figures.map(({ name }) => document.getElementById(name));
    for (const figure of figures) found.remove_root(figure);
    await Bokeh.embed.add_document_standalone(found, document.body, places);
    await drawing.shown();
    for (const [i, figure] of figures.entries()) {
      places[i].replaceChildren();
      found.add_root(figure);
      await drawing.shown();
      places[i].firstChild.inert = true; // Tab would stop there, and nothing is to be done
    }
    drawing.document = found;
    drawing.apply(found, drawing.waiting.splice(0));
    drawing.dark.addEventListener("change", () => drawing.paint(found));
  },

  /* Once the page has been painted. */
  shown() {
    return new Promise((done) => {
      setTimeout(done, document.hidden ? 0 : 500); // a background page is not painted at all
      requestAnimationFrame(() => setTimeout(done));
    });
  },

  show(news) {
    if (drawing.document) drawing.apply(drawing.document, [news]);
    else drawing.waiting.push(news);
  },

  models: (roots) => [...new Set(roots.flatMap((root) => [...root.references()]))],

  paint(found) {
    for (const model of drawing.models(found.roots())) if (model.tags[0]) model.setv(model.tags[0][drawing.dark.matches ? "dark" : "light"]);
  },

  /* Makes a figure look as it should on paper. */
  putOnPaper(figure) {
    for (const part of figure.references()) if (part.tags[0]) part.setv(part.tags[0].paper);
  },

  apply(found, all) {
    const events = all.flatMap((news) =>
      Object.entries(news).flatMap(([name, values]) =>
        Object.entries(values).map(([attr, value]) => ({
          kind: "ModelChanged", model: { id: drawing.ids[name] }, attr, new: drawing.asBokeh(attr, value),
        })),
      ),
    );
    if (events.length) found.apply_json_patch({ events });
  },

  /* A value in the form of a patch. */
  asBokeh(attr, value) {
    const map = (entries) => ({ type: "map", entries });
    if (attr === "data") return map(Object.entries(value).map(([name, column]) => [name, column.map((item) => item ?? NaN)]));
    if (attr === "major_label_overrides") return map(value.map(([tick, words]) => [tick, drawing.plain(words)]));
    if (attr === "axis_label" || attr === "text") return drawing.plain(value);
    return attr === "label" ? { type: "value", value } : value;
  },

  /* Plain text: Bokeh searches text of another kind for TeX. */
  plain: (text) => ({ type: "object", name: "PlainText", id: `plain text ${drawing.plainTexts++}`, attributes: { text } }),
};
