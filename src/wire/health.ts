/** Whether the store can keep a weighing, and how the scales are linked. */
import Type, { type Static } from "typebox";
import { BackupState } from "./bench.ts";
import { Iso, LinkWord, nullable, words } from "./words.ts";

export const Health = Type.Object({
  status: words(["ok", "not-recording"]),
  scales: Type.Array(
    Type.Object({
      id: Type.String(),
      link: LinkWord,
      since: Iso,
      why: nullable(Type.String({ description: "why it is not up, in plain words" })),
    }),
  ),
  store: Type.Object({
    recording: Type.Boolean({ description: "whether a weighing would be kept now" }),
    why: nullable(Type.String({ description: "why nothing can be kept" })),
    backup: nullable(BackupState),
  }),
});

export type Health = Static<typeof Health>;
