import { Caller } from "./caller.js";
import { operations } from "./operations.js";

/** One service. Every operation of the contract is a method: client.postHeaterSizing(request, options). */
export class Client extends Caller {
  constructor(base, options) {
    super(base, options);
    for (const id of Object.keys(operations)) this[id] = (request, options) => this.call(id, request, options);
  }

  /** Asks an operation by its operationId. */
  call(id, request, options) {
    const [method, template] = operations[id];
    return this.ask(method, template, request, options);
  }
}

/** Packs a plan for the parameter plan of an operation that GET asks: client.getPlanAudit({ plan: await packPlan(plan) }). */
export async function packPlan(plan) {
  const small = new Blob([JSON.stringify(plan)]).stream().pipeThrough(new CompressionStream("deflate-raw"));
  const bytes = new Uint8Array(await new Response(small).arrayBuffer());
  return btoa(Array.from(bytes, (b) => String.fromCharCode(b)).join("")).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

export { ProblemError } from "./caller.js";
export { operations };
