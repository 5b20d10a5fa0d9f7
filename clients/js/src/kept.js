/**
 * A fetch that keeps the last most answers to GET and asks for each again by its ETag. What has not changed is answered
 * by 304, without a body, and comes from what is kept.
 */
export function keeping(fetch, most) {
  const kept = new Map(); // question -> { etag, text }, what was used last at the end
  return async (address, init) => {
    if (init.method !== "GET") return fetch(address, init);
    const question = `${init.headers.Accept} ${address}`;
    const known = kept.get(question);
    const response = await fetch(address, known ? { ...init, headers: { ...init.headers, "If-None-Match": known.etag } } : init);
    const unchanged = known && response.status === 304;
    const etag = response.headers.get("ETag");
    if (!unchanged && (response.status !== 200 || !etag)) return response;
    const text = unchanged ? known.text : await response.text();
    kept.delete(question);
    kept.set(question, { etag: etag ?? known.etag, text });
    if (kept.size > most) kept.delete(kept.keys().next().value);
    const headers = new Headers(response.headers);
    headers.delete("Content-Length"); // of the body on its way, which may have been compressed
    return new Response(text, { status: 200, headers });
  };
}
