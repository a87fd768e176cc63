import { createContext, type ComponentChildren } from "preact";
import { useContext, useId } from "preact/hooks";
import { speech } from "../page.ts";
import { showNumber } from "../show.ts";

/** What a field shows and sets: a signal, or a part of something larger. */
export type Held<T = string> = { value: T };
type Bound<T> =
  { readonly of: Held<T> } | { readonly value: T; readonly onValue: (value: T) => void };

const bound = <T,>(props: Bound<T>) =>
  "of" in props
    ? { value: props.of.value, onValue: (value: T) => void (props.of.value = value) }
    : props;

/** Which fields of a form are wrong, and the element that says why. */
export const Flaws = createContext<{ readonly id: string; readonly fields: readonly Held[] }>({
  id: "",
  fields: [],
});

type FieldProps = Bound<string> & {
  readonly label: string;
  readonly hint?: string | undefined;
  readonly kind?: "text" | "number" | "url" | "when" | "password" | "figures";
  readonly required?: boolean;
  readonly narrow?: boolean;
  /** Where the form cannot know it by what the field is of. */
  readonly isFlawed?: boolean;
};

/** Numbers are typed as text, so that a comma is not thrown away by the browser. */
const modes = { text: "text", number: "decimal", url: "url", figures: "numeric" } as const;

export function Field(props: FieldProps) {
  const id = useId();
  const flaws = useContext(Flaws);
  const { label, hint, kind = "text", required, narrow } = props;
  const { value, onValue } = bound(props);
  const isFlawed = props.isFlawed ?? ("of" in props && flaws.fields.includes(props.of));
  const told = [hint === undefined ? "" : `${id}-hint`, isFlawed ? flaws.id : ""];
  const mark = showNumber(speech.value, 0.5, 1).charAt(1);
  const shared = {
    id,
    value: kind === "number" ? value.replace(".", mark) : value,
    spellcheck: false,
    required: required ?? false,
    "aria-invalid": isFlawed,
    "aria-describedby": told.join(" ").trim() || undefined,
    onInput: (event: { readonly currentTarget: HTMLInputElement }) =>
      onValue(event.currentTarget.value),
  } as const;
  return (
    <div class={narrow ? "field narrow" : "field"}>
      <label for={id}>{label}</label>
      {kind === "password" && <input type="password" autocomplete="new-password" {...shared} />}
      {kind === "when" && <input type="datetime-local" autocomplete="off" {...shared} />}
      {kind !== "password" && kind !== "when" && (
        <input type="text" inputMode={modes[kind]} autocomplete="off" {...shared} />
      )}
      {hint !== undefined && (
        <p id={`${id}-hint`} class="hint">
          {hint}
        </p>
      )}
    </div>
  );
}

type ChoiceProps<T> = Bound<T> & {
  readonly label: string;
  /** Where a heading says the same already. */
  readonly isLabelUnseen?: boolean;
  readonly options: readonly { readonly value: T; readonly label: string }[];
};

export function Choice<T extends string>(props: ChoiceProps<T>) {
  const id = useId();
  const { label, isLabelUnseen = false, options } = props;
  const { value, onValue } = bound<T>(props);
  return (
    <div class="field narrow">
      <label for={id} class={isLabelUnseen ? "unseen" : undefined}>
        {label}
      </label>
      <select
        id={id}
        value={value}
        onChange={({ currentTarget }) => {
          const chosen = options[currentTarget.selectedIndex];
          if (chosen !== undefined) onValue(chosen.value);
        }}
      >
        {options.map((option) => (
          <option key={option.value} value={option.value} selected={option.value === value}>
            {option.label}
          </option>
        ))}
      </select>
    </div>
  );
}

export function Fold({
  summary,
  onToggle,
  children,
}: {
  readonly summary: string;
  readonly onToggle?: (isOpen: boolean) => void;
  readonly children: ComponentChildren;
}) {
  return (
    <details class="fold" onToggle={(event) => onToggle?.(event.currentTarget.open)}>
      <summary>{summary}</summary>
      <div class="folded" role="group" aria-label={summary}>
        {children}
      </div>
    </details>
  );
}
