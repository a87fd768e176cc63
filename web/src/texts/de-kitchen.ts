/** German, for what belongs to the kitchen and what a batch gave: loaded when it is first opened. */
import type { KitchenTexts } from "../kitchen-texts.ts";

const plural = (count: number, one: string, many: string): string => (count === 1 ? one : many);

export const deKitchen: KitchenTexts = {
  dryers: {
    title: "Trockner",
    explain:
      "Was ein Trockner fasst, wird mit dem Wasser einer Ladung verglichen; seine Leistung ergibt die Kosten.",
    none: "Noch kein Trockner: er kommt mit der ersten Charge.",
    holds: (unit: string) => `Wasser, das er in einer Charge aufnehmen kann, ${unit}`,
    holdsHint: "was er in einem Zug gut getrocknet hat; leer für keine Warnung",
    tray: (unit: string) => `Frisches, das ein Blech tragen kann, ${unit}`,
    watts: "Mittlere Leistung, W",
    wattsHint: "einer ganzen Charge, wie ein Messgerät an der Steckdose sie zeigt",
    price: "Preis einer Kilowattstunde",
    currency: "Währung",
    keep: "Speichern",
    kept: "Gespeichert.",
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
    mass: (unit: string) => `Masse, ${unit}`,
    another: "Noch eine Zutat",
    cooked: (unit: string) => `Fertiges Gericht, ${unit}`,
    cookedHint: "wenn Wasser verkocht oder aufgenommen wurde; sonst leer",
    reckon: "Was ergäbe das?",
    would: (water: string, spread: string, solids: string) =>
      `${water} Wasser, ± ${spread}; insgesamt ${solids} Trockenmasse.`,
    unknown: (names: string) =>
      `Über ${names} ist nichts bekannt: gerechnet wie irgendein Lebensmittel.`,
    keep: "Speichern",
    kept: (name: string) => `Gespeichert: ${name}`,
    needsName: "Einen Namen geben.",
    needsWater: "Das Wasser muss zwischen 0 und 100 % liegen.",
    needsMass: "Jede Zutat braucht einen Namen und eine Masse über 0.",
  },
  checks: {
    title: "Prüfgewichte",
    explain:
      "Ein Gewicht bekannter Masse zeigt, ob die Waage stimmt. Außerhalb der Toleranz wird jede Wägung seit der letzten guten Prüfung markiert.",
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
    keep: "Dieses Gewicht speichern",
    kept: "Gespeichert.",
    bad: "Einfache Zahlen über 0 eingeben.",
    line: (name: string, mass: string, error: string, days: string) =>
      `${name}: ${mass} ± ${error}, alle ${days} Tage`,
    check: "Waage prüfen",
    checkWith: (name: string) => `Waage mit ${name} prüfen`,
    retire: "Entfernen",
    retireWhich: (name: string) => `${name} entfernen`,
    placement: (scale: string, mass: string, repeats: number) =>
      `${scale}: Auflegen ± ${mass} (Wiederholungen: ${repeats})`,
    history: "Bisherige Prüfungen",
    done: (at: string, shown: string, nominal: string, off: string) =>
      `${at}: ${shown} bei ${nominal}, Abweichung ${off}`,
    good: "gut",
    bad2: "außerhalb der Toleranz",
  },
  two: {
    title: "Zwei Waagen",
    explain:
      "Eine Last nacheinander auf beiden zeigt ihren Unterschied: am besten so schwer wie Bleche und Beutel, und mehrmals. Er zählt, wo beide ein Blech oder einen Beutel wogen.",
    offset: (more: string, by: string, less: string, at: string, u: string) =>
      `${more} zeigt ${by} mehr als ${less} bei ${at} (± ${u})`,
    from: (count: number, at: string) =>
      `aus ${count} ${count === 1 ? "Vergleich" : "Vergleichen"}, zuletzt ${at}.`,
    spread: (mass: string) => `Streuung ${mass}.`,
    compare: (one: string, other: string) => `${one} und ${other} vergleichen`,
    putFirst: (one: string, other: string) =>
      `Eine Last auf ${one} oder ${other} legen, warten, bis sie ruht, und wegnehmen.`,
    putSecond: (first: string, mass: string, second: string) =>
      `${first} zeigt ${mass}. Jetzt dieselbe Last auf ${second} legen.`,
    why: {
      "zero-not-seen": "Die letzte Last zählt nicht: zuerst die Waage leeren, bis sie null zeigt.",
      "too-light": "Die letzte Last zählt nicht: sie ist leichter als 50 Teilschritte.",
      "too-late": "Zwischen beiden lagen mehr als 15 Minuten: diese Last zählt als die erste.",
      "still-on-first": "Auf der ersten Waage liegt noch eine Last.",
      "not-one-load": "Die letzte Last zählt nicht: die Anzeigen liegen zu weit auseinander.",
    },
    stop: "Nicht mehr vergleichen",
    history: "Bisherige Vergleiche",
    line: (at: string, one: string, shown: string, other: string, otherShown: string) =>
      `${at}: ${one} ${shown}, ${other} ${otherShown}`,
    takeBack: "Zurücknehmen",
    takeBackWhich: (at: string) => `Den Vergleich von ${at} zurücknehmen`,
  },
  asking: {
    question:
      "Diese Waage sagt von selbst nichts. Darf Stillweight sie fragen? Ein gesendeter Buchstabe kann manche Waagen drucken oder tarieren lassen.",
    request: "Was zu senden ist (laut Anleitung)",
    every: "Sekunden dazwischen",
    yes: "Ja, fragen",
    no: "Nein",
    asked: (request: string, seconds: string) =>
      `Sie wird mit ${request} gefragt, alle ${seconds} s.`,
    notAsked: "Diese Waage wird nicht gefragt.",
    stop: "Nicht mehr fragen",
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
    moistureNote:
      "Wasser darin: gerechnet aus dem, was Frisches dieser Art enthält, und das schwankt. Das Urteil beruht auf den Wägungen.",
    costNote:
      "Energie: mittlere Leistung des Trockners mal Trockenstunden, verteilt nach dem entzogenen Wasser.",
    noCost: "Für Energie und Kosten Leistung und Preis des Trockners unter Einrichten angeben.",
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
  setup: {
    title: "Einrichten",
    scales: "Waagen",
    noScales: "Keine Waage ist eingerichtet.",
    listPorts: "Vorhandene Anschlüsse auflisten",
    portsWhy:
      "Das Öffnen eines Anschlusses kann das Gerät dahinter zurücksetzen. Nur der gewählte wird geöffnet.",
    noPorts: "Kein Anschluss gefunden. Waage anstecken und noch einmal auflisten.",
    open: "Öffnen",
    opened: "Geöffnet. Sie steht in der Liste der Waagen.",
    openWhich: (name: string) => `${name} öffnen`,
    address: "Oder die Adresse der Waage eingeben",
    addressHint: "zum Beispiel tcp://192.168.1.20:4001 oder /dev/ttyUSB0",
    addressOpen: "Diese Adresse öffnen",
    here: {
      title: "Eine Waage an diesem Gerät",
      explain:
        "Diese Seite liest die Waage. Sie muss offen und vorn bleiben: geschlossen gilt die Waage als abgezogen.",
      insecure:
        "Nur Chromium und Verwandte lassen eine Seite eine Waage lesen, und nur auf dem Rechner des Programms oder über https (--cert, --key).",
      noBrowser:
        "Diesem Browser fehlt Web Serial. Chromium und Verwandte auf einem Rechner haben es.",
      name: "Name dieser Waage",
      nameHint: "kleine Buchstaben, Ziffern und Bindestriche",
      speed: "Geschwindigkeit der Leitung (Baud)",
      speedHint: "wie im Handbuch der Waage; üblich: 9600",
      begin: "Waage wählen und hier lesen",
      reading: "Die Waage wird hier gelesen.",
      lost: "Die Waage antwortet hier nicht. Einstecken; es wird immer wieder versucht.",
      stop: "Loslassen",
    },
    remove: "Entfernen",
    removeWhich: (uri: string) => `${uri} entfernen`,
    reads: (form: string, unit: string) => `Form der Zeilen: ${form}, ${unit}`,
    reading: "Einheit und Grenzen",
    unit: "Massen zeigen in",
    limit: "Restwasser, das noch als trocken gilt, % der Trockenmasse",
    limitHint: "über dem, was ein arbeitender Trockner im Lebensmittel lässt; üblich: 1",
    tooLong: "Melden, wenn Bleche länger draußen sind als (Minuten)",
    lessons: {
      title: "Was Ihre Chargen gelehrt haben",
      learn:
        "Als trocken erwiesene Chargen für die nächste Partie desselben Lebensmittels zählen lassen",
      explain:
        "Eine Charge zählt, wenn jedes Blech mit stabilem Gewicht und trockenem dickstem Stück endete und keine Zahl einer anderen widerspricht. Übung zählt nie.",
      none: "Noch keine Charge hat etwas gelehrt.",
      line: (food: string, water: string, batch: string) =>
        `${food}: ${water} Wasser, aus Charge ${batch}`,
      leftOut: (why: string) => `zählt nicht: ${why}`,
      why: "Warum",
      leaveOut: "Nicht zählen lassen",
      countAgain: "Wieder zählen lassen",
      again: "zählt wieder",
    },
    sound: "Ton",
    soundOn: "Ton auf allen Seiten",
    soundTest: "Jeden Ton anhören",
    soundNames: { taken: "Erfasst", question: "Frage", alert: "Meldung" },
    soundBlocked: "Dieses Gerät spielt vor der ersten Berührung nichts.",
    keep: "Speichern",
    kept: "Gespeichert.",
    alerts: "Meldungen, die Sie anderswo erreichen",
    webhook: "Webhook-Adresse",
    webhookHint: "eine http-Adresse, an die jede Meldung geht; leer für keine",
    tryIt: "Ausprobieren",
    tried: "Gesendet. Am anderen Ende nachsehen.",
    language: "Sprache dieses Geräts",
    languageAuto: "wie der Browser es wünscht",
    mqtt: "Adresse des MQTT-Brokers",
    mqttHint: "zum Beispiel mqtt://192.168.1.20; leer für keinen",
    mqttPrefix: "Topic-Präfix",
    mqttPrefixHint: "Meldungen gehen an dieses Präfix und /alert",
    mqttUser: "Benutzer",
    mqttPassword: "Passwort",
    mqttPasswordKept: "eines ist da und wird nie gezeigt; leer lassen, um es zu behalten",
    mqttPasswordNone: "leer lassen für keines",
    mqttForget: "Passwort löschen",
    mqttWhat:
      "Home Assistant findet Gewicht und Urteil dort von selbst, wo MQTT-Discovery eingeschaltet ist.",
    channels: { webhook: "Webhook", mqtt: "MQTT" },
    channelSaid: (channel: string, said: string) => `${channel}: ${said}`,
    lastSent: (time: string, late: string | false) =>
      `Zuletzt gesendet ${time}${late === false ? "" : `, ${late} verspätet`}.`,
    failed: (why: string, waits: boolean) =>
      `Der letzte Versuch misslang: ${why}${waits ? ". Die Meldung wartet und wird wieder versucht." : ""}`,
    notify: "Benachrichtigungen auf diesem Gerät",
    notifyAllow: "Benachrichtigungen erlauben",
    notifyOn: "Erlaubt: Meldungen erscheinen auch, wenn diese Seite im Hintergrund ist.",
    notifyTry: "Jetzt eine zeigen",
    notifyTried:
      "Gezeigt. Wenn nichts zu sehen war: Benachrichtigungen des Systems und „Nicht stören“ prüfen.",
    notifyFailed:
      "Dieser Browser zeigt keine aus einer offenen Seite. Webhook oder MQTT nehmen und den Ton anlassen.",
    install: "Auf dem Startbildschirm",
    installHow: "Im Menü des Browsers (iPhone: Teilen): „Installieren“ oder „Zum Startbildschirm“.",
    installInsecure: "Nur über https oder auf demselben Rechner. Sonst hilft ein Lesezeichen.",
    awake: "Bildschirm bleibt beim Wiegen an",
    awakeOn: "Ja, solange diese Seite vorn ist.",
    awakeInsecure:
      "Nur über https oder auf demselben Rechner. Am Gerät die Bildschirmzeit hochsetzen.",
    awakeNone: "Dieser Browser kann es nicht. Am Gerät die Bildschirmzeit hochsetzen.",
    awakeRefused:
      "Das Gerät hat abgelehnt, vielleicht wegen des Akkus. Anstecken oder die Bildschirmzeit hochsetzen.",
    notifyDenied: "In den Einstellungen des Browsers für diese Seite blockiert: dort erlauben.",
    notifyInsecure: "Nur über https oder auf demselben Rechner. Webhook oder MQTT nehmen.",
    notifyNone: "Dieser Browser hat keine.",
    devices: "Zugelassene Geräte",
    devicesAlone:
      "Nur dieser Rechner kann diese Seite öffnen. Für andere Geräte das Programm mit --host 0.0.0.0 starten; es nennt dann einen Code.",
    devicesNone: "Noch ist kein Gerät gekoppelt.",
    deviceYou: "dieses Gerät",
    deviceAccess: { full: "voller Zugriff", "read-only": "darf nur zusehen" },
    devicePaired: (time: string) => `gekoppelt ${time}`,
    deviceSeen: (time: string) => `zuletzt gesehen ${time}`,
    deviceRevoke: "Aussperren",
    deviceRevokeWhich: (name: string) => `${name} aussperren`,
    deviceCode: "Ein Code für ein weiteres Gerät",
    deviceCodeLook: "Ein Code für ein Gerät, das nur zusehen darf",
    deviceCodeSays: (code: string, time: string) =>
      `Code ${code}: auf dem anderen Gerät eintippen, einmal, bis ${time}.`,
    data: "Daten",
    folder: (path: string) => `Alles liegt in ${path}.`,
    backup:
      "Kopieren, auch bei laufendem Programm: stillweight backup DATEI. Auf einer anderen Festplatte aufbewahren.",
    backupNone: "Von selbst macht das Programm hier keine Kopien.",
    backupEvery: (folder: string, hours: string) =>
      `Alle ${hours} h kopiert das Programm sie nach ${folder} und prüft die Kopie. Auf derselben Platte geht sie mit ihr verloren.`,
    backupNever: "Noch gibt es keine Kopie: Die erste kommt mit den ersten Wägungen.",
    backupAt: (time: string) => `Neueste Kopie: ${time}.`,
    backupFailed: "Die letzte Kopie ist misslungen.",
    badNumber: (what: string) => `${what}: eine einfache Zahl eingeben.`,
  },
  plan: {
    dryerHint: "sein Name, zum Beispiel: Küche",
    targetHintPart: "wird dann von selbst erfasst",
    anotherFood: "Noch etwas auf diesem Blech",
    removeFood: (place: number, name: string) => `Lebensmittel ${place} von ${name} entfernen`,
    removeShort: "Entfernen",
    copy: "Bleche der letzten Charge übernehmen",
    dryAgain: (code: string, food: string) => `Beutel ${code} noch einmal trocknen: ${food}`,
    badTare: (name: string) =>
      `Die Leermasse von ${name} muss eine Zahl über 0 sein, zum Beispiel 412,5.`,
    badWater: (name: string) => `Das Wasser von ${name} muss zwischen 0 und 100 % liegen.`,
    name: "Name der Charge",
    number: "Nummer der Charge",
    trays: "Bleche",
    mayStayEmpty: "darf leer bleiben",
    numberHint: (next: number) => `${next}, wenn leer; einmal an das eigene Heft anschließen`,
    badNumber: "Die Nummer der Charge muss eine ganze Zahl über 0 sein.",
    badTarget: (name: string) =>
      `Das Ziel eines Lebensmittels auf ${name} muss eine Zahl über 0 sein, zum Beispiel 500.`,
    startHint: "Danach: jedes Blech auf die Waage stellen.",
    noTrays: "Mindestens ein Blech hinzufügen.",
    noDryer: "Angeben, welcher Trockner.",
    sameName: (name: string) => `Zwei Bleche heißen ${name}. Jedem einen eigenen Namen geben.`,
  },
  record: {
    title: "Archiv",
    none: "Noch keine Charge ist begonnen.",
    open: "nicht beendet",
    bag: (code: string) => `Beutel ${code} ansehen`,
    search: "Charge finden",
    searchHint:
      "ein Lebensmittel, ein Name, eine Nummer, ein Datum wie 2026-03 oder das Etikett eines Beutels",
    noneFound: "Keine Charge passt dazu.",
    back: "Alle Chargen",
    to: (fresh: string, net: string) => `${fresh} frisch, zuletzt ${net}`,
    bringIn: {
      title: "Ein von Hand geführtes Protokoll übernehmen",
      explain:
        "CSV mit den Spalten hours und grams, soweit vorhanden auch tray, batch, fresh_g, tare_g, resolution_g, food, water_pct, thickness_mm, minutes_out, unit, at. Erst wird sie angesehen, dann ganz übernommen oder gar nicht.",
      file: "Datei",
      startedAt: "Beginn der Trocknung",
      startedAtHint: "für Zeilen ohne Uhrzeit (at)",
      look: "Ansehen",
      missing: "Wählen Sie eine Datei und nennen Sie den Trockner.",
      tooLong: "Die Datei hat mehr als eine Million Zeichen: Übernehmen Sie sie in Teilen.",
      problems: (count: number) =>
        `${count} ${plural(count, "Zeile ist", "Zeilen sind")} erst zu berichtigen; nichts wurde übernommen`,
      line: (line: number) => `Zeile ${line}:`,
      weighings: (count: number) => `${count} ${plural(count, "Wägung", "Wägungen")} trocken`,
      keep: (batches: number) => `${batches} ${plural(batches, "Charge", "Chargen")} übernehmen`,
      kept: (batches: number) =>
        `${batches} ${plural(batches, "Charge wurde", "Chargen wurden")} übernommen.`,
    },
  },
};
