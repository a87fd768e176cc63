/** What comes next onto a scale. Said with what the page shows as chosen there, so that two people's choices cannot cross. */
import type { BagChoice } from "../../src/wire/bag.ts";
import type { Bench } from "../../src/wire/bench.ts";
import type { CheckChoice } from "../../src/wire/kitchen.ts";
import type { TaskChoice } from "../../src/wire/requests.ts";
import { ask, at, type Answer } from "./ask.ts";
import { bench } from "./page.ts";

type Choices = { readonly task: TaskChoice; readonly bag: BagChoice; readonly check: CheckChoice };

export const choose = <What extends keyof Choices>(
  scale: string,
  what: What,
  asked: Omit<Choices[What], "seen">,
): Promise<Answer<Bench>> =>
  ask("POST", `scales/${at(scale)}/${what}`, {
    ...asked,
    seen: bench.peek()?.tasks.find((task) => task.scale === scale)?.chosen,
  });
