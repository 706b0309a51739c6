/* The only way for text to become HTML or a script: browsers with Trusted Types reject all other text (see the policy in
   webapp/build/parts/front.py). Follows about.js and precedes everything that uses it. */

const trusted = (() => {
  const NEVER = /<(script|iframe|frame|object|embed|base|meta|link|style)\b/i; // texts contain &lt; instead
  const base = self.FOLDER ?? ""; // in the worker, whose own address is a blob's
  const addresses = new Set(["service.js", ...BUILD.drawing, ...BUILD.scripts].map((file) => base + file));
  const rules = {
    createHTML(text) {
      if (typeof text !== "string" || NEVER.test(text)) throw new TypeError(`There is no ${NEVER.exec(text)[1]} in what Python renders.`);
      return text;
    },
    createScriptURL(address) {
      if (!addresses.has(address)) throw new TypeError(`${address} is no script of this page.`);
      return address;
    },
    createScript: (text) => text, // it only runs if the page's policy has its sum
  };
  const policy = self.trustedTypes?.createPolicy("pennyflat", rules) ?? rules;
  return {
    html: (text) => policy.createHTML(text),
    address: (file) => policy.createScriptURL(base + file),
    code: (text) => policy.createScript(text),

    /* The address of a worker's script made from parts. */
    made(parts) {
      const address = URL.createObjectURL(new Blob(parts, { type: "text/javascript" }));
      addresses.add(address);
      return policy.createScriptURL(address);
    },
  };
})();
