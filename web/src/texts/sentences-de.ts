/**
 * Was der Dienst auf Englisch sagt, in deutschen Sätzen. Links steht der Satz, wie ihn der Dienst schreibt; {a} ist, was
 * er einsetzt, {g} eine Masse in Gramm, die in der Einheit der Lesenden erscheint. Ein Test hält die Liste gegen den
 * Quelltext des Dienstes.
 */
export const sentencesDe: readonly (readonly [english: string, german: string])[] = [
  // Absagen: was, und was zu tun ist.
  ["The batch has ended", "Die Charge ist beendet"],
  [
    "Put its weighings right in the record; start a new batch for more drying",
    "Ihre Wägungen im Archiv berichtigen; zum Weitertrocknen eine neue Charge beginnen",
  ],
  ["There is no such batch", "Diese Charge gibt es nicht"],
  ["GET {a} lists {b}", "GET {a} zählt sie auf"],
  ["The batch is not at that point", "Die Charge ist nicht so weit"],
  [
    "Look at the batch's drying clock and at what it waits for",
    "Ihre Trocknungsuhr ansehen, und worauf sie wartet",
  ],
  [
    "That was done already, before the program was stopped",
    "Das war schon getan, bevor das Programm anhielt",
  ],
  ["Look at it as it is now", "Ansehen, wie es jetzt ist"],
  ["There is no such bag", "Diesen Beutel gibt es nicht"],
  [
    "GET /api/bags?state=all lists every bag; a label reads like 12-3",
    "Die Nummer steht auf dem Etikett",
  ],
  ["The tray does not have so much left to pack", "So viel ist auf dem Blech nicht mehr zu packen"],
  ["Ask for less, or cancel a planned bag", "Weniger nehmen oder einen geplanten Beutel weglassen"],
  ["The food does not go into that package", "Das Lebensmittel passt nicht in diese Packung"],
  ["Choose a larger package or more bags", "Eine größere Packung oder mehr Beutel wählen"],
  ["The bag is not at that point", "Der Beutel ist nicht so weit"],
  [
    "Look at the bag's state and at the weighings that it has",
    "Seinen Zustand und seine Wägungen ansehen",
  ],
  [
    "There is no such moment in the drying clock",
    "Diesen Zeitpunkt gibt es in der Trocknungsuhr nicht",
  ],
  ["The batch's history lists the moments of its drying clock", "Der Verlauf der Charge nennt sie"],
  ["The drying clock cannot run backwards", "Die Trocknungsuhr kann nicht rückwärts laufen"],
  [
    "Give a time between the moment before and the moment after it",
    "Eine Zeit zwischen davor und danach angeben",
  ],
  ["There is no such alert", "Diese Meldung gibt es nicht"],
  ["There is no such device", "Dieses Gerät gibt es nicht"],
  ["Somebody changed that in the meantime", "Das hat inzwischen jemand geändert"],
  [
    "The list of errors says what; look at it as it is now, then change it again",
    "Ansehen, wie es jetzt ist, und dann noch einmal ändern",
  ],
  ["There is no such gap in the record", "Diese Lücke gibt es in der Aufzeichnung nicht"],
  ["The request does not have the right form", "Die Angaben haben nicht die richtige Form"],
  [
    "The list of errors says which part and why; GET /api/openapi.json has the forms",
    "Die genannte Angabe ändern und noch einmal versuchen",
  ],
  ["That scale address cannot be used", "Diese Adresse ist nicht zu gebrauchen"],
  [
    "Use serial:///dev/…, tcp://host:port or a path such as /dev/ttyUSB0",
    "serial:///dev/…, tcp://rechner:port oder einen Pfad wie /dev/ttyUSB0 angeben",
  ],
  ["That load is no longer on the scale", "Diese Last liegt nicht mehr auf der Waage"],
  ["Put it on the scale again", "Noch einmal auf die Waage stellen"],
  [
    "The service cannot listen at that address",
    "Der Dienst kann unter dieser Adresse nicht horchen",
  ],
  [
    "Choose another port with --port or an address of this computer with --host, or stop the other program",
    "Mit --port oder --host etwas anderes wählen oder das andere Programm beenden",
  ],
  ["The request comes from a place that is not allowed", "Von dort ist keine Anfrage erlaubt"],
  [
    "Open the page under the address that the program printed at its start",
    "Die Adresse öffnen, die das Programm beim Start ausgab",
  ],
  ["The certificate cannot be used", "Das Zertifikat ist nicht zu gebrauchen"],
  [
    "Give --cert and --key the files of a certificate and of its key, both as PEM",
    "--cert und --key Zertifikat und Schlüssel geben, als PEM",
  ],
  ["That code lets nobody in", "Dieser Code lässt niemanden ein"],
  [
    "A code works once and for ten minutes; stillweight pair, or a paired page, makes a new one",
    "Ein Code gilt einmal und zehn Minuten; einen neuen macht stillweight pair oder eine gekoppelte Seite",
  ],
  ["This device has to be paired first", "Dieses Gerät muss erst gekoppelt werden"],
  [
    "Open the page and type the code that the program printed at its start, or that stillweight pair prints",
    "Den Code eingeben, den das Programm beim Start oder stillweight pair ausgab",
  ],
  ["This device may only look", "Dieses Gerät darf nur zusehen"],
  ["Pair it anew with a code for full access", "Es mit einem Code für vollen Zugang neu koppeln"],
  ["That works only in practice", "Das geht nur in der Übung"],
  ["Start without a scale to practise", "Zum Üben ohne Waage starten"],
  [
    "{a} cannot be asked, or its address says already what to send",
    "{a} kann nicht gefragt werden, oder die Adresse sagt schon, was zu senden ist",
  ],
  ["That scale cannot be told to do that", "Dieser Waage lässt sich das nicht sagen"],
  ["Press the key on the scale itself", "Die Taste an der Waage selbst drücken"],
  [
    "The scale is not connected: nothing was sent",
    "Die Waage ist nicht verbunden: nichts wurde gesendet",
  ],
  [
    "Look at the cable and at the scale's switch, then send it again",
    "Nach Kabel und Schalter sehen, dann noch einmal senden",
  ],
  ["There is no such scale", "Diese Waage gibt es nicht"],
  ["The store is damaged", "Der Speicher ist beschädigt"],
  [
    "Run stillweight check; bring back the newest backup with stillweight restore",
    "stillweight check laufen lassen; mit stillweight restore die neueste Kopie zurückholen",
  ],
  ["The disk has no room: nothing was kept", "Die Festplatte ist voll: nichts wurde gespeichert"],
  [
    "Make room on the disk; the program goes on by itself",
    "Dort Platz schaffen; das Programm macht von selbst weiter",
  ],
  [
    "The store was written by a newer version of the program",
    "Der Speicher ist von einer neueren Fassung",
  ],
  [
    "Install that version or a later one; nothing was changed",
    "Diese oder eine spätere installieren; nichts wurde geändert",
  ],
  ["The file is not a store of this program", "Die Datei ist kein Speicher dieses Programms"],
  [
    "Choose another file, or another folder with --data",
    "Eine andere Datei wählen oder mit --data einen anderen Ordner",
  ],
  [
    "The store cannot be written: nothing was kept",
    "In den Speicher kann nicht geschrieben werden: nichts wurde gespeichert",
  ],
  [
    "Look at the disk and at the rights of the data folder; the program goes on by itself",
    "Nach der Festplatte und den Rechten am Datenordner sehen; das Programm macht von selbst weiter",
  ],
  [
    "Another program has this data folder open",
    "Ein anderes Programm hat diesen Datenordner offen",
  ],
  [
    "Stop the other one, or choose another folder with --data",
    "Das andere beenden oder mit --data einen anderen Ordner wählen",
  ],
  ["Practice and real records never share a folder", "Übung und Ernst teilen nie einen Ordner"],
  ["Choose another folder with --data", "Mit --data einen anderen Ordner wählen"],
  ["There is no such tray", "Dieses Blech gibt es nicht"],
  ["GET /api/batches/{batch} lists the trays of a batch", "Die Charge zeigt ihre Bleche"],
  [
    "A tray is not stable with its thickest piece checked",
    "Ein Blech ist nicht stabil mit geprüftem dickstem Stück",
  ],
  [
    "Dry it on or break its thickest piece; or give a reason, which stays on the record (although)",
    "Weiter trocknen oder das dickste Stück brechen; oder einen Grund angeben, der bleibt",
  ],
  ["The empty tray's mass is not known", "Die Masse des leeren Blechs ist nicht bekannt"],
  ["Weigh the empty tray, or type its mass", "Das leere Blech wiegen oder seine Masse eingeben"],
  ["Somebody changed that weighing in the meantime", "Diese Wägung hat inzwischen jemand geändert"],
  ["Look at it again, then correct it", "Noch einmal ansehen, dann berichtigen"],
  ["That mass cannot be", "Diese Masse kann nicht sein"],
  ["Look at the scale, the tray and the unit", "Nach Waage, Blech und Einheit sehen"],
  ["There is no such food of your own", "Dieses eigene Lebensmittel gibt es nicht"],
  [
    "GET /api/kitchen lists your foods with their numbers",
    "Unter Einrichten stehen Ihre Lebensmittel",
  ],
  ["There is no such check weight", "Dieses Prüfgewicht gibt es nicht"],
  [
    "GET /api/kitchen lists the check weights with their numbers",
    "Unter Einrichten stehen die Prüfgewichte",
  ],
  ["That is no picture that can be kept", "Das ist kein Bild, das sich aufheben lässt"],
  [
    "Send a JPEG, PNG or WebP file of at most 1 MiB, as the body itself",
    "JPEG, PNG oder WebP von höchstens 1 MiB nehmen",
  ],
  ["There is no such photograph", "Dieses Foto gibt es nicht"],
  ["The list of the batch's photographs has their numbers", "Die Fotos der Charge stehen bei ihr"],
  ["The batch has as many photographs as it may have", "Mehr Fotos darf die Charge nicht haben"],
  ["Take one away first", "Zuerst eines wegnehmen"],
  ["There is no such lesson", "Diese Erfahrung gibt es nicht"],
  ["The list of lessons has their numbers", "Die Erfahrungen stehen unter Einrichten"],
  ["There is no such weighing", "Diese Wägung gibt es nicht"],
  ["The batch's history lists its weighings", "Der Verlauf der Charge nennt sie"],
  ["There is no such command or option", "Diesen Befehl oder diese Option gibt es nicht"],
  [
    "stillweight --help lists the commands and their options",
    "stillweight --help nennt die Befehle und ihre Optionen",
  ],
  // Einzelfälle der Absagen.
  ["no open batch has the number {a}", "keine offene Charge hat die Nummer {a}"],
  ["batch {a} has ended", "Charge {a} ist beendet"],
  ["tray {a} is of a batch that has ended", "Blech {a} gehört zu einer beendeten Charge"],
  ["weighing {a} stays in batch {b}", "Wägung {a} bleibt in Charge {b}"],
  ["weighing {a} is of another batch", "Wägung {a} gehört zu einer anderen Charge"],
  ["two trays of the batch are called {a}", "zwei Bleche der Charge heißen {a}"],
  ["give the trays different names", "den Blechen verschiedene Namen geben"],
  [
    "batch numbers rise: {a} was passed already, the next is {b}",
    "Chargennummern steigen: {a} ist schon vorbei, die nächste ist {b}",
  ],
  ["give {a} or more, or leave it out", "{a} oder mehr angeben, oder weglassen"],
  ["batch {a} has no tray with the number {b}", "Charge {a} hat kein Blech mit der Nummer {b}"],
  [
    "portion {a} of {b} was weighed already: strike its weighing out first",
    "Teil {a} von {b} wurde schon gewogen: zuerst seine Wägung streichen",
  ],
  [
    "that moment is still to come: give a time before now",
    "dieser Zeitpunkt kommt erst: eine Zeit vor jetzt angeben",
  ],
  [
    "no tray has gone into the dryer yet, so none can come out",
    "noch kein Blech war im Trockner, also kann keines herauskommen",
  ],
  ["at that time the trays are in already", "zu dieser Zeit sind die Bleche schon drin"],
  ["at that time the trays are out already", "zu dieser Zeit sind die Bleche schon draußen"],
  [
    "the batch has no tray yet: add one and weigh it",
    "die Charge hat noch kein Blech: eines hinzufügen und wiegen",
  ],
  ["not weighed before drying: {a}", "vor dem Trocknen nicht gewogen: {a}"],
  [
    "batch {a} has no moment {b} that still counts",
    "Charge {a} hat keinen Zeitpunkt {b}, der noch zählt",
  ],
  ["{a} is not between {b} and now", "{a} liegt nicht zwischen {b} und jetzt"],
  ["{a} is not between {b} and {c}", "{a} liegt nicht zwischen {b} und {c}"],
  [
    "an interruption begins before it ends, and not after now",
    "eine Unterbrechung beginnt, bevor sie endet, und nicht nach jetzt",
  ],
  [
    "batch {a} has no interruption with the number {b}",
    "Charge {a} hat keine Unterbrechung mit der Nummer {b}",
  ],
  ["no gap has the number {a}", "keine Lücke hat die Nummer {a}"],
  ["the tray has not been in the dryer yet", "das Blech war noch nicht im Trockner"],
  ["{a} is still to come: give a time before now", "{a} kommt erst: eine Zeit vor jetzt angeben"],
  [
    "{g} is not more than {a} weighed before ({h})",
    "{g} sind nicht mehr, als {a} vorher wog ({h})",
  ],
  ["{g} is not more than {a} weighed before", "{g} sind nicht mehr, als {a} vorher wog"],
  ["weigh the empty {a} first, or type its mass", "zuerst {a} leer wiegen oder die Masse eingeben"],
  ["{g} is not more than the empty bag ({h})", "{g} sind nicht mehr als der leere Beutel ({h})"],
  ["{g} is not more than the empty {a} ({h})", "{g} sind nicht mehr als {a} leer ({h})"],
  [
    "{a} held {g} fresh by its weighings: put its fresh or its empty mass right first",
    "{a} trug nach seinen Wägungen frisch {g}: zuerst die frische oder die leere Masse berichtigen",
  ],
  ["{a} has not been in the dryer yet", "{a} war noch nicht im Trockner"],
  [
    "only weighings of the same kind, of two different trays, can be swapped",
    "nur Wägungen gleicher Art zweier Bleche lassen sich tauschen",
  ],
  ["no weighing has the number {a}", "keine Wägung hat die Nummer {a}"],
  ["weighing {a} was struck out ({why}) since", "Wägung {a} wurde inzwischen gestrichen ({why})"],
  [
    "weighing {a} was replaced by {g}, {b}, on tray {c} ({why}) since",
    "Wägung {a} wurde inzwischen durch {g} auf Blech {c} ersetzt ({why})",
  ],
  ["weighing {a} was {why} since", "Wägung {a} wurde inzwischen geändert: {why}"],
  ["no reason", "ohne Grund"],
  ["no open alert has the number {a}", "keine offene Meldung hat die Nummer {a}"],
  [
    "nothing lies at rest on scale {a} that was not taken yet",
    "auf der Waage liegt nichts in Ruhe, das noch nicht erfasst wurde",
  ],
  ["a tray is named twice", "ein Blech ist zweimal genannt"],
  ["name each tray, or each of its foods, once", "jedes Blech oder Lebensmittel einmal nennen"],
  [
    "{a} was not weighed before and after drying",
    "{a} wurde nicht vor und nach dem Trocknen gewogen",
  ],
  [
    "{a} has {g} that are not in bags yet, {h} were asked for",
    "{a} hat noch {g}, die nicht in Beuteln sind; gewünscht waren {h}",
  ],
  [
    "its thickest piece was not broken since it was last weighed",
    "sein dickstes Stück wurde seit der letzten Wägung nicht gebrochen",
  ],
  ["its thickest piece was cold inside", "sein dickstes Stück war innen kalt"],
  ["its thickest piece was soft inside", "sein dickstes Stück war innen weich"],
  ["Found later on {a}: {why}", "Später auf {a} gefunden: {why}"],
  [
    "Its fresh weight was put right: {g}, labels before say {h}",
    "Seine frische Masse wurde berichtigt: {g}, frühere Etiketten nennen {h}",
  ],
  ["it is still losing weight", "es verliert noch Gewicht"],
  ["it has taken up moisture", "es hat Feuchte aufgenommen"],
  [
    "its weight stands above what this food can weigh when dry",
    "sein Gewicht steht höher, als dieses Lebensmittel trocken wiegt",
  ],
  [
    "its weighings do not tell yet whether it is dry",
    "seine Wägungen sagen noch nicht, ob es trocken ist",
  ],
  ["not weighed since drying began", "seit Beginn nicht gewogen"],
  ["one weighing proves nothing", "eine Wägung belegt nichts"],
  ["the last weighings leave it open", "die letzten Wägungen lassen es offen"],
  ["losses under {g} do not show on this scale", "Verluste unter {g} zeigt diese Waage nicht"],
  ["it was not judged", "es wurde nicht beurteilt"],
  ["{g} of dry food do not go into {a} mL", "{g} trockenes Lebensmittel passen nicht in {a} mL"],
  ["no bag in store has the number {a}", "kein Beutel im Vorrat hat die Nummer {a}"],
  ["no bag has the number {a}", "kein Beutel hat die Nummer {a}"],
  ["bag {a} is {b}: it cannot become {c}", "Beutel {a} kann das nicht mehr werden"],
  [
    "bag {a} is {b}: its food cannot be dried again",
    "der Inhalt von Beutel {a} lässt sich nicht noch einmal trocknen",
  ],
  ["bag {a} is {b}: {why}", "Beutel {a}: {why}"],
  ["nothing of it is weighed any more", "von ihm wird nichts mehr gewogen"],
  ["the empty bag is weighed before it is filled", "der leere Beutel wird vor dem Füllen gewogen"],
  ["it was filled already", "er ist schon gefüllt"],
  ["the empty bag is weighed first", "zuerst wird der leere Beutel gewogen"],
  [
    "it is sealed after it was filled or opened",
    "verschlossen wird er nach dem Füllen oder Öffnen",
  ],
  [
    "only a sealed bag is weighed on the shelf",
    "im Regal wird nur ein verschlossener Beutel gewogen",
  ],
  ["bag {a} has no weighing {b}", "Beutel {a} hat keine Wägung {b}"],
  [
    "bag {a} was weighed {b} after that: strike that out first, or give the right mass",
    "Beutel {a} wurde danach noch gewogen: das zuerst streichen oder die richtige Masse angeben",
  ],
  [
    "It was taken back: change it, lift it, or take it as it is",
    "Es wurde zurückgenommen: ändern, abnehmen oder so nehmen, wie es ist",
  ],
  [
    "the food of a bag goes onto a tray of its own: add one",
    "der Inhalt eines Beutels kommt auf ein eigenes Blech: eines hinzufügen",
  ],
  [
    "{a} has several foods: give its portions",
    "auf {a} liegen mehrere Lebensmittel: die Teile angeben",
  ],
  [
    "the food of one bag stands on two places of the plan",
    "der Inhalt eines Beutels steht an zwei Stellen des Plans",
  ],
  ["{a} is {b} now and was {c}", "{a} ist jetzt {b} und war {c}"],
  [
    "somebody else chose what comes onto that scale",
    "jemand anderes hat gewählt, was auf diese Waage kommt",
  ],
  ["{a} stands chosen there now", "dort ist jetzt etwas anderes gewählt"],
  ["{a} was changed by somebody else meanwhile", "das hat inzwischen jemand anderes geändert"],
  ["none of your foods has the number {a}", "keines Ihrer Lebensmittel hat die Nummer {a}"],
  ["one of your foods is called {a} already", "eines Ihrer Lebensmittel heißt schon {a}"],
  ["give it another name, or change that one", "einen anderen Namen geben oder jenes ändern"],
  ["no check weight has the number {a}", "kein Prüfgewicht hat die Nummer {a}"],
  [
    "a check weight without a class needs the tolerance of its certificate",
    "ein Prüfgewicht ohne Klasse braucht die Toleranz seines Zertifikats",
  ],
  [
    "class {a} has no weight of {g}: give the tolerance of its certificate",
    "Klasse {a} kennt kein Gewicht von {g}: die Toleranz seines Zertifikats angeben",
  ],
  ["no scale is called {a}", "keine Waage heißt {a}"],
  ["no lesson has the number {a}", "keine Erfahrung hat die Nummer {a}"],
  ["bag {a} has to be dried again", "Beutel {a} muss noch einmal getrocknet werden"],
  [
    "a weighing was put right after the batch had ended",
    "nach dem Ende der Charge wurde eine Wägung berichtigt",
  ],
  ["bag {a} gained moisture", "Beutel {a} hat Feuchte gezogen"],
  [
    "no open batch has a tray with the number {a}",
    "keine offene Charge hat ein Blech mit der Nummer {a}",
  ],
  ["no tray is being loaded on that scale", "auf dieser Waage wird kein Blech gefüllt"],
  [
    "load {a} is no longer on scale {b}, or was taken",
    "diese Last liegt nicht mehr auf der Waage oder wurde schon erfasst",
  ],
  ["{a} has no portion {b}", "{a} hat keinen Teil {b}"],
  ["no photograph has the number {a}", "kein Foto hat die Nummer {a}"],
  ["batch {a} has {b} photographs", "Charge {a} hat {b} Fotos"],
  ["batch {a} has no bag with the number {b}", "Charge {a} hat keinen Beutel mit der Nummer {b}"],
  ["no scale waits for bag {a}", "keine Waage wartet auf Beutel {a}"],
  [
    "the food of bag {a} is on a tray already",
    "der Inhalt von Beutel {a} liegt schon auf einem Blech",
  ],
  ["{a} is not a form of line", "{a} ist keine Form von Zeilen"],
  ["{a} is not a unit: g, kg, oz, lb or lb:oz", "{a} ist keine Einheit: g, kg, oz, lb oder lb:oz"],
  [
    "the practice scale comes by itself where there is no other",
    "die Übungswaage kommt von selbst, wo keine andere ist",
  ],
  [
    "the finished dish weighs no more than what its ingredients hold without any water",
    "das fertige Gericht wiegt nicht mehr als seine Zutaten ganz ohne Wasser",
  ],
  ["weigh it again, or leave it out", "noch einmal wiegen oder weglassen"],
  [
    "a food of your own needs its water, or its recipe",
    "ein eigenes Lebensmittel braucht seinen Wassergehalt oder sein Rezept",
  ],
  [
    "there is no practice scale: a real one is in use",
    "es gibt keine Übungswaage: eine echte ist in Gebrauch",
  ],
  ["no batch has the number {a}", "keine Charge hat die Nummer {a}"],
  ['"{a}" is not the label of a bag kept here', "„{a}“ ist kein Etikett eines Beutels von hier"],
  [
    "a division of {g} is finer than the {h} that can be kept",
    "ein Teilungswert von {g} ist feiner als die {h}, die sich speichern lassen",
  ],
  ["{a} devices are paired already", "{a} Geräte sind schon gekoppelt"],
  ["no paired device has the number {a}", "kein gekoppeltes Gerät hat die Nummer {a}"],
  ["that code is wrong, used up or too old", "dieser Code ist falsch, verbraucht oder zu alt"],
  [
    "this device is not paired, or its pairing was taken back",
    "dieses Gerät ist nicht oder nicht mehr gekoppelt",
  ],
  ['"{a}" may look and change nothing', "„{a}“ darf zusehen und nichts ändern"],
  [
    "the body is not a whole JPEG, PNG or WebP file",
    "das ist keine ganze Datei in JPEG, PNG oder WebP",
  ],
  ["the body is larger than is taken here", "das ist größer, als hier angenommen wird"],
  ["the request cannot be read", "die Anfrage ist nicht zu lesen"],
  ["the request did not arrive in time", "die Anfrage kam nicht rechtzeitig an"],
  ["the service is stopping", "der Dienst hält gerade an"],
  [
    "too many changes at once: wait as many seconds as retry-after says",
    "zu viele Änderungen auf einmal: einen Augenblick warten",
  ],
  [
    "too many codes at once: wait as many seconds as retry-after says",
    "zu viele Codes auf einmal: einen Augenblick warten",
  ],
  ["one part is not as asked for", "eine Angabe passt nicht"],
  ["{a} parts are not as asked for", "{a} Angaben passen nicht"],
  ["must be one of {a}", "muss eines davon sein: {a}"],
  ["the disk that holds {a} is full ({why})", "die Festplatte mit {a} ist voll ({why})"],
  [
    "{a} cannot be read as it was written ({b})",
    "{a} ist nicht mehr zu lesen, wie es geschrieben wurde ({b})",
  ],
  ["{a} cannot be written ({why})", "in {a} kann nicht geschrieben werden ({why})"],
  [
    "there is no folder {a}: is its disk attached?",
    "den Ordner {a} gibt es nicht: ist seine Festplatte angeschlossen?",
  ],
  [
    "{a} MB are free on the disk of {b}, a copy with room beside it takes {c} MB",
    "auf der Festplatte von {b} sind {a} MB frei, eine Kopie mit Platz daneben braucht {c} MB",
  ],
  [
    "the copies that were made in {a} are not there: is its disk attached? For another disk, make an empty file {b} in it",
    "in {a} fehlen die Kopien: ist die Festplatte angeschlossen? Auf einer anderen eine leere Datei {b} anlegen",
  ],
  [
    "{a} has not answered for {b} minutes: is its disk attached?",
    "{a} antwortet seit {b} Minuten nicht: ist die Festplatte angeschlossen?",
  ],
  [
    "{a} is not as it was written: remove it; the copies made so far then stay for good",
    "{a} ist nicht, wie es geschrieben wurde: die Datei löschen; bisherige Kopien bleiben dann",
  ],
  ["the thread that copies ended", "das Kopieren brach ab"],
  [
    "The computer's clock is {a} ahead of the program's",
    "Die Uhr des Rechners geht der des Programms um {a} vor",
  ],
  [
    "The computer's clock is {a} behind the program's",
    "Die Uhr des Rechners geht der des Programms um {a} nach",
  ],
  [
    "Drying hours go by the program's; times of day may be wrong",
    "Trockenstunden zählt die des Programms; Uhrzeiten können falsch sein",
  ],
  [
    "See that the computer's is right: with no batch open the program goes by it, once it has passed all that is kept",
    "Die des Rechners stellen: ohne offene Charge gilt sie, sobald sie nach allem Gespeicherten liegt",
  ],
  // Einlesen eines Protokolls.
  ["{a} rows: bring in at most {b} at once", "{a} Zeilen: höchstens {b} auf einmal einlesen"],
  ['the name "{a}" is longer than {b} letters', "der Name „{a}“ ist länger als {b} Zeichen"],
  ["{a} trays in one batch: at most {b}", "{a} Bleche in einer Charge: höchstens {b}"],
  [
    "{a} has no fresh mass: give fresh_g, or a row at 0 hours",
    "{a} hat keine Masse vor dem Trocknen: fresh_g angeben oder eine Zeile bei 0 Stunden",
  ],
  [
    "{a} has two fresh masses, {g} and {h}: leave the right one",
    "{a} hat zwei Massen vor dem Trocknen, {g} und {h}: die richtige stehen lassen",
  ],
  [
    "line {a}: {g} at 0 hours stands for the fresh {h}",
    "Zeile {a}: {g} bei 0 Stunden stehen für die {h} vor dem Trocknen",
  ],
  [
    "{a} is missing here and given in other rows of the tray: give it in all or in none",
    "{a} fehlt hier und steht in anderen Zeilen des Blechs: in allen angeben oder in keiner",
  ],
  [
    "{a} is missing here and given in other rows of the tray: give it in every row, 0 where grams is net",
    "{a} fehlt hier und steht in anderen Zeilen des Blechs: in allen angeben, 0 wo grams netto ist",
  ],
  [
    '{a} is "{b}" here and "{c}" in line {d}: a tray holds one food in a batch',
    "{a} ist hier „{b}“ und „{c}“ in Zeile {d}: ein Blech hat in einer Charge ein Lebensmittel",
  ],
  [
    "{g}: no weighing after drying just before it was heavier, so no food was taken off",
    "{g}: keine Wägung nach dem Trocknen war gerade davor schwerer, also wurde nichts weggenommen",
  ],
  [
    "stretch is {a} here and {b} in line {c}, after fewer hours",
    "stretch ist hier {a} und {b} in Zeile {c}, nach weniger Stunden",
  ],
  [
    "stretch is {a} here and {b} in line {c}, at the same time: use two batches",
    "stretch ist hier {a} und {b} in Zeile {c}, zugleich: zwei Chargen",
  ],
  [
    "line {a}: tare_g is {g} here and {h} in line {b}; each is taken off its own row",
    "Zeile {a}: tare_g ist hier {g} und {h} in Zeile {b}; jede gilt für ihre Zeile",
  ],
  [
    "letters here are not in UTF-8: save the file again as UTF-8",
    "Hier ist etwas nicht in UTF-8: die Datei als UTF-8 speichern",
  ],
  [
    "the quotation marks do not pair up: one is missing or too many",
    "Anführungszeichen: eines fehlt oder ist zu viel",
  ],
  [
    '"{a}" stands under no column: write figures with a point, or name the column',
    "„{a}“ steht unter keiner Spalte: mit Punkt schreiben oder die Spalte benennen",
  ],
  [
    '"{a}" has another decimal mark than "{b}" in line {c}: write one in all rows, and none between thousands',
    "„{a}“ hat ein anderes Dezimalzeichen als „{b}“ in Zeile {c}: überall dasselbe, keines für Tausender",
  ],
  [
    'the column "{a}" was not read; was {b} meant?',
    "die Spalte „{a}“ wurde nicht gelesen; war {b} gemeint?",
  ],
  [
    "tray {a} had {b} h of drying at {c}, more than the time since the weighing before",
    "Blech {a} hatte um {c} schon {b} h Trocknen, mehr als die Zeit seit der Wägung davor",
  ],
  ["{a} is still to come", "{a} kommt erst"],
  [
    "the log has rows that cannot be read; nothing was kept",
    "das Protokoll hat Zeilen, die nicht zu lesen sind; nichts wurde gespeichert",
  ],
  ["line {a}: {why}", "Zeile {a}: {why}"],
  [
    "the file is empty; its first line names the columns",
    "die Datei ist leer; ihre erste Zeile nennt die Spalten",
  ],
  ["no column {a}; found {b}", "keine Spalte {a}; gefunden: {b}"],
  ["the column {a} is there twice", "die Spalte {a} steht zweimal da"],
  ["no rows below the header", "keine Zeilen unter der Kopfzeile"],
  ['{a} is "{b}", far too much: wanted {c}', "{a} ist „{b}“, viel zu viel"],
  [
    '{a} is "{b}", wanted drying hours, 0 or more',
    "{a} ist „{b}“, verlangt sind Trockenstunden, 0 oder mehr",
  ],
  ['{a} is "{b}", wanted grams, 0 or more', "{a} ist „{b}“, verlangt sind Gramm, 0 oder mehr"],
  ['{a} is "{b}", wanted {c}', "{a} ist „{b}“, verlangt ist {c}"],
  ['{a} is "{b}", {c}', "{a} ist „{b}“, das passt nicht ({c})"],
  ["{a} is empty", "{a} ist leer"],
  ["grams is {a}, no more than the tare of {g}", "grams ist {a}, nicht mehr als die Tara von {g}"],
  [
    "no resolution_g: taken as {a} from the figures",
    "kein resolution_g: nach den Zahlen als {a} angenommen",
  ],
  [
    "no resolution_g in {b}: taken as {a} from the figures",
    "kein resolution_g in {b}: nach den Zahlen als {a} angenommen",
  ],
  [
    'the food "{a}" is not in the table and has no water_pct: taken as any food; perhaps {b}',
    "das Lebensmittel „{a}“ steht nicht in der Tabelle und hat kein water_pct: als irgendein Lebensmittel genommen; vielleicht {b}",
  ],
  [
    'the food "{a}" is not in the table and has no water_pct: taken as any food',
    "das Lebensmittel „{a}“ steht nicht in der Tabelle und hat kein water_pct: als irgendein Lebensmittel genommen",
  ],
  // Anschluss der Waage.
  ["no USB scale is plugged in", "keine USB-Waage ist angesteckt"],
  [
    "plug the scale in and switch it on; it works this way on Linux only",
    "die Waage anstecken und einschalten; so geht es nur unter Linux",
  ],
  ["no permission to open {a}", "kein Recht, {a} zu öffnen"],
  [
    "what runs this program does not let it use {a}",
    "was dieses Programm ausführt, lässt es {a} nicht benutzen",
  ],
  [
    "allow the device where the service or the container is set up, and start it again",
    "das Gerät dort erlauben, wo Dienst oder Container eingerichtet sind, und neu starten",
  ],
  [
    "give this user access to the device by a udev rule for hidraw",
    "diesem Benutzer mit einer udev-Regel für hidraw Zugriff auf das Gerät geben",
  ],
  ["give this user access to the device", "diesem Benutzer Zugriff auf das Gerät geben"],
  [
    "add this user to the group that owns the device: {a}, then log out and in again",
    "diesen Benutzer in die Gruppe aufnehmen, der das Gerät gehört: {a}, dann ab- und wieder anmelden",
  ],
  ["{a} is not there", "{a} ist nicht da"],
  ["plug the scale in", "die Waage anstecken"],
  [
    "the system could not say what is plugged in ({a}); these are the device files found, and any other path can be typed in",
    "das System sagt nicht, was angesteckt ist ({a}); gefunden sind diese Gerätedateien, andere lassen sich eingeben",
  ],
  ["the capture has ended", "die Aufnahme ist zu Ende"],
  [
    "a replay takes no bytes; nothing was sent",
    "eine Aufnahme nimmt nichts an; nichts wurde gesendet",
  ],
  ["the capture cannot be played: {a}", "die Aufnahme lässt sich nicht abspielen: {a}"],
  ["the link was lost here when it was recorded", "hier riss die Verbindung bei der Aufnahme ab"],
  ["{a} is {b}; nothing was sent", "{a} ist nicht verbunden; nichts wurde gesendet"],
  [
    "no way to send {a} to a scale {b} is known",
    "wie sich das an eine solche Waage senden lässt, ist nicht bekannt",
  ],
  [
    "the line is open but nothing readable comes",
    "die Leitung ist offen, aber es kommt nichts Lesbares",
  ],
  [
    "its lines come one at a time; a load settles by four that agree, at most 10 s apart",
    "ihre Zeilen kommen einzeln; zur Ruhe kommt eine Last mit vier gleichen, höchstens 10 s auseinander",
  ],
  [
    "set the scale to send continuously, not at its key or when it is at rest, or let it be asked (ask= in its address)",
    "die Waage auf ständiges Senden stellen oder sie fragen lassen (ask= in ihrer Adresse)",
  ],
  [
    "switch the scale on, set it to send continuously, and check the speed (baud)",
    "die Waage einschalten, auf ständiges Senden stellen und die Geschwindigkeit (baud) prüfen",
  ],
  [
    "check the cable and that the scale is switched on",
    "nach dem Kabel sehen, und ob die Waage an ist",
  ],
  ["another program has {a} open", "ein anderes Programm hat {a} offen"],
  [
    "close the other program; a modem manager may hold a new serial device for half a minute",
    "das andere Programm schließen; eine Modemverwaltung kann ein neues Gerät eine halbe Minute halten",
  ],
  [
    "plug the scale in and switch it on; if it is, look for its name in the list of ports",
    "die Waage anstecken und einschalten; ist sie es, ihren Namen in der Liste der Anschlüsse suchen",
  ],
  ["{a} cannot be opened: {b}", "{a} lässt sich nicht öffnen: {b}"],
  ["the device is gone", "das Gerät ist weg"],
  ["the device was closed", "das Gerät wurde geschlossen"],
  ["the device is closed", "das Gerät ist geschlossen"],
  ["the port is open already", "der Anschluss ist schon offen"],
  [
    "the scale is not connected; nothing was sent",
    "die Waage ist nicht verbunden; nichts wurde gesendet",
  ],
  ["the scale took no bytes for 1 s", "die Waage nahm 1 s lang nichts an"],
  ["no answer within 5 s", "keine Antwort innerhalb von 5 s"],
  ["the device no longer answers", "das Gerät antwortet nicht mehr"],
  ["the connection to the scale was lost: {why}", "die Verbindung zur Waage riss ab: {why}"],
  [
    "check the converter, its power and the network",
    "nach dem Umsetzer, seinem Strom und dem Netz sehen",
  ],
  ["the other side closed the connection", "die andere Seite hat die Verbindung geschlossen"],
  ["{a} refuses connections on port {b}", "{a} lehnt Verbindungen auf Port {b} ab"],
  [
    "check the port number in the converter's settings; most serve one program at a time",
    "die Portnummer in den Einstellungen des Umsetzers prüfen; die meisten bedienen nur ein Programm zugleich",
  ],
  ["no machine is called {a}", "kein Rechner heißt {a}"],
  [
    "check the name, or use its address in numbers",
    "den Namen prüfen oder die Adresse in Zahlen nehmen",
  ],
  ["{a} port {b} does not answer ({c})", "{a} Port {b} antwortet nicht ({c})"],
  ["the connection is closed", "die Verbindung ist geschlossen"],
  ['scale "{a}": {why}', "Waage „{a}“: {why}"],
  ["the address is empty", "die Adresse ist leer"],
  [
    "neither a path nor serial:, tcp:, hid: or practice:",
    "weder ein Pfad noch serial:, tcp:, hid: oder practice:",
  ],
  ["{a}: is not known; did you mean {b}:?", "{a}: ist unbekannt; war {b}: gemeint?"],
  [
    '{a}: has no option "{b}"; the nearest is "{c}"',
    "{a}: hat keine Option „{b}“; die nächste ist „{c}“",
  ],
  ['option "{a}" is given twice', "die Option „{a}“ steht zweimal da"],
  ['option "{a}" has no value', "die Option „{a}“ hat keinen Wert"],
  ['{a}: "{b}" is not percent-encoded text', "{a}: „{b}“ ist kein Text in Prozentschreibweise"],
  ["practice: takes nothing behind the colon", "hinter practice: steht nichts"],
  [
    "a capture is played with --scale, when the program is started",
    "eine Aufnahme wird mit --scale abgespielt, beim Start des Programms",
  ],
  ["{a} is not a device of this computer", "{a} ist kein Gerät dieses Rechners"],
  ["replay: needs the path of a capture", "replay: braucht den Pfad einer Aufnahme"],
  ["speed must be 0 or more", "speed muss 0 oder mehr sein"],
  [
    "serial: needs a path, such as serial:///dev/ttyUSB0 or serial:COM3",
    "serial: braucht einen Pfad, zum Beispiel serial:///dev/ttyUSB0 oder serial:COM3",
  ],
  [
    "baud={a} is not a speed from 50 to 4000000",
    "baud={a} ist keine Geschwindigkeit von 50 bis 4000000",
  ],
  [
    "hid: takes nothing or a device, such as hid:///dev/hidraw0",
    "hinter hid: steht nichts oder ein Gerät, zum Beispiel hid:///dev/hidraw0",
  ],
  [
    "tcp: needs a host and a port from 1 to 65535, such as tcp://192.168.1.20:4001",
    "tcp: braucht einen Rechner und einen Port von 1 bis 65535, zum Beispiel tcp://192.168.1.20:4001",
  ],
  ['no form is called "{a}"', "keine Form heißt „{a}“"],
  ["no form is called {a}", "keine Form heißt {a}"],
  ["division must be more than 0 g", "division muss mehr als 0 g sein"],
  ["{a}={b} is not a number", "{a}={b} ist keine Zahl"],
  ["{a}={b} is none of {c}", "{a}={b} ist keines von {c}"],
  [
    "the line is not of the form that the scale sends",
    "die Zeile hat nicht die Form, die die Waage sendet",
  ],
  [
    "The scale sends no unit. Which unit does its display show?",
    "Die Waage sendet keine Einheit. Welche zeigt ihre Anzeige?",
  ],
  [
    'Does the comma in "{a}" mark decimals or thousands?',
    "Trennt das Komma in „{a}“ Dezimalen oder Tausender ab?",
  ],
  [
    'Where is the decimal point in "{a}"? Compare with the display.',
    "Wo steht das Komma in „{a}“? Mit der Anzeige vergleichen.",
  ],
  [
    "The lines can be read in more than one way. Which agrees with the display?",
    "Die Zeilen lassen sich auf mehrere Arten lesen. Welche stimmt mit der Anzeige überein?",
  ],
  [
    "Does the weight agree with a load that you know?",
    "Stimmt das Gewicht mit einer bekannten Last überein?",
  ],
  [
    "Does the display blank its unit while the load moves?",
    "Lässt die Anzeige die Einheit weg, solange sich die Last bewegt?",
  ],
  ["a step of 10^{a} {b}", "ein Schritt von 10^{a} {b}"],
  [
    "the eighth bit of the bytes is a parity bit: {why}",
    "das achte Bit der Bytes ist ein Paritätsbit: {why}",
  ],
  [
    "set bits=7 and the parity of the scale so that it is checked",
    "bits=7 und die Parität der Waage einstellen, damit sie geprüft wird",
  ],
  [
    "set bits=7&parity={a} so that it is checked",
    "bits=7&parity={a} einstellen, damit es geprüft wird",
  ],
  [
    "{a} % of the bytes have the eighth bit set and no form fits without it: the speed (baud) or the parity is set wrong",
    "bei {a} % der Bytes ist das achte Bit gesetzt, und ohne es passt keine Form: die Geschwindigkeit (baud) oder die Parität ist falsch",
  ],
  ["none of the lines is of the declared form {a}", "keine der Zeilen hat die angegebene Form {a}"],
  [
    "the scale has shown no weight yet, only over, under or errors: take the load off the pan",
    "die Waage hat noch kein Gewicht gezeigt, nur zu viel, zu wenig oder Fehler: die Last abnehmen",
  ],
  [
    "most of the bytes are no text: the speed (baud) is set wrong, or the scale sends binary counts",
    "die meisten Bytes sind kein Text: die Geschwindigkeit (baud) ist falsch, oder sie sendet binäre Zahlen",
  ],
  ['no form known fits lines such as "{a}"', "keine bekannte Form passt zu Zeilen wie „{a}“"],
  [
    'no form fits all lines; the nearest ({a}) fits {b} % of them. The last line is "{c}"',
    "keine Form passt zu allen Zeilen; die nächste passt zu {b} % von ihnen. Die letzte Zeile ist „{c}“",
  ],
  [
    "many of the last lines are not of the form that was declared",
    "viele der letzten Zeilen haben nicht die angegebene Form",
  ],
  [
    "bytes come but no end of line: the speed (baud) may be set wrong",
    "es kommen Bytes, aber kein Zeilenende: vielleicht ist die Geschwindigkeit (baud) falsch",
  ],
  ["the unit changed from {a} to {b}", "die Einheit wechselte von {a} zu {b}"],
  ["the form of the lines changed", "die Form der Zeilen hat gewechselt"],
  // Wohin Meldungen gehen.
  [
    '"{a}" is not an address like mqtt://192.168.1.20',
    "„{a}“ ist keine Adresse wie mqtt://192.168.1.20",
  ],
  [
    '"{a}" does not begin with mqtt:// or mqtts://',
    "„{a}“ beginnt nicht mit mqtt:// oder mqtts://",
  ],
  ['"{a}" names no host', "„{a}“ nennt keinen Rechner"],
  [
    "user and password have their own fields and do not belong into the address",
    "Benutzer und Passwort haben eigene Felder und gehören nicht in die Adresse",
  ],
  [
    'the topic prefix "{a}" may not hold #, + or begin with $',
    "das Präfix „{a}“ darf weder # noch + enthalten und nicht mit $ beginnen",
  ],
  ['the topic prefix "{a}" has an empty level', "das Präfix „{a}“ hat eine leere Ebene"],
  [
    "{a} cannot be reached or closed the connection",
    "{a} ist nicht zu erreichen oder hat die Verbindung geschlossen",
  ],
  ["no MQTT broker is set", "kein MQTT-Broker ist eingestellt"],
  ["no webhook address is set", "keine Webhook-Adresse ist eingestellt"],
  ["{a} did not answer within {b} s", "{a} hat innerhalb von {b} s nicht geantwortet"],
  ["the program stopped before it could be sent", "das Programm hielt an, bevor es gesendet war"],
  [
    "user and password do not belong into the address of a webhook",
    "Benutzer und Passwort gehören nicht in die Adresse eines Webhooks",
  ],
  ['"{a}" is not an http or https address', "„{a}“ ist keine Adresse mit http oder https"],
  ["{a} answered {b}", "{a} antwortete {b}"],
  ["{a} cannot be reached: {b}", "{a} ist nicht zu erreichen: {b}"],
  ["{a}: Connection refused: Not authorized", "{a}: abgelehnt, Benutzer oder Passwort passt nicht"],
  // An der Waage.
  ["Take what lies on the scale off first", "Zuerst abnehmen, was auf der Waage liegt"],
  [
    "The scale came back with a load on it and may have set its zero there",
    "Die Waage kam mit einer Last darauf wieder und hat dort vielleicht ihre Null gesetzt",
  ],
  ["The empty bag is weighed first", "Zuerst wird der leere Beutel gewogen"],
  ["{g} to go", "es fehlen {g}"],
  ["{g} too much", "{g} zu viel"],
  ["The bag was not filled yet", "Der Beutel ist noch nicht gefüllt"],
  [
    "It is lighter than before it was sealed ({g})",
    "Er ist leichter als vor dem Verschließen ({g})",
  ],
  ["It weighed {g} without its absorber: is it in?", "Ohne Absorber wog er {g}: ist er darin?"],
  [
    "That is more than a closed bag {a} can weigh",
    "Das ist mehr, als Beutel {a} verschlossen wiegen kann",
  ],
  [
    "It weighs as bag {a} would when sealed: if it is that one, touch it in the list",
    "So viel wöge Beutel {a} verschlossen: ist er es, ihn in der Liste berühren",
  ],
  ["The bag was not sealed yet", "Der Beutel ist noch nicht verschlossen"],
  [
    "Bag {a} weighed {g} when it was sealed: is it another bag?",
    "Beutel {a} wog beim Verschließen {g}: ist das ein anderer?",
  ],
  [
    "no tray that is waited for can weigh this",
    "kein Blech, auf das gewartet wird, kann so viel wiegen",
  ],
  [
    "Others like it weighed at most {g} empty: is food in it already?",
    "Andere wie dieser wogen leer höchstens {g}: ist schon etwas darin?",
  ],
  [
    "It is much heavier than the empty trays known so far: is food on it already?",
    "Es ist viel schwerer als die bisher bekannten leeren Bleche: liegt schon etwas darauf?",
  ],
  ["more than one tray can weigh this", "mehr als ein Blech kann so viel wiegen"],
  ["The drying clock says that {a} is in the dryer", "Nach der Trocknungsuhr ist {a} im Trockner"],
  ["It weighs no more than the empty {a}", "Das wiegt nicht mehr als {a} leer"],
  [
    "It weighs no more than the empty {a}; if food lay on that, strike its weighing out under Batch",
    "Das wiegt nicht mehr als {a} leer; lag da schon etwas darauf, jene Wägung unter Charge streichen",
  ],
  // Hinweise zum Lebensmittel, zum Plan und zum Beutel.
  [
    "{a} % fat: it dries slowly, and fat turns rancid in store.",
    "{a} % Fett: das trocknet langsam, und Fett wird im Vorrat ranzig.",
  ],
  [
    "{a} % sugar: it dries slowly, stays sticky and may collapse where it is not frozen hard.",
    "{a} % Zucker: das trocknet langsam, bleibt klebrig und kann zusammenfallen, wo es nicht hart gefroren ist.",
  ],
  [
    "Dairy: freeze-drying does not kill microbes. What was raw stays raw.",
    "Milch: Gefriertrocknen tötet keine Keime. Was roh war, bleibt roh.",
  ],
  [
    "Raw stays raw: cook before drying or after rehydrating, and mark it so. Freeze-drying does not kill microbes.",
    "Roh bleibt roh: vor dem Trocknen oder nach dem Quellen garen und so kennzeichnen. Gefriertrocknen tötet keine Keime.",
  ],
  [
    "It was dried before and took up moisture: look at it, smell it, and throw it away in doubt. Drying again does not undo what grew in it.",
    "Es war schon getrocknet und hat Feuchte gezogen: ansehen, riechen, im Zweifel wegwerfen. Neues Trocknen macht nicht ungeschehen, was darin wuchs.",
  ],
  [
    "About {a} kg of water, and {b} is set to hold {c} kg: it will dry longer than usual, or not to the end",
    "Etwa {a} kg Wasser, und {b} fasst nach der Einstellung {c} kg: es trocknet länger oder nicht zu Ende",
  ],
  [
    "{a} may take much longer than {b}: the batch is done when the slowest tray is (common practice, no source)",
    "{a} kann viel länger brauchen als {b}: die Charge ist fertig, wenn das langsamste Blech es ist (übliche Erfahrung, ohne Quelle)",
  ],
  [
    "Only truly dry food goes with an absorber: damp low-acid food without oxygen can grow Clostridium botulinum. Guidance asks for about 10 % moisture or less.",
    "Nur wirklich Trockenes gehört zu einem Absorber: in feuchten, säurearmen Lebensmitteln kann ohne Sauerstoff Clostridium botulinum wachsen. Empfohlen sind etwa 10 % Feuchte oder weniger.",
  ],
  ["the food itself: {a}", "das Lebensmittel selbst: {a}"],
  [
    "density of dry food without its pores, 1.4 to 1.6 g/mL: from memory, no source read",
    "Dichte trockener Lebensmittel ohne Poren, 1,4 bis 1,6 g/mL: aus dem Gedächtnis, keine Quelle gelesen",
  ],
  ["air around and in it: {a}", "Luft darum und darin: {a}"],
  [
    "headspace method, as a maker of absorbers describes it",
    "Verfahren nach dem Kopfraum, wie es ein Hersteller von Absorbern beschreibt",
  ],
  ["oxygen in that air: {a}", "Sauerstoff in dieser Luft: {a}"],
  [
    "20.95 % by volume in dry air (AIChE CCPS glossary)",
    "20,95 Volumenprozent in trockener Luft (AIChE CCPS glossary)",
  ],
  ["with a margin of {a} %: {b}", "mit {a} % Zugabe: {b}"],
  ["margin: our choice", "Zugabe: unsere Wahl"],
  ["next size: {a}", "nächste Größe: {a}"],
  [
    "sizes that are commonly sold: common practice, no source",
    "übliche Größen im Handel: übliche Erfahrung, ohne Quelle",
  ],
  [
    "The bags hold {g} more than the trays weighed at the verdict: the food took up moisture on the bench",
    "In den Beuteln sind {g} mehr, als die Bleche beim Urteil wogen: das Lebensmittel hat draußen Feuchte gezogen",
  ],
  ["Dry it again, or seal it knowing that", "Noch einmal trocknen, oder es wissend verschließen"],
  // Veröffentlichte Regeln für gleichbleibendes Gewicht.
  [
    "two consecutive weighings differ by no more than 0.50 mg per g of substance",
    "zwei Wägungen nacheinander weichen um höchstens 0,50 mg je g Substanz ab",
  ],
  [
    "USP, dried to constant weight, as quoted by an application sheet on balances",
    "USP, getrocknet bis zu gleichbleibendem Gewicht, zitiert nach einem Anwendungsblatt über Waagen",
  ],
  [
    "two consecutive weighings differ by no more than 0.5 mg in all",
    "zwei Wägungen nacheinander weichen insgesamt um höchstens 0,5 mg ab",
  ],
  [
    "European Pharmacopoeia, as quoted in Chinese Medicine 2020, s13020-020-00357-3, table 2",
    "Europäisches Arzneibuch, zitiert in Chinese Medicine 2020, s13020-020-00357-3, Tabelle 2",
  ],
  [
    "no more than 0.5 mg, the second weighing after at least 30 minutes more of drying",
    "höchstens 0,5 mg, die zweite Wägung nach mindestens 30 Minuten weiterem Trocknen",
  ],
  ["International Pharmacopoeia, loss on drying", "Internationales Arzneibuch, Trocknungsverlust"],
  ["no more than 0.3 mg on about 1 g", "höchstens 0,3 mg bei etwa 1 g"],
  [
    "Chinese Pharmacopoeia, loss on drying, as quoted in Chinese Medicine 2020, s13020-020-00357-3, table 2",
    "Chinesisches Arzneibuch, Trocknungsverlust, zitiert in Chinese Medicine 2020, s13020-020-00357-3, Tabelle 2",
  ],
  [
    "one further hour of drying takes no more than 0.1 %",
    "eine weitere Stunde Trocknen nimmt höchstens 0,1 % weg",
  ],
  [
    "AOAC Official Methods 935.29, malt, check of the oven",
    "AOAC Official Methods 935.29, Malz, Prüfung des Ofens",
  ],
  [
    "four further hours of drying change the mass by no more than 0.2 %",
    "vier weitere Stunden Trocknen ändern die Masse um höchstens 0,2 %",
  ],
  ["RILEM recommendations, chapter 75", "RILEM-Empfehlungen, Kapitel 75"],
  // Woher das Wasser eines Lebensmittels bekannt ist.
  ["your own figure", "eigene Angabe"],
  ["your own recipe", "eigenes Rezept"],
  [
    "USDA National Nutrient Database for Standard Reference, release 28, no. {a}",
    "USDA National Nutrient Database for Standard Reference, Ausgabe 28, Nr. {a}",
  ],
  ["1 of your batches", "eine Ihrer Chargen"],
  ["1 of your batches and {why}", "eine Ihrer Chargen und {why}"],
  ["{a} of your batches", "{a} Ihrer Chargen"],
  ["{a} of your batches and {why}", "{a} Ihrer Chargen und {why}"],
  // Warum geübt wird.
  ["the practice scale was chosen", "die Übungswaage wurde gewählt"],
  [
    "no scale attached: to type weights, remove the practice scale under Set up",
    "keine Waage da: um Gewichte einzugeben, die Übungswaage unter Einrichten entfernen",
  ],
  [
    "--time-factor runs the clock {a} times as fast",
    "--time-factor lässt die Uhr {a}-mal so schnell laufen",
  ],
  [
    "the clock runs {a} times as fast, or did so in this data folder",
    "die Uhr läuft {a}-mal so schnell oder lief in diesem Datenordner so",
  ],
  // Wie Chargen genannt werden.
  ["Batch {a} ({b})", "Charge {a} ({b})"],
  ["Batch {a}", "Charge {a}"],
  ["Practice batch {a} ({b})", "Übungscharge {a} ({b})"],
  ["Practice batch {a}", "Übungscharge {a}"],
  // Was die Übungshilfe tut.
  ["waiting until weighings can be kept again", "wartet, bis wieder etwas gespeichert wird"],
  ["waiting for the practice scale", "wartet auf die Übungswaage"],
  ["waiting until {a} is taken", "wartet, bis {a} erfasst ist"],
  ["waiting while the dryer works", "wartet, während der Trockner arbeitet"],
  [
    "saying that the practice dryer ran on while the program was down",
    "sagt, dass der Übungstrockner weiterlief, während das Programm aus war",
  ],
  ["tidying up the alerts", "räumt die Meldungen weg"],
  ["reading the alerts", "liest die Meldungen"],
  [
    "taking off a tray of a batch that has ended",
    "nimmt das Blech einer beendeten Charge herunter",
  ],
  ["lifting {a} to try again", "nimmt {a} ab, um es noch einmal zu versuchen"],
  ["lifting {a}", "nimmt {a} ab"],
  ["saying that it is {a}", "sagt, dass es {a} ist"],
  ["done: start a batch of your own", "fertig: jetzt eine eigene Charge beginnen"],
  ["resting before the next batch", "ruht vor der nächsten Charge"],
  ["starting a practice batch", "beginnt eine Übungscharge"],
  ["weighing {a} empty", "wiegt {a} leer"],
  ["weighing {a}", "wiegt {a}"],
  ["loading {a}", "belädt {a}"],
  ["putting the trays into the dryer", "stellt die Bleche in den Trockner"],
  ["putting the trays back into the dryer", "stellt die Bleche zurück in den Trockner"],
  ["taking the trays out to weigh them", "holt die Bleche zum Wiegen heraus"],
  ["ending the batch", "beendet die Charge"],
  ["breaking the thickest piece of {a}", "bricht das dickste Stück von {a}"],
  ["taking {a} in hand", "nimmt {a} in die Hand"],
  ["dividing a tray into two bags", "teilt ein Blech auf zwei Beutel"],
  ["taking a bag back from the shelf", "holt einen Beutel aus dem Regal"],
  ["putting {a} on the scale", "stellt {a} auf die Waage"],
  ["pouring into {a}", "füllt {a}"],
  ["{a} is yours to weigh", "{a} zu wiegen ist an Ihnen"],
  ["taking over", "übernimmt"],
  // Was das Betriebssystem und die Datenbank am häufigsten melden.
  ["ENOSPC: no space left on device{a}", "ENOSPC: kein Platz auf dem Datenträger{a}"],
  ["ENOSPC: no space left on device", "ENOSPC: kein Platz auf dem Datenträger"],
  ["SQLITE_FULL: database or disk is full", "SQLITE_FULL: Datenbank oder Festplatte voll"],
  ["EROFS: read-only file system{a}", "EROFS: der Datenträger lässt sich nur lesen{a}"],
  ["EACCES: permission denied{a}", "EACCES: kein Recht dazu{a}"],
  ["Too many labels are being drawn", "Es werden gerade zu viele Etiketten gezeichnet"],
  [
    "Wait some seconds, then ask again; several bags can go into one file",
    "Einige Sekunden warten, dann noch einmal; mehrere Beutel gehen auch in eine Datei",
  ],
  [
    "moment {a} was struck out ({why}) since",
    "dieser Zeitpunkt wurde inzwischen gestrichen ({why})",
  ],
  [
    "moment {a} was put at {b} ({why}) since",
    "dieser Zeitpunkt wurde inzwischen auf {b} gesetzt ({why})",
  ],
  [
    "Its food took up moisture on the bench: say first whether it is dried again or sealed all the same",
    "Sein Inhalt hat draußen Feuchte gezogen: zuerst sagen, ob er noch einmal getrocknet oder trotzdem verschlossen wird",
  ],
  ["there is nothing to take back", "es gibt nichts zurückzunehmen"],
  ["its food lies on {a} of batch {b}", "sein Inhalt liegt auf {a} von Charge {b}"],
  [
    "its food weighs no more than when it was dry, or the answer to that is known: go on and seal it",
    "sein Inhalt wiegt nicht mehr als trocken, oder die Antwort ist schon bekannt: weitermachen und verschließen",
  ],
  [
    "that scale is set up already, as {a}: take it away first",
    "diese Waage ist schon eingerichtet, als {a}: sie zuerst wegnehmen",
  ],
  [
    "More than {a} kg on {b}: a thick tray dries last",
    "Mehr als {a} kg auf {b}: ein dickes Blech trocknet zuletzt",
  ],
  ["Another page reads that scale", "Eine andere Seite liest diese Waage"],
  [
    "Let go of it there, or close that page, then read it here",
    "Sie dort loslassen oder jene Seite schließen, dann hier lesen",
  ],
  ["That scale is not read by a page", "Diese Waage wird nicht von einer Seite gelesen"],
  [
    "Hand bytes over only for a scale whose address begins with page:",
    "Bytes nur für eine Waage übergeben, deren Adresse mit page: beginnt",
  ],
  ["More bytes came than a scale can send", "Es kamen mehr Bytes, als eine Waage senden kann"],
  [
    "Hand over what the device sends as it comes, and nothing twice",
    "Übergeben, was das Gerät sendet, wie es kommt, und nichts doppelt",
  ],
  [
    "the page that reads the scale was closed, or its device sleeps",
    "die Seite, die die Waage liest, wurde geschlossen, oder ihr Gerät schläft",
  ],
  ["no page reads this scale", "keine Seite liest diese Waage"],
  [
    "no page reads this scale; nothing was sent",
    "keine Seite liest diese Waage; nichts wurde gesendet",
  ],
  ["the page did not fetch what was to be sent", "die Seite holte nicht ab, was zu senden war"],
  [
    "another page reads this scale and hands its bytes over",
    "eine andere Seite liest diese Waage und übergibt ihre Bytes",
  ],
  [
    "the page let go of the scale, or it was unplugged",
    "die Seite hat die Waage losgelassen, oder sie wurde abgezogen",
  ],
  ["{a} bytes at once, after many before them", "{a} Bytes auf einmal, nach vielen davor"],
  ["the scale was lost; nothing was sent", "die Waage ging verloren; nichts wurde gesendet"],
  [
    "open Set up on the device into which the scale is plugged, and let it be read there",
    "auf dem Gerät, an dem die Waage steckt, Einrichten öffnen und sie dort lesen lassen",
  ],
  [
    "nothing readable came at any of the usual speeds; trying {a} baud again",
    "bei keiner der üblichen Geschwindigkeiten kam Lesbares; noch einmal mit {a} Baud",
  ],
  [
    "nothing readable came at the speed before; trying {a} baud",
    "bei der Geschwindigkeit davor kam nichts Lesbares; jetzt mit {a} Baud",
  ],
  [
    "the scale sends at {a} baud; with ?baud={b} in its address no other is tried",
    "die Waage sendet mit {a} Baud; mit ?baud={b} in ihrer Adresse wird keine andere versucht",
  ],
  [
    "neither a path nor serial:, tcp:, hid:, page: or practice:",
    "weder ein Pfad noch serial:, tcp:, hid:, page: oder practice:",
  ],
  [
    "page: needs a name of small letters, figures and hyphens",
    "page: braucht einen Namen aus kleinen Buchstaben, Ziffern und Bindestrichen",
  ],
];
