/** What every widget says, in the languages there are. */
export const shared = {
  en: {
    ask: "Calculate", asking: "Calculating …", units: "Units", metric: "metric", us: "US",
    answered: "Answer", page: "The whole answer as a page, with all that was assumed",
    required: "Please fill this in.", unreadable: "This cannot be read.",
    between: (low, high) => `Must lie between ${low} and ${high}.`, empty: (v) => `Left empty: ${v}`,
    wrong: (n) => (n === 1 ? "One entry needs your attention." : `${n} entries need your attention.`),
    offline: "The service cannot be reached. What you typed is kept; try again in a moment.",
    busy: (s) => `The service asks for a pause. Try again in ${s} seconds.`, refused: "The service could not answer.", late: "The service took too long. Try again.", strange: (at) => `Under ${at} nothing answers that this calculator understands.`,
    todo: "What to do", table: "As a table", notes: "Please note", cautions: "Caution",
    choices: { open: "open", screen: "screen", closed: "closed" },
  },
  de: {
    ask: "Berechnen", asking: "Wird berechnet …", units: "Einheiten", metric: "metrisch", us: "US",
    answered: "Antwort", page: "Die ganze Antwort als Seite, mit allen Annahmen",
    required: "Bitte ausfüllen.", unreadable: "Das ist nicht zu lesen.",
    between: (low, high) => `Muss zwischen ${low} und ${high} liegen.`, empty: (v) => `Leer gelassen: ${v}`,
    wrong: (n) => (n === 1 ? "Eine Angabe stimmt noch nicht." : `${n} Angaben stimmen noch nicht.`),
    offline: "Der Dienst ist nicht erreichbar. Deine Angaben bleiben stehen.",
    busy: (s) => `Der Dienst bittet um eine Pause. Versuch es in ${s} Sekunden noch einmal.`, refused: "Der Dienst konnte nicht antworten.", late: "Der Dienst hat zu lange gebraucht. Bitte noch einmal.", strange: (at) => `Unter ${at} antwortet nichts, was dieser Rechner versteht.`,
    todo: "Was zu tun ist", table: "Als Tabelle", notes: "Bitte beachten", cautions: "Vorsicht",
    choices: { open: "offen", screen: "Netz", closed: "geschlossen" },
  },
  es: {
    ask: "Calcular", asking: "Calculando …", units: "Unidades", metric: "métricas", us: "EE. UU.",
    answered: "Respuesta", page: "La respuesta completa en una página, con todo lo supuesto",
    required: "Rellena este campo.", unreadable: "Esto no se puede leer.",
    between: (low, high) => `Debe estar entre ${low} y ${high}.`, empty: (v) => `Si queda vacío: ${v}`,
    wrong: (n) => (n === 1 ? "Un dato necesita tu atención." : `${n} datos necesitan tu atención.`),
    offline: "No se puede contactar con el servicio. Lo que has escrito se conserva; inténtalo de nuevo en un momento.",
    busy: (s) => `El servicio pide una pausa. Inténtalo de nuevo en ${s} segundos.`, refused: "El servicio no ha podido responder.", late: "El servicio ha tardado demasiado. Inténtalo de nuevo.", strange: (at) => `En ${at} no responde nada que esta calculadora entienda.`,
    todo: "Qué hacer", table: "Como tabla", notes: "Ten en cuenta", cautions: "Precaución",
    choices: { open: "abierto", screen: "malla", closed: "cerrado" },
  },
};

/** The language of a widget: its own attribute, the nearest one around it, or the visitor's; English where there is none. */
export function languageOf(element) {
  const around = element.closest("[lang]")?.lang || element.getRootNode().host?.closest("[lang]")?.lang;
  for (const tag of [around, ...(around ? [] : navigator.languages)]) {
    const short = tag?.slice(0, 2).toLowerCase();
    if (shared[short]) return short;
  }
  return "en";
}
