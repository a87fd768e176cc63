/**
 * Alerts on their way to people elsewhere. A receiver is owed an alert until it says that it has it, which is kept: so
 * a network that is away for hours and a program that is stopped lose none. Sent later is only what still stands
 * (`owedBy` in step.ts). A program that dies after the receiver's answer and before that is kept sends it once more,
 * under the same id.
 */
import { channels, saidLate } from "../alert/alerts.ts";
import { isoOf, type Clock } from "../clock.ts";
import { Fault } from "../faults.ts";
import { MqttSender } from "../send/mqtt.ts";
import {
  oneTry,
  sendWebhook,
  threeTries,
  type Sent,
  type Waits,
  type WebhookBody,
} from "../send/webhook.ts";
import type { UtcMs } from "../units/quantity.ts";
import type { Sending } from "../wire/bench.ts";
import type { Alert, Channel, Settings } from "./bench.ts";

const firstPauseMs = 5000;
const longestPauseMs = 5 * 60_000;
/** Others who listen to a broker come back to it as we do, some later; what it has no listener for, it drops. */
const listenersBackAfterMs = 20_000;
/** How long a stopping program waits for an answer that may be on its way. */
const leaveWithinMs = 1000;
/** A delay that is worth saying: below it the three tries of an alert are over. */
const lateAfterMs = 60_000;

/** Twice as long after each failure: a receiver that is away for a day is not kept busy, nor are people kept waiting. */
export const pauseAfterMs = (failures: number): number =>
  Math.min(longestPauseMs, firstPauseMs * 2 ** (failures - 1));

/** What is told of a way. `isKnown`: there is something to be told. */
type Saying = Pick<Sending, "at" | "lateMinutes" | "failed"> & { readonly isKnown: boolean };
const nothingSaid: Saying = { at: null, lateMinutes: 0, failed: null, isKnown: false };

type Way = {
  /** Under way; null: nothing is. */
  pass: Promise<void> | null;
  failures: number;
  nextMonoMs: number;
  /** Alerts that were tried since nothing was owed; those that are not are tried three times at once. */
  readonly tried: Set<number>;
  /** Sent, but the store has not kept that yet. */
  readonly unkept: Map<number, UtcMs>;
  saying: Saying;
};

export class Outgoing {
  private readonly ways: Readonly<Record<Channel, Way>> = { mqtt: newWay(), webhook: newWay() };
  private readonly stopping = new AbortController();
  private isLeaving = false;
  private readonly mqtt: MqttSender;

  constructor(
    private readonly set: {
      readonly clock: Clock;
      readonly program: string;
      readonly practice: boolean;
      readonly settings: () => Settings;
      /** What a channel is owed and still stands, oldest first. */
      readonly owed: (channel: Channel) => readonly Alert[];
      /** Keeps that an alert was sent; throws a Fault where the store refuses. */
      readonly keep: (id: number, channel: Channel, at: UtcMs) => void;
      readonly changed: () => void;
      readonly log: (event: string, more: Record<string, unknown>) => void;
    },
  ) {
    this.mqtt = new MqttSender(set, (why) => this.noteMqtt(why));
  }

  /** Goes by the settings as they are now; another receiver is tried at once. */
  use(): void {
    const settings = this.set.settings();
    for (const channel of channels)
      if (settings[channel] === null) this.ways[channel].saying = nothingSaid;
    this.mqtt.use(settings.mqtt);
    this.sendNow();
  }

  /** A weight that came to rest, for those who listen elsewhere. */
  tellRest(massGrams: number): void {
    this.mqtt.weight(massGrams);
  }

  /** null: nothing can be said of the batch yet. */
  tellVerdict(verdict: string | null, batch: number): void {
    this.mqtt.verdict(verdict, batch);
  }

  /** Tries what is owed, however long a pause was meant to be. */
  sendNow(): void {
    for (const channel of channels) this.begin(channel);
  }

  /** Tries what is owed where the pause after the last failure is over. */
  sendDue(): void {
    for (const channel of channels)
      if (this.set.clock.mono() >= this.ways[channel].nextMonoMs) this.begin(channel);
  }

  /** A store that refused to keep that alerts were sent is asked again; meanwhile none of them is sent again. */
  keepSent(): void {
    for (const channel of channels) this.keep(channel);
  }

  shown(): Sending[] {
    return channels.flatMap((channel) => {
      const { isKnown, ...said } = this.ways[channel].saying;
      return isKnown ? [{ channel, ...said, waiting: this.owed(channel).length }] : [];
    });
  }

