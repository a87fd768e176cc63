/** German, for what belongs to the kitchen and what a batch gave: loaded when it is first opened. */
import type { KitchenTexts } from "../kitchen-texts.ts";

export const deKitchen: KitchenTexts = {
  dryers: {
    title: "Trockner",
    explain:
      "Was ein Trockner fasst, wird mit dem Wasser einer Ladung verglichen; seine Leistung ergibt die Kosten.",
    none: "Noch kein Trockner: er kommt mit der ersten Charge.",
    holds: (unit: string) => `Wasser, das er in einer Charge aufnehmen darf, ${unit}`,
    holdsHint: "was er in einem Zug gut getrocknet hat; leer für keine Warnung",
    tray: (unit: string) => `Frisches, das ein Blech tragen kann, ${unit}`,
    watts: "Mittlere Leistung, W",
    wattsHint: "einer ganzen Charge, wie ein Messgerät an der Steckdose sie zeigt",
    price: "Preis einer Kilowattstunde",
    currency: "Währung",
    keep: "Festhalten",
    kept: "Festgehalten.",
    badNumber: "Einfache Zahlen über 0 eingeben oder leer lassen.",
  },
  foods: {
    title: "Eigene Lebensmittel und Rezepte",
    explain: "Sie werden beim Planen mit ein paar Buchstaben gefunden, wie die der Tabelle.",
    none: "Noch keine.",
    line: (name: string, water: string, solids: string) =>
      `${name}: ${water} Wasser, ${solids} Trockenmasse`,
    measured: (water: string, batches: number) =>
      `mit ${batches === 1 ? "1 eigenen Charge" : `${batches} eigenen Chargen`}: ${water} Wasser`,
    own: "eigener Wert",
    recipe: "aus seinen Zutaten",
    retire: "Nicht mehr anbieten",
    retireWhich: (name: string) => `${name} nicht mehr anbieten`,
    add: "Lebensmittel hinzufügen",
    addRecipe: "Rezept hinzufügen",
    name: "Name",
    water: "Wasser, %",
    waterHint: "wenn es in den Trockner kommt",
    ingredients: "Zutaten",
    ingredient: "Zutat",
    mass: (unit: string) => `Masse, ${unit}`,
    another: "Noch eine Zutat",
    cooked: (unit: string) => `Fertiges Gericht, ${unit}`,
    cookedHint: "wenn Wasser verkocht oder aufgenommen wurde; sonst leer",
    reckon: "Was ergäbe das?",
    would: (water: string, spread: string, solids: string) =>
      `${water} Wasser, ± ${spread}; insgesamt ${solids} Trockenmasse.`,
    unknown: (names: string) => `Über ${names} ist nichts bekannt: wie irgendein Lebensmittel.`,
    keep: "Festhalten",
    kept: (name: string) => `Festgehalten: ${name}`,
    needsName: "Einen Namen geben.",
    needsWater: "Das Wasser muss zwischen 0 und 100 % liegen.",
    needsMass: "Jede Zutat braucht einen Namen und eine Masse über 0.",
  },
  checks: {
    title: "Prüfgewichte",
    explain:
      "Ein Gewicht bekannter Masse zeigt, ob die Waage noch stimmt. Außerhalb der Toleranz wird jede Wägung seit der letzten guten Prüfung gekennzeichnet.",
    none: "Noch keine.",
    name: "Name",
    nameHint: "zum Beispiel: das Kilogramm",
    nominal: "Masse, g",
    weightClass: "Klasse",
    noClass: "keine: Toleranz laut Zeugnis",
    fromMemory:
      "Die Toleranz dieser Klasse stammt aus dem Gedächtnis und wurde nicht mit der veröffentlichten Tabelle verglichen: mit dem Zeugnis vergleichen.",
    fromMemoryAbove:
      "Über 200 g stammt die Toleranz dieser Klasse aus dem Gedächtnis und wurde nicht mit der veröffentlichten Tabelle verglichen: mit dem Zeugnis vergleichen.",
    error: "Seine Toleranz, g",
    every: "Auflegen alle … Tage",
    keep: "Dieses Gewicht festhalten",
    kept: "Festgehalten.",
    bad: "Einfache Zahlen über 0 eingeben.",
    line: (name: string, mass: string, error: string, days: string) =>
      `${name}: ${mass} ± ${error}, alle ${days} Tage`,
    check: "Waage prüfen",
    checkWith: (name: string) => `Waage mit ${name} prüfen`,
    retire: "Entfernen",
    retireWhich: (name: string) => `${name} entfernen`,
    history: "Bisherige Prüfungen",
    done: (at: string, shown: string, nominal: string, off: string) =>
      `${at}: ${shown} bei ${nominal}, Abweichung ${off}`,
    good: "gut",
    bad2: "außerhalb der Toleranz",
  },
  yields: {
    open: "Was sie ergab",
    none: "Es kommt mit der ersten Wägung nach einigen Stunden Trocknen.",
    whole: "alles zusammen",
    columns: {
      what: "Was",
      fresh: "Frisch",
      dry: "Trocken",
      gone: "Wasser weg",
      yield: "Ausbeute",
      ratio: "Frisches für 1 g",
      moisture: "Wasser darin",
      moistureDry: "… der Trockenmasse",
      rehydrate: "Zuzugeben, insgesamt",
      perGram: "… für 1 g",
      energy: "Energie",
      cost: "Kosten",
      perKg: "Kosten für 1 kg",
    },
    litres: (grams: string, litres: string) => `${grams} (${litres} L)`,
    about: (text: string) => `etwa ${text}`,
    grams: (figure: string) => `${figure} g`,
    kwh: (figure: string) => `${figure} kWh`,
    caption: "Was jedes Blech ergab",
    costNote:
      "Energie: mittlere Leistung des Trockners mal Trockenstunden, verteilt nach dem entzogenen Wasser.",
    noCost: "Für Energie und Kosten Leistung und Preis des Trockners im Setup angeben.",
  },
  look: {
    title: "Vor dem Beladen",
    water: (mass: string) => `Insgesamt etwa ${mass} Wasser.`,
    waterSoFar: (mass: string) => `Etwa ${mass} Wasser in dem, was ein Ziel hat.`,
    warnings: {
      "dryer-full": ({ water, most, dryer }) =>
        `Etwa ${water} Wasser, und ${dryer} soll ${most} fassen: es trocknet länger als gewohnt oder nicht zu Ende.`,
      "tray-full": ({ trays, most }) =>
        `Mehr als ${most} auf ${trays}: ein dickes Blech trocknet zuletzt.`,
      "dry-unlike": ({ slow, quick }) =>
        `${slow} kann viel länger brauchen als ${quick}: die Charge ist fertig, wenn es ihr langsamstes Blech ist. (Übliche Praxis, keine Quelle.)`,
    },
  },
};
