import { SalinityConversionRequest } from "./contract.gen.js";
import { fieldsOf } from "./field.js";
import { grid } from "./table.js";
import { Widget } from "./widget.js";

// What a reading of each scale is about for water that livestock lives in: tells 1.025 from 1025, refuses nothing.
const likely = { density_kg_m3: [980, 1100], specific_gravity: [0.9, 1.1], specific_gravity_uncorrected: [0.9, 1.1], refractive_index: [1.3, 1.4] };
const digits = { density_kg_m3: 1, specific_gravity: 4, specific_gravity_uncorrected: 4, refractive_index: 5 };

/** <saltwright-salinity>: one reading of one instrument, in every scale. */
class SalinityConversion extends Widget {
  static path = "/v1/salinity-conversion";
  static fields = fieldsOf(SalinityConversionRequest, { scale: undefined, value: "number", sample_c: "temperature", sg_pair: undefined, reading_uncertainty: "number" });
  static groups = { reading: ["scale", "value", "reading_uncertainty"], sample: ["sample_c", "sg_pair"] };
  static words = {
    en: {
      title: "Salinity", reading: "Reading", sample: "Sample", scale: "Scale", value: "It reads", sample_c: "Temperature of the sample", sg_pair: "Temperatures of the gravity", reading_uncertainty: "Give or take",
      gist: (v) => `Practical salinity ${v}.`, all: "The same water in every scale", inScale: "reads", give: "give or take",
      choices: {
        practical_psu: "Practical salinity", absolute_g_kg: "Absolute salinity, g/kg", grams_per_litre: "Salt, g/L", chlorinity_g_kg: "Chlorinity, g/kg", density_kg_m3: "Density, kg/m³",
        specific_gravity: "Specific gravity", specific_gravity_uncorrected: "Hydrometer, uncorrected", conductivity_ms_cm: "Conductivity of the sample, mS/cm", conductivity_25_ms_cm: "Conductivity at 25 °C, mS/cm",
        meter_25_ms_cm: "Meter compensated to 25 °C, mS/cm", refractive_index: "Refractive index", refractometer_seawater_psu: "Refractometer for sea water", refractometer_brine_g_kg: "Refractometer for brine, g/kg",
        unnamed: "not named", "20_20_c": "20 °C / 20 °C", "25_25_c": "25 °C / 25 °C", "60_60_f": "60 °F / 60 °F", "20_4_c": "20 °C / 4 °C",
      },
    },
    de: {
      title: "Salzgehalt", reading: "Messung", sample: "Probe", scale: "Skala", value: "Anzeige", sample_c: "Temperatur der Probe", sg_pair: "Bezugstemperaturen der Dichte", reading_uncertainty: "Unsicherheit ±",
      gist: (v) => `Praktischer Salzgehalt ${v}.`, all: "Dasselbe Wasser in jeder Skala", inScale: "Anzeige", give: "Unsicherheit ±",
      choices: {
        practical_psu: "Praktischer Salzgehalt", absolute_g_kg: "Absoluter Salzgehalt, g/kg", grams_per_litre: "Salz, g/L", chlorinity_g_kg: "Chlorinität, g/kg", density_kg_m3: "Dichte, kg/m³",
        specific_gravity: "Relative Dichte", specific_gravity_uncorrected: "Aräometer, unkorrigiert", conductivity_ms_cm: "Leitfähigkeit der Probe, mS/cm", conductivity_25_ms_cm: "Leitfähigkeit bei 25 °C, mS/cm",
        meter_25_ms_cm: "Messgerät auf 25 °C kompensiert, mS/cm", refractive_index: "Brechungsindex", refractometer_seawater_psu: "Refraktometer für Meerwasser", refractometer_brine_g_kg: "Refraktometer für Sole, g/kg",
        unnamed: "nicht genannt", "20_20_c": "20 °C / 20 °C", "25_25_c": "25 °C / 25 °C", "60_60_f": "60 °F / 60 °F", "20_4_c": "20 °C / 4 °C",
      },
    },
    es: {
      title: "Salinidad", reading: "Lectura", sample: "Muestra", scale: "Escala", value: "Marca", sample_c: "Temperatura de la muestra", sg_pair: "Temperaturas de la densidad relativa", reading_uncertainty: "Incertidumbre ±",
      gist: (v) => `Salinidad práctica ${v}.`, all: "La misma agua en cada escala", inScale: "marca", give: "incertidumbre ±",
      choices: {
        practical_psu: "Salinidad práctica", absolute_g_kg: "Salinidad absoluta, g/kg", grams_per_litre: "Sal, g/L", chlorinity_g_kg: "Clorinidad, g/kg", density_kg_m3: "Densidad, kg/m³",
        specific_gravity: "Densidad relativa", specific_gravity_uncorrected: "Densímetro sin corregir", conductivity_ms_cm: "Conductividad de la muestra, mS/cm", conductivity_25_ms_cm: "Conductividad a 25 °C, mS/cm",
        meter_25_ms_cm: "Medidor compensado a 25 °C, mS/cm", refractive_index: "Índice de refracción", refractometer_seawater_psu: "Refractómetro para agua de mar", refractometer_brine_g_kg: "Refractómetro para salmuera, g/kg",
        unnamed: "sin indicar", "20_20_c": "20 °C / 20 °C", "25_25_c": "25 °C / 25 °C", "60_60_f": "60 °F / 60 °F", "20_4_c": "20 °C / 4 °C",
      },
    },
  };

  drawBody(context) {
    this.#expect();
    return super.drawBody(context);
  }

  typed(field) {
    if (field.spec.name === "scale") this.#expect();
    super.typed(field);
  }

  /** Another scale, another likely reading. */
  #expect() {
    const field = this.fields.get("value");
    field.spec = { ...field.spec, likely: likely[this.fields.get("scale").value] ?? [0, 300] };
  }

  gist(r, show) {
    return show.words.gist(show(r.practical_psu, "salinity") + (r.uncertainty_psu > 0 ? ` ± ${show(r.uncertainty_psu, "salinity")}` : ""));
  }

  parts({ result: r }, show) {
    const w = show.words;
    const number = (scale, v) => new Intl.NumberFormat(show.lang, { minimumFractionDigits: digits[scale] ?? 2, maximumFractionDigits: digits[scale] ?? 2, useGrouping: false }).format(v);
    const about = (v) => new Intl.NumberFormat(show.lang, { maximumSignificantDigits: 1 }).format(v);
    const uncertain = r.uncertainty_psu > 0;
    return [grid(w.all, [w.scale, w.inScale, ...(uncertain ? [w.give] : [])], r.scales.map((one) => [w.choices[one.scale] ?? one.scale, number(one.scale, one.value), ...(uncertain ? [about(one.uncertainty)] : [])]))];
  }
}

SalinityConversion.define("saltwright-salinity");
