// Compiled by tsc --strict: what a page or an app writes.
import type {} from "../widgets/widgets.d.ts";
import { Client, ProblemError, fieldsOf, interactive, type AnswerOf } from "../src/client.js";
import { fromInches, fromFahrenheit } from "../src/units.js";

const client = new Client("https://saltwright.example", { key: "optional", keep: 20, ...interactive });

export async function heaters(): Promise<string> {
  try {
    const { answer, meta } = await client.postHeaterSizing(
      { length_mm: fromInches(36), width_mm: fromInches(20), water_depth_mm: fromInches(20), room_c: fromFahrenheit(70) },
      { units: "us", samples: 100 },
    );
    const watts: number = answer.result.needed_w;
    return `${answer.summary} (${watts} W, ${meta.limits[0]?.remaining ?? "no"} units left)`;
  } catch (error) {
    if (error instanceof ProblemError) return Object.entries(fieldsOf(error)).map(([field, all]) => `${field}: ${all.map((v) => v.detail).join(", ")}`).join("\n");
    throw error;
  }
}

export const salinity: Promise<{ answer: AnswerOf<"getSalinityConversion"> }> = client.getSalinityConversion({ scale: "specific_gravity", value: 1.026 });

// @ts-expect-error a unit that there is not
export const wrong = client.getSalinityConversion({ scale: "teaspoons", value: 1 });

// @ts-expect-error a request that must say something
export const nothing = client.postHeaterSizing();

export const index = client.getIndex();

const widget = document.querySelector("saltwright-heater");
if (widget) {
  widget.lengthMm = fromInches(36);
  widget.addEventListener("saltwright-answer", ({ detail }) => console.log(detail.answer.result.needed_w, detail.link));
  // @ts-expect-error a cover that there is not
  widget.lid = "ajar";
}
