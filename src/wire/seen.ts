/** What a page had before it when a change was made up, so that edits that cross are noticed. */
import Type, { type Static } from "typebox";
import { closed, Id, nullable } from "./words.ts";

export const seenSays =
  "what stood there when the change was made up: refused, with what changed, where something else stands there now";
export const toldOnce =
  "what stood there when this was made up; left out: nothing yet. Where something else was said meanwhile it is refused";
/** What a person chose to come next onto a scale. */
export const ScaleChosen = Type.Object(
  {
    tray: nullable(Id),
    portion: nullable(Id),
    bag: nullable(Id),
    weight: nullable(Id),
  },
  { ...closed, description: "what a person chose to come next; null: nothing of that kind" },
);
export const ScaleChoice = Type.Partial(ScaleChosen, {
  ...closed,
  description:
    "what was chosen on the scale when this was made up, as its task has it: refused where somebody else chose meanwhile",
});
export type ScaleChosen = Static<typeof ScaleChosen>;
export type ScaleChoice = Static<typeof ScaleChoice>;
