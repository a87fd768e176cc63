/** German. Sätze als Ganzes, Zahlen kommen fertig herein. */
import type { Alert } from "../../../src/wire/bench.ts";
import type { CoreFinding, LinkWord, VerdictWord, WeighingKind } from "../../../src/wire/words.ts";
import type { Texts } from "../texts.ts";
import type { AlertParts } from "./en.ts";

const plural = (count: number, one: string, many: string): string => (count === 1 ? one : many);

export const de: Texts = {
  program: "Stillweight",
  languageName: "Deutsch",
  range: (low: string, high: string) => `${low} bis ${high}`,
  until: (time: string) => `bis ${time}`,
  trayNumbered: (number: string) => `Blech ${number}`,
  ofDryer: (what: string, dryer: string) => `${what} (${dryer})`,
  none: "–",
  duration: {
    underAMinute: "unter 1\u00a0min",
    seconds: (count: number) => `${count}\u00a0s`,
    minutes: (count: number) => `${count}\u00a0min`,
    hours: (count: number) => `${count}\u00a0h`,
  },
  more: {
    none: "keine Stunden mehr",
    minutes: (low: string, high: string) =>
      low === high ? `noch etwa ${high} Minuten` : `noch ${low} bis ${high} Minuten`,
    hours: (low: string, high: string) => {
      if (low !== high) return `noch ${low} bis ${high} Stunden`;
      return high === "1" ? "noch etwa 1 Stunde" : `noch etwa ${high} Stunden`;
    },
    manyHours: (low: string) => `noch ${low} oder viele Stunden`,
  },
  nav: {
    label: "Seiten",
    weigh: "Wiegen",
    batch: "Charge",
    plan: "Planen",
    pack: "Packen",
    shelf: "Regal",
    record: "Archiv",
    setup: "Einrichten",
    skip: "Zum Inhalt",
  },
  connection: {
    connecting: "Das Programm wird gesucht …",
    lost: (age: string) => `Keine Verbindung zum Programm. Diese Zahlen sind ${age} alt.`,
    lostFix: "Es wird weiter versucht. Läuft der Rechner mit der Waage im selben Netz?",
    outdated: "Das Programm wurde erneuert. Diese Seite lädt neu …",
    outdatedStill: "Programm und Seite passen nicht zusammen. Seite schließen und neu öffnen.",
    notRecording: "Es wird nichts gespeichert.",
    notRecordingFix:
      "Was jetzt gewogen wird, geht verloren: aufschreiben. Ist die Festplatte voll?",
    silence: "Verstanden, Ton aus",
    backupFailed: "Es konnte keine Kopie der Aufzeichnung gemacht werden.",
    clockJump: "Die Uhr des Rechners ist gesprungen.",
  },
  practice: {
    banner: "Nur Übung, kein echtes Essen.",
    handTitle: "Übungshilfe",
    handWorks: "Die Übungshilfe macht die Arbeit, Trockenstunden vergehen in Sekunden.",
    handRests: "Die Arbeit machen Sie: Bleche auf die Übungswaage stellen und abnehmen.",
    letWork: "Die Übungshilfe arbeiten lassen",
    doItMyself: "Selbst machen",
    place: (name: string) => `${name} auflegen`,
    placeEmpty: (name: string) => `${name} leer auflegen`,
    placeBag: "Den Beutel daraufstellen",
    pourSome: "Das meiste hineinfüllen",
    pourAll: "Bis zum Ziel füllen",
    takeOff: "Von der Waage nehmen",
    noBatch: "Zuerst eine Charge planen: die Übungswaage wiegt ihre Bleche.",
  },
  pair: {
    title: "Dieses Gerät koppeln",
    explain:
      "Nur für gekoppelte Geräte. Den Code zeigt das Programm beim Start, stillweight pair oder ein gekoppeltes Gerät unter Einrichten.",
    code: "Kopplungscode",
    codeHint: "acht Ziffern, zum Beispiel 1234-5678",
    name: "Name dieses Geräts",
    nameHint: "damit es zu erkennen ist, zum Beispiel: Tablet in der Küche",
    button: "Koppeln",
    onlyLooking: "Dieses Gerät darf zusehen und nichts ändern.",
    noCode: "Tippen Sie den Code ein und einen Namen für dieses Gerät.",
  },
  refusal: {
    unreachable:
      "Das Programm hat nicht geantwortet. Nachsehen, ob es geschah; erst dann noch einmal.",
    "asked-again": "Das Programm hat nicht geantwortet. Es wird von selbst wieder gefragt.",
  },
  sound: {
    turnOn: "Ton einschalten",
    on: "Ton an",
    off: "Ton aus (unter Einrichten)",
  },
  lazy: {
    failed: "Dieser Teil der Seite kam nicht an. Seite neu laden.",
    again: "Neu laden",
  },
  bags: {
    taken: {
      tare: (code: string, mass: string) => `Erfasst: leerer Beutel ${code}, ${mass}`,
      filled: (code: string, mass: string) => `Erfasst: ${mass} in Beutel ${code}`,
      sealed: (code: string, mass: string) => `Erfasst: Beutel ${code} verschlossen, ${mass}`,
      shelf: (code: string, mass: string) => `Erfasst: Beutel ${code} mit ${mass}`,
    },
    shelfWords: {
      "no-gain-seen": "Keine Zunahme",
      watch: "Beobachten",
      "gaining-moisture": "Zieht Feuchte",
      "cannot-tell": "Nicht zu sagen",
      "not-checked": "Noch nicht geprüft",
    },
    packNow: "Einpacken",
    scaleForBag: (code: string) => `Diese Waage wartet auf Beutel ${code}.`,
    toBag: "Zum Beutel",
    forTrays: "Stattdessen Bleche wiegen",
  },
  alerts: {
    label: "Meldungen",
    acknowledge: "Verstanden",
    acknowledgeWhich: (text: string) => `Verstanden: ${text}`,
    look: "Zur Charge",
    trial: "Eine Probemeldung: so sieht eine Meldung aus.",
    say: {
      "time-to-weigh": ({ batch }) => `${batch}: Zeit, die Bleche herauszunehmen und zu wiegen.`,
      stable: ({ batch }) =>
        `${batch}: stabiles Gewicht erreicht. Von jedem Blech das dickste Stück brechen, bevor es als fertig gilt.`,
      "needs-more": ({ batch, more, behind }) =>
        `${batch}: ${more === "" ? "verliert noch" : `verliert, ${more}`}${behind === "" ? "" : `; ${behind}`}.`,
      stalled: ({ batch, why }) =>
        `${batch}: steht. Nach dem Trockner sehen, nach Eis sehen.${why === "" ? "" : ` ${why}`}`,
      gaining: ({ batch, why }) => `${batch}: nimmt zu.${why === "" ? "" : ` ${why}`}`,
      unsure: ({ batch, why }) => `${batch}: unklar.${why === "" ? "" : ` ${why}`}`,
      "out-too-long": ({ batch, minutes }) =>
        `${batch}: die Bleche sind seit ${minutes} draußen und ziehen Feuchte.`,
      "scale-lost": ({ why }) =>
        `Die Waage ist weg, während eine Charge auf sie wartet.${why === "" ? "" : ` ${why}`}`,
    } satisfies Record<Alert["code"], (parts: AlertParts) => string>,
  },
  look: {
    moveTable: "Die Tabelle geht weiter: seitwärts verschieben.",
    scaleNumbered: (number: string) => `Waage\u00a0${number}`,
    settled: "In Ruhe",
    moving: "Noch nicht",
    empty: "Leer",
    over: "Zu schwer",
    overFix: "Das ist mehr, als die Waage wiegen kann. Herunternehmen.",
    under: "Unter dem Wägebereich",
    below: "Unter null",
    underFix: "Alles von der Waage nehmen und ihre Nulltaste drücken.",
    silent: "Stumm",
    silentFor: (age: string) => `Seit ${age} keine Anzeige.`,
    silentFix:
      "Ist die Waage an? Viele schalten sich selbst aus. Antippen oder ihre Taste drücken.",
    connecting: "Einen Augenblick",
    lost: "Verbindung verloren",
    lastSeen: (mass: string, age: string) => `Zuletzt gesehen: ${mass}, vor ${age}.`,
    noScale: "Noch keine Waage",
    noScaleFix: "Den Anschluss der Waage wählen oder Gewichte von Hand eingeben.",
    chooseScale: "Waage wählen",
    scale: "Waage",
    scaleName: (number: number, uri: string) => `Waage ${number}: ${uri}`,
    zeroUnseen: "Die leere Waage wurde nicht bei null gesehen, seit sie wieder da ist.",
    links: {
      up: "Verbunden",
      silent: "Die Waage sendet nichts",
      searching: "Die Waage ist nicht da",
      denied: "Kein Zugriff auf die Waage",
    } satisfies Record<LinkWord, string>,
    fixes: {
      up: "",
      silent: "Waage einschalten und nachsehen, ob sie von selbst sendet.",
      searching: "Waage anstecken und einschalten. Sie wird von selbst wiedergefunden.",
      denied: "Andere Programme mit der Waage schließen oder um Zugriff auf den Anschluss bitten.",
    } satisfies Record<LinkWord, string>,
    units: { g: "Gramm", kg: "Kilogramm", oz: "Unzen", lb: "Pfund und Unzen" },
    formAsked: {
      right: {
        question: "Zeigt Ihre Waage das?",
        why: "Etwas Bekanntes auflegen und vergleichen.",
      },
      unit: {
        question: "Welche Einheit zeigt Ihre Waage?",
        why: "Die Waage sendet nur eine Zahl. Vergleichen Sie mit ihrer Anzeige.",
      },
      form: {
        question: "Was davon zeigt Ihre Waage?",
        why: "Die Waage sendet Zeilen, die sich auf mehrere Arten lesen lassen.",
      },
    },
    formExample: (line: string) => `gesendet: ${line}`,
  },
  weigh: {
    put: {
      tare: (name: string) => `${name} leer auf die Waage stellen`,
      fresh: (name: string) => `${name} mit Inhalt auf die Waage stellen`,
      dry: (name: string) => `${name} auf die Waage stellen`,
    } satisfies Record<WeighingKind, (name: string) => string>,
    lift: "Blech abnehmen.",
    liftThen: (name: string) => `Blech abnehmen. Als Nächstes: ${name}.`,
    comeToRest: (name: string) => `${name}: zur Ruhe kommen lassen`,
    noBatch: "Keine Charge ist offen",
    first: {
      scale: "Welche Waage?",
      scaleDone: "Die Waage ist gewählt",
      scaleWhy: "Anstecken, Anschlüsse auflisten, auswählen.",
      practiceScale: "Eine Übungswaage ist da",
      practiceDone: "Alles ausprobieren: es kann nichts schiefgehen.",
      tryFolder: "Dieser Datenordner ist zum Üben: nichts daraus zählt.",
      ownScale: "Stattdessen die eigene Waage nehmen",
      noScale: "Keine Waage zur Hand? Gewichte lassen sich auch von Hand eingeben.",
      batch: "Was liegt auf den Blechen?",
      batchWhy: "Trockner und Bleche nennen, und was auf jedem liegt. Das dauert eine Minute.",
      weigh: "Jedes Blech auf die Waage stellen",
      weighWhy: "Sein Gewicht wird von selbst erfasst, sobald es ruht.",
    },
    planOne: "Charge planen",
    roundDone: "Alle Bleche dieser Runde sind gewogen.",
    kinds: {
      tare: "leeres Blech",
      fresh: "vor dem Trocknen",
      dry: "beim Trocknen",
    } satisfies Record<WeighingKind, string>,
    taken: (name: string, mass: string) => `Erfasst: ${name} mit ${mass}`,
    takenNet: (net: string) => `${net} Inhalt`,
    takenFood: (net: string, food: string) => `${net} ${food}`,
    takenEmpty: (name: string, mass: string) => `Erfasst: ${name} leer, ${mass}`,
    check: {
      put: (name: string) => `${name} auf die Waage stellen`,
      stop: "Jetzt nicht",
      due: "Es ist Zeit, die Waage mit einem Prüfgewicht zu prüfen.",
      bad: (off: string) =>
        `Bei der letzten Prüfung wich die Waage um ${off} ab. Wägungen werden markiert, bis eine wieder gut ist.`,
      toChecks: "Waage prüfen",
    },
    pour: {
      someFood: "das Lebensmittel",
      pour: (food: string, name: string) => `Auf ${name} geben: ${food}`,
      putBack: (name: string) => `${name} auf die Waage stellen`,
      rest: "Zur Ruhe kommen lassen",
      takeOff: "Etwas wegnehmen",
      which: (portion: number, portions: number) =>
        `Lebensmittel ${portion} von ${portions} auf diesem Blech.`,
      leave: "Das Blech stehen lassen; keine Taste ist nötig.",
      words: {
        off: "fehlen",
        short: "fehlen",
        open: "aufgelegt",
        enough: "Genug",
        over: "zu viel",
      },
      bar: "Bisher aufgelegt",
      of: (net: string, target: string, tolerance: string) => `${net} von ${target} ± ${tolerance}`,
      asItIs: "So nehmen, wie es ist",
      tared: "Ich habe die Tara-Taste der Waage gedrückt",
      hides: (mass: string) =>
        `Die Tara-Taste der Waage verbirgt ${mass}; sie werden mitgerechnet.`,
      notTared: "Nein, ich habe sie nicht gedrückt",
      alone: (food: string, name: string) => `Nur ${food} auf ${name} liegen lassen`,
    },
    undo: "Zurücknehmen",
    undone: "Zurückgenommen. Es bleibt durchgestrichen im Verlauf.",
    undoReason: "Gleich nach dem Erfassen zurückgenommen",
    whichTray: "Welches Blech ist das?",
    noneOfThem: "Keines davon",
    isEmpty: (name: string) => `Ist ${name} leer?`,
    notEmpty: "Nein",
    zeroNotSeen: "Soll dieses Gewicht gelten?",
    zeroYes: (name: string) => `Ja, es ist ${name}`,
    zeroNo: "Nein: ich nehme es ab, stelle die Waage auf null und lege es wieder auf",
    asFood: (mass: string) => `${mass} Inhalt`,
    trays: "Bleche",
    chooseTray: "Ein anderes Blech als dieses? Antippen.",
    next: "als Nächstes",
    waiting: "wartet",
    done: (mass: string) => mass,
    act: {
      start: "Trocknen beginnen",
      startWithout: (trays: string) => `Ohne ${trays} beginnen`,
      out: "Bleche heraus",
      back: "Zurück in den Trockner",
    },
    stillWaiting: (count: number) =>
      `${count} ${plural(count, "Blech wartet", "Bleche warten")} auf die Waage.`,
    typed: {
      open: "Stattdessen ein Gewicht eingeben",
      tray: "Blech",
      kind: "Was gewogen wird",
      value: "Die Waage zeigt",
      unit: "Einheit",
      division: "Kleinster Schritt dieser Waage",
      divisionHint: "zum Beispiel 1; leer lassen, wenn unbekannt",
      at: "Gewogen um",
      atHint: "leer lassen für jetzt",
      keep: "Dieses Gewicht speichern",
      notANumber: "Eine einfache Zahl eingeben, zum Beispiel 812 oder 812,5.",
      kept: (name: string, mass: string) => `Gespeichert: ${name}, ${mass}`,
    },
  },
  batch: {
    open: "Offene Chargen",
    noneOpen: "Keine Charge ist offen.",
    number: (number: number) => `Nr. ${number}`,
    named: (number: number) => `Charge ${number}`,
    practiceNumbered: (number: number) => `Übungscharge ${number}`,
    practiceNamed: (name: string) => `${name} (Übung)`,
    words: {
      losing: "Verliert",
      stable: "Stabil",
      gaining: "Nimmt zu",
      stalled: "Steht",
      unsure: "Unklar",
    } satisfies Record<VerdictWord, string>,
    meanings: {
      losing: "Verliert noch Wasser: braucht weitere Stunden.",
      stable: "Stabiles Gewicht erreicht.",
      gaining: "Das Gewicht ist gestiegen: Feuchte wurde aufgenommen.",
      stalled: "Das Gewicht steht, ist aber höher, als dieses Lebensmittel trocken wiegt.",
      unsure: "Das lässt sich noch nicht sagen.",
    } satisfies Record<VerdictWord, string>,
    sentences: {
      rose: (f) =>
        `hat in ${f.apartHours} um ${f.lossGrams} zugenommen; die Waage allein erklärt ${f.explainedGrams}`,
      "soft-core": (f) =>
        `das dickste Stück war nach ${f.atHours} Trocknen innen ${f.finding}: weiter trocknen und ein anderes brechen`,
      steady: (f) =>
        `in ${f.apartHours} kein Verlust über ${f.mostGrams}; zu entziehen sind höchstens noch ${f.highShare} der Trockenmasse (95 %)`,
      together: (f) =>
        `allen Blechen, als eine Last gewogen, sind höchstens noch ${f.limitShare} der Trockenmasse zu entziehen; für ein Blech allein ist diese Waage zu grob`,
      "only-core": () =>
        "die Trockenmasse dieses Lebensmittels ist zu ungenau bekannt, um einen stehen gebliebenen Trockner zu erkennen: nur das trocken gefundene Stück spricht dagegen",
      "no-core": () =>
        "die Trockenmasse dieses Lebensmittels ist zu ungenau bekannt, um einen stehen gebliebenen Trockner zu erkennen: das dickste Stück des Blechs brechen",
      "no-food": () =>
        "die Trockenmasse dieses Lebensmittels ist zu ungenau bekannt, um einen stehen gebliebenen Trockner zu erkennen: das dickste Stück des Blechs brechen oder den Wassergehalt angeben",
      heavy: (f) =>
        `das Gewicht steht bei ${f.netGrams}, trocken wiegt dieses Lebensmittel aber höchstens ${f.mostGrams}: nach Vakuum, Heizung und Eis sehen, und nach dem Leergewicht`,
      "likely-heavy": () =>
        "das Gewicht steht, aber höher, als dieses Lebensmittel trocken wohl wiegt: nach Vakuum, Heizung und Eis sehen",
      "heavy-for-lot": (f) =>
        `das Gewicht steht bei ${f.netGrams}, trocken wie die anderen Bleche aber höchstens ${f.mostGrams}: das dickste Stück des Blechs brechen`,
      "broke-off": (f) =>
        `der Verlust brach auf ${f.lossGrams} in ${f.apartHours} ab, ohne langsam auszulaufen: nach Vakuum, Heizung und Eis sehen`,
      "likely-broke-off": () =>
        "der Verlust brach früher ab als meist: nach Vakuum, Heizung und Eis sehen oder das dickste Stück brechen",
      "water-left": (f) => `${f.lowGrams} bis ${f.highGrams} Wasser sind noch zu entziehen`,
      losing: (f) =>
        `hat in ${f.apartHours} ${f.lossGrams} verloren, ${f.hourlyShare} der Trockenmasse in der Stunde; ${f.lowGrams} bis ${f.highGrams} Wasser sind noch zu entziehen`,
      "not-weighed": (f) => `seit Beginn nicht gewogen; zuerst nach ${f.nextHours} Trocknen wiegen`,
      "one-weighing": (f) =>
        `eine Wägung belegt nichts; nach weiteren ${f.nextHours} Trocknen wieder wiegen`,
      "too-coarse": (f) =>
        `Verluste unter ${f.leastGrams} zeigt diese Waage nicht, und hier zählen ${f.limitGrams}; eine feinere Waage oder weitere ${f.nextHours} Trocknen klären es`,
      open: (f) =>
        `die letzten Wägungen lassen es offen; nach weiteren ${f.nextHours} Trocknen wieder wiegen`,
      "no-food-left": (f) =>
        `${f.netGrams} Lebensmittel: das Blech wiegt nicht mehr als leer. Leergewicht und Blech prüfen`,
      "fresh-conflict": (f) =>
        `die Masse vor dem Trocknen ist an einer Stelle ${f.netGrams}, an einer anderen ${f.otherGrams}`,
      "hours-order": (f) =>
        `${f.apartHours} Trocknen zwischen zwei Wägungen, die auf der Uhr ${f.clockHours} auseinander liegen`,
      "weighed-twice": (f) =>
        `bei ${f.atHours} zweimal gewogen: ${f.beforeGrams} und ${f.netGrams}`,
      "shows-other": (f) =>
        `zeigt bei ${f.atHours} ${f.netGrams}, die Masse von ${f.otherTray}: dieses Blech wurde zweimal gewogen`,
      swapped: (f) =>
        `${f.netGrams} bei ${f.atHours} folgen nicht aus den Wägungen davor, wohl aber ${f.otherGrams} von ${f.otherTray}, und umgekehrt`,
      "unit-mixed": (f) =>
        `${f.netGrams} passen zu den anderen Wägungen nur als ${f.fitsGrams}: ${f.meantUnit} als ${f.writtenUnit} aufgeschrieben`,
      "unit-mixed-fresh": (f) =>
        `${f.netGrams} vor dem Trocknen passen zu den anderen Wägungen nur als ${f.fitsGrams}: ${f.meantUnit} als ${f.writtenUnit} aufgeschrieben`,
      "tare-left": (f) =>
        `${f.netGrams} passen zu den anderen Wägungen als ${f.fitsGrams}: das Leergewicht wurde nicht abgezogen`,
      "tare-twice": (f) =>
        `${f.netGrams} passen zu den anderen Wägungen als ${f.fitsGrams}: das Leergewicht wurde zweimal abgezogen`,
      "rose-too-far": (f) =>
        `stieg von ${f.beforeGrams} auf ${f.netGrams}, mehr, als Lebensmittel aus der Luft aufnehmen: ein anderes Leergewicht oder ein anderes Blech`,
      "fell-and-came-back": (f) =>
        `fiel auf ${f.netGrams} und kam auf ${f.afterGrams} zurück: ein anderes Leergewicht oder ein anderes Blech`,
      "food-removed": (f) =>
        `hat in ${f.apartHours} ${f.lossGrams} verloren, in den ${f.beforeHours} davor nur ${f.beforeGrams}: wurde etwas weggenommen?`,
      "lighter-than-possible": (f) =>
        `${f.netGrams} sind leichter, als dieses Lebensmittel trocken sein kann, mindestens ${f.leastGrams}: ein anderes Leergewicht oder ein anderes Blech, Verlust oder ein anderes Lebensmittel`,
      "other-scale": (f) =>
        `auf zwei Waagen gewogen: ${f.offsetGrams} ± ${f.uGrams} abgezogen von dem, was ${f.otherScale} zeigte`,
      "other-scale-unknown": (f) =>
        `auf zwei Waagen gewogen, ihr Unterschied ist unbekannt: ± ${f.uGrams} für ${f.otherScale} zugelassen; eine Last auf beiden zeigt ihn`,
    },
    noVerdict: "Noch kein Urteil",
    noVerdictWhy: "Es kommt mit der ersten Wiegerunde nach einigen Stunden des Trocknens.",
    behind: (names: string, count: number) => `${names} ${plural(count, "hängt", "hängen")} nach`,
    joined: (one: string, two: string) => `${one}; ${two}`,
    aboutWeight: "Das ist eine Aussage über das Gewicht.",
    breakFirst: "Vor dem Verpacken das dickste Stück brechen.",
    breakNow: "Die dicksten Stücke brechen",
    clock: {
      waiting: "Noch nicht im Trockner",
      in: (time: string) => `Im Trockner, ${time} getrocknet`,
      out: (minutes: string) => `Auf dem Tisch, seit ${minutes} draußen`,
      paused: (time: string) => `Trocknen unterbrochen bei ${time}`,
      ended: (time: string) => `Beendet nach ${time} Trocknen`,
    },
    nextIn: (time: string, at: string) => `Wieder wiegen in ${time} (${at})`,
    nextDue: "Jetzt wiegen",
    nextAfter: (time: string) => `Wieder wiegen nach weiteren ${time} im Trockner`,
    toGo: "Zeit bis zur nächsten Wägung",
    core: {
      title: (name: string) => `Das dickste Stück von ${name} brechen.`,
      whenOut: (names: string) =>
        `Sobald die Bleche draußen sind: das dickste Stück von ${names} brechen.`,
      ask: "Innen ist es:",
      findings: { dry: "Trocken", cold: "Kalt", soft: "Weich" } satisfies Record<
        CoreFinding,
        string
      >,
      explain:
        "Trocken: es knackt und krümelt, warm wie der Raum. Kalt oder weich innen: da ist noch Eis oder Wasser.",
      found: {
        dry: "Dickstes Stück gebrochen: trocken",
        cold: "Dickstes Stück gebrochen: innen kalt",
        soft: "Dickstes Stück gebrochen: innen weich",
      } satisfies Record<CoreFinding, string>,
    },
    gap: {
      title: (from: string, to: string, dryer: string | null) =>
        `Das Programm war von ${from} bis ${to} aus, während Bleche im Trockner${dryer === null ? "" : ` „${dryer}“`} waren. Lief der Trockner weiter?`,
      yes: "Ja, er lief weiter",
      no: "Nein, er stand still",
      why: "Bis zur Antwort zählen diese Stunden nicht als Beweis der Trockenheit.",
      ran: "der Trockner lief weiter",
      stood: "der Trockner stand still",
      open: "nicht beantwortet",
    },
    contradiction: {
      title: "Diese Zahlen widersprechen sich",
      strike: "Diese Wägung streichen",
      strikeReason: "Widerspricht den anderen Wägungen",
      took: "Etwas wurde weggenommen",
      swap: (one: string, two: string) => `Die Wägungen von ${one} und ${two} tauschen`,
      swapReason: "Bleche wurden auf der Waage vertauscht",
      meant: (mass: string) => `Es waren ${mass} Inhalt`,
    },
    trays: "Bleche",
    columns: {
      of: (mass: string) => `von ${mass} frisch`,
    },
    tray: {
      show: (name: string) => `Kurve von ${name}`,
      noFood: "Inhalt nicht genannt",
      behind: "hängt nach",
      confidence: (word: string, share: string) => `${word}: zu ${share} sicher`,
      pDry: (share: string) => `Wahrscheinlichkeit, dass es trocken ist: ${share}`,
      moisture: (wet: string, dry: string) =>
        `Wasser darin, nach dem, was Frisches dieser Art enthält: ${wet} seiner Masse (${dry} der Trockenmasse)`,
      remaining: (range: string) => `Noch zu entziehendes Wasser: ${range}`,
      yields: (share: string) => `Ausbeute bisher: ${share}`,
      noTare: "Die Masse des leeren Blechs ist nicht bekannt: leer wiegen oder unten eingeben.",
      noFresh: "Noch nicht vor dem Trocknen gewogen.",
      waterFrom: (pct: string, source: string) => `${pct} Wasser im Frischen (${source})`,
      waterOwn: (pct: string) => `${pct} Wasser im Frischen`,
      thickness: (mm: string) => `Stücke ${mm} mm dick`,
    },
    before: {
      can: (scale: string, apart: string) =>
        `Eine Waage mit ${scale} kann diese Ladung als trocken erweisen, wenn zwischen zwei Wägungen ${apart} Trocknung liegen.`,
      together: (scale: string, apart: string, finer: string) =>
        `Eine Waage mit ${scale} ist für ein Blech zu grob; alle zusammen lassen sich als trocken erweisen, wenn zwischen zwei Wägungen ${apart} Trocknung liegen. Eine mit ${finer} genügte für jedes Blech.`,
      cannot: (scale: string, apart: string, finer: string) =>
        `Eine Waage mit ${scale} kann diese Ladung nicht als trocken erweisen: Zwischen zwei Wägungen müssten ${apart} Trocknung liegen. Eine mit ${finer} genügte.`,
    },
    criteria: {
      title: "Nach veröffentlichten Kriterien der Massekonstanz",
      explain:
        "Sie vergleichen die letzten zwei Wägungen. Einen stehen gebliebenen Trockner erkennt nur das Urteil oben.",
      names: {
        "usp-constant-weight": "US-Arzneibuch",
        "ph-eur-constant-mass": "Europäisches Arzneibuch",
        "who-constant-mass": "Internationales Arzneibuch",
        "chinese-pharmacopoeia": "Chinesisches Arzneibuch",
        "aoac-935.29": "AOAC 935.29",
        "rilem-concrete": "RILEM",
      },
      met: (change: string, allowed: string) => `erfüllt, ${change} von ${allowed} erlaubt`,
      notMet: (change: string, allowed: string) =>
        `nicht erfüllt, ${change} von ${allowed} erlaubt`,
      tooSoon: (hours: string) => `zu früh, noch ${hours} Trocknung zwischen den Wägungen`,
      tooCoarse: (division: string, mass: string | null) =>
        mass === null
          ? `diese Waage ist zu grob: nötig sind ${division}`
          : `diese Waage ist zu grob: nötig sind ${division}, oder ${mass} trockenes Gut`,
    },
    photos: {
      title: "Fotos",
      none: "Noch kein Foto.",
      of: "Wovon",
      ofBatch: "die ganze Charge",
      ofBag: (code: string) => `Beutel ${code}`,
      add: "Ein Foto hinzufügen",
      alt: (of: string, time: string) => `Foto: ${of}, ${time}`,
      remove: "Entfernen",
      removeWhich: (of: string, time: string) => `Das Foto entfernen: ${of}, ${time}`,
      unreadable: "Diese Datei ist kein Bild, das dieser Browser lesen kann.",
    },
    curve: {
      title: "Trocknungskurve",
      hours: "Trockenstunden",
      fit: "Linie: die angepasste Kurve.",
      band: "Tönung: wo die wahre Masse in 9 von 10 Fällen liegt.",
      points: "Punkte: Wägungen, mit Balken vom Doppelten des Waagenfehlers.",
      expected: (range: string) =>
        `Klammer rechts: was dieses Lebensmittel trocken wiegen kann, ${range}.`,
      gaps: "Lücken: die Zeiten außerhalb des Trockners.",
      breaks: "Gestrichelte Senkrechte: das Trocknen war unterbrochen; die Kurve beginnt neu.",
      none: "Die Kurve kommt mit der ersten Wägung.",
      noFit: "Durch diese Wägungen lässt sich noch keine Kurve legen.",
      label: (name: string) =>
        `Trocknungskurve von ${name}. Pfeiltasten gehen von Wägung zu Wägung, Plus und Minus ändern die Größe, 0 zeigt das Ganze.`,
      at: (hours: string, mass: string, error: string) => `Nach ${hours}: ${mass} ± ${error}`,
      lineAt: (hours: string, mass: string, tint: string) =>
        `Nach ${hours}: Linie ${mass}, Tönung ${tint}`,
      limit: (mass: string, limit: string) =>
        `Strichpunktierte Waagrechte: bei ${mass} ist das Wasser auf die Grenze von ${limit} der Trockenmasse gefallen.`,
      foreseen: (hours: string, low: string, high: string) =>
        `Keil auf der Stundenachse: Trockenheit wird bei ${hours} erwartet, zwischen ${low} und ${high}.`,
      howToZoom:
        "Näher: über die Stunden ziehen oder +, −; ein Doppelklick oder 0 zeigt die ganze Kurve.",
      zoomIn: "Näher",
      zoomOut: "Weiter weg",
      zoomWhole: "Ganze Kurve",
      table: "Dasselbe als Tabelle",
      columnHours: "Trockenstunden",
      columnMass: "Lebensmittel",
      columnError: "± Fehler",
      columnFit: "Linie",
      columnBand: "Tönung",
      tableFor: (name: string) => `Wägungen von ${name}`,
    },
    gave: "Was sie ergab: Ausbeute, Wasser, Kosten",
    portions: {
      title: "Lebensmittel auf diesem Blech",
      food: "Lebensmittel",
      fresh: "Frisch",
      dry: "Jetzt",
      about: (mass: string) => `etwa ${mass}`,
      alone: (food: string) => `${food} allein wiegen`,
      aloneShort: "Allein wiegen",
      estimate:
        "Etwa: der Verlust des ganzen Blechs, nach dem Wasser verteilt. Allein gewogen hat jedes seine Masse.",
    },
    past: {
      open: "Im Vergleich mit früheren Chargen davon",
      none: (food: string) => `Noch keine Charge mit ${food} ist beendet.`,
      choose: (most: number) => `Diese darüberlegen (höchstens ${most})`,
      noFresh: "Ohne Wägung vor und nach dem Trocknen lässt sich nichts darüberlegen.",
      axes: "Anteil der Masse vor dem Trocknen über den Trockenstunden.",
      share: "Anteil der frischen Masse",
      relative: "Jede über ihre eigene Trockenzeit",
      relativeLevel: "% ihrer bisherigen Trockenzeit",
      relativeAxes: "Anteil der Masse vor dem Trocknen über dem Anteil der eigenen Trockenzeit.",
      label: (name: string) =>
        `${name} neben früheren Chargen desselben Lebensmittels. Pfeiltasten gehen von Wägung zu Wägung, Plus und Minus ändern die Größe, 0 zeigt das Ganze.`,
      this: (name: string) => `diese Charge, ${name}`,
      other: (batch: string, name: string) => `${batch}, ${name}`,
      at: (course: string, hours: string, share: string) => `${course}: nach ${hours} ${share}`,
      table: "Wie weit jede kam",
      columns: { course: "Charge", hours: "Getrocknet", share: "Übrig vom Frischen" },
    },
    last: {
      title: "Der letzte Abschnitt",
      lost: (loss: string, hours: string) => `${loss} in ${hours} verloren.`,
      gained: (gain: string, hours: string) => `${gain} in ${hours} zugenommen.`,
      same: (hours: string) => `In ${hours} nichts verloren, was diese Waage zeigt.`,
      hides: (mass: string) =>
        `Einen Verlust unter ${mass} kann diese Waage nicht von keinem unterscheiden.`,
      none: "Dazu braucht es zwei Wägungen.",
      label: (first: string, second: string) => `Von ${first} zu ${second}.`,
      bars: "Balken: das Doppelte des Waagenfehlers.",
    },
    cautions: {
      title: "Vor dem Verpacken",
      general: [
        "Gefriertrocknen tötet keine Keime. Was roh war, bleibt roh: so behandeln und garen.",
        "Säurearmes muss wirklich trocken sein, bevor ihm der Sauerstoff entzogen wird.",
        "Dieses Programm beurteilt das Gewicht, nicht die Sicherheit. Die örtlichen Lebensmittelvorschriften befolgen.",
      ],
    },
    clockLog: {
      open: "Trocknungsuhr: Vergessenes richtigstellen",
      explain: "Die Uhr läuft nur, solange die Bleche im Trockner sind.",
      in: "In den Trockner",
      out: "Aus dem Trockner",
      implied: "durch eine Wägung bemerkt",
      some: (names: string) => `nur ${names}`,
      setRight: "Richtigstellen",
      setRightWhich: (what: string, at: string) => `Richtigstellen: ${what}, ${at}`,
      at: "Es war um",
      reason: "Warum",
      reasonHint: "zum Beispiel: vergessen zu drücken",
      keep: "Speichern",
      strike: "Das ist nie geschehen",
      forgotten: "Vergessenes nachtragen",
      what: "Was geschah",
      add: "Nachtragen",
      replaced: "ersetzt",
      struck: "gestrichen",
    },
    interruptions: {
      open: "Unterbrechungen: Stromausfall, Abtauen",
      explain: "Eine Unterbrechung hält die Trockenuhr an und trennt die Kurve.",
      from: "Von",
      to: "Bis",
      toHint: "leer lassen, solange sie dauert",
      reason: "Was geschah",
      reasonHint: "zum Beispiel: Stromausfall",
      note: "Unterbrechung eintragen",
      lasts: "dauert noch",
      over: "Jetzt ist sie vorbei",
    },
    weighings: {
      open: "Wägungen und Berichtigungen",
      explain: "Eine Berichtigung löscht nie: beides bleibt im Verlauf.",
      correct: "Berichtigen",
      correctWhich: (what: string, at: string) => `Berichtigen: ${what}, ${at}`,
      tray: "Richtiges Blech",
      kind: "Was gewogen wurde",
      gross: (unit: string) => `Auf der Waage (${unit})`,
      reason: "Warum",
      reasonHint: "zum Beispiel: falsches Blech",
      keep: "Berichtigung speichern",
      strike: "Streichen",
      struck: "gestrichen",
      replaced: "ersetzt",
      typed: "eingegeben",
      zeroUnseen: "null nicht gesehen",
      scaleInDoubt: "die Waage war bei einer Prüfung außerhalb der Toleranz",
      clockDoubts: {
        "time-of-day": "Uhrzeit zweifelhaft: Die Uhr des Rechners ist gesprungen",
        "hours-missing": "der Rechner war unbekannt lange aus: Trockenstunden können fehlen",
      },
      because: (reason: string) => `weil: ${reason}`,
      csv: "Alle Wägungen als Datei (CSV)",
      json: "Die ganze Charge als Datei (JSON)",
    },
    editTrays: {
      open: "Bleche ändern",
      name: "Name",
      tare: (unit: string) => `Leeres Blech (${unit})`,
      keep: "Speichern",
      add: "Blech hinzufügen",
      kept: "Gespeichert.",
    },
    verdictLog: "Bisherige Urteile",
    round: (number: number) => `Runde ${number}`,
    whole: "Charge",
    end: {
      open: "Diese Charge beenden",
      explain: "Eine beendete Charge bleibt im Archiv, mit allen ihren Kurven.",
      notStable: "Sie hat kein stabiles Gewicht erreicht.",
      button: "Charge beenden",
    },
  },
  plan: {
    title: "Charge planen",
    dryer: "Trockner",
    trayName: "Name",
    food: "Was darauf liegt",
    foodHint:
      "ein paar Buchstaben, ein Name, oder die Nummer eines Beutels, der noch einmal trocknet",
    foodFound: (count: number) =>
      count === 0
        ? "Nicht in der Tabelle: auch sein Wasser angeben oder leer lassen."
        : `${count} ${plural(count, "Lebensmittel", "Lebensmittel")} gefunden`,
    water: "Wasser, %",
    waterHint: "im Frischen",
    thickness: "Stücke, mm dick",
    tare: (unit: string) => `Leeres Blech, ${unit}`,
    tareHint: "oder wiegen",
    target: (unit: string) => `Ziel, ${unit}`,
    add: "Blech hinzufügen",
    remove: (name: string) => `${name} entfernen`,
    start: "Charge beginnen",
    badThickness: (name: string) => `Die Dicke auf ${name} muss zwischen 0 und 200 mm liegen.`,
    waterOf: (pct: string, spread: string) => `${pct} Wasser, ± ${spread} zwischen Lieferungen`,
    waterLearned: (pct: string, spread: string, batches: number, table: string) =>
      `${pct} Wasser, ± ${spread}, aus ${batches} Ihrer Chargen (die Tabelle: ${table})`,
  },
};
