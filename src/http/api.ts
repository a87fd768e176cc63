/** The server as routes see it, and what routes share. */
import type { TypeBoxTypeProvider } from "@fastify/type-provider-typebox";
import type {
  FastifyBaseLogger,
  FastifyInstance,
  RawReplyDefaultExpression,
  RawRequestDefaultExpression,
  RawServerDefault,
} from "fastify";
import Type from "typebox";
import { closed } from "../wire/words.ts";

export type Api = FastifyInstance<
  RawServerDefault,
  RawRequestDefaultExpression,
  RawReplyDefaultExpression,
  FastifyBaseLogger,
  TypeBoxTypeProvider
>;

/** A number in the address. */
export const PathId = Type.Integer({ minimum: 1, description: "its number, as the lists give it" });

export const BatchPath = Type.Object({ batch: PathId });
export const ScalePath = Type.Object({
  scale: Type.String({ minLength: 1, description: "the scale's id, as GET /api/bench gives it" }),
});

/** For a change that needs nothing more to be said. */
export const NothingMore = Type.Union([Type.Object({}, closed), Type.Null()], {
  description: "nothing: no body, or {}",
});
