/* The charts: the build's document (webapp/app.py), drawn by BokehJS alone and changed by Bokeh's own patches.

   Python sends {name of a model: {property: value}}; see core/pennyflat_display/charts.py. A model's tag holds its colours in both
   schemes, and its additional properties in saved pictures (figures/parts.py). */

const drawing = {
  dark: matchMedia("(prefers-color-scheme: dark)"),
  figures: new Map(), // by name, which is the id of its element; each in a document of its own
  waiting: {}, // news from before there were any
  plainTexts: 0,

  /* Makes the figures, with the waiting news, which draws nothing yet. */
  make(made) {
    const { Document } = Bokeh.require("document");
    const all = Document.from_json(made);
    for (const figure of [...all.roots()]) {
      all.remove_root(figure);
      const own = new Document();
      own.config.notifications = null; // else each adds an element to the page
      own.add_root(figure);
      drawing.figures.set(figure.name, figure);
    }
    drawing.named = new Map(drawing.models().map((model) => [model.name, model]));
    drawing.paint();
    drawing.show(drawing.waiting);
    drawing.dark.addEventListener("change", drawing.paint);
  },

  /* Draws a figure into its element. */
  async draw(place) {
    place.replaceChildren();
    await Bokeh.embed.add_document_standalone(drawing.figures.get(place.id).document, document.body, [place]);
    place.firstChild.inert = true; // Tab would stop there, and nothing is to be done
  },

  /* Once the page has been painted. */
  shown() {
    return new Promise((done) => {
      setTimeout(done, document.hidden ? 0 : 500); // a background page is not painted at all
      requestAnimationFrame(() => setTimeout(done));
    });
  },

  models: () => [...drawing.figures.values()].flatMap((figure) => [...figure.references()]),

  paint() {
    for (const model of drawing.models()) if (model.tags[0]) model.setv(model.tags[0][drawing.dark.matches ? "dark" : "light"]);
  },

  show(news) {
    for (const [name, values] of Object.entries(news)) {
      const model = drawing.named?.get(name);
      if (!model) Object.assign((drawing.waiting[name] ??= {}), values);
      else {
        const events = Object.entries(values).map(([attr, value]) => ({
          kind: "ModelChanged", model: { id: model.id }, attr, new: drawing.asBokeh(attr, value),
        }));
        model.document.apply_json_patch({ events });
      }
    }
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
