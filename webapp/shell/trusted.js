/* What alone may become HTML or a script: browsers with Trusted Types refuse every other text (see the policy in
   webapp/build/parts/front.py). Stands after about.js and before all that uses it. */

const trusted = (() => {
  const NEVER = /<(script|iframe|frame|object|embed|base|meta|link|style|template)\b/i; // words have &lt; there
  const addresses = new Set(["service.js", ...BUILD.drawing]);
  const rules = {
    createHTML(text) {
      if (typeof text !== "string" || NEVER.test(text)) throw new TypeError(`There is no ${NEVER.exec(text)[1]} in what Python renders.`);
      return text;
    },
    createScriptURL(address) {
      if (!addresses.has(address)) throw new TypeError(`${address} is no script of this page.`);
      return address;
    },
    createScript: (text) => text, // the page's policy has its sum, or it does not run
  };
  const policy = self.trustedTypes?.createPolicy("pennyflat", rules) ?? rules;
  return {
    html: (text) => policy.createHTML(text),
    address: (file) => policy.createScriptURL(file),
    code: (text) => policy.createScript(text),

    /* The address of a worker's script that is put together from parts. */
    made(parts) {
      const address = URL.createObjectURL(new Blob(parts, { type: "text/javascript" }));
      addresses.add(address);
      return policy.createScriptURL(address);
    },
  };
})();
