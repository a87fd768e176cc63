/**
 * Alerts, the weight at rest and the verdict to an MQTT broker, in the topics below one prefix:
 *
 *     <prefix>/status              online, or offline as the broker's last will; retained
 *     <prefix>/alert               JSON, one message an alert
 *     <prefix>/weight              JSON {"grams": 812.6, "practice": false} of the load that came to rest; retained
 *     <prefix>/verdict             JSON {"verdict": "losing", "batch": 7, "practice": false}; null until a tray was
 *                                  weighed since drying began; retained
 *
 * With it go the descriptions by which Home Assistant finds both by itself, as its documentation of MQTT discovery
 * says: <discovery prefix>/<component>/<object id>/config, retained, with `unique_id`, `device` and `origin`
 * (https://www.home-assistant.io/integrations/mqtt/, "MQTT Discovery"; sensors: .../integrations/sensor.mqtt/).
 * Nothing here throws: what cannot be sent is an answer.
 */
import type { IClientOptions, MqttClient } from "mqtt";
import type { Sent, WebhookBody } from "./webhook.ts";

export type MqttSetting = {
  /** mqtt://host:1883 or mqtts://host:8883, without user and password. */
  readonly url: string;
  readonly prefix: string;
  readonly user: string | null;
  readonly password: string | null;
};

/** Where Home Assistant looks unless it was told otherwise. */
const discoveryPrefix = "homeassistant";
const verdictWords = ["losing", "stable", "gaining", "stalled", "unsure"] as const;

const answerWithinMs = 5000;
const againAfterMs = 5000;
const leaveWithinMs = 1000;

/** Why an address cannot be used; null when it can. */
export function flawInMqttAddress(url: string): string | null {
  if (!URL.canParse(url))
    return `"${url.slice(0, 100)}" is not an address like mqtt://192.168.1.20`;
  const address = new URL(url);
  if (address.protocol !== "mqtt:" && address.protocol !== "mqtts:")
    return `"${url.slice(0, 100)}" does not begin with mqtt:// or mqtts://`;
  if (address.hostname === "") return `"${url.slice(0, 100)}" names no host`;
  // In the address it would be shown, and kept in every earlier version of the settings.
  if (address.username !== "" || address.password !== "")
    return "user and password have their own fields and do not belong into the address";
  return null;
}

