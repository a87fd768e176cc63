/**
 * A scale: a port whose bytes are cut into lines and read. In: an address and a clock. Out: readings in the
 * order of their arrival, and a report whenever the link or the form changes.
 */
import type { Clock } from "../clock.ts";
import { Fault } from "../faults.ts";
import type { Candidate, Form, FormChoice, FormName, ScaleKey } from "../reading/form.ts";
import { formNamed } from "../reading/forms.ts";
import type { Reading, ScaleUnit } from "../reading/reading.ts";
import { afterLine, isSilent, noRhythm, type Rhythm } from "../reading/silence.ts";
import {
  afterBreak,
  afterChunk,
  choose,
  startStream,
  type Step,
  type Stream,
} from "../reading/stream.ts";
import type { Grams, MonoMs } from "../units/quantity.ts";
import { Asker, usualEveryMs } from "./asker.ts";
import { Busy } from "./busy.ts";
import { LineCutter } from "./lines.ts";
import type { Chunk, LinkReport, Port } from "./port.ts";
import { hidPort } from "./hid.ts";
import { PagePort } from "./page.ts";
import { practicePort } from "./practice.ts";
import { ReplayPort } from "./replay.ts";
import { serialPort } from "./serial.ts";
import { SpeedSearch, usualSpeeds } from "./speeds.ts";
import { messageOf } from "./supervisor.ts";
import { tcpPort } from "./tcp.ts";
import { readScaleUri, type Place, type ScaleAddress } from "./uri.ts";

/** The state of the link and of the recognition. `form` is null until it is known. */
export type ScaleReport = LinkReport & {
  readonly form: FormName | null;
  /** What the form is, in words. */
  readonly title: string | null;
  /** The keys that can be pressed from afar. */
  readonly keys: readonly ScaleKey[];
  /** The unit that the scale shows at present. */
  readonly unit: ScaleUnit | null;
  /** What a person is asked, and the answers to choose from; empty when nothing is asked. */
  readonly question: string | null;
  readonly candidates: readonly Candidate[];
};

/** What is sent to a scale that only answers, in latin1, and how long after an answer it is sent again. */
type Asking = { readonly ask: string; readonly everyMs: number };

type ScaleCounts = {
  readonly readings: number;
  /** Lines that the form in force does not explain. */
  readonly unreadable: number;
  /** Bytes thrown away: runs without an end of line, half lines at the start of a connection. */
  readonly discardedBytes: number;
};

export type ScaleListener = {
  /** Also over, under and unreadable ones. */
  reading(reading: Reading): void;
  /** All readings of a chunk have been told. */
  read?(): void;
  /** The link, the form, the unit or the question changed. */
  link(report: ScaleReport): void;
  /** The bytes themselves, before they are read. */
  chunk?(chunk: Chunk): void;
};

export type Scale = {
  readonly uri: string;
  state(): ScaleReport & ScaleCounts;
  /** A person's answer to the question; holds until the scale is closed. */
  chooseForm(choice: FormChoice): void;
  /** The division that it had when it was read before, believed until its figures say otherwise. */
  knowDivision(division: Grams): void;
  /** A person agreed that it is asked, or does no longer (null). What the address says to send holds all the same. */
  askFor(asking: Asking | null): void;
  /** Presses a key of the scale, now or not at all. Rejects with scale.no-such-key and scale.not-connected. */
  press(key: ScaleKey): Promise<void>;
  /** Sends now or fails now; nothing is kept over a lost connection. */
  write(bytes: Uint8Array): Promise<void>;
  close(): Promise<void>;
};

/**
 * `port` stands in for the one that the address names: the practice scale, a test. Throws
 * link.refused on an address that cannot be read. `own`: the forms of the settings file.
 */
export function openScale(
  uri: string,
  clock: Clock,
  listener: ScaleListener,
  port?: Port | PortOf,
  own: readonly Form[] = [],
): Scale {
  const address = readScaleUri(uri, own);
  const { place } = address;
  const speeds = place.is === "serial" && place.findsBaud ? new SpeedSearch() : null;
  const baudNow = (): number => speeds?.baud ?? (place.is === "serial" ? place.baud : 0);
  const given = typeof port === "function" ? port(baudNow) : port;
  return new OpenScale(address, clock, listener, given ?? portAt(place, clock, baudNow), speeds);
}

