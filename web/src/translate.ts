/** The service's English sentences in the person's language, found by their form: what is put in may be anything. Pure. */
import { showMass, showNumber, type Speech } from "./show.ts";

/** The sentence as the service writes it, and in the other language; `{g}` and `{h}` are masses, `{why}` a sentence. */
export type Pair = readonly [english: string, other: string];
export type Translator = (
  speech: Speech,
  text: string,
  /** A food as it is called in that language. */
  foodCalled?: (name: string) => string,
) => string | null;

type Form = { readonly shape: RegExp; readonly places: readonly string[]; readonly other: string };

const place = /\{(\w+)\}/g;
const isMass = (name: string): boolean => name === "g" || name === "h";
const literal = (text: string): string => text.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");

function formOf([english, other]: Pair): Form {
  const parts = english.split(place);
  const source = parts
    .map((part, i) => {
      if (i % 2 === 0) return literal(part);
      return isMass(part) ? "(-?\\d+(?:\\.\\d+)?) g" : "(.+?)";
    })
    .join("");
  return {
    shape: new RegExp(`^${source}\\.?$`, "is"),
    places: parts.filter((_, i) => i % 2 === 1),
    other,
  };
}

const lettersIn = ([english]: Pair): number => english.replace(place, "").length;

/** Of two forms that fit, the one with more of its own words is meant. */
export function translatorOf(pairs: readonly Pair[]): Translator {
  const forms = [...pairs].sort((a, b) => lettersIn(b) - lettersIn(a)).map(formOf);
  const whole: Translator = (speech, text, foodCalled) => {
    for (const { shape, places, other } of forms) {
      const found = shape.exec(text);
      if (found === null) continue;
      const values = new Map(places.map((name, i) => [name, found[i + 1] ?? ""]));
      return other.replace(place, (_, name: string) =>
        put(name, values.get(name) ?? "", speech, foodCalled),
      );
    }
    return null;
  };
  const put = (
    name: string,
    value: string,
    speech: Speech,
    foodCalled: (name: string) => string = (name) => name,
  ): string => {
    if (isMass(name)) return showMass(speech, Number(value), 10 ** -decimalsIn(value));
    if (name === "why") return said(speech, value, foodCalled) ?? value;
    return foodCalled(value)
      .replace(/\btray (\d+)\b/g, (_, number: string) => speech.texts.trayNumbered(number))
      .replace(
        /(^|[^\w.:/])(\d+\.\d+)(?![\w.:/])/g,
        (_, before: string, figure: string) =>
          before + showNumber(speech, Number(figure), decimalsIn(figure)),
      );
  };
  /** One sentence or several. */
  const said: Translator = (speech, text, foodCalled) => {
    const one = whole(speech, text, foodCalled);
    if (one !== null) return one;
    const parts = text.replace(/([.?!]) +/g, "$1\0").split("\0");
    const others = parts.map((part) => whole(speech, part, foodCalled));
    return parts.length > 1 && others.every((other) => other !== null) ? sentences(others) : null;
  };
  return said;
}

const decimalsIn = (figure: string): number => figure.split(".")[1]?.length ?? 0;
const sentences = (parts: readonly string[]): string =>
  parts
    .map((part) => part.charAt(0).toUpperCase() + part.slice(1))
    .map((part) => (/[.?!]$/.test(part) ? part : `${part}.`))
    .join(" ");
