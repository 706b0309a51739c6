/* The SHA-256 sum of a buffer, in the format of browsers and of the build. Precedes the scripts that compare sums. */
async function sumOf(bytes) {
  const sum = await crypto.subtle.digest("SHA-256", bytes);
  return `sha256-${btoa(String.fromCharCode(...new Uint8Array(sum)))}`;
}
