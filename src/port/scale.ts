/**
 * A scale: a port whose bytes are cut into lines and read. In: an address and a clock. Out: readings in the
 * order of their arrival, and a report whenever the link or the form changes.
 */
import type { Candidate, FormChoice, FormName } from "../reading/form.ts";
import type { Reading, ScaleUnit } from "../reading/reading.ts";
import type { Clock } from "../clock.ts";
import type { LinkReport, Port } from "./port.ts";

/** The state of the link and of the recognition. `form` is null until it is known. */
export type ScaleReport = LinkReport & {
  readonly form: FormName | null;
  /** The unit that the scale shows at present. */
  readonly unit: ScaleUnit | null;
  /** What a person is asked, and the answers to choose from; empty when nothing is asked. */
  readonly question: string | null;
  readonly candidates: readonly Candidate[];
};

export type ScaleCounts = {
  readonly readings: number;
  /** Lines that the form in force does not explain. */
  readonly unreadable: number;
  /** Bytes thrown away: runs without an end of line, half lines at the start of a connection. */
  readonly discardedBytes: number;
};

export type ScaleListener = {
  /** Also over, under and unreadable ones. */
  reading(reading: Reading): void;
  /** The link, the form, the unit or the question changed. */
  link(report: ScaleReport): void;
};

export type Scale = {
  readonly uri: string;
  state(): ScaleReport & ScaleCounts;
  /** A person's answer to the question; holds until the scale is closed. */
  chooseForm(choice: FormChoice): void;
  /** Sends now or fails now; nothing is kept over a lost connection. */
  write(bytes: Uint8Array): Promise<void>;
  close(): Promise<void>;
};

/** `port` stands in for the one that the address names: the practice scale, a replay, a test. */
export type OpenScale = (uri: string, clock: Clock, listener: ScaleListener, port?: Port) => Scale;
