/** What the service refused: an RFC 9457 problem document. */
export class ProblemError extends Error {
  constructor(problem, status, retryAfter, meta) {
    const places = (problem.errors ?? []).map((v) => `; ${v.pointer ?? v.parameter ?? ""} ${v.detail}`).join("");
    super(`${status} ${problem.title}: ${problem.detail}${places}`);
    this.name = "ProblemError";
    this.problem = problem;
    this.code = problem.code ?? "";
    this.status = status;
    this.errors = problem.errors ?? [];
    this.retryAfter = retryAfter; // s; 0: nothing was said
    this.meta = meta;
  }
}

const sleep = (ms, signal) =>
  new Promise((resolve, reject) => {
    if (signal?.aborted) return reject(signal.reason);
    const stop = () => (clearTimeout(timer), reject(signal.reason));
    const timer = setTimeout(() => (signal?.removeEventListener("abort", stop), resolve()), ms);
    signal?.addEventListener("abort", stop, { once: true });
  });

/** What is read of an answer at most, in characters: reports are the largest. */
const largestAnswer = 16 * 2 ** 20;

/** One service, asked by method and path. */
export class Caller {
  #base;
  #key;
  #fetch;
  #tries;
  #longestWait;
  #sleep;

  constructor(base, { key, fetch = globalThis.fetch.bind(globalThis), tries = 4, longestWait = 30, sleep: wait = sleep } = {}) {
    const url = new URL(base); // throws for what is no address
    if (!/^https?:$/.test(url.protocol) || url.search || url.hash) throw new TypeError(`${base} is not the beginning of an address`);
    this.#base = String(base).replace(/\/+$/, "");
    this.#key = key;
    this.#fetch = fetch;
    this.#tries = Math.max(1, tries);
    this.#longestWait = longestWait;
    this.#sleep = wait;
  }

  /** The beginning of every address it asks. */
  get base() {
    return this.#base;
  }

  /**
   * Asks an operation, and again where that may help: 429 and 503 after what Retry-After says, 502, 504 and broken
   * connections after a random part of a span that doubles. Operations only calculate: none can happen twice.
   */
  async ask(method, template, request = {}, { accept = "application/json", signal, ...shaping } = {}) {
    const query = new URLSearchParams();
    for (const [name, value] of Object.entries(shaping)) if (value !== undefined) query.set(name, String(value));
    const path = template.replace(/\{(\w+)\}/g, (_, name) => {
      if (request[name] === undefined) throw new TypeError(`${template} needs ${name}`);
      return encodeURIComponent(request[name]);
    });
    if (method === "GET")
      for (const [name, value] of Object.entries(request)) {
        if (value === undefined || template.includes(`{${name}}`)) continue;
        if (value === null || typeof value === "object") throw new TypeError(`${name} is no single value: ask by POST`);
        query.set(name, String(value));
      }
    const body = method === "POST" ? JSON.stringify(request) : undefined;
    const headers = { Accept: `${accept}, application/problem+json` };
    if (method === "POST") headers["Content-Type"] = "application/json";
    if (this.#key) headers["X-API-Key"] = this.#key;
    const address = this.#base + path + (query.size ? `?${query}` : "");
    for (let tries = 1; ; tries++) {
      let failure;
      try {
        return await this.#once(address, { method, headers, signal, body }, accept, tries);
      } catch (error) {
        failure = error;
      }
      const wait = this.#wait(failure, tries);
      if (wait === undefined || signal?.aborted) throw failure;
      await this.#sleep(wait * 1000, signal);
    }
  }

  async #once(address, init, accept, tries) {
    const response = await this.#fetch(address, init);
    const h = response.headers;
    const meta = { status: response.status, requestId: h.get("X-Request-Id"), etag: h.get("ETag"), location: h.get("Content-Location"), cost: Number(h.get("X-Request-Cost")), limits: limitsOf(h.get("RateLimit"), h.get("RateLimit-Policy")), tries };
    if (Number(h.get("Content-Length")) > largestAnswer) {
      await response.body?.cancel();
      throw new RangeError(`the answer is longer than ${largestAnswer} bytes`);
    }
    const text = await response.text();
    if (response.status === 200) return { answer: accept === "application/json" ? JSON.parse(text) : text, meta };
    let problem;
    try {
      problem = JSON.parse(text);
    } catch {
      problem = null;
    }
    if (!problem?.code) problem = { title: response.statusText || "No answer of the service", detail: "Something between this client and the service answered.", code: "" };
    const seconds = Number(h.get("Retry-After"));
    throw new ProblemError(problem, response.status, seconds > 0 ? seconds : 0, meta);
  }

  /** Seconds until another try, or undefined where none would help. */
  #wait(failure, tries) {
    if (tries >= this.#tries) return undefined;
    const backoff = Math.random() * Math.min(this.#longestWait, 0.25 * 2 ** tries);
    if (!(failure instanceof ProblemError)) return failure instanceof TypeError ? backoff : undefined; // fetch's network error
    switch (failure.status) {
      case 429:
      case 503:
        if (failure.code === "out_of_time") return undefined;
        if (failure.retryAfter > 0) return failure.retryAfter <= this.#longestWait ? failure.retryAfter : undefined;
        return failure.status === 503 ? backoff : undefined;
      case 502:
      case 504:
        return backoff;
    }
    return undefined;
  }
}

/** Reads RateLimit and RateLimit-Policy: lists of strings with whole numbers as parameters (RFC 9651). */
function limitsOf(now, policies) {
  const items = (field) =>
    Object.fromEntries(
      (field ?? "").split(",").flatMap((one) => {
        const [name, ...parameters] = one.trim().split(";");
        if (!/^"[^"\\]*"$/.test(name)) return [];
        return [[name.slice(1, -1), Object.fromEntries(parameters.map((p) => [p.split("=")[0].trim(), Number(p.split("=")[1])]))]];
      }),
    );
  const left = items(now);
  return Object.entries(items(policies))
    .map(([name, { q, w }]) => ({ name, quota: q, window: w, remaining: left[name]?.r ?? 0, reset: left[name]?.t ?? 0 }))
    .sort((a, b) => a.window - b.window);
}
