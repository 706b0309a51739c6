/* The SHA-256 sum of a buffer, as browsers write it and as the build wrote it down. Stands before what compares sums. */
async function sumOf(bytes) {
  const sum = await crypto.subtle.digest("SHA-256", bytes);
  return `sha256-${btoa(String.fromCharCode(...new Uint8Array(sum)))}`;
}
