/* The places of the page: one is open at a time, named after the # of the address. This script is in the head, so that the right
   place is open from the start. The address may also name something inside a place, which is then scrolled into view; any other
   text is a link to a plan (see files.js). */

const byId = (id) => document.getElementById(id);

const places = {
  ALL: ["enter", "buy", "compare", "grow", "share", "notes"], // the last is reached from the others, not from the bar
  WIDE: matchMedia("(min-width: 68.75rem)"), // here the entries stay beside the other places
  now: "",
  left: new Map(), // place to its scroll position when it was left
  focused: new Map(), // place to the element in it that last had the focus

  /* The place that contains the element with that id; "" if there is none. */
  of: (id) => (places.ALL.includes(id) ? id : (byId(id)?.closest(".place")?.id ?? "")),

  start() {
    const wanted = location.hash.slice(1);
    places.open(places.ALL.includes(wanted) ? wanted : "buy");
    addEventListener("DOMContentLoaded", () => {
      places.mark();
      if (places.of(wanted) && wanted !== places.now) places.go(wanted);
    });
    addEventListener("hashchange", () => places.go(location.hash.slice(1) || "buy"));
    addEventListener("focusin", ({ target }) => {
      const name = target.closest(".place")?.id;
      if (name && target.id !== name) places.focused.set(name, target); // a link to another place would take the focus away
    });
    // Otherwise a browser scrolls back before it reports the new address; after a reload it may restore the position.
    addEventListener("load", () => (history.scrollRestoration = "manual"));
    addEventListener("pagehide", () => (history.scrollRestoration = "auto"));
    places.WIDE.addEventListener("change", places.mark);
  },

  open(name) {
    places.now = name;
    document.documentElement.dataset.place = name;
  },

  turnTo(name) {
    places.left.set(places.now, scrollY);
    places.open(name);
    places.mark();
  },

  /* Opens the place of an element and scrolls to the element. */
  go(id) {
    const name = places.of(id);
    if (!name) return;
    if (name !== places.now) places.turnTo(name);
    if (id !== name) return places.show(byId(id));
    scrollTo(0, places.left.get(name) ?? 0);
    const focused = places.focused.get(name);
    (focused?.isConnected ? focused : byId(name)).focus({ preventScroll: true });
  },

  /* Scrolls to an element and opens everything that contains it. */
  show(element) {
    const name = element.closest(".place")?.id;
    if (name && name !== places.now && !(name === "enter" && places.WIDE.matches)) {
      history.pushState(null, "", `#${name}`);
      places.turnTo(name);
    }
    for (let up = element; up; up = up.parentElement) if (up.localName === "details") up.open = true;
    element.scrollIntoView({ block: "nearest" });
  },

  /* Marks the link to the open place. */
  mark() {
    for (const link of document.querySelectorAll("#places a")) link.ariaCurrent = link.hash === `#${places.now}` ? "page" : null;
  },
};

places.start();
