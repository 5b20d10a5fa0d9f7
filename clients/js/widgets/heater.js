import { charts, chartStyle } from "./chart.js";
import { HeaterSizingRequest } from "./contract.gen.js";
import { fieldsOf } from "./field.js";
import { Widget } from "./widget.js";

/** <saltwright-heater>: how much heating a tank needs, split so that one stuck heater does no harm. */
class HeaterSizing extends Widget {
  static calculator = "heater-sizing";
  static shaping = { include: "charts" };
  static charts = charts;
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
    },
    de: {
      title: "Heizer auslegen", tank: "Becken, innen", room: "Raum", running: "Wasser und Geräte",
      length_mm: "Länge", width_mm: "Breite", water_depth_mm: "Wassertiefe", lid: "Abdeckung", room_c: "Raum gewöhnlich", coldest_c: "Raum am kältesten", warmest_c: "Raum am wärmsten", coldest_c_empty: (show) => `${show(4, "difference")} unter dem gewöhnlichen`, warmest_c_empty: (show) => `${show(6, "difference")} darüber, mindestens ${show(28, "temperature")}`, setpoint_c: "Sollwert", pumps_w: "Pumpen", lights_w: "Licht",
    },
    es: {
      title: "Dimensionar calentadores", tank: "Acuario, por dentro", room: "Habitación", running: "Agua y equipos",
      length_mm: "Largo", width_mm: "Ancho", water_depth_mm: "Profundidad del agua", lid: "Cubierta", room_c: "Habitación normal", coldest_c: "Habitación más fría", warmest_c: "Habitación más cálida", coldest_c_empty: (show) => `${show(4, "difference")} menos que la normal`, warmest_c_empty: (show) => `${show(6, "difference")} más, al menos ${show(28, "temperature")}`, setpoint_c: "Consigna", pumps_w: "Bombas", lights_w: "Luces",
    },
  };
}

HeaterSizing.define("saltwright-heater");
