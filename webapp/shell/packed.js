/* Reads the files in the single file: compressed, and written as text with seven bits to a character
   (webapp/build/parts/front.py). */

const INSTEAD = [0, 13, 60]; // codes that a page cannot contain; characters from U+00C0 on replace them

/* The response that a server would give with the file. */
function unpacked(text, file) {
  const bytes = new Uint8Array(Math.floor((text.length * 7) / 8));
  let held = 0, bits = 0, at = 0;
  for (let i = 0; i < text.length; i++) {
    const letter = text.charCodeAt(i);
    held = ((held << 7) | (letter < 128 ? letter : INSTEAD[letter - 192])) & 0x7fff;
    bits += 7;
    if (bits < 8) continue;
    bits -= 8;
    bytes[at++] = held >> bits;
  }
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  const type = file.endsWith(".wasm") ? "application/wasm" : "application/octet-stream";
  return new Response(stream, { headers: { "Content-Type": type } });
}
