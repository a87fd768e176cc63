/** Messages of the websocket /api/live. Each travels in an envelope { v, type, seq, at, … }. */
import Type, { type Static, type TSchema } from "typebox";
import { Alert, Bench } from "./bench.ts";
import { Weighing } from "./batch.ts";
import { Problem } from "./requests.ts";
import { Id, Iso, LinkWord, nullable, PanWord, Span, VerdictWord } from "./words.ts";

const message = <const T extends string, P extends Record<string, TSchema>>(type: T, body: P) =>
  Type.Object({
    v: Type.Integer(),
    type: Type.Literal(type),
    seq: Type.Integer(),
    at: Iso,
    ...body,
  });

export const ReadingMessage = message("reading", {
  scale: Type.String(),
  state: PanWord,
  grams: nullable(Type.Number()),
  settled: Type.Boolean(),
  division: nullable(Type.Number()),
  unit: nullable(Type.String()),
});
export const SettledMessage = message("settled", {
  scale: Type.String(),
  grams: Type.Number(),
  division: Type.Number(),
  zeroSeen: Type.Boolean(),
});
export const LiftedMessage = message("lifted", { scale: Type.String() });
export const LinkMessage = message("link", {
  scale: Type.String(),
  link: LinkWord,
  form: nullable(Type.String()),
  unit: nullable(Type.String()),
  why: nullable(Type.String()),
});
export const WeighingMessage = message("weighing", { weighing: Weighing, name: Type.String() });
export const VerdictMessage = message("verdict", {
  batch: Id,
  verdict: VerdictWord,
  moreHours: nullable(Span),
  behind: Type.Array(Id),
  trays: Type.Array(Type.Object({ tray: Id, verdict: VerdictWord })),
});
export const AlertMessage = message("alert", { alert: Alert });
export const BenchMessage = message("bench", { bench: Bench });
/** Sent where nothing else was to be told for a while: a client that hears nothing for longer is cut off. */
export const HereMessage = message("here", {});
/** The one answer to a client that says something: this socket only tells. */
export const ProblemMessage = message("problem", { problem: Problem });

export type ReadingMessage = Static<typeof ReadingMessage>;
export type SettledMessage = Static<typeof SettledMessage>;
export type LiftedMessage = Static<typeof LiftedMessage>;
export type LinkMessage = Static<typeof LinkMessage>;
export type WeighingMessage = Static<typeof WeighingMessage>;
export type VerdictMessage = Static<typeof VerdictMessage>;
export type AlertMessage = Static<typeof AlertMessage>;
export type BenchMessage = Static<typeof BenchMessage>;
export type HereMessage = Static<typeof HereMessage>;
export type ProblemMessage = Static<typeof ProblemMessage>;
/** What the service shows of its own accord. */
export type FromService =
  | ReadingMessage
  | SettledMessage
  | LiftedMessage
  | LinkMessage
  | WeighingMessage
  | VerdictMessage
  | AlertMessage
  | BenchMessage;
