/* The page as it was last, kept on this device, to be looked at and typed into until Python is up. Stands before page.js.

   What is kept is the HTML that Python rendered, without the charts, whose places stay. It is shown only where all is as it was:
   the same build, plan, language and units, nothing typed that Python has not answered, and no link being opened. Otherwise the
   example is on the page.

   The page's own storage (store.js) cannot be asked before the first paint. So the picture, and what the storage held when it
   was taken, are in localStorage: `stand`, {plan, print, language, units, pending}. Neither is ever taken for the truth: as soon
   as the storage has answered, a picture of anything else gives way to the example (keep.js). */

/* FNV-1a (Fowler, Noll and Vo) over units of 16 bits; chance makes two texts alike once in 2³². The build has the same. */
function fingerprint(text) {
  let found = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) found = Math.imul(found ^ text.charCodeAt(i), 0x01000193);
  return (found >>> 0).toString(16);
}

const picture = {
  ITEM: "pennyflat:picture",
  STAND: "pennyflat:stand",
  NOTHING: { plan: null, print: null, language: "", units: "", pending: false },
  LONGEST: 1_500_000, // characters
  LATER_MS: 1500, // of quiet, before a picture is taken
  NOT_IN_IT: "script, noscript, #trouble, #update, #calculator, #starting",
  EMPTY_IN_IT: ".chart, #notice, #undo, #status",
  later: 0,
  isUp: false,
  isLooking: false, // whether somebody else's plan is on the page
  isKept: () => true, // whether what is on the page is what the storage has
  ofPage: [], // the elements that it is taken of: what Bokeh adds to the page later is not among them

  tryTo(work) {
    try {
      return work() ?? null;
    } catch {
      return null;
    }
  },

  /* What was noted last; what is not of that kind is left out. */
  get stand() {
    const noted = picture.tryTo(() => JSON.parse(localStorage.getItem(picture.STAND)));
    return Object.fromEntries(
      Object.entries(picture.NOTHING).map(([key, usual]) => [key, typeof noted?.[key] === "object" ? usual : (noted?.[key] ?? usual)]),
    );
  },

  note(stand) {
    picture.tryTo(() => {
      const text = JSON.stringify(stand);
      if (text === JSON.stringify(picture.NOTHING)) localStorage.removeItem(picture.STAND);
      else if (text !== localStorage.getItem(picture.STAND)) localStorage.setItem(picture.STAND, text);
    });
  },

  /* The plan that this tab has open; another tab may have another. */
  get plan() {
    return picture.tryTo(() => sessionStorage.getItem("pennyflat:current")) ?? picture.stand.plan;
  },

  /* What the page would show now if Python were up: a text; null where that is not known. */
  get subject() {
    const { plan, stand } = picture;
    if (stand.pending || plan !== stand.plan || location.hash.includes(".")) return null;
    return JSON.stringify([BUILD.version, stand, navigator.languages]);
  },

  /* Whether there is a plan of one's own; the example is not it. */
  get hasPlan() {
    const { plan, stand } = picture;
    return plan !== null && (plan !== stand.plan || stand.print !== null);
  },

  /* As early as can be: whether there is one to show. The example is not shown then; nor is it before it has come whole, for
     with each part of it the browser would lay out and paint the page anew. */
  find() {
    const { subject } = picture;
    picture.found = picture.tryTo(() => localStorage) && subject && picture.tryTo(() => {
      const { of, language, title, parts } = JSON.parse(localStorage.getItem(picture.ITEM));
      return of === subject && { language, title, parts: parts.map(trusted.html) };
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
    picture.stood = JSON.stringify(picture.stand);
    picture.example = { parts: example, language: document.documentElement.lang, title: document.title };
    example.forEach((part, i) => (part.outerHTML = found.parts[i]));
    picture.ofPage = parts();
    document.documentElement.lang = found.language;
    document.title = found.title;
    picture.isUp = true;
    delete picture.found;
  },

  /* Whether it shows what is kept, now that this is known. If not, the example comes back. */
  check(stand) {
    if (!picture.isUp || JSON.stringify(stand) === picture.stood) return;
    const { parts, language, title } = picture.example;
    picture.ofPage.forEach((part, i) => part.replaceWith(parts[i]));
    picture.ofPage = parts;
    document.documentElement.lang = language;
    document.title = title;
    places.mark();
    picture.isUp = false;
  },

  reveal: () => document.documentElement.classList.remove("arriving"),

  parts: () => [...document.body.children].filter((part) => !part.matches(picture.NOT_IN_IT)),

  take() {
    clearTimeout(picture.later);
    picture.later = 0;
    const { subject: of } = picture;
    if (!of || picture.isLooking || !picture.isKept()) return;
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

  drop: () => picture.tryTo(() => localStorage.removeItem(picture.ITEM)),
};

picture.find();
