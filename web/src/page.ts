/** The page's own state as signals, and what it does when something happened. The only file that wires the two. */
import { computed, effect, signal } from "@preact/signals";
import type { BagTaken } from "../../src/wire/bag.ts";
import type { Batch } from "../../src/wire/batch.ts";
import type { Question } from "../../src/wire/bench.ts";
import type { PairingState } from "../../src/wire/device.ts";
import { isolated } from "../../src/units/written.ts";
import { wireVersion } from "../../src/wire/version.ts";
import { alertText } from "./alert-text.ts";
import { keepAwake, languageInForce, notify } from "./device.ts";
import { service } from "./ask.ts";
import { localTime, openLink, type Link } from "./link.ts";
import { newsBetween, type News } from "./news.ts";
import { readRoute, writeRoute, type Route } from "./route.ts";
import { batchName, showMass, trayName, type Speech } from "./show.ts";
import { sound, soundByTouch, soundWhile } from "./sound.ts";
import { next, nothingKnown, serviceNow, type Input } from "./state.ts";
import { localeFor, namesOf, sentencesOf, textsOf, type Language, type Texts } from "./texts.ts";
import { en } from "./texts/en.ts";
import { translatorOf, type Translator } from "./translate.ts";

export const state = signal(nothingKnown);
export const bench = computed(() => state.value.bench);
export const connection = computed(() => state.value.connection);
export const isLost = computed(() => connection.value.is === "lost");
export const outdated = computed(() => state.value.outdated);

/** This device's clock, ten times in three seconds, so that ages and countdowns move. */
export const localNow = signal(localTime());
/** The service's clock; a new message alone is no reason to draw every time on the page again. */
export const nowMs = computed(() => serviceNow(state.peek().clocks, localNow.value));

/** When the service made the bench that is shown. */
export const benchAtMs = computed(() => state.value.benchAtMs ?? 0);

/** The language that the page speaks at the moment: the one in force, once its catalogue is here. */
const spoken = signal<{ readonly language: Language; readonly texts: Texts }>({
  language: "en",
  texts: en,
});
/** What the service says in English, said in the language in force. */
const translate = signal<Translator>(() => null);
/** null: it is not known in this language, and stays English. */
export const translated = (text: string): string | null =>
  translate.value(speech.value, text, foodCalled);
export const inOwnWords = (text: string): string => translated(text) ?? text;

const ownName = signal<(name: string) => string>((name) => name);
/** Foods of the table as they are called in the language in force; any other as the person called it. */
export const foodTyped = (names: string): string =>
  names.split(" + ").map(ownName.value).join(" + ");
/** Among other words. */
export const foodCalled = (names: string): string => isolated(foodTyped(names));
/** The dryer of practice in the language in force; any other as the person called it. */
export const dryerCalled = (name: string): string => isolated(ownName.value(name));

async function speak(language: Language): Promise<void> {
  try {
    const texts = await textsOf(language);
    if (language !== languageInForce()) return;
    spoken.value = { language, texts };
    translate.value = translatorOf(await sentencesOf(language));
    ownName.value = await namesOf(language);
  } catch {
    // After an update of the program the old catalogue is gone: the page goes on in the language that it has.
  }
}

export const speech = computed<Speech>(() => ({
  texts: spoken.value.texts,
  locale: localeFor(spoken.value.language, navigator.languages),
  unit: bench.value?.settings.displayUnit ?? "g",
}));
/** In which labels are printed as well. */
export const language = computed(() => spoken.value.language);
/** The texts of the language in force. */
export const say = () => speech.value.texts;

export const route = signal<Route>(readRoute(location.hash));
export function go(to: Route): void {
  location.hash = writeRoute(to);
}

/** Said once to those who do not see the page; what is said stands until the next. */
export const announced = signal("");

export const openBatch = (id: number): Batch | null =>
  bench.value?.batches.find((batch) => batch.id === id) ?? null;

/** A tray's name in a sentence; with two batches open two trays may have one name, so that the dryer is said too. */
export function trayNamed(batchId: number, name: string): string {
  const open = bench.value?.batches ?? [];
  const plain = trayName(speech.value, name);
  const dryer = openBatch(batchId)?.dryer;
  return open.length > 1 && dryer !== undefined ? say().ofDryer(plain, dryerCalled(dryer)) : plain;
}

