import { SalinityConversionRequest } from "./contract.gen.js";
import { fieldsOf } from "./field.js";
import { grid } from "./table.js";
import { Widget } from "./widget.js";

/** <saltwright-salinity>: one reading of one instrument, in every scale. */
class SalinityConversion extends Widget {
  static calculator = "salinity-conversion";
  static fields = fieldsOf(SalinityConversionRequest, { scale: undefined, value: "number", sample_c: "temperature", sg_pair: undefined, reading_uncertainty: "number" });
  static groups = { reading: ["scale", "value", "reading_uncertainty"], sample: ["sample_c", "sg_pair"] };
  static words = {
    en: {
      title: "Salinity", reading: "Reading", sample: "Sample", scale: "Scale", value: "It reads", sample_c: "Temperature of the sample", sg_pair: "Temperatures of the gravity", reading_uncertainty: "Give or take",
      all: "The same water in every scale", inScale: "reads",
      choices: {
        practical_psu: "Practical salinity", absolute_g_kg: "Absolute salinity, g/kg", grams_per_litre: "Salt, g/L", chlorinity_g_kg: "Chlorinity, g/kg", density_kg_m3: "Density, kg/m³",
        specific_gravity: "Specific gravity", specific_gravity_uncorrected: "Hydrometer, uncorrected", conductivity_ms_cm: "Conductivity of the sample, mS/cm", conductivity_25_ms_cm: "Conductivity at 25 °C, mS/cm",
        meter_25_ms_cm: "Meter compensated to 25 °C, mS/cm", refractive_index: "Refractive index", refractometer_seawater_psu: "Refractometer for sea water", refractometer_brine_g_kg: "Refractometer for brine, g/kg",
        unnamed: "not named", "20_20_c": "20 °C / 20 °C", "25_25_c": "25 °C / 25 °C", "60_60_f": "60 °F / 60 °F", "20_4_c": "20 °C / 4 °C",
      },
    },
    de: {
      title: "Salzgehalt", reading: "Messung", sample: "Probe", scale: "Skala", value: "Anzeige", sample_c: "Temperatur der Probe", sg_pair: "Bezugstemperaturen der Dichte", reading_uncertainty: "Unsicherheit ±",
      all: "Dasselbe Wasser in jeder Skala", inScale: "Anzeige",
      choices: {
        practical_psu: "Praktischer Salzgehalt", absolute_g_kg: "Absoluter Salzgehalt, g/kg", grams_per_litre: "Salz, g/L", chlorinity_g_kg: "Chlorinität, g/kg", density_kg_m3: "Dichte, kg/m³",
        specific_gravity: "Relative Dichte", specific_gravity_uncorrected: "Aräometer, unkorrigiert", conductivity_ms_cm: "Leitfähigkeit der Probe, mS/cm", conductivity_25_ms_cm: "Leitfähigkeit bei 25 °C, mS/cm",
        meter_25_ms_cm: "Messgerät auf 25 °C kompensiert, mS/cm", refractive_index: "Brechungsindex", refractometer_seawater_psu: "Refraktometer für Meerwasser", refractometer_brine_g_kg: "Refraktometer für Sole, g/kg",
        unnamed: "nicht genannt", "20_20_c": "20 °C / 20 °C", "25_25_c": "25 °C / 25 °C", "60_60_f": "60 °F / 60 °F", "20_4_c": "20 °C / 4 °C",
      },
    },
    es: {
      title: "Salinidad", reading: "Lectura", sample: "Muestra", scale: "Escala", value: "Marca", sample_c: "Temperatura de la muestra", sg_pair: "Temperaturas de la densidad relativa", reading_uncertainty: "Incertidumbre ±",
      all: "La misma agua en cada escala", inScale: "marca",
      choices: {
        practical_psu: "Salinidad práctica", absolute_g_kg: "Salinidad absoluta, g/kg", grams_per_litre: "Sal, g/L", chlorinity_g_kg: "Clorinidad, g/kg", density_kg_m3: "Densidad, kg/m³",
        specific_gravity: "Densidad relativa", specific_gravity_uncorrected: "Densímetro sin corregir", conductivity_ms_cm: "Conductividad de la muestra, mS/cm", conductivity_25_ms_cm: "Conductividad a 25 °C, mS/cm",
        meter_25_ms_cm: "Medidor compensado a 25 °C, mS/cm", refractive_index: "Índice de refracción", refractometer_seawater_psu: "Refractómetro para agua de mar", refractometer_brine_g_kg: "Refractómetro para salmuera, g/kg",
        unnamed: "sin indicar", "20_20_c": "20 °C / 20 °C", "25_25_c": "25 °C / 25 °C", "60_60_f": "60 °F / 60 °F", "20_4_c": "20 °C / 4 °C",
      },
    },
  };

  parts(r, words) {
    return [grid(words.all, [words.scale, words.inScale], r.scales.map((one) => [words.choices[one.scale] ?? one.scale, one.text]))];
  }
}

SalinityConversion.define("saltwright-salinity");
