import Type, { type Static } from "typebox";
import { Id, Iso, nullable } from "./words.ts";

export const Photo = Type.Object({
  id: Id,
  batch: Id,
  tray: nullable(Id),
  bag: nullable(Id),
  bagCode: nullable(Type.String({ description: "as its label says" })),
  type: Type.String(),
  bytes: Type.Integer(),
  at: Iso,
});

export type Photo = Static<typeof Photo>;