  /** Resolves to null, or to why it was not sent. */
  async tryAlert(channel: Channel): Promise<string | null> {
    if (this.set.settings()[channel] === null)
      return channel === "webhook" ? "no webhook address is set" : "no MQTT broker is set";
    const text = "A trial alert: this is how an alert will look";
    const at = this.set.clock.utc();
    const { practice } = this.set;
    const body = { id: `trial-${at}`, text, code: "trial", batch: null, at: isoOf(at), practice };
    const sent = await this.send(channel, body, threeTries);
    this.note(channel, sent, 0);
    // A receiver that answers again has what waits for it.
    if (sent.sent) this.begin(channel);
    return sent.sent ? null : sent.why;
  }

  /** Waits a moment for answers that are on their way, and gives up the rest: it is sent after the next start. */
  async close(): Promise<void> {
    const passes = channels.flatMap((channel) => this.ways[channel].pass ?? []);
    this.isLeaving = true;
    let timer: NodeJS.Timeout | undefined;
    const tooLong = new Promise((done) => (timer = setTimeout(done, leaveWithinMs)));
    await Promise.race([Promise.all(passes), tooLong]);
    clearTimeout(timer);
    this.stopping.abort();
    await this.mqtt.stop();
  }

  private owed(channel: Channel): readonly Alert[] {
    const { unkept } = this.ways[channel];
    if (this.set.settings()[channel] === null) return [];
    return this.set.owed(channel).filter(({ id }) => !unkept.has(id));
  }

  private begin(channel: Channel): void {
    const way = this.ways[channel];
    if (way.pass !== null || this.isLeaving) return;
    if (this.owed(channel).length === 0) way.failures = 0;
    else way.pass = this.sendOwed(channel).finally(() => (way.pass = null));
  }

  /** One after the other, each once; what is raised meanwhile too. */
  private async sendOwed(channel: Channel): Promise<void> {
    const way = this.ways[channel];
    const inThisPass = new Set<number>();
    let isAllSent = true;
    for (;;) {
      const alert = this.owed(channel).find(({ id }) => !inThisPass.has(id));
      if (alert === undefined || this.isLeaving) break;
      const waits = way.tried.has(alert.id) ? oneTry : threeTries;
      inThisPass.add(alert.id);
      way.tried.add(alert.id);
      const sent = await this.send(channel, this.bodyOf(alert), waits);
      if (this.stopping.signal.aborted) return;
      if (sent.sent) way.unkept.set(alert.id, this.set.clock.utc());
      else isAllSent = false;
      this.keep(channel);
      this.note(channel, sent, this.lateMinutesOf(alert));
    }
    way.failures = isAllSent ? 0 : way.failures + 1;
    way.nextMonoMs = isAllSent ? 0 : this.set.clock.mono() + pauseAfterMs(way.failures);
    if (isAllSent) way.tried.clear();
  }

  private keep(channel: Channel): void {
    const { unkept } = this.ways[channel];
    try {
      for (const [id, at] of unkept) {
        this.set.keep(id, channel, at);
        unkept.delete(id);
      }
    } catch (thrown) {
      if (!(thrown instanceof Fault)) throw thrown;
    }
  }

  private send(channel: Channel, body: WebhookBody, waits: Waits): Promise<Sent> {
    if (channel === "mqtt") return this.mqtt.alert(body, waits === oneTry ? "at-once" : "wait");
    return sendWebhook(this.set.settings().webhook ?? "", body, this.stopping.signal, waits);
  }

  /** By the service's clock, which in practice may run fast. */
  private lateMinutesOf({ at }: Alert): number {
    const { clock } = this.set;
    const lateMs = clock.utc() - at;
    return lateMs < lateAfterMs * clock.timeFactor ? 0 : Math.round(lateMs / 60_000);
  }

  private bodyOf(alert: Alert): WebhookBody {
    const { id, text, code, batchId, at } = alert;
    const late = this.lateMinutesOf(alert);
    return {
      // A record brought back from a copy gives its numbers again, to other alerts.
      id: `${id}-${at}`,
      text: late === 0 ? text : saidLate(text, late),
      code,
      batch: batchId,
      at: isoOf(at),
      practice: this.set.practice,
    };
  }

  private note(channel: Channel, sent: Sent, lateMinutes: number): void {
    const way = this.ways[channel];
    way.saying = sent.sent
      ? { at: isoOf(this.set.clock.utc()), lateMinutes, failed: null, isKnown: true }
      : { ...way.saying, failed: sent.why, isKnown: true };
    this.set.changed();
  }

  private noteMqtt(why: string | null): void {
    const way = this.ways.mqtt;
    const { saying } = way;
    if (saying.isKnown && saying.failed === why) return;
    way.saying = { ...saying, failed: why, isKnown: true };
    this.set.log("mqtt", { why });
    this.set.changed();
    if (why === null) way.nextMonoMs = this.set.clock.mono() + listenersBackAfterMs;
  }
}

const newWay = (): Way => ({
  pass: null,
  failures: 0,
  nextMonoMs: 0,
  tried: new Set(),
  unkept: new Map(),
  saying: nothingSaid,
});
