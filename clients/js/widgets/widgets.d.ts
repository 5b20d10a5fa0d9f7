import type { Schemas } from "../src/client.d.ts";

/** What every widget has. Numbers are in the contract's units always; units says what people read and type. */
export interface Widget<Request, Answer> extends HTMLElement {
  /** the service; by default the one that the script came from */
  api: string;
  units: "metric" | "us";
  /** the last envelope of the service; set it to show one that the page has already */
  answer: Answer | null;
  /** what would be asked now */
  readonly request: Request;
  /** Asks. Null: saltwright-problem or the fields say why. */
  ask(): Promise<Answer | null>;
  addEventListener(type: "saltwright-input", listener: (event: CustomEvent<{ request: Request }>) => void, options?: AddEventListenerOptions): void;
  addEventListener(type: "saltwright-answer", listener: (event: CustomEvent<{ request: Request; answer: Answer; link: string }>) => void, options?: AddEventListenerOptions): void;
  addEventListener(type: "saltwright-problem", listener: (event: CustomEvent<{ problem: Schemas["Problem"] | null; error: Error }>) => void, options?: AddEventListenerOptions): void;
  addEventListener(type: string, listener: EventListenerOrEventListenerObject, options?: boolean | AddEventListenerOptions): void;
}

type Lid = "open" | "screen" | "closed" | null;

export interface HeaterElement extends Widget<Schemas["HeaterSizingRequest"], Schemas["HeaterSizingAnswer"]> {
  lengthMm: number | null;
  widthMm: number | null;
  waterDepthMm: number | null;
  lid: Lid;
  roomC: number | null;
  coldestC: number | null;
  warmestC: number | null;
  setpointC: number | null;
  pumpsW: number | null;
  lightsW: number | null;
}

export interface TopOffElement extends Widget<Schemas["TopOffEnduranceRequest"], Schemas["TopOffEnduranceAnswer"]> {
  volumeL: number | null;
  surfaceLengthMm: number | null;
  surfaceWidthMm: number | null;
  lid: Lid;
  roomC: number | null;
  waterC: number | null;
  rhPercent: number | null;
  measuredLD: number | null;
  reservoirL: number | null;
  pumpLH: number | null;
  runLimitMin: number | null;
  daysAway: number | null;
  returnChamberLengthMm: number | null;
  returnChamberWidthMm: number | null;
  sumpFreeL: number | null;
  drainDownL: number | null;
}

export interface SalinityElement extends Widget<Schemas["SalinityConversionRequest"], Schemas["SalinityConversionAnswer"]> {
  scale: Schemas["SalinityConversionRequest"]["scale"] | null;
  value: number | null;
  sampleC: number | null;
  sgPair: Schemas["SalinityConversionRequest"]["sg_pair"] | null;
  readingUncertainty: number | null;
}

export interface LightElement extends Widget<Schemas["LightScheduleScoreRequest"], Schemas["LightScheduleScoreAnswer"]> {
  channels: Schemas["LightChannel"][];
  livestock: Schemas["LightScheduleScoreRequest"]["livestock"] | null;
  moonlightPercent: number | null;
}

export interface AuditElement extends Widget<Schemas["PlanRequest"] | null, Schemas["PlanAuditAnswer"]> {
  plan: Schemas["PlanRequest"] | null;
  /** the address of a plan */
  src: string;
}

declare global {
  interface HTMLElementTagNameMap {
    "saltwright-heater": HeaterElement;
    "saltwright-top-off": TopOffElement;
    "saltwright-salinity": SalinityElement;
    "saltwright-light": LightElement;
    "saltwright-audit": AuditElement;
  }
}
