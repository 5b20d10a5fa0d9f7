/** What every widget says, in the languages there are. */
export const shared = {
  en: {
    ask: "Calculate", asking: "Calculating …", units: "Units", metric: "metric", us: "US",
    answered: "Answer", details: "Assumptions and model", assumptions: "What the service assumed", permalink: "This question and its answer as a link",
    required: "Please fill this in.", unreadable: "This is no number. Write it like 25.5.", unreadableDocument: "This is no JSON document.", doubt: (v) => `“${v}” can mean two numbers. Write it without a mark between thousands.`,
    between: (low, high) => `Must lie between ${low} and ${high}.`, empty: (v) => `Left empty: ${v}`,
    wrong: (n) => (n === 1 ? "One entry needs your attention." : `${n} entries need your attention.`),
    offline: "The service cannot be reached. What you typed is kept; try again in a moment.",
    busy: (s) => `The service asks for a pause. Try again in ${s} seconds.`, refused: "The service could not answer.", late: "The service took too long. Try again.",
    notes: "Please note", cautions: "Caution", english: "", yes: "yes", no: "no",
    choices: { open: "open", screen: "screen", closed: "closed" },
    caution: {},
  },
  de: {
    ask: "Berechnen", asking: "Wird berechnet …", units: "Einheiten", metric: "metrisch", us: "US",
    answered: "Antwort", details: "Annahmen und Modell", assumptions: "Was der Dienst angenommen hat", permalink: "Diese Frage und ihre Antwort als Link",
    required: "Bitte ausfüllen.", unreadable: "Das ist keine Zahl. Schreib sie wie 25,5.", unreadableDocument: "Das ist kein JSON-Dokument.", doubt: (v) => `„${v}“ kann zwei Zahlen bedeuten. Bitte ohne Tausenderzeichen schreiben.`,
    between: (low, high) => `Muss zwischen ${low} und ${high} liegen.`, empty: (v) => `Leer gelassen: ${v}`,
    wrong: (n) => (n === 1 ? "Eine Angabe stimmt noch nicht." : `${n} Angaben stimmen noch nicht.`),
    offline: "Der Dienst ist nicht erreichbar. Deine Angaben bleiben stehen.",
    busy: (s) => `Der Dienst bittet um eine Pause. Versuch es in ${s} Sekunden noch einmal.`, refused: "Der Dienst konnte nicht antworten.", late: "Der Dienst hat zu lange gebraucht. Bitte noch einmal.",
    notes: "Bitte beachten", cautions: "Vorsicht", english: "Ganze Sätze des Dienstes sind englisch.", yes: "ja", no: "nein",
    choices: { open: "offen", screen: "Netz", closed: "geschlossen" },
    caution: {
      mains_near_water: "Netzspannung neben Salzwasser kann töten. Fehlerstromschutz und Tropfschlaufen verwenden, vor jedem Griff ins Wasser den Stecker ziehen und Leitungen von einer Elektrofachkraft nach den örtlichen Vorschriften verlegen lassen.",
      hot_glass: "Ein Heizer außerhalb des Wassers verbrennt die Haut und springt, wenn er nass wird. Ausschalten und abkühlen lassen, bevor er herauskommt.",
      hot_sump: "Das Technikbecken kann verbrühen. Vor jedem Blick hinein Heizer ausstecken.",
      heavy_water: "Ein Liter Meerwasser wiegt etwa ein Kilogramm. Boden und Gestell müssen das gefüllte Becken tragen; im Zweifel eine Fachkraft für Statik fragen.",
    },
  },
  es: {
    ask: "Calcular", asking: "Calculando …", units: "Unidades", metric: "métricas", us: "EE. UU.",
    answered: "Respuesta", details: "Supuestos y modelo", assumptions: "Lo que ha supuesto el servicio", permalink: "Esta pregunta y su respuesta como enlace",
    required: "Rellena este campo.", unreadable: "Esto no es un número. Escríbelo como 25,5.", unreadableDocument: "Esto no es un documento JSON.", doubt: (v) => `«${v}» puede significar dos números. Escríbelo sin separador de miles.`,
    between: (low, high) => `Debe estar entre ${low} y ${high}.`, empty: (v) => `Si queda vacío: ${v}`,
    wrong: (n) => (n === 1 ? "Un dato necesita tu atención." : `${n} datos necesitan tu atención.`),
    offline: "No se puede contactar con el servicio. Lo que has escrito se conserva; inténtalo de nuevo en un momento.",
    busy: (s) => `El servicio pide una pausa. Inténtalo de nuevo en ${s} segundos.`, refused: "El servicio no ha podido responder.", late: "El servicio ha tardado demasiado. Inténtalo de nuevo.",
    notes: "Ten en cuenta", cautions: "Precaución", english: "Las frases completas del servicio están en inglés.", yes: "sí", no: "no",
    choices: { open: "abierto", screen: "malla", closed: "cerrado" },
    caution: {
      mains_near_water: "La corriente de red junto al agua salada puede matar. Usa protección diferencial y bucles de goteo, desenchufa antes de meter la mano y encarga la instalación a un electricista autorizado según las normas locales.",
      hot_glass: "Un calentador fuera del agua quema y estalla si se moja. Apágalo y déjalo enfriar antes de sacarlo.",
      hot_sump: "El sump puede escaldar. Desenchufa antes los calentadores.",
      heavy_water: "Un litro de agua de mar pesa alrededor de un kilogramo. Asegúrese de que el suelo y el mueble soportan el acuario lleno; en caso de duda, pregunte a un ingeniero de estructuras.",
    },
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