/** A port of a test, which is told the speed of the line. */
type PortOf = (baudNow: () => number) => Port;

function portAt(place: Place, clock: Clock, baudNow: () => number): Port {
  switch (place.is) {
    case "serial":
      return serialPort(place, clock, undefined, baudNow);
    case "tcp":
      return tcpPort(place, clock);
    case "hid":
      return hidPort(place.path, clock);
    case "page":
      return new PagePort(clock);
    case "replay":
      return new ReplayPort(place, clock);
    case "practice":
      // Nobody holds this one's hand: its pan stays empty.
      return practicePort(clock, emptyPanSeed);
  }
}

const emptyPanSeed = 1;
/** A line lasts a small part of this at any speed, so after such a pause a new one begins. */
const lineBeginsAfterMs = 300;
const lookEveryMs = 250;
/** A flood is read in parts, so that the readings of one are done with before the next are made. */
const mostAtOnce = 1024;
const reopenAfterMs = 10_000;
/** Who says no more than this before falling silent prints one load at a time. */
const singleLinesMs = 1000;

class OpenScale implements Scale {
  readonly uri: string;
  readonly #clock: Clock;
  readonly #listener: ScaleListener;
  readonly #port: Port;
  /** null: the address names the speed, or there is none. */
  readonly #speeds: SpeedSearch | null;
  readonly #cutter = new LineCutter();
  readonly #asksByAddress: boolean;
  #asker: Asker | null;
  readonly #look: NodeJS.Timeout;
  readonly #busy: Busy;
  #stream: Stream;
  #link: LinkReport;
  #silent = false;
  #rhythm: Rhythm = noRhythm;
  /** The first and the last line since it was silent or away. */
  #spoke: { readonly from: MonoMs; readonly to: MonoMs } | null = null;
  #upAt: MonoMs;
  #firstChunk = true;
  #reopened: "no" | "under way" | "done" = "no";
  #closed = false;
  #opensAgain = false;
  #counts = { readings: 0, unreadable: 0 };
  #told: ScaleReport | null = null;
  /** What the last report was made of. */
  #toldOf: readonly unknown[] = [];

  constructor(
    address: ScaleAddress,
    clock: Clock,
    listener: ScaleListener,
    port: Port,
    speeds: SpeedSearch | null,
  ) {
    this.#speeds = speeds;
    this.uri = address.uri;
    this.#clock = clock;
    this.#listener = listener;
    this.#port = port;
    this.#stream = startStream(address.declared);
    this.#upAt = clock.mono();
    this.#busy = new Busy(lookEveryMs, clock.mono());
    this.#link = { link: "searching", sinceUtcMs: clock.utc(), why: null, fix: null };
    const { ask } = address;
    this.#asksByAddress = ask !== null;
    this.#asker = ask === null ? null : this.#askerOf({ ask, everyMs: usualEveryMs });
    this.#look = setInterval(() => this.#watchSilence(), lookEveryMs);
    this.#openPort();
  }

