/* What is done with the bytes of whole files. Precedes the scripts that do it. */

/* The SHA-256 sum of a buffer, in the format of browsers and of the build. */
async function sumOf(bytes) {
  const sum = await crypto.subtle.digest("SHA-256", bytes);
  return `sha256-${btoa(String.fromCharCode(...new Uint8Array(sum)))}`;
}

/* Frees a buffer at once instead of when garbage is next collected: what is passed on to where nobody listens is dropped. */
const { port1: lost, port2: end } = new MessageChannel();
end.close();
const discard = (buffer) => lost.postMessage(null, [buffer]);
