import { Caller } from "./caller.js";
import { keeping } from "./kept.js";
import { operations } from "./operations.js";

/** Options for a program in which somebody waits: two tries, a second between them at most, ten seconds in all. */
export const interactive = Object.freeze({ tries: 2, longestWait: 1, budget: 10 });

/** One service. Every operation of the contract is a method: client.postHeaterSizing(request, options). */
export class Client extends Caller {
  #budget;

  constructor(base, { budget = 0, keep = 0, fetch = globalThis.fetch.bind(globalThis), longestWait = 30, ...options } = {}) {
    super(base, {
      ...options,
      fetch: keep > 0 ? keeping(fetch, keep) : fetch,
      longestWait: budget > 0 ? Math.min(longestWait, budget) : longestWait, // a longer wait is a problem at once
    });
    this.#budget = budget;
    for (const id of Object.keys(operations)) this[id] = (request, options) => this.call(id, request, options);
  }

  /** Asks an operation by its operationId. */
  call(id, request, options) {
    const [method, template] = operations[id];
    return this.ask(method, template, request, options);
  }

  ask(method, template, request, options = {}) {
    if (!(this.#budget > 0)) return super.ask(method, template, request, options);
    const signals = [AbortSignal.timeout(this.#budget * 1000), ...(options.signal ? [options.signal] : [])];
    return super.ask(method, template, request, { ...options, signal: AbortSignal.any(signals) });
  }
}

/**
 * The violations of a problem by the field that a form would have for them: the member's path with dots, such as room_c
 * or heaters.0.power_w, or a parameter's name. What is no field's fault stands under "".
 */
export function fieldsOf(problem) {
  const out = Object.create(null);
  for (const v of problem.errors) (out[v.pointer === undefined ? (v.parameter ?? "") : fieldOf(v.pointer)] ??= []).push(v);
  return out;
}

/** A JSON pointer (RFC 6901) as a path with dots. */
function fieldOf(pointer) {
  const parts = pointer.replace(/^#/, "").replace(/^\//, "").split("/");
  return parts.map((part) => part.replaceAll("~1", "/").replaceAll("~0", "~")).join(".");
}

/** Packs a plan for the parameter plan of an operation that GET asks: client.getPlanAudit({ plan: await packPlan(plan) }). */
export async function packPlan(plan) {
  const small = new Blob([JSON.stringify(plan)]).stream().pipeThrough(new CompressionStream("deflate-raw"));
  const bytes = new Uint8Array(await new Response(small).arrayBuffer());
  return btoa(Array.from(bytes, (b) => String.fromCharCode(b)).join("")).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

export { ProblemError } from "./caller.js";
export { operations };