/** The tray that a load may be the empty one of, where nothing else is asked; else null. */
export function askedIfEmpty({ is, candidates }: Question): Question["candidates"][number] | null {
  const [one, ...others] = candidates;
  const isOne = is === "which-tray" && one?.kind === "tare" && others.length === 0;
  return isOne ? one : null;
}

export function questionTitle(question: Question): string {
  const { weigh } = say();
  const empty = askedIfEmpty(question);
  if (empty !== null) return weigh.isEmpty(trayNamed(empty.batch, empty.name));
  return question.is === "which-tray" ? weigh.whichTray : weigh.zeroNotSeen;
}

/** A page that a person is typing on, or that asks something, is not taken away. */
function isBusy(): boolean {
  const at = document.activeElement;
  if (at instanceof HTMLElement && at.matches("input, select, textarea")) return true;
  return document.querySelector("[data-question]") !== null;
}

/** A bag that is lifted rings the pan: that is no tray, and takes nobody from the bag's own page. */
const isAtBags = (scale: string): boolean =>
  ["pack", "shelf", "labels"].includes(route.peek().page) &&
  bench.peek()?.tasks.some((task) => task.scale === scale && task.bagTaken !== null) === true;

/** What the practice hand puts down takes nobody from the page that he looks at. */
const isHandAtWork = (): boolean => bench.peek()?.practiceHand?.works === true;

/** The page on which a load is looked at. */
function placeFor({ scale, waits }: Extract<News, { is: "load" }>): Route {
  switch (waits) {
    case "batch":
      return { page: "weigh", scale };
    case "packing": {
      const on = bench.peek()?.tasks.find((task) => task.scale === scale)?.bag?.bag;
      const bag = bench.peek()?.packing.find(({ id }) => id === on);
      return { page: "pack", batch: bag?.batch ?? null };
    }
    case "shelf":
      return { page: "shelf", bag: null };
  }
}

/** Of a bag that was filled, the food; of any other weighing what the scale shows. */
export const shownOf = (taken: BagTaken): number =>
  (taken.kind === "filled" ? taken.netGrams : null) ?? taken.grossGrams;

function react(news: News): void {
  const soundOn = bench.peek()?.settings.sound ?? false;
  const { texts } = speech.peek();
  switch (news.is) {
    case "load": {
      if (isHandAtWork() || (news.waits === "batch" && isAtBags(news.scale))) return;
      const to = placeFor(news);
      if (route.peek().page !== to.page && !isBusy()) go(to);
      return;
    }
    case "bag-taken": {
      const { taken, scale } = news;
      const mass = showMass(speech.peek(), shownOf(taken), divisionOn(scale));
      const said = texts.bags.taken[taken.kind](taken.code, mass);
      const { finding } = taken;
      announced.value = finding === null ? said : `${said}. ${texts.bags.shelfWords[finding.word]}`;
      if (soundOn) sound(finding?.word === "gaining-moisture" ? "question" : "taken");
      vibrate(120);
      return;
    }
    case "taken": {
      const name = trayNamed(news.taken.batch, news.taken.name);
      const mass = showMass(speech.peek(), news.taken.grossGrams, divisionOn(news.scale));
      const isEmpty = news.taken.kind === "tare";
      announced.value = texts.weigh[isEmpty ? "takenEmpty" : "taken"](name, mass);
      if (soundOn) sound("taken");
      vibrate(120);
      return;
    }
    case "question":
      announced.value = questionTitle(news.question);
      if (soundOn) sound("question");
      vibrate([80, 80, 80]);
      if (route.peek().page !== "weigh" && !isBusy() && !isHandAtWork())
        go({ page: "weigh", scale: news.scale });
      return;
    case "verdict": {
      const batch = openBatch(news.batch);
      announced.value = `${batch === null ? "" : batchName(speech.peek(), batch)}: ${texts.batch.words[news.verdict]}. ${texts.batch.meanings[news.verdict]}`;
      return;
    }
    case "alert":
      announced.value = alertText(speech.peek(), news.alert, bench.peek(), translated);
      if (document.visibilityState !== "visible") notify(texts.program, announced.value);
      return;
  }
}

/** Whether weights that are taken are kept. Losing them is the loudest thing that this page has to say. */
const isRecording = computed(() => bench.value?.recording ?? true);
/** Somebody at this device has heard that nothing is being kept; the words stay. */
export const isSilenced = signal(false);

