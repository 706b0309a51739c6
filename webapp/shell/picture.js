/* The page as it was last, kept on this device, to be looked at and typed into until Python is up. Stands before page.js.

   What is kept is the HTML that Python rendered, without the charts, whose places stay. It is shown only where all is as it was:
   the same build, plan, language and units, nothing typed that Python has not answered, and no link being opened. Otherwise the
   example is on the page. */

const picture = {
  ITEM: "pennyflat:picture",
  LONGEST: 1_500_000, // characters
  LATER_MS: 1500, // of quiet, before a picture is taken
  NOT_IN_IT: "script, noscript, #trouble, #update, #starting",
  EMPTY_IN_IT: ".chart, #notice, #undo, #status",
  later: 0,
  isUp: false,
  ofPage: [], // the elements that it is taken of: what Bokeh adds to the page later is not among them

  tryTo(work) {
    try {
      return work() ?? null;
    } catch {
      return null;
    }
  },

  /* What the page would show now if Python were up: a text; null where that is not known. */
  get subject() {
    return picture.tryTo(() => {
      const kept = (name) => localStorage.getItem(`pennyflat:${name}`);
      const plan = sessionStorage.getItem("pennyflat:current") ?? kept("current");
      if (kept("pending") || location.hash.includes(".")) return null;
      return JSON.stringify([BUILD.version, plan, kept(`plan:${plan}`), kept("language"), kept("units"), navigator.languages]);
    });
  },

  /* Whether there is a plan of one's own; the example is not it. */
  get hasPlan() {
    return picture.tryTo(() => {
      const plan = sessionStorage.getItem("pennyflat:current") ?? localStorage.getItem("pennyflat:current");
      return plan !== null && localStorage.getItem(`pennyflat:plan:${plan}`) !== null;
    });
  },

  /* As early as can be: whether there is one to show. The example is not shown then; nor is it before it has come whole, for
     with each part of it the browser would lay out and paint the page anew. */
  find() {
    const { subject } = picture;
    picture.found = subject && picture.tryTo(() => {
      const { of, language, title, parts } = JSON.parse(localStorage.getItem(picture.ITEM));
      return of === subject && parts.every((part) => typeof part === "string") && { language, title, parts };
    });
    document.documentElement.classList.add("arriving");
    addEventListener("DOMContentLoaded", picture.reveal); // whatever becomes of the scripts before
  },

  /* Puts it in the place of the example; called once all of that is there. */
  place() {
    const { found, parts } = picture, example = parts();
    picture.ofPage = example;
    picture.reveal();
    if (!found || found.parts.length !== example.length) return;
    example.forEach((part, i) => (part.outerHTML = found.parts[i]));
    picture.ofPage = parts();
    document.documentElement.lang = found.language;
    document.title = found.title;
    picture.isUp = true;
    delete picture.found;
  },

  reveal: () => document.documentElement.classList.remove("arriving"),

  parts: () => [...document.body.children].filter((part) => !part.matches(picture.NOT_IN_IT)),

  take() {
    clearTimeout(picture.later);
    picture.later = 0;
    const { subject: of } = picture;
    if (!of) return;
    const text = JSON.stringify({
      of,
      language: document.documentElement.lang,
      title: document.title,
      parts: picture.ofPage.map((part) => {
        const copy = part.cloneNode(true);
        const all = [copy, ...copy.querySelectorAll("*")];
        for (const element of all) {
          element.removeAttribute("inert");
          if (!element.matches(picture.EMPTY_IN_IT)) continue;
          element.replaceChildren();
          if ("fragment" in element.dataset) element.dataset.fragment = ""; // nothing is in it any more
        }
        return copy.outerHTML;
      }),
    });
    if (text.length <= picture.LONGEST) picture.tryTo(() => localStorage.setItem(picture.ITEM, text));
    else picture.drop();
  },

  takeLater() {
    clearTimeout(picture.later);
    picture.later = setTimeout(picture.take, picture.LATER_MS);
  },

  /* Whether there was one, and so whether there is more room now. */
  drop: () =>
    picture.tryTo(() => {
      const was = localStorage.getItem(picture.ITEM) !== null;
      localStorage.removeItem(picture.ITEM);
      return was;
    }),
};

picture.find();
