/* The page as last seen, stored on this device, to be read and typed into until Python runs: the HTML that Python rendered, with
   empty places for the charts. It is only shown if nothing has changed: the same build, plan, language and units, no typed input
   that Python has not answered, and no link being opened. Otherwise the page shows the example. Precedes page.js.

   The page's own storage (store.js) cannot be read before the first paint. So localStorage has the picture, and what the storage
   contained when it was taken: `stand`. As soon as the storage has answered, an outdated picture gives way to the example (keep.js). */

/* FNV-1a (Fowler, Noll and Vo) over units of 16 bits; two texts collide with a chance of 1 in 2³². The build has the same. */
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
  MOST: 15_000, // elements: copying more would be noticed
  LATER_MS: 1500, // of quiet, before a picture is taken
  NOT_IN_IT: "script, noscript, #trouble, #update, #calculator, #starting",
  EMPTY_IN_IT: ".chart, #notice, #undo, #status",
  later: 0,
  isUp: false,
  isLooking: false, // whether the page shows someone else's plan
  isKept: () => true, // whether the page shows what is in the storage
  ofPage: [], // the elements in the picture, without those that Bokeh adds to the page later

  tryTo(work) {
    try {
      return work() ?? null;
    } catch {
      return null;
    }
  },

  /* What was noted last, without values of the wrong kind. */
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

  /* This tab's open plan; another tab may have another. */
  get plan() {
    return picture.tryTo(() => sessionStorage.getItem("pennyflat:current")) ?? picture.stand.plan;
  },

  /* What the page would show now if Python were running: a text; null if unknown. */
  get subject() {
    const { plan, stand } = picture;
    if (stand.pending || plan !== stand.plan || location.hash.includes(".")) return null;
    return JSON.stringify([BUILD.version, stand, navigator.languages]);
  },

  /* Whether the reader has a plan; the example does not count. */
  get hasPlan() {
    const { plan, stand } = picture;
    return plan !== null && (plan !== stand.plan || stand.print !== null);
  },

  /* Replaces the example with the picture; called once the whole example is there. */
  place() {
    const { found, parts } = picture, example = parts();
    picture.ofPage = example;
    picture.reveal();
    if (!found || found.parts.length !== example.length) return;
    picture.stood = JSON.stringify(picture.stand);
    picture.example = { ...picture.head, parts: example };
    example.forEach((part, i) => (part.outerHTML = found.parts[i]));
    picture.ofPage = parts();
    picture.head = found;
    picture.isUp = true;
    delete picture.found;
  },

  /* Checks the picture against the storage, now that it is known. If they differ, the example returns. */
  check(stand) {
    if (!picture.isUp || JSON.stringify(stand) === picture.stood) return;
    const { parts } = (picture.head = picture.example);
    picture.ofPage.forEach((part, i) => part.replaceWith(parts[i]));
    picture.ofPage = parts;
    places.mark();
    picture.isUp = false;
  },

  get head() {
    return { language: document.documentElement.lang, title: document.title };
  },

  set head({ language, title }) {
    document.documentElement.lang = language;
    document.title = title;
  },

  reveal: () => document.documentElement.classList.remove("arriving"),

  parts: () => [...document.body.children].filter((part) => !part.matches(picture.NOT_IN_IT)),

  take() {
    clearTimeout(picture.later);
    picture.later = 0;
    const { subject: of } = picture;
    if (!of || picture.isLooking || !picture.isKept()) return;
    if (document.getElementsByTagName("*").length > picture.MOST) return void picture.drop();
    const text = JSON.stringify({ of, ...picture.head, parts: picture.ofPage.map(picture.copyOf) });
    if (text.length <= picture.LONGEST) picture.tryTo(() => localStorage.setItem(picture.ITEM, text));
    else picture.drop();
  },

  copyOf(part) {
    const copy = document.createDocumentFragment();
    copy.append(part.cloneNode(true));
    for (const element of copy.querySelectorAll("[inert]")) element.removeAttribute("inert");
    for (const element of copy.querySelectorAll(picture.EMPTY_IN_IT)) {
      element.replaceChildren();
      if ("fragment" in element.dataset) element.dataset.fragment = ""; // it is empty now
    }
    return copy.firstChild.outerHTML;
  },

  takeLater() {
    clearTimeout(picture.later);
    picture.later = setTimeout(picture.take, picture.LATER_MS);
  },

  drop: () => picture.tryTo(() => localStorage.removeItem(picture.ITEM)),
};

/* As early as possible: finds out whether there is a picture to show. The example stays hidden until then, and until it is complete,
   since the browser would lay out and paint the page again with each part of it. */
picture.found = picture.tryTo(() => {
  const { subject } = picture, found = subject && JSON.parse(localStorage.getItem(picture.ITEM));
  return found?.of === subject && { ...found, parts: found.parts.map(trusted.html) };
});
document.documentElement.classList.add("arriving");
addEventListener("DOMContentLoaded", picture.reveal); // even if an earlier script fails