  state(): ScaleReport & ScaleCounts {
    const { discardedBytes } = this.#cutter;
    return { ...(this.#told ?? this.#report()), ...this.#counts, discardedBytes };
  }

  knowDivision(division: Grams): void {
    this.#stream = { ...this.#stream, known: division };
  }

  chooseForm(choice: FormChoice): void {
    this.#take(choose(this.#stream, choice));
    this.#listener.read?.();
    this.#tell();
  }

  askFor(asking: Asking | null): void {
    if (this.#asksByAddress) return;
    this.#asker?.stop();
    this.#asker = asking === null ? null : this.#askerOf(asking);
    if (this.#link.link === "up") this.#asker?.start();
  }

  #askerOf({ ask, everyMs }: Asking): Asker {
    return new Asker(() => this.#port.write(Buffer.from(ask, "latin1")), everyMs);
  }

  write(bytes: Uint8Array): Promise<void> {
    return this.#port.write(bytes);
  }

  async press(key: ScaleKey): Promise<void> {
    const { form, link } = this.#report();
    if (link !== "up") {
      throw new Fault("scale.not-connected", `${this.uri} is ${link}; nothing was sent`);
    }
    const text = this.#form()?.keys?.[key];
    if (text === undefined) {
      const what = form === null ? "of a form not known yet" : `of the form ${form}`;
      throw new Fault("scale.no-such-key", `no way to send ${key} to a scale ${what} is known`);
    }
    try {
      await this.#port.write(Buffer.from(text, "latin1"));
    } catch (thrown) {
      throw new Fault("scale.not-connected", messageOf(thrown), { cause: thrown });
    }
  }

  async close(): Promise<void> {
    this.#closed = true;
    clearInterval(this.#look);
    this.#asker?.stop();
    await this.#port.close();
  }

  #openPort(): void {
    this.#port.open({
      chunk: (chunk) => {
        if (!this.#closed) this.#hear(chunk);
      },
      link: (report) => {
        if (!this.#closed) this.#linkChanged(report);
      },
    });
  }

  #hear(chunk: Chunk): void {
    this.#listener.chunk?.(chunk);
    if (this.#firstChunk) {
      this.#cutter.reset(chunk.atMonoMs - this.#upAt < lineBeginsAfterMs);
      this.#firstChunk = false;
    }
    let hasLine = false;
    let isReadable = false;
    for (let at = 0; at < chunk.bytes.length; at += mostAtOnce) {
      const bytes = chunk.bytes.subarray(at, at + mostAtOnce);
      const lines = this.#cutter.cut(bytes);
      const step = afterChunk(this.#stream, { ...chunk, bytes }, lines);
      this.#take(step);
      hasLine ||= lines.length > 0;
      isReadable ||= step.readings.some((one) => one.is !== "unreadable");
    }
    this.#listener.read?.();
    if (this.#isOtherSpeed(chunk.bytes)) return this.#changeSpeed();
    if (hasLine) this.#asker?.answered();
    if (isReadable || (hasLine && this.#mayBecomeReadable())) {
      this.#rhythm = afterLine(this.#rhythm, chunk.atMonoMs);
      const from = this.#silent ? chunk.atMonoMs : (this.#spoke?.from ?? chunk.atMonoMs);
      this.#spoke = { from, to: chunk.atMonoMs };
      if (this.#silent) this.#link = { ...this.#link, sinceUtcMs: chunk.atUtcMs };
      this.#silent = false;
      this.#reopened = "no";
    }
    this.#tell();
  }

  #isOtherSpeed(bytes: Uint8Array): boolean {
    const speeds = this.#speeds;
    if (speeds === null) return false;
    const { live, report } = this.#stream;
    if (live !== null || report.question !== null) {
      speeds.found();
      return false;
    }
    return speeds.isWrong(bytes, this.#clock.mono() - this.#upAt);
  }

  /** What was heard at the other speed is void. */
  #changeSpeed(): void {
    this.#stream = { ...startStream(this.#stream.declared), known: this.#stream.known };
    this.#asker?.stop();
    this.#tell();
    this.#openAgain();
  }

  /** Lines are being recognised, or a person is asked about them; not once it is known that no form fits. */
  #mayBecomeReadable(): boolean {
    const { live, report } = this.#stream;
    return live === null && (report.why === null || report.question !== null);
  }

  #take(step: Step): void {
    this.#stream = step.stream;
    for (const reading of step.readings) {
      this.#counts.readings += 1;
      if (reading.is === "unreadable") this.#counts.unreadable += 1;
      this.#listener.reading(reading);
    }
  }

  #linkChanged(report: LinkReport): void {
    this.#speeds?.begin();
    this.#stream = afterBreak(this.#stream);
    this.#cutter.reset(true);
    this.#rhythm = noRhythm;
    this.#firstChunk = true;
    this.#upAt = this.#clock.mono();
    // A scale that was silent stays so over the re-opening, until it says something.
    if (this.#reopened !== "under way" || report.link !== "up") {
      this.#silent = false;
      this.#spoke = null;
    }
    if (report.link === "up") {
      if (this.#reopened === "under way") this.#reopened = "done";
      this.#asker?.start();
    } else this.#asker?.stop();
    const sinceUtcMs = report.link === this.#link.link ? this.#link.sinceUtcMs : report.sinceUtcMs;
    this.#link = { ...report, sinceUtcMs };
    this.#tell();
  }

  #watchSilence(): void {
    const now = this.#clock.mono();
    if (this.#busy.look(now) || this.#link.link !== "up") return;
    if (!this.#silent && isSilent(this.#rhythm, this.#upAt, now)) {
      this.#silent = true;
      this.#tell();
    }
    const quietMs = now - Math.max(this.#rhythm.last ?? this.#upAt, this.#upAt);
    if (this.#silent && quietMs > reopenAfterMs && this.#reopened === "no") this.#reopen();
  }

  #openAgain(): void {
    if (this.#opensAgain) return;
    this.#opensAgain = true;
    void this.#port.close().then(() => {
      this.#opensAgain = false;
      if (!this.#closed) this.#openPort();
    });
  }

  /** Once for each silence: some converters hang and come back when they are opened afresh. */
  #reopen(): void {
    this.#reopened = "under way";
    this.#asker?.stop();
    this.#openAgain();
  }

  #form(): Form | null {
    const { form } = this.#stream.report;
    return form === null ? null : formNamed(form, this.#stream.declared.own);
  }

  #report(): ScaleReport {
    const { form, unit, why, question, candidates } = this.#stream.report;
    const inForce = this.#form();
    const can = inForce?.keys ?? {};
    const keys = (["tare", "zero", "unit"] as const).filter((key) => can[key] !== undefined);
    const title = inForce?.title ?? null;
    const known = { form, title, keys, unit, question, candidates };
    if (this.#link.link === "up" && this.#silent) return { ...this.#silence(), ...known };
    return { ...this.#link, why: this.#link.why ?? why ?? this.#speedWords(), ...known };
  }

  #speedWords(): string | null {
    const speeds = this.#speeds;
    if (speeds === null) return null;
    const { baud, tried } = speeds;
    if (tried >= usualSpeeds.length)
      return `nothing readable came at any of the usual speeds; trying ${baud} baud again`;
    if (tried > 0) return `nothing readable came at the speed before; trying ${baud} baud`;
    if (this.#stream.live === null || baud === usualSpeeds[0]) return null;
    return `the scale sends at ${baud} baud; with ?baud=${baud} in its address no other is tried`;
  }

  #silence(): LinkReport {
    const since = this.#told?.link === "silent" ? this.#told.sinceUtcMs : this.#clock.utc();
    const { form, why } = this.#stream.report;
    const known = form === null ? why : null;
    if (known === null && this.#spoke !== null && this.#spoke.to - this.#spoke.from < singleLinesMs)
      return {
        link: "silent",
        sinceUtcMs: since,
        why: "its lines come one at a time; a load settles by four that agree, at most 10 s apart",
        fix: "set the scale to send continuously, not at its key or when it is at rest, or let it be asked (ask= in its address)",
      };
    return {
      link: "silent",
      sinceUtcMs: since,
      why: known ?? "the line is open but nothing readable comes",
      fix: "switch the scale on, set it to send continuously, and check the speed (baud)",
    };
  }

  #tell(): void {
    const { live, report: heard } = this.#stream;
    const of = [live, heard, this.#link, this.#silent];
    // Nearly every line says nothing new of the scale itself, and a report takes longer than reading the line.
    if (live !== null && of.every((part, index) => part === this.#toldOf[index])) return;
    this.#toldOf = of;
    const report = this.#report();
    if (this.#told && isSame(this.#told, report)) return;
    this.#told = report;
    this.#listener.link(report);
  }
}

/** Candidates are made anew with every question, so that those of one question are one list. */
function isSame(one: ScaleReport, other: ScaleReport): boolean {
  const same =
    one.link === other.link &&
    one.why === other.why &&
    one.form === other.form &&
    one.unit === other.unit &&
    one.question === other.question;
  return same && (one.candidates === other.candidates || keyOf(one) === keyOf(other));
}

const keyOf = ({ candidates }: ScaleReport): string =>
  JSON.stringify(candidates.map(({ form, unit, raw }) => [form, unit, raw]));
