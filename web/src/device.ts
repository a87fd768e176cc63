/** What is particular to this device: its language, its notifications, its screen. Says honestly what it cannot do. */
import { signal } from "@preact/signals";
import { isLanguage, languageFor, type Language } from "./texts.ts";

const key = "language";

// A browser started with no locale calls its language C, and the plotting library would take the whole page down.
try {
  new Intl.NumberFormat(navigator.language);
} catch {
  Object.defineProperty(navigator, "language", { value: "en" });
}

/** Storage is refused by some browsers in private windows; then the choice lasts as long as the page. */
function stored(): Language | null {
  try {
    const kept = localStorage.getItem(key) ?? "";
    return isLanguage(kept) ? kept : null;
  } catch {
    return null;
  }
}

/** null: as the browser asks. */
export const chosenLanguage = signal<Language | null>(stored());

export function chooseLanguage(language: Language | null): void {
  chosenLanguage.value = language;
  try {
    if (language === null) localStorage.removeItem(key);
    else localStorage.setItem(key, language);
  } catch {
    // The choice holds until the page is closed.
  }
}

export const languageInForce = (): Language =>
  chosenLanguage.value ?? languageFor(navigator.languages);

/** `insecure`: the browser would, but not over plain http to another computer. */
export type Ability = "yes" | "ask" | "denied" | "insecure" | "none";

export function notifications(): Ability {
  if (!("Notification" in window)) return isSecureContext ? "none" : "insecure";
  if (Notification.permission === "granted") return "yes";
  if (!isSecureContext) return "insecure";
  return Notification.permission === "denied" ? "denied" : "ask";
}

/** False where this browser shows none from an open page: some phones want a worker for it. */
export function notify(title: string, body: string): boolean {
  if (notifications() !== "yes") return false;
  try {
    new Notification(title, { body, tag: body });
    return true;
  } catch {
    return false;
  }
}

/** Whether the screen is being kept on; `ask` while nobody asked yet. */
function firstAbility(): Ability {
  if ("wakeLock" in navigator) return "ask";
  return isSecureContext ? "none" : "insecure";
}
export const awake = signal<Ability>(firstAbility());
let lock: WakeLockSentinel | null = null;

/** A screen that sleeps in the middle of a round shows nothing. The browser takes the lock back from a hidden page. */
export async function keepAwake(wanted: boolean): Promise<void> {
  if (!("wakeLock" in navigator)) return;
  if (!wanted) {
    await lock?.release().catch(() => undefined);
    lock = null;
    return;
  }
  if (document.visibilityState !== "visible" || (lock !== null && !lock.released)) return;
  try {
    lock = await navigator.wakeLock.request("screen");
    awake.value = "yes";
  } catch {
    awake.value = "denied";
  }
}
