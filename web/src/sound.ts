/**
 * Three sounds that differ in pattern and not only in pitch: one long for taken, two rising for a question, three
 * short again and again for an alert. Browsers allow none before the first touch or key.
 */
import { signal } from "@preact/signals";

type Beep = { readonly afterMs: number; readonly lastsMs: number; readonly hertz: number };
export type SoundName = "taken" | "question" | "alert";

const patterns: Readonly<Record<SoundName, readonly Beep[]>> = {
  taken: [{ afterMs: 0, lastsMs: 350, hertz: 880 }],
  question: [
    { afterMs: 0, lastsMs: 160, hertz: 520 },
    { afterMs: 240, lastsMs: 240, hertz: 780 },
  ],
  alert: [0, 220, 440].map((afterMs) => ({ afterMs, lastsMs: 130, hertz: 660 })),
};
const alertEveryMs = 4000;
const loudness = 0.25;

let context: AudioContext | null = null;
let loop: ReturnType<typeof setInterval> | undefined;
/** Whether this device lets the page sound. */
export const canSound = signal(false);

export async function turnSoundOn(): Promise<void> {
  if (!("AudioContext" in window)) return;
  if (context === null) {
    context = new AudioContext();
    context.onstatechange = look;
  }
  await context.resume().catch(() => undefined);
  look();
}

/** A call or a locked screen takes the sound away again, on some devices for good. */
function look(): void {
  const isOn = context?.state === "running";
  // What waited in silence is heard now.
  if (isOn && !canSound.peek() && loop !== undefined) sound("alert");
  canSound.value = isOn;
}

/** A touch or key anywhere is enough, then and whenever the device has taken the sound away. */
export function soundByTouch(): void {
  for (const what of ["pointerup", "click", "keydown"])
    window.addEventListener(what, () => {
      if (!canSound.peek()) void turnSoundOn();
    });
}

export function sound(name: SoundName): void {
  if (context === null || context.state !== "running") return;
  for (const beep of patterns[name]) play(context, beep);
}

function play(on: AudioContext, { afterMs, lastsMs, hertz }: Beep): void {
  const from = on.currentTime + afterMs / 1000;
  const to = from + lastsMs / 1000;
  const tone = new OscillatorNode(on, { type: "triangle", frequency: hertz });
  const volume = new GainNode(on, { gain: 0 });
  volume.gain.setValueAtTime(0, from);
  volume.gain.linearRampToValueAtTime(loudness, from + 0.02);
  volume.gain.setValueAtTime(loudness, to - 0.04);
  volume.gain.linearRampToValueAtTime(0, to);
  tone.connect(volume).connect(on.destination);
  tone.start(from);
  tone.stop(to);
}

/** Sounds the alert until it is told that nothing waits any more. */
export function soundWhile(waiting: boolean): void {
  if (!waiting) {
    clearInterval(loop);
    loop = undefined;
    return;
  }
  if (loop !== undefined) return;
  sound("alert");
  loop = setInterval(() => sound("alert"), alertEveryMs);
}