/** Why a prefix cannot be used: wildcards and empty levels (MQTT 3.1.1, 4.7); null when it can. */
export function flawInMqttPrefix(prefix: string): string | null {
  if (/[#+\0]/.test(prefix) || prefix.startsWith("$"))
    return `the topic prefix "${prefix}" may not hold #, + or begin with $`;
  if (prefix.split("/").some((level) => level.trim() === ""))
    return `the topic prefix "${prefix}" has an empty level`;
  return null;
}

type MqttMessage = {
  readonly topic: string;
  readonly payload: string;
  readonly retain: boolean;
};

/** What Home Assistant has to be told once, to show the weight and the verdict. */
export function descriptionsFor(prefix: string, program: string): readonly MqttMessage[] {
  const node = prefix.replace(/[^a-zA-Z0-9_-]/g, "_");
  const shared = {
    availability_topic: `${prefix}/status`,
    device: { identifiers: [node], name: "Stillweight", sw_version: program },
    origin: { name: "Stillweight", sw_version: program },
  };
  const sensor = (what: string, more: Record<string, unknown>): MqttMessage => ({
    topic: `${discoveryPrefix}/sensor/${node}_${what}/config`,
    payload: JSON.stringify({
      unique_id: `${node}_${what}`,
      state_topic: `${prefix}/${what}`,
      ...more,
      ...shared,
    }),
    retain: true,
  });
  return [
    sensor("weight", {
      name: "Weight on the scale",
      device_class: "weight",
      state_class: "measurement",
      unit_of_measurement: "g",
      value_template: "{{ value_json.grams }}",
    }),
    sensor("verdict", {
      name: "Verdict",
      device_class: "enum",
      options: verdictWords,
      value_template: "{{ value_json.verdict }}",
    }),
  ];
}

export class MqttSender {
  private client: MqttClient | null = null;
  private loading: Promise<void> = Promise.resolve();
  private setting: MqttSetting | null = null;
  /** The newest of each retained topic, for a broker that comes back without them. */
  private readonly retained = new Map<string, string>();
  private lastError: string | null = null;

  constructor(
    private readonly about: { readonly program: string; readonly practice: boolean },
    /** Called whenever the connection came or failed: null, or why there is none. */
    private readonly onLink: (why: string | null) => void,
  ) {}

  /** Connects by another setting, or not at all. The same setting again changes nothing. */
  use(setting: MqttSetting | null): void {
    if (JSON.stringify(setting) === JSON.stringify(this.setting)) return;
    void this.stop();
    this.setting = setting;
    if (setting === null) return;
    const flaw = flawInMqttAddress(setting.url) ?? flawInMqttPrefix(setting.prefix);
    if (flaw !== null) return this.failed(flaw);
    this.loading = this.begin(setting).catch((error: unknown) => this.failed(reasonOf(error)));
  }

  /** The library is loaded by those who use it alone: it would be a tenth of the service's memory. */
  private async begin(setting: MqttSetting): Promise<void> {
    const { connect } = await import("mqtt");
    if (this.setting !== setting) return;
    const options: IClientOptions = {
      connectTimeout: answerWithinMs,
      reconnectPeriod: againAfterMs,
      reconnectOnConnackError: true,
      queueQoSZero: false,
      will: {
        topic: `${setting.prefix}/status`,
        payload: Buffer.from("offline"),
        qos: 1,
        retain: true,
      },
      ...(setting.user === null ? {} : { username: setting.user }),
      ...(setting.password === null ? {} : { password: setting.password }),
    };
    const client = connect(setting.url, options);
    this.client = client;
    const { host } = new URL(setting.url);
    client.on("connect", () => {
      this.lastError = null;
      for (const message of descriptionsFor(setting.prefix, this.about.program)) this.put(message);
      for (const [topic, payload] of this.retained) this.put({ topic, payload, retain: true });
      this.put({ topic: `${setting.prefix}/status`, payload: "online", retain: true });
      this.onLink(null);
    });
    client.on("error", (error) => {
      if (this.client === client) this.failed(`${host}: ${reasonOf(error)}`);
    });
    client.on("close", () => {
      if (this.client === client && this.lastError === null)
        this.failed(`${host} cannot be reached or closed the connection`);
    });
  }

  private failed(why: string): void {
    this.lastError = why;
    this.onLink(why);
  }

  private put({ topic, payload, retain }: MqttMessage): void {
    if (this.client?.connected === true) this.client.publish(topic, payload, { qos: 1, retain });
  }

  private keep(what: "weight" | "verdict", payload: string): void {
    if (this.setting === null) return;
    const topic = `${this.setting.prefix}/${what}`;
    this.retained.set(topic, payload);
    this.put({ topic, payload, retain: true });
  }

  weight(grams: number): void {
    this.keep("weight", JSON.stringify({ grams, practice: this.about.practice }));
  }

  /** null: nothing can be said of the batch yet. */
  verdict(verdict: string | null, batch: number): void {
    this.keep("verdict", JSON.stringify({ verdict, batch, practice: this.about.practice }));
  }

  private unanswered({ url }: MqttSetting): Sent {
    const why = this.lastError ?? `${url} did not answer within ${answerWithinMs / 1000} s`;
    return { sent: false, why };
  }

  /**
   * Resolves when the broker has the alert (QoS 1), or to why it has not. `patience`: whether a broker that is not
   * connected is waited for.
   */
  async alert(body: WebhookBody, patience: "wait" | "at-once" = "wait"): Promise<Sent> {
    await this.loading;
    const { client, setting } = this;
    if (client === null || setting === null)
      return { sent: false, why: this.lastError ?? "no MQTT broker is set" };
    // Published before, it would be kept, called failed, and come with all others of its day when the broker is back.
    if (!client.connected && patience === "wait")
      await once(client, "connect", AbortSignal.timeout(answerWithinMs));
    if (!client.connected) return this.unanswered(setting);
    const topic = `${setting.prefix}/alert`;
    const before = client.getLastMessageId();
    const published = client
      .publishAsync(topic, JSON.stringify(body), { qos: 1 })
      .then((): Sent => ({ sent: true }))
      .catch((error: unknown): Sent => ({ sent: false, why: reasonOf(error) }));
    const id = client.getLastMessageId();
    let timer: NodeJS.Timeout | undefined;
    const tooLong = new Promise<Sent>((done) => {
      timer = setTimeout(() => done(this.unanswered(setting)), answerWithinMs);
    });
    const sent = await Promise.race([published, tooLong]);
    clearTimeout(timer);
    // Kept by the library, it would go out again by itself when the broker is back, besides the one that is sent then.
    if (!sent.sent && id !== before) client.removeOutgoingMessage(id);
    return sent;
  }

  /** Says offline and leaves; waits no longer than a moment for a broker that is gone. */
  async stop(): Promise<void> {
    const { client, setting } = this;
    this.client = null;
    this.setting = null;
    this.lastError = null;
    this.retained.clear();
    if (client === null || setting === null) return;
    client.on("error", () => undefined);
    if (client.connected) {
      const leave = client
        .publishAsync(`${setting.prefix}/status`, "offline", { qos: 1, retain: true })
        .then(() => client.endAsync())
        .catch(() => undefined);
      await Promise.race([leave, new Promise((done) => setTimeout(done, leaveWithinMs).unref())]);
    }
    await client.endAsync(true).catch(() => undefined);
  }
}

/** Done when it happened, or when the time is over. */
const once = (client: MqttClient, what: "connect", tooLong: AbortSignal): Promise<void> =>
  new Promise((resolve) => {
    const happened = () => resolve();
    client.once(what, happened);
    tooLong.addEventListener("abort", () => {
      client.off(what, happened);
      resolve();
    });
  });

function reasonOf(error: unknown): string {
  if (!(error instanceof Error)) return String(error);
  const code = "code" in error && typeof error.code === "string" ? error.code : "";
  return error.message === "" ? code : error.message;
}
