import Type, { type Static } from "typebox";
import { Id, Iso, nullable } from "./words.ts";

export const Photo = Type.Object({
  id: Id,
  batch: Id,
  tray: nullable(Id),
  bag: nullable(Id),
  type: Type.String(),
  bytes: Type.Integer(),
  at: Iso,
});

export type Photo = Static<typeof Photo>;
