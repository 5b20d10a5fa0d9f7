import { charts, chartStyle, withCharts } from "./chart.js";
import { TopOffEnduranceRequest } from "./contract.gen.js";
import { fieldsOf } from "./field.js";
import { facts, grid } from "./table.js";
import { Widget } from "./widget.js";

/** <saltwright-top-off>: how long a reservoir lasts, and what its pump can do when it sticks. */
class TopOffEndurance extends Widget {
  static path = "/v1/top-off-endurance";
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
      gist: (days, need, short) => (short ? `${days} away need ${need}: ${short} are missing.` : `${days} away need ${need}: the reservoir is enough.`),
      need: "Needed, with a reserve", expected: "Expected to be used", harmless: "Largest reservoir that a stuck pump may empty", unlimited: "any", stuck: "Pump stuck on", harmlessStuck: "harmless", harmful: "does harm", final: "Salinity then", spilled: "on the floor",
      keeps: "Pump keeps up", fits: "Water that runs down fits", rooms: "How long it lasts", roomIn: "Room", daily: "uses a day", lasts: "lasts at worst", forever: "does not run out",
      usual: "usual", coldest: "coldest", warmest: "warmest",
    },
    de: {
      title: "Nachfüllung bei Abwesenheit", tank: "Becken", room: "Raum", reservoir: "Nachfüllung", sump: "Technikbecken",
      volume_l: "Wassermenge gesamt", surface_length_mm: "Länge der Oberfläche", surface_width_mm: "Breite der Oberfläche", lid: "Abdeckung", water_c: "Wasser", room_c: "Raum gewöhnlich", rh_percent: "Luftfeuchte", measured_l_d: "Gemessener Verbrauch, falls bekannt",
      reservoir_l: "Vorrat", pump_l_h: "Pumpe", run_limit_min: "Längster Lauf, 0: ohne Grenze", days_away: "Tage Abwesenheit", return_chamber_length_mm: "Pumpenkammer, Länge", return_chamber_width_mm: "Pumpenkammer, Breite", sump_free_l: "Frei bis zum Rand", drain_down_l: "Rücklauf, wenn die Förderpumpe steht",
      gist: (days, need, short) => (short ? `${days} Abwesenheit brauchen ${need}: ${short} fehlen.` : `${days} Abwesenheit brauchen ${need}: der Vorrat reicht.`),
      need: "Nötig, mit Reserve", expected: "Erwarteter Verbrauch", harmless: "Größter Vorrat, den eine Pumpe, die anbleibt, leeren darf", unlimited: "beliebig", stuck: "Pumpe bleibt an", harmlessStuck: "harmlos", harmful: "schadet", final: "Salzgehalt danach", spilled: "auf dem Boden",
      keeps: "Pumpe kommt nach", fits: "Der Rücklauf hat Platz", rooms: "Wie lange er reicht", roomIn: "Raum", daily: "Verbrauch am Tag", lasts: "reicht schlimmstenfalls", forever: "geht nicht aus",
      usual: "gewöhnlich", coldest: "am kältesten", warmest: "am wärmsten",
    },
    es: {
      title: "Reposición durante la ausencia", tank: "Acuario", room: "Habitación", reservoir: "Reposición", sump: "Sump",
      volume_l: "Toda el agua", surface_length_mm: "Largo de la superficie", surface_width_mm: "Ancho de la superficie", lid: "Cubierta", water_c: "Agua", room_c: "Habitación normal", rh_percent: "Humedad", measured_l_d: "Consumo medido, si se sabe",
      reservoir_l: "Depósito", pump_l_h: "Bomba", run_limit_min: "Marcha más larga, 0: sin límite", days_away: "Días de ausencia", return_chamber_length_mm: "Cámara de retorno, largo", return_chamber_width_mm: "Cámara de retorno, ancho", sump_free_l: "Libre hasta el borde", drain_down_l: "Baja cuando para el retorno",
      gist: (days, need, short) => (short ? `${days} de ausencia: hacen falta ${need} y faltan ${short}.` : `${days} de ausencia: hacen falta ${need} y el depósito basta.`),
      need: "Necesario, con reserva", expected: "Consumo previsto", harmless: "Mayor depósito que una bomba atascada puede vaciar", unlimited: "cualquiera", stuck: "Bomba atascada", harmlessStuck: "inofensiva", harmful: "hace daño", final: "Salinidad después", spilled: "en el suelo",
      keeps: "La bomba da abasto", fits: "El agua que baja cabe", rooms: "Cuánto dura", roomIn: "Habitación", daily: "consumo al día", lasts: "dura en el peor caso", forever: "no se agota",
      usual: "normal", coldest: "más fría", warmest: "más cálida",
    },
  };

  gist(r, show, { days_away }) {
    const need = show(r.trip.need_l, "volume");
    if (days_away === undefined) return `${show.words.need}: ${need}`; // an answer of the page's, whose question is not known
    return show.words.gist(show(days_away, "days"), need, r.trip.sufficient ? "" : show(r.trip.short_l, "volume"));
  }

  client() {
    return withCharts(super.client());
  }

  parts({ result: r, charts: drawn }, show) {
    const w = show.words;
    const stuck = r.stuck_pump;
    const said = (good) => (good ? w.yes : w.no);
    return [
      facts(w.answered, [
        [w.need, show(r.trip.need_l, "volume")], [w.expected, show(r.trip.expected_l, "volume")], [w.harmless, r.reservoir.unlimited ? w.unlimited : show(r.reservoir.largest_harmless_l, "volume")],
        [w.stuck, stuck.spilled_l > 0 ? `${w.harmful}: ${show(stuck.spilled_l, "volume")} ${w.spilled}` : stuck.harmless ? w.harmlessStuck : w.harmful],
        [w.final, show(stuck.final_salinity_psu, "salinity")], [w.keeps, said(r.pump.keeps_up)], [w.fits, said(r.drain_down.fits)],
      ]),
      ...charts(drawn, show.lang),
      grid(w.rooms, [w.roomIn, w.daily, w.lasts], r.rooms.map((one) => [
        w[one.room], `${show.bare(one.low_l_d, "daily")} – ${show(one.high_l_d, "daily")}`, one.empties ? show(one.worst_days, "days") : w.forever,
      ])),
    ];
  }
}

TopOffEndurance.define("saltwright-top-off");
