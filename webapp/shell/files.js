/* What the page saves and opens: links, files, charts as pictures, printouts; and the buttons that it handles on its own. */

(() => {
  const LONGEST_FILE = 2_000_000;
  const LONGEST_LINK = 100_001; // one more than Python accepts, so that Python reports it
  const PICTURE_WIDTH = 720; // of a saved chart, in px
  const TITLE_AND_KEY = 60; // their height
  const page = window.pennyflat;

  /* Results of buttons at the end of the page appear at its top; once they are read, the focus returns to where it was. */
  let lookedFrom = null;
  let leaving = null; // the message of a button in the notice

  document.addEventListener("pennyflat:answer", ({ detail: answer }) => {
    const notice = byId("notice"), focused = document.activeElement;
    const isLeft = leaving && answer.seq >= leaving.seq;
    if (isLeft) leaving = null;
    if (answer.unlink && page.link()) page.unlink();
    if (answer.print) setTimeout(() => print());
    if (answer.look) {
      const isAsked = answer.look !== "unasked";
      if (isAsked && focused !== document.body && !notice.contains(focused)) lookedFrom = focused;
      if (isAsked) notice.querySelector("button")?.focus();
      notice.scrollIntoView({ block: "nearest" });
    } else if (isLeft && !notice.hasChildNodes()) {
      lookedFrom?.focus();
      lookedFrom = null;
    }
  });

  /* ---- Links ---- */

  const here = () => location.href.split("#")[0];

  /* The text after the #, unless it is a place on this page. */
  page.link = () => (location.hash.length < 2 || byId(location.hash.slice(1)) ? "" : location.hash.slice(0, LONGEST_LINK));
  page.unlink = () => history.replaceState(null, "", here());

  addEventListener("hashchange", () => {
    const text = page.link();
    if (text) page.post({ do: "link", text });
  });

  /* If the browser does not let the page copy, the text is selected and the page says what to press. */
  async function copy({ dataset: { from, toSay, done, press } }) {
    const field = byId(from);
    field.focus();
    field.select();
    const isCopied =
      (await navigator.clipboard?.writeText(field.value).then(() => true, () => false)) || document.execCommand("copy");
    byId(toSay).textContent = isCopied ? done : press;
  }

  /* ---- Files ---- */

  page.save = ({ name, type, text }) => {
    const href = URL.createObjectURL(new Blob([text], { type }));
    Object.assign(document.createElement("a"), { href, download: name }).click();
    setTimeout(() => URL.revokeObjectURL(href), 60_000);
  };

  document.addEventListener("change", async ({ target }) => {
    const { reads } = target.dataset;
    if (target.type !== "file" || !reads) return;
    for (const file of [...target.files])
      page.post({ do: reads, name: file.name, text: file.size > LONGEST_FILE ? null : await file.text() });
    target.value = "";
  });

  /* Draws a chart again, out of sight, as it should look on paper. */
  async function saveChart({ chart, kind, name }) {
    await chartsMade();
    const shown = drawing.figures.get(chart);
    const { Document } = Bokeh.require("document");
    const { Serializer } = Bokeh.require("core/serialization");
    const paper = Document.from_json({ version: Bokeh.version, title: "", roots: [new Serializer().encode(shown)] });
    const [copy] = paper.roots();
    for (const part of copy.references()) if (part.tags[0]) part.setv(part.tags[0].paper);
    copy.setv({ name: null, sizing_mode: "fixed", width: PICTURE_WIDTH, height: copy.height + TITLE_AND_KEY });
    const desk = Object.assign(document.createElement("div"), { className: "unseen", ariaHidden: "true" });
    document.body.append(desk);
    const views = await Bokeh.embed.add_document_standalone(paper, desk);
    const blob = await views.get(copy).export(kind, true).to_blob();
    views.clear();
    desk.remove();
    page.save({ name, type: blob.type, text: blob });
  }

  /* ---- Buttons ---- */

  page.prepare = (message, button) => {
    const { from, sure, page: wantsPage } = button.dataset;
    if (button.closest("#notice")) leaving = message;
    if (sure && !confirm(sure)) return null;
    if (message.do === "copy-text") return void copy(button);
    if (message.do === "chart") return void saveChart(button.dataset).catch(noCharts);
    if (message.do === "plan") return void page.openPlan(message);
    if (from) message.text = byId(from).value.slice(0, LONGEST_FILE);
    if (wantsPage !== undefined) message.page = here();
    return message;
  };

  /* The browser's own key prints the handout too; its menu prints the page, as "beforeprint" is too late to ask Python for a sheet. */
  document.addEventListener("keydown", (event) => {
    const { key, ctrlKey, metaKey, altKey, shiftKey } = event;
    if (key !== "p" || ctrlKey === metaKey || altKey || shiftKey || !isReady || byId("sheet").hasChildNodes()) return;
    event.preventDefault();
    document.querySelector("#print-card button").click();
  });

  /* A pasted link is opened at once, a typed one on Return; the next one replaces it. */
  const takerOf = ({ id, localName }) =>
    id && localName === "input" ? document.querySelector(`button[data-from="${id}"]:not([data-do="copy-text"])`) : null;

  document.addEventListener("input", ({ inputType, target }) => {
    const taker = inputType === "insertFromPaste" && takerOf(target);
    if (!taker) return;
    taker.click();
    target.select();
  });

  document.addEventListener("keydown", ({ key, target }) => {
    if (key === "Enter") takerOf(target)?.click();
  });
})();