const divisionOn = (scale: string): number | null =>
  bench.peek()?.scales.find((one) => one.id === scale)?.divisionGrams ?? null;

/** Phones and tablets only, and after the first touch; elsewhere it does nothing. */
const vibrate = (pattern: number | number[]): void => {
  const isTouched = navigator.userActivation?.hasBeenActive ?? true;
  if ("vibrate" in navigator && isTouched) navigator.vibrate(pattern);
};

/** As what this device is known to the service; null until the service was asked. */
export const pairing = signal<PairingState | null>(null);
/** This device has to be paired before anything can be shown. */
export const isOutside = computed(
  () => pairing.value !== null && pairing.value.needed && pairing.value.device === null,
);
export const mayOnlyLook = computed(() => pairing.value?.device?.access === "read-only");

let link: Link | null = null;

/** Asks whether this device is let in, and follows the service if so. One that does not answer is tried by the link. */
export async function enter(): Promise<void> {
  const answer = await service.pairing();
  if (answer.is === "done") pairing.value = answer.body;
  if (isOutside.peek()) {
    link?.close();
    link = null;
  } else link ??= followService();
}

function hear(input: Input): void {
  // A pairing that was taken back looks like a lost connection from here; so does a device that was never let in, where
  // the service did not say so when it was asked.
  const isUnknown = pairing.peek() === null && input.is !== "message";
  if (isUnknown || (input.is === "lost" && pairing.peek()?.needed === true)) void enter();
  const before = state.peek();
  const after = next(before, input, wireVersion);
  if (after === before) return;
  state.value = after;
  firstProgram ??= after.bench?.program;
  for (const news of newsBetween(before, after)) react(news);
}

/** Once: a page that still does not fit after loading again says so and stays. */
function loadAgain(): void {
  if (sessionStorage.getItem("loaded-for-version") === String(wireVersion)) return;
  sessionStorage.setItem("loaded-for-version", String(wireVersion));
  location.reload();
}

/** Whether there is what this page alone knows of, such as a plan that is being typed: then it is not loaded again. */
export const begun: (() => boolean)[] = [];

let firstProgram: string | undefined;
/**
 * A program that was renewed has another page, too. It is fetched when somebody goes elsewhere on this one by a touch:
 * what stood there is left anyway, and the next touch brings the sound back.
 */
function loadIfRenewed(): void {
  const isTouched = navigator.userActivation?.isActive;
  if (isTouched && firstProgram !== bench.peek()?.program && !begun.some((is) => is()))
    location.reload();
}

/** Done when the page can speak the person's language. */
export async function start(): Promise<void> {
  await speak(languageInForce());
  effect(() => void speak(languageInForce()));
  effect(() => {
    document.documentElement.lang = spoken.value.language;
  });
  // On paper nothing can be unfolded.
  window.addEventListener("beforeprint", () => {
    for (const fold of document.querySelectorAll("details")) fold.open = true;
  });
  window.addEventListener("hashchange", () => {
    route.value = readRoute(location.hash);
    loadIfRenewed();
  });
  setInterval(() => {
    localNow.value = localTime();
  }, 300);
  const isWeighing = computed(
    () =>
      ["pack", "shelf"].includes(route.value.page) ||
      (route.value.page === "weigh" && (bench.value?.batches.length ?? 0) > 0),
  );
  document.addEventListener("visibilitychange", () => void keepAwake(isWeighing.peek()));
  effect(() => void keepAwake(isWeighing.value));
  soundByTouch();
  effect(() => {
    const waits = (bench.value?.alerts.length ?? 0) > 0;
    const isLosing = !isRecording.value && !isSilenced.value;
    soundWhile((waits || isLosing) && (bench.value?.settings.sound ?? false));
  });
  effect(() => {
    if (isRecording.value) isSilenced.value = false;
    else if (document.visibilityState !== "visible")
      notify(say().program, say().connection.notRecording);
  });
  effect(() => {
    if (outdated.value) loadAgain();
  });
  void enter();
}

function followService(): Link {
  const socket = new URL("api/live", location.href);
  socket.protocol = socket.protocol === "https:" ? "wss:" : "ws:";
  socket.hash = "";
  return openLink(socket.href, hear);
}
