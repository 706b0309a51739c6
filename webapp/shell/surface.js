/* Listens to the whole page, tells Python what was typed and pressed, and shows the answers without disturbing anyone who is typing.

   A message to Python is {do, seq, …}; see webapp/work/messages.py. One is being worked on at a time, plus one behind the first
   "hello"; later input waits, and a field typed in twice is sent once. webapp/conversation.py says what an answer has. */

picture.place(); // before the rest of this script uses elements of the page

(() => {
  const waiting = []; // messages not sent yet
  const typed = new Map(); // path of a field, or its action, to the number of its last message
  let send = null; // set once there is a receiver
  let up = false; // whether Python has answered anything
  let atOnce = 2; // messages under way until then
  let underWay = []; // messages that Python is working on
  let numbered = 0;
  let answered = 0;
  let said = "";
  let sayAfter = 0;
  let busy = null; // the sign that shows while something long is being worked out, and the message that asked for it
  const FIELDS = "input, select, textarea";
  const HELD = `[id], details, button, a, ${FIELDS}`; // what can be open, have the focus, or is known by name
  const OF_ONE_PYTHON = ["hello", "more", "solved", "elsewhere", "storage"]; // messages that another one has no use for
  const PAUSE_MS = 1200; // after typing, before the answer is read out; before Python is asked while the solver works
  const ASK_MS = 60; // of quiet, before Python is asked for longer work: the plan
  let moreToCome = ""; // whether Python has such work
  let solving = false; // whether Python waits for the solver, whose answer is not to queue behind such work
  let askAfter = 0;
  let pricing = false; // whether a price is being typed into the list: half-typed, it could remove its line

  /* ---- To Python ---- */

  function post(message) {
    message.seq = ++numbered;
    const last = waiting.at(-1);
    if (last && message.do === "type" && last.do === "type" && last.path === message.path) waiting.pop();
    waiting.push(message);
    const name = { type: message.path, tick: message.line, show: "show" }[message.do];
    if (name) typed.set(name, message.seq);
    // Rows are identified by number: until Python has moved them, the old ones must not be typed into.
    if (message.do === "empty" || (!up && changesRows(message))) hold(true);
    next();
  }

  function hold(whether) {
    for (const id of ["entry", "errand-list", "trial-bench", "season-form"]) byId(id).inert = whether;
  }

  const changesRows = ({ do: act }) => ["add", "add-blend", "copy", "remove", "undo", "reset", "empty"].includes(act) || act.startsWith("trial-");

  function next() {
    if (!send || !waiting.length || underWay.length === (up ? 1 : atOnce)) return; // the second one is with the "hello"
    underWay.push(waiting.shift());
    send(underWay.at(-1));
    next();
  }

  window.pennyflat = {
    post,
    /* Messages that Python has not answered yet, and those among them that it has received. */
    unanswered: () => [...underWay, ...waiting],
    isWork: ({ do: act }) => !OF_ONE_PYTHON.includes(act),
    underWay: () => [...underWay],
    hold,
    /* What keep.js adds to the first message, and files.js to one about a button; null if files.js handles it alone. */
    greeting: async () => ({}),
    prepare: (message) => message,
    /* Called by the page, with a function that sends messages; `take` receives the answers. */
    async connect(sending) {
      const greeting = await window.pennyflat.greeting();
      waiting.unshift({ ...greeting, do: "hello", seq: 0, pictured: picture.isUp });
      send = sending;
      next();
    },
    /* Python has ended: unanswered messages wait for a new one, except those meant only for the old one, and the one to be left
       out. */
    disconnect(leftOut) {
      const left = window.pennyflat.unanswered().filter((message) => message !== leftOut && window.pennyflat.isWork(message));
      waiting.splice(0, Infinity, ...left);
      [send, underWay, up, atOnce, moreToCome, solving] = [null, [], false, 1, "", false];
      picture.isUp = false;
      if (left.some(changesRows)) hold(true);
    },
    take,
  };

  /* ---- From Python ---- */

  /* Even if showing an answer fails, it is stored, and the next message is sent. */
  function take(answer) {
    underWay = underWay.filter((message) => message.seq > answer.seq);
    up = true;
    answered = Math.max(answered, answer.seq);
    try {
      show(answer);
    } finally {
      document.dispatchEvent(new CustomEvent("pennyflat:answer", { detail: answer }));
      moreToCome = answer.more;
      if (answer.solve !== undefined) solving = answer.solve !== null;
      askLater();
      next();
    }
  }

  function show({ seq, fragments = {}, focus, say, trouble, more, waits, file, language }) {
    const hadFocus = document.activeElement !== document.body;
    const shrinks = document.activeElement?.closest("#errand-list, #standing");
    const wasIn = shrinks && (shrinks.closest(".place") ?? byId(places.now));
    if (language) speak(language);
    if (waits) {
      // heights stay for contents that will return; all are measured before any is set, so the browser lays the page out once
      const there = Object.keys(fragments).map(byId).filter(Boolean);
      const heights = there.map((place) => place.style.minHeight || `${place.offsetHeight}px`);
      there.forEach((place, i) => (place.style.minHeight = heights[i]));
    }
    for (const [id, html] of Object.entries(fragments)) if (byId(id)) renew(byId(id), html); // a list comes before its rows
    if (!waits) for (const place of document.querySelectorAll("[data-fragment][style]")) place.style.minHeight = "";
    if (fragments.undo !== undefined) offer(); // it has changed
    if (![...underWay, ...waiting].some(changesRows)) hold(false);
    if (focus) go(focus);
    else if (hadFocus && document.activeElement === document.body) (wasIn ?? byId("undo").querySelector("button"))?.focus({ preventScroll: true });
    const done = busy && seq >= busy.seq ? busy.sign : null;
    if (done) {
      busy = null;
      done.classList.remove("is-on");
    }
    if (done && !trouble) sayNow(done.dataset.done);
    else if (more !== "now") sayLater(trouble || say);
    if (file) window.pennyflat.save(file);
  }

  function parsed(html) {
    const fresh = document.createElement("template");
    fresh.innerHTML = trusted.html(html);
    return fresh.content;
  }

  /* Another language: the page's frame, without its fragments, and the texts of the scripts. */
  function speak({ code, frame, texts }) {
    byId("texts").content.textContent = JSON.stringify(texts);
    picture.head = { language: code, title: texts["start.title"] };
    for (const fresh of parsed(frame).children) refresh(byId(fresh.id), fresh);
    places.mark();
  }

  /* Asks Python to continue with longer work, after some time with nothing else to do. */
  function askLater() {
    clearTimeout(askAfter);
    const canWait = pricing || solving || moreToCome === "rest";
    const ask = () => moreToCome && !underWay.length && !waiting.length && post({ do: "more" });
    askAfter = setTimeout(ask, moreToCome === "now" ? 0 : canWait ? PAUSE_MS : ASK_MS);
  }

  /* Announces an answer once, even if something else was announced in between. */
  function sayLater(words) {
    clearTimeout(sayAfter);
    sayAfter = setTimeout(() => words && words !== said && sayNow((said = words)), PAUSE_MS);
  }

  function sayNow(words) {
    clearTimeout(sayAfter);
    byId("status").textContent = words;
  }

  /* Scrolls to an element and focuses it: a field itself, or the first field of a row. */
  function go(id) {
    const found = byId(id) ?? document.querySelector(`[id^="${CSS.escape(`${id}-`)}"]`);
    if (!found) return;
    places.show(found);
    found.focus();
    if (found.type === "text") found.select();
  }

  /* A fragment's place has an attribute with its hash: at the start most are already there. */
  function renew(place, html) {
    const found = fingerprint(html);
    if (place.dataset.fragment === found) return place.querySelectorAll(FIELDS).forEach(fill); // reloading may restore old values
    morph(place, parsed(html));
    place.dataset.fragment = found;
  }

  /* ---- Morphing: update the page to the wanted contents, touching only what differs ---- */

  function morph(place, wanted) {
    let now = place.firstChild;
    for (const fresh of [...wanted.childNodes]) {
      const match = counterpart(place, now, fresh);
      while (match && now && now !== match && isSpare(now)) now = without(now); // moving the match would take its focus away
      if (match && match === now) now = now.nextSibling;
      else place.insertBefore(match ?? fresh, now);
      if (match) refresh(match, fresh);
    }
    while (now) now = without(now);
  }

  function without(gone) {
    const next = gone.nextSibling;
    gone.remove();
    return next;
  }

  /* The node with the same id; else the next one of the same kind, past what holds nothing of the reader's. */
  function counterpart(place, now, fresh) {
    const isElement = fresh.nodeType === Node.ELEMENT_NODE;
    if (isElement && fresh.id) {
      const same = byId(fresh.id);
      return same && same.parentNode === place && same.localName === fresh.localName ? same : null;
    }
    let found = now;
    while (isElement && found && found.nodeName !== fresh.nodeName && isSpare(found)) found = found.nextSibling;
    return found && found.nodeName === fresh.nodeName && !found.id ? found : null;
  }

  const isSpare = (node) => !node.matches?.(HELD) && !node.querySelector?.(HELD);

  function refresh(node, fresh) {
    if (node.nodeType !== Node.ELEMENT_NODE) {
      if (node.data !== fresh.data) node.data = fresh.data;
      return;
    }
    for (const name of new Set([...node.getAttributeNames(), ...fresh.getAttributeNames()])) {
      const value = fresh.getAttribute(name);
      if (isOwn(node, name) || value === node.getAttribute(name)) continue;
      if (value !== null) node.setAttribute(name, value);
      else if (name !== "inert") node.removeAttribute(name);
    }
    if (fresh.matches("[data-fragment], [data-drawn]")) return; // its contents come separately, or are Bokeh's
    morph(node, fresh);
    if (node.matches(FIELDS)) fill(node);
  }

  /* The reader opens and closes details, and a fragment's hash stays with it. */
  const isOwn = (node, name) => (name === "open" && node.localName === "details") || name === "data-fragment";

  /* Shows a field's value from Python, unless the field is being typed in or Python has not seen its latest text. */
  function fill(field) {
    const name = field.dataset.path ?? field.dataset.line ?? field.dataset.do;
    if (!name || (typed.get(name) ?? 0) > answered) return; // without a name, Python does not know its contents
    if (field.type === "checkbox" || field.type === "radio") field.checked = field.defaultChecked;
    else if (field.localName === "select") for (const chosen of field.querySelectorAll("option[selected]")) chosen.selected = true;
    else if (field !== document.activeElement && field.value !== field.defaultValue) field.value = field.defaultValue;
  }

  /* ---- Events, all caught at the top of the page ---- */

  const isTyped = ({ dataset, type }) => Boolean(dataset?.path) && type === "text";

  /* A price is complete. */
  function priced() {
    pricing = false;
    askLater();
  }

  document.addEventListener("input", ({ target }) => {
    if (!isTyped(target)) return;
    pricing = Boolean(target.closest("#errand-list"));
    post({ do: "type", path: target.dataset.path, text: target.value, unfinished: pricing });
  });

  document.addEventListener("change", ({ target }) => {
    const { do: act, path, kind } = target.dataset;
    const text = target.type !== "checkbox" ? target.value : target.checked ? "yes" : "";
    const done = kind === "name"; // other text has been sent letter by letter
    if (act) post({ ...target.dataset, text });
    else if (path && (target.type !== "text" || done)) post({ do: "type", path, text, done });
  });

  document.addEventListener("toggle", ({ target }) => {
    const { ask, card } = target.dataset ?? {};
    if (ask) post({ do: "ask", question: ask, text: target.open ? "yes" : "" });
    if (card && target.open) post({ do: "open", text: card });
  }, true); // it does not bubble

  document.addEventListener("focusout", ({ target }) => {
    if (!isTyped(target)) return;
    setTimeout(() => fill(target)); // only now may the field show how its text was understood
    priced();
  });

  document.addEventListener("click", (event) => {
    const button = event.target.closest("a[data-go], button[data-do]");
    if (button?.dataset.go) {
      event.preventDefault();
      go(button.dataset.go);
    }
    if (!button?.dataset.do) return;
    const { do: act, to = "", path = to, text = "" } = button.dataset;
    const message = window.pennyflat.prepare({ ...button.dataset, do: act, path, text }, button);
    if (!message) return;
    post(message);
    if (act === "empty") {
      for (const card of document.querySelectorAll("#entry .card:is(.sowing, .mix)")) card.open = true;
      location.hash = "enter";
    }
    if (button.dataset.opens) byId(button.dataset.opens).scrollIntoView({ block: "start" });
    if (!button.dataset.busy) return;
    busy = { sign: byId(button.dataset.busy), seq: message.seq };
    busy.sign.classList.add("is-on");
    sayNow(busy.sign.textContent);
  });

  /* Tapping into a field selects its text; at the end of the tap, WebKit would put the caret there instead. */
  let tapped = null;
  document.addEventListener("mousedown", () => (tapped = null), true);
  document.addEventListener("focusin", ({ target }) => {
    if (!isTyped(target) || target.dataset.kind === "name") return;
    target.select();
    tapped = target;
  });
  document.addEventListener("mouseup", (event) => event.target === tapped && event.preventDefault());

  /* The offer to undo a removal stays for a while, and as long as someone is at it. */
  const OFFERED_MS = 15_000;
  let offered = 0;
  function offer() {
    clearTimeout(offered);
    const withdraw = () => (byId("undo").matches(":hover, :focus-within") ? offer() : post({ do: "forget" }));
    if (byId("undo").hasChildNodes()) offered = setTimeout(withdraw, OFFERED_MS);
  }

  document.addEventListener("submit", (event) => event.preventDefault());

  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !isTyped(event.target)) return;
    event.preventDefault(); // it would press the form's first button
    priced();
  });
})();
