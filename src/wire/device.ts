/** Devices of the network: how one is let in, and which ones are. */
import Type, { type Static } from "typebox";
import { closed, Id, Iso, Name, nullable, words } from "./words.ts";

export const AccessWord = words(
  ["full", "read-only"],
  "full: may weigh, correct and set up; read-only: may look",
);

export const Device = Type.Object({
  id: Id,
  name: Type.String({ description: "as its owner called it when it was paired" }),
  access: AccessWord,
  paired: Iso,
  seen: nullable(Iso),
});
export const PairingState = Type.Object({
  needed: Type.Boolean({ description: "whether a device needs a token here" }),
  device: nullable(Device),
});
export const PairingAsked = Type.Object(
  {
    code: Type.String({ minLength: 1, maxLength: 40, description: "the code that was shown" }),
    name: Name,
    for: Type.Optional(
      words(
        ["page", "program"],
        "page, when left out: the token comes as a cookie that scripts cannot read; program: it comes in the answer",
      ),
    ),
  },
  closed,
);
export const Paired = Type.Object({
  device: Device,
  token: nullable(
    Type.String({ description: "for `Authorization: Bearer …`; shown this once, to a program" }),
  ),
});
export const CodeAsked = Type.Object({ access: AccessWord }, closed);
export const PairingCode = Type.Object({
  code: Type.String({ description: "works once" }),
  access: AccessWord,
  until: Iso,
});

export type AccessWord = Static<typeof AccessWord>;
export type Device = Static<typeof Device>;
export type PairingState = Static<typeof PairingState>;
export type PairingAsked = Static<typeof PairingAsked>;
export type Paired = Static<typeof Paired>;
export type CodeAsked = Static<typeof CodeAsked>;
export type PairingCode = Static<typeof PairingCode>;
