import { charts, chartStyle } from "./chart.js";
import { TopOffEnduranceRequest } from "./contract.gen.js";
import { fieldsOf } from "./field.js";
import { Widget } from "./widget.js";

/** <saltwright-top-off>: how long a reservoir lasts, and what its pump can do when it sticks. */
class TopOffEndurance extends Widget {
  static calculator = "top-off-endurance";
  static shaping = { include: "charts" };
  static charts = charts;
  static css = chartStyle;
  static fields = fieldsOf(TopOffEnduranceRequest, {
    volume_l: "volume", surface_length_mm: "length", surface_width_mm: "length", lid: undefined, room_c: "temperature", water_c: "temperature", rh_percent: "percent", measured_l_d: "daily",
    reservoir_l: "volume", pump_l_h: "flow", run_limit_min: "minutes", days_away: "days",
    return_chamber_length_mm: "length", return_chamber_width_mm: "length", sump_free_l: "volume", drain_down_l: "volume",
  });
  static groups = {
    tank: ["volume_l", "surface_length_mm", "surface_width_mm", "lid", "water_c"], room: ["room_c", "rh_percent", "measured_l_d"],
    reservoir: ["days_away", "reservoir_l", "pump_l_h", "run_limit_min"], sump: ["return_chamber_length_mm", "return_chamber_width_mm", "sump_free_l", "drain_down_l"],
  };
  static words = {
    en: {
      title: "Top-off for the days away", tank: "Tank", room: "Room", reservoir: "Top-off", sump: "Sump",
      volume_l: "All the water", surface_length_mm: "Length of the surface", surface_width_mm: "Width of the surface", lid: "Cover", water_c: "Water", room_c: "Usual room", rh_percent: "Humidity", measured_l_d: "Measured use, if known",
      reservoir_l: "Reservoir", pump_l_h: "Pump", run_limit_min: "Longest run, 0: no limit", days_away: "Days away", return_chamber_length_mm: "Return chamber, length", return_chamber_width_mm: "Return chamber, width", sump_free_l: "Free up to the rim", drain_down_l: "Runs down when the return stops",
    },
    de: {
      title: "Nachfüllung bei Abwesenheit", tank: "Becken", room: "Raum", reservoir: "Nachfüllung", sump: "Technikbecken",
      volume_l: "Wassermenge gesamt", surface_length_mm: "Länge der Oberfläche", surface_width_mm: "Breite der Oberfläche", lid: "Abdeckung", water_c: "Wasser", room_c: "Raum gewöhnlich", rh_percent: "Luftfeuchte", measured_l_d: "Gemessener Verbrauch, falls bekannt",
      reservoir_l: "Vorrat", pump_l_h: "Pumpe", run_limit_min: "Längster Lauf, 0: ohne Grenze", days_away: "Tage Abwesenheit", return_chamber_length_mm: "Pumpenkammer, Länge", return_chamber_width_mm: "Pumpenkammer, Breite", sump_free_l: "Frei bis zum Rand", drain_down_l: "Rücklauf, wenn die Förderpumpe steht",
    },
    es: {
      title: "Reposición durante la ausencia", tank: "Acuario", room: "Habitación", reservoir: "Reposición", sump: "Sump",
      volume_l: "Toda el agua", surface_length_mm: "Largo de la superficie", surface_width_mm: "Ancho de la superficie", lid: "Cubierta", water_c: "Agua", room_c: "Habitación normal", rh_percent: "Humedad", measured_l_d: "Consumo medido, si se sabe",
      reservoir_l: "Depósito", pump_l_h: "Bomba", run_limit_min: "Marcha más larga, 0: sin límite", days_away: "Días de ausencia", return_chamber_length_mm: "Cámara de retorno, largo", return_chamber_width_mm: "Cámara de retorno, ancho", sump_free_l: "Libre hasta el borde", drain_down_l: "Baja cuando para el retorno",
    },
  };
}

TopOffEndurance.define("saltwright-top-off");
