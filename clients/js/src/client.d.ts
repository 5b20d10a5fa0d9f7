import type { components, operations as Operations } from "./contract.d.ts";

export type Schemas = components["schemas"];
export type OperationID = keyof Operations;
type Violation = Schemas["Violation"];

/** What an operation takes: the body of a POST, or the path and query parameters of a GET. */
export type RequestOf<ID extends OperationID> = Operations[ID] extends { requestBody: { content: { "application/json": infer Body } } }
  ? Body
  : Operations[ID] extends { parameters: { query?: infer Query; path?: infer Path } }
    ? Omit<Defined<Query> & Defined<Path>, "units" | "language" | "include" | "detail" | "samples" | "seed">
    : Record<string, never>;
type Defined<T> = T extends undefined | never ? unknown : NonNullable<T>;

/** What an operation answers. */
export type AnswerOf<ID extends OperationID> = Operations[ID] extends { responses: { 200: { content: { "application/json": infer Answer } } } } ? Answer : never;

export interface Limit {
  name: string;
  /** units */
  quota: number;
  /** s */
  window: number;
  remaining: number;
  /** s until all of it is there again */
  reset: number;
}

export interface Meta {
  status: number;
  requestId: string | null;
  etag: string | null;
  /** the address that answers GET with the same */
  location: string | null;
  /** units of the quotas that it cost */
  cost: number;
  limits: Limit[];
  tries: number;
}

export interface CallOptions {
  /** units of texts; numbers are metric always */
  units?: "metric" | "us";
  /** language of texts, English if not said; a browser's own Accept-Language decides where nothing is said */
  language?: "en" | "de" | "es";
  /** What the answer is to have beside its result. */
  include?: "charts";
  /** How much plan-audit tells; full has every fault. */
  detail?: "brief" | "usual" | "full";
  /** random draws to judge the answer by, 0 to 1000 */
  samples?: number;
  seed?: number;
  signal?: AbortSignal;
}

/** Packs a plan for the parameter plan of an operation that GET asks. */
export function packPlan(plan: Schemas["PlanRequest"]): Promise<string>;

export class ProblemError extends Error {
  readonly problem: Partial<Schemas["Problem"]>;
  readonly code: string;
  readonly status: number;
  readonly errors: Violation[];
  /** s; 0: nothing was said */
  readonly retryAfter: number;
  readonly meta: Meta;
}

/** The violations by the field of a form: a member's path with dots, such as heaters.0.power_w, or a parameter's name; "" for the rest. */
export function fieldsOf(problem: ProblemError): Record<string, Violation[]>;

/** Options for a program in which somebody waits: two tries, a second between them at most, ten seconds in all. */
export const interactive: Readonly<Required<Pick<ClientOptions, "tries" | "longestWait" | "budget">>>;

export interface ClientOptions {
  /** optional key with quotas of its own */
  key?: string;
  fetch?: typeof globalThis.fetch;
  /** how often a request is sent at most, 4 if not said */
  tries?: number;
  /** longest wait between two tries, s, 30 if not said */
  longestWait?: number;
  /** longest time of one call with all its tries, s; 0 or not said: as long as its signal lets it */
  budget?: number;
  /** how many answers to GET are kept and asked for again by their ETag, none if not said */
  keep?: number;
  sleep?: (milliseconds: number, signal?: AbortSignal) => Promise<void>;
}

/** The request may be left out only where nothing in it is needed. */
type Arguments<ID extends OperationID> = {} extends RequestOf<ID> ? [request?: RequestOf<ID>, options?: CallOptions] : [request: RequestOf<ID>, options?: CallOptions];

type Methods = {
  [ID in OperationID]: (...asked: Arguments<ID>) => Promise<{ answer: AnswerOf<ID>; meta: Meta }>;
};

declare class Base {
  constructor(base: string, options?: ClientOptions);
  readonly base: string;
  call<ID extends OperationID>(id: ID, ...asked: Arguments<ID>): Promise<{ answer: AnswerOf<ID>; meta: Meta }>;
  /** a report as text: accept is text/markdown or text/html */
  call(id: "postPlanAudit", request: RequestOf<"postPlanAudit">, options: CallOptions & { accept: "text/markdown" | "text/html" }): Promise<{ answer: string; meta: Meta }>;
}

export type Client = Base & Methods;
export const Client: new (base: string, options?: ClientOptions) => Client;
export const operations: { readonly [ID in OperationID]: readonly ["GET" | "POST", string] };
