import { charts, chartStyle, withCharts } from "./chart.js";
import { HeaterSizingRequest } from "./contract.gen.js";
import { fieldsOf } from "./field.js";
import { facts, grid } from "./table.js";
import { Widget } from "./widget.js";

/** <saltwright-heater>: how much heating a tank needs, split so that one stuck heater does no harm. */
class HeaterSizing extends Widget {
  static path = "/v1/heater-sizing";
  static css = chartStyle;
  static fields = fieldsOf(HeaterSizingRequest, {
    length_mm: "length", width_mm: "length", water_depth_mm: "length", lid: undefined,
    room_c: "temperature", coldest_c: "temperature", warmest_c: "temperature", setpoint_c: "temperature", pumps_w: "power", lights_w: "power",
  });
  static groups = { tank: ["length_mm", "width_mm", "water_depth_mm", "lid"], room: ["room_c", "coldest_c", "warmest_c"], running: ["setpoint_c", "pumps_w", "lights_w"] };
  static words = {
    en: {
      title: "Heater sizing", tank: "Tank, inside", room: "Room", running: "Water and equipment",
      length_mm: "Length", width_mm: "Width", water_depth_mm: "Water depth", lid: "Cover", room_c: "Usual room", coldest_c: "Coldest room", warmest_c: "Warmest room", coldest_c_empty: (show) => `${show(4, "difference")} below the usual one`, warmest_c_empty: (show) => `${show(6, "difference")} above it, at least ${show(28, "temperature")}`, setpoint_c: "Setpoint", pumps_w: "Pumps", lights_w: "Lights",
      gist: (needed, safe) => `Heating needed: ${needed}; with a margin ${safe}.`,
      needed: "Needed in the coldest room", recommended: "With a margin", usual: "On average in the usual room", energy: "Energy", warm: "Warms up in", volume: "Water", backstop: "Second thermostat switches off at", cooling: "Cooling in the warmest room",
      split: "Split among heaters", heaters: "Heaters", least: "each at least", most: "each at most", suggested: "safe size", reacting: "if someone reacts in time", none: "none",
    },
    de: {
      title: "Heizer auslegen", tank: "Becken, innen", room: "Raum", running: "Wasser und Geräte",
      length_mm: "Länge", width_mm: "Breite", water_depth_mm: "Wassertiefe", lid: "Abdeckung", room_c: "Raum gewöhnlich", coldest_c: "Raum am kältesten", warmest_c: "Raum am wärmsten", coldest_c_empty: (show) => `${show(4, "difference")} unter dem gewöhnlichen`, warmest_c_empty: (show) => `${show(6, "difference")} darüber, mindestens ${show(28, "temperature")}`, setpoint_c: "Sollwert", pumps_w: "Pumpen", lights_w: "Licht",
      gist: (needed, safe) => `Nötige Heizleistung: ${needed}; mit Reserve ${safe}.`,
      needed: "Nötig im kältesten Raum", recommended: "Mit Reserve", usual: "Im Mittel im gewöhnlichen Raum", energy: "Energie", warm: "Aufheizen dauert", volume: "Wasser", backstop: "Zweites Thermostat schaltet ab bei", cooling: "Kühlung im wärmsten Raum",
      split: "Aufteilung auf Heizer", heaters: "Heizer", least: "je mindestens", most: "je höchstens", suggested: "sicher", reacting: "wenn rechtzeitig jemand reagiert", none: "keine",
    },
    es: {
      title: "Dimensionar calentadores", tank: "Acuario, por dentro", room: "Habitación", running: "Agua y equipos",
      length_mm: "Largo", width_mm: "Ancho", water_depth_mm: "Profundidad del agua", lid: "Cubierta", room_c: "Habitación normal", coldest_c: "Habitación más fría", warmest_c: "Habitación más cálida", coldest_c_empty: (show) => `${show(4, "difference")} menos que la normal`, warmest_c_empty: (show) => `${show(6, "difference")} más, al menos ${show(28, "temperature")}`, setpoint_c: "Consigna", pumps_w: "Bombas", lights_w: "Luces",
      gist: (needed, safe) => `Calefacción necesaria: ${needed}; con margen ${safe}.`,
      needed: "Necesaria en la habitación más fría", recommended: "Con margen", usual: "De media en la habitación normal", energy: "Energía", warm: "Se calienta en", volume: "Agua", backstop: "El segundo termostato corta a", cooling: "Refrigeración en la habitación más cálida",
      split: "Reparto entre calentadores", heaters: "Calentadores", least: "cada uno al menos", most: "cada uno como mucho", suggested: "seguro", reacting: "si alguien reacciona a tiempo", none: "ninguno",
    },
  };

  gist(r, show) {
    return show.words.gist(show(r.needed_w, "power"), show(r.recommended_w, "power"));
  }

  client() {
    return withCharts(super.client());
  }

  parts({ result: r, charts: drawn }, show) {
    const w = show.words;
    return [
      facts(w.answered, [
        [w.needed, show(r.needed_w, "power")], [w.recommended, show(r.recommended_w, "power")],
        [w.usual, `${show(r.usual_w, "power")} (${show(100 * r.usual_duty_share, "percent")})`], [w.energy, show(r.energy_kwh_d, "energy")],
        r.warms_up && [w.warm, show(r.warm_up_h, "hours")],
        r.backstop.band_exists && [w.backstop, show(r.backstop.recommended_c, "temperature")], r.cooling_w > 0 && [w.cooling, show(r.cooling_w, "power")],
        [w.volume, show(r.volume_l, "volume")],
      ]),
      ...charts(drawn, show.lang),
      grid(w.split, [w.heaters, w.least, w.most, w.suggested, w.reacting], r.windows.map((one) => [
        String(one.heaters), one.min_w > 0 ? show(one.min_w, "power") : "–", show(one.max_w, "power"),
        one.exists ? show(one.suggested_w, "power") : w.none, one.exists_by_reaction ? show(one.suggested_by_reaction_w, "power") : w.none,
      ])),
    ];
  }
}

HeaterSizing.define("saltwright-heater");
