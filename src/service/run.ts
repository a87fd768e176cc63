/** The service: what others ask of it, put together from its desks. */
import { bagDesk } from "./bagdesk.ts";
import { batchDesk } from "./batchdesk.ts";
import { kitchenDesk } from "./kitchendesk.ts";
import { lookDesk } from "./lookdesk.ts";
import { scaleDesk } from "./scaledesk.ts";
import { weighDesk } from "./weighdesk.ts";
import type { Service } from "./service.ts";
import { Work, type RunSetting } from "./work.ts";

const desks = (work: Work): Service => ({
  ...lookDesk(work),
  ...kitchenDesk(work),
  ...batchDesk(work),
  ...weighDesk(work),
  ...bagDesk(work),
  ...scaleDesk(work),
  onShow: (listener) => work.onShow(listener),
  bench: () => work.bench(),
  under: (key, change) => work.engine.under(key, change),
  wasKept: (key) => work.set.store.wasKept(key),
  close: () => work.close(),
});

export const startService = (setting: RunSetting): Work => new Work(setting, desks);
